"""What days hold of booked work, and what is asked when one holds more than it has."""

from __future__ import annotations

from datetime import date, time, timedelta

from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job, put_days
from app.actions.plan.job_plan import plans_on
from app.actions.plan.load import added, load, over_sentence
from app.actions.shop.shop_settings import change_settings
from tests.shop import TODAY, SmallShop

TOMORROW, MONDAY = TODAY + timedelta(days=1), TODAY + timedelta(days=4)


def job(desk: Desk, shop: SmallShop, day: date, hours: int, title: str = "Engine bay") -> int:
    new = NewJob(
        vehicle_id=shop.vehicles["wagon"],
        first_day=day,
        last_day=day,
        minutes=60 * hours,
        title=title,
    )
    return book_job(desk, new)[1]


def test_the_load_of_a_day_is_what_its_sheet_expects(desk: Desk, shop: SmallShop) -> None:
    found = load(desk, TODAY, MONDAY)
    for day in (TODAY, TOMORROW):
        expected = sum(plan.minutes_on(day) for plan in plans_on(desk, day))
        assert found.days[day].booked == expected > 0
        assert found.days[day].open_minutes == 8 * 60
    assert found.days[TODAY + timedelta(days=2)].open_minutes == 0  # a Saturday
    assert found.days[MONDAY].booked == 0


def test_the_question_names_the_day_its_hours_and_its_jobs(desk: Desk, shop: SmallShop) -> None:
    job(desk, shop, MONDAY, 5)
    standing = load(desk, MONDAY, MONDAY)
    assert over_sentence(desk, standing, {MONDAY: 3 * 60}) == ""
    assert over_sentence(desk, standing, {MONDAY: 4 * 60}) == (
        "Monday then holds 9 h of 8 h: Engine bay on the grey wagon and this one."
    )


def test_a_job_over_several_days_is_asked_about_where_a_day_is_too_full(
    desk: Desk, shop: SmallShop
) -> None:
    job(desk, shop, MONDAY, 6)
    tuesday = MONDAY + timedelta(days=1)
    minutes = added(desk, MONDAY, tuesday, 10 * 60)
    assert minutes == {MONDAY: 300, tuesday: 300}
    said = over_sentence(desk, load(desk, MONDAY, tuesday), minutes)
    assert said == "Monday then holds 11 h of 8 h: Engine bay on the grey wagon and this one."
    sunday = MONDAY - timedelta(days=1)
    said = over_sentence(desk, load(desk, sunday, sunday), {sunday: 60})
    assert said == "Sunday is no working day and then holds 1 h: this one."


def test_moving_a_job_asks_too_and_moves_it(desk: Desk, shop: SmallShop) -> None:
    job(desk, shop, MONDAY, 6)
    other = job(desk, shop, MONDAY + timedelta(days=1), 6, "Interior")
    asked = put_days(desk, other, MONDAY).question
    assert asked == "Monday then holds 12 h of 8 h: Engine bay on the grey wagon and this one."
    assert load(desk, MONDAY, MONDAY).days[MONDAY].booked == 12 * 60


def test_a_short_saturday_is_not_asked_about_for_hours_that_fall_on_later_days(
    desk: Desk, shop: SmallShop
) -> None:
    change_settings(desk, open_week=[[480, 540]] * 5 + [[540, 210], [0, 0]])
    saturday = MONDAY - timedelta(days=2)
    tuesday = MONDAY + timedelta(days=1)
    new = NewJob(
        vehicle_id=shop.vehicles["wagon"], minutes=15 * 60,
        first_day=saturday, last_day=tuesday,
        begins_at=desk.instant(saturday, time(11)),
    )  # fmt: skip
    book_job(desk, new)
    found = load(desk, saturday, MONDAY)
    assert found.days[saturday].booked == 90, "from 11:00 on"
    assert over_sentence(desk, found, {saturday: 60}) == ""
