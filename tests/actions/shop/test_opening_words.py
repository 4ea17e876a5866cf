"""Opening hours and closed days, as they are typed and said again."""

from __future__ import annotations

import pytest

from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.people.vehicles import add_vehicle
from app.actions.plan.job_plan import plans
from app.actions.plan.load import load
from app.actions.plan.opening import open_hours
from app.actions.shop.opening_words import closed_text, read_week, week_text
from app.actions.shop.shop_settings import set_typed, shown_setting
from app.errors import Mendable
from app.records.queries.days import jobs_by_id
from tests.shop import TODAY


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("mon-fri 8-16:30, sat 8-12", "Mon-Fri 8:00-16:30, Sat 8:00-12:00"),
        ("Tue to Sat 9 am to 5 pm", "Tue-Sat 9:00-17:00"),
        ("Sat-Mon 10-14; wednesday 7-8", "Mon 10:00-14:00, Wed 7:00-8:00, Sat-Sun 10:00-14:00"),
        ("", ""),
    ],
)
def test_hours_are_read_as_they_are_said_and_said_again(typed: str, said: str) -> None:
    assert week_text(read_week(typed)) == said
    assert read_week(said) == read_week(typed)


@pytest.mark.parametrize("typed", ["always", "Mon 8", "Mon 16-8", "Mon-Fri 8-12, Tue 13-17",
                                   "Mon 8-25", "Mon 13 pm-3 pm", "Foo 8-12"])  # fmt: skip
def test_what_are_no_hours_is_refused_in_one_sentence(typed: str) -> None:
    with pytest.raises(Mendable) as trouble:
        read_week(typed)
    assert trouble.value.sentence.count("\n") == 0


def test_the_shop_is_open_as_its_settings_say(empty: Desk) -> None:
    set_typed(empty, "open_week", "Mon-Fri 7:30-16:00, Sat 8-12")
    set_typed(empty, "closed_days", "18 to 20 Aug, 24 Dec")
    assert shown_setting(empty, "closed_days") == closed_text(empty.settings.closed_days)
    assert shown_setting(empty, "closed_days").startswith("18 August 2025 to 20 August 2025, 24")
    hours = open_hours(empty)
    days = [TODAY.replace(day=day) for day in (14, 16, 17, 18, 20, 21)]  # Thu, Sat, Sun, closed
    assert [hours.on(day) for day in days] == [510, 240, 0, 0, 0, 510]
    set_typed(empty, "open_week", "")
    set_typed(empty, "opens_at", "9:30")
    assert open_hours(empty).opens[0] == 570
    assert shown_setting(empty, "opens_at") == "9:30"
    with pytest.raises(Mendable, match="1 to 9"):
        set_typed(empty, "bays", "0")


def test_a_visit_leaves_closed_days_out(empty: Desk) -> None:
    set_typed(empty, "closed_days", "18 to 20 Aug")
    job = book_job(
        empty,
        NewJob(vehicle_id=add_vehicle(empty, None, description="grey wagon")[1],
               first_day=TODAY.replace(day=15), minutes=900),
    )[1]  # fmt: skip
    with empty.book.reading() as session:
        plan = plans(empty, session, jobs_by_id(session, [job]))[job]
    assert [day.day for day in plan.days] == [15, 21], "a Friday, and the Thursday after"
    assert load(empty, plan.days[0], plan.days[-1]).days[TODAY.replace(day=18)].open_minutes == 0
