"""A day that the book speaks against is asked about before anything is written on it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from app.actions.day.closing import close_day, reopen_day
from app.actions.desk.desk import Desk
from app.actions.desk.meant_days import question, why_doubted
from app.actions.letters.reminders import mark_sent
from app.actions.orders.deliveries import due_orders
from app.actions.orders.order_writing import set_packs
from app.actions.stock.stock import count
from app.errors import Refused
from app.records.contents import contents
from app.records.models import DaySheet
from tests.shop import TODAY, Clock, SmallShop, new_desk, small_shop

LONG_AGO = date(2019, 3, 5)
YEARS_ON = date(2031, 3, 5)
DAYS = tuple(TODAY - timedelta(days=back) for back in (2, 1, 0))


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    """A shop whose last three days are closed."""
    desk = new_desk(tmp_path / "shop.bayledger", clock)
    yield desk
    desk.book.close()


@pytest.fixture
def shop(desk: Desk) -> SmallShop:
    made = small_shop(desk)
    for day in DAYS:
        close_day(desk, day)
    return made


def test_a_day_long_before_the_newest_closed_one_says_which_lie_later(
    desk: Desk, shop: SmallShop
) -> None:
    assert why_doubted(desk, LONG_AGO) == (
        "3 closed days, 12 August 2025 to 14 August 2025, lie later than 5 March 2019"
    )
    assert "press Ctrl M if this day is meant" in question(desk, LONG_AGO)
    assert why_doubted(desk, TODAY - timedelta(days=31)) == ""
    assert why_doubted(desk, TODAY - timedelta(days=32)) != ""


def test_a_day_months_after_all_that_stands_in_the_book_is_asked_about(
    desk: Desk, shop: SmallShop
) -> None:
    assert "nothing in the book is near it" in why_doubted(desk, YEARS_ON)
    assert "200 days after the last closed day" in why_doubted(desk, TODAY + timedelta(days=200))
    assert why_doubted(desk, TODAY + timedelta(days=60)) == ""


def test_a_book_without_a_closed_day_doubts_none(desk: Desk) -> None:
    small_shop(desk)
    assert why_doubted(desk, LONG_AGO) == ""
    assert why_doubted(desk, YEARS_ON) == ""


@pytest.mark.parametrize("day", [LONG_AGO, YEARS_ON])
def test_with_a_wrong_clock_nothing_is_written_until_the_day_is_meant(
    desk: Desk, shop: SmallShop, clock: Clock, day: date
) -> None:
    clock.go_to(day)
    before = contents(desk.book)
    with pytest.raises(Refused, match="Ctrl M"):
        close_day(desk, day)
    with pytest.raises(Refused, match="Ctrl M"):
        count(desk, day, shop.supplies["soap"], "1 L")
    with pytest.raises(Refused, match="Ctrl M"):
        mark_sent(desk, day, [1])
    assert contents(desk.book) == before
    desk.meant.add(day)
    count(desk, day, shop.supplies["soap"], "1 L")
    assert contents(desk.book) != before


def test_the_page_of_yesterday_is_not_closed_under_a_wrong_clock_either(
    desk: Desk, shop: SmallShop, clock: Clock
) -> None:
    """What it orders would leave on the clock's day."""
    page = TODAY + timedelta(days=1)
    set_packs(desk, page, shop.supplies["wheel"], shop.packs["wheel"], 2)
    clock.go_to(TODAY + timedelta(days=366))
    before = contents(desk.book)
    with pytest.raises(Refused, match="Ctrl M"):
        close_day(desk, page)
    assert contents(desk.book) == before
    clock.go_to(page)
    close_day(desk, page)
    assert [order.row.day for order in due_orders(desk, page)] == [page]


def test_a_day_that_has_its_sheet_is_not_asked_about_again(desk: Desk, shop: SmallShop) -> None:
    desk.meant.add(LONG_AGO)
    close_day(desk, LONG_AGO)
    desk.meant.clear()
    reopen_day(desk, LONG_AGO, "one job was missing")
    assert why_doubted(desk, LONG_AGO) == ""
    with desk.book.reading() as session:
        assert session.get_one(DaySheet, LONG_AGO).state == "open"
