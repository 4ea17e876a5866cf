"""The earliest days of a new job: found, reasoned, and never with a clash."""

from __future__ import annotations

from app.actions.bay.earliest_days import Asked, earliest_days
from app.actions.bay.plan_of_shop import clock_words, plan_of_shop
from app.actions.desk.desk import Desk
from app.actions.shop.shop_settings import change_settings
from app.calculations.bay.opening import minute_of
from tests.actions.bay.conftest import At, Book
from tests.shop import SmallShop


def test_the_first_begin_comes_with_why_not_sooner(
    desk: Desk, shop: SmallShop, book: Book, at: At
) -> None:
    other = book("ceramic", 14, minutes=420, begins_at=at(14, "8:00"))
    found = earliest_days(desk, Asked(services=((shop.services["wash"], 1),)))
    first = found.begins[0]
    number = plan_of_shop(desk).row(other).number
    assert found.why == f"the polish and ceramic on {number} cures in the bay until then"
    assert found.finding == "Earliest: Friday 15 August, 15:00"  # 24 hours after the coat
    assert first.begin == plan_of_shop(desk).row(other).ready
    assert first.chance >= 0.9
    assert first.promised >= first.ready
    days = [clock_words(desk, one.begin, long=True)[:10] for one in found.begins]
    assert days == ["Fri 15 Aug", "Mon 18 Aug", "Tue 19 Aug"]


def test_a_full_week_has_no_day_before_it_is_over(
    desk: Desk, shop: SmallShop, book: Book, at: At
) -> None:
    for day in (14, 15, 18, 19, 20, 21):
        book("wash", day, minutes=400, begins_at=at(day, "8:00"), promised_at=at(day, "16:00"))
    asked = Asked(services=((shop.services["wash"], 1),), minutes=240)
    found = earliest_days(desk, asked)
    # On the last evening it may come, and stand in the bay overnight.
    assert found.begins[0].begin == minute_of(at(21, "14:40"))
    assert found.too_short == (
        "Thursday 14 August, from 14:40 on, is free, but too short: 0414 comes on Friday at 8:00."
    )
    assert found.begins[0].clashes == ()


def test_a_begin_that_is_typed_says_whom_it_clashes_with_and_harms(
    desk: Desk, shop: SmallShop, book: Book, at: At
) -> None:
    other = book("wash", 18, minutes=420, begins_at=at(18, "8:00"), promised_at=at(18, "16:00"))
    number = plan_of_shop(desk).row(other).number
    asked = Asked(
        services=((shop.services["wash"], 1),), minutes=240, begins_at=at(18, "9:00"),
        promised_at=at(18, "10:00"),
    )  # fmt: skip
    typed = earliest_days(desk, asked, options=1).typed
    assert (typed.clashes, typed.chance) == ((number,), 0.0)
    assert typed.promised == minute_of(at(18, "10:00"))


def test_nothing_sold_has_no_day_and_outside_work_needs_no_bay(
    desk: Desk, shop: SmallShop, book: Book, at: At
) -> None:
    assert earliest_days(desk, Asked(services=())).finding.startswith("Say what is sold")
    book("ceramic", 14, minutes=420, begins_at=at(14, "8:00"))
    asked = Asked(services=((shop.services["wash"], 1),), place="yard", travel_minutes=40)
    first = earliest_days(desk, asked, options=1).begins[0]
    assert first.bay is None
    assert first.begin < minute_of(at(15, "9:00")), "hands are free though the bay is not"
    assert first.nights == 0


def test_where_a_bay_is_free_it_is_a_promise_and_no_gap_that_it_waits_for(
    desk: Desk, shop: SmallShop, book: Book, at: At
) -> None:
    change_settings(desk, bays=2)
    book("wash", 15, minutes=330, begins_at=at(15, "8:00"), promised_at=at(15, "15:00"))
    asked = Asked(services=((shop.services["wash"], 1),), minutes=475)
    found = earliest_days(desk, asked)
    assert found.begins[0].begin >= minute_of(at(15, "13:30")), "it may not be done today"
    assert found.why == "sooner it would push a promise that was given"
    assert found.too_short == ""
