"""Counting along the shelf: what a count finds gone without a record, at once and by share."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.actions.day.closing import close_day
from app.actions.shelf.counting import counts
from app.actions.stock.left import left_on
from app.actions.stock.stock import count
from app.errors import Mendable
from tests.shop import TODAY


def test_a_count_shows_at_once_what_is_gone_its_worth_and_its_share_of_the_quarter(desk, shop):
    close_day(desk, TODAY)
    wheel, day = shop.supplies["wheel"], TODAY + timedelta(days=1)
    desk.clock.go_to(day)
    left = left_on(desk, day)[wheel]
    assert wheel not in counts(desk, day), "what was brought in by the first day is no count"
    count(desk, day, wheel, f"{left // 1000 - 120} ml")
    found = counts(desk, day)[wheel]
    assert found.today
    assert found.gone == pytest.approx(120_000, abs=1000)
    # 120 mL were used on the closed day, 120 mL more went without a record.
    assert found.share_text == "50 %"
    assert found.value
    desk.book.undo(today=day)
    assert wheel not in counts(desk, day)


def test_equals_says_that_just_what_the_book_says_stands_there(desk, shop):
    soap = shop.supplies["soap"]
    left = left_on(desk, TODAY)[soap]
    done = count(desk, TODAY, soap, "=")
    assert done.sentence == "Just as the book says."
    found = counts(desk, TODAY)[soap]
    assert (found.today, found.gone, found.share_text) == (True, 0, "")
    assert left_on(desk, TODAY)[soap] == left
    tomorrow = TODAY + timedelta(days=1)
    desk.clock.go_to(tomorrow)
    assert counts(desk, tomorrow)[soap].last == TODAY
    assert not counts(desk, tomorrow)[soap].today


def test_a_book_below_zero_cannot_be_confirmed_by_equals(desk, shop):
    from app.actions.stock.stock import waste

    soap = shop.supplies["soap"]
    waste(desk, TODAY, soap, "3 l")
    with pytest.raises(Mendable, match="cannot stand there; type what you see"):
        count(desk, TODAY, soap, "=")


def test_more_than_the_book_says_is_shown_as_below_zero(desk, shop):
    soap = shop.supplies["soap"]
    count(desk, TODAY, soap, "5 l")
    assert counts(desk, TODAY)[soap].gone < 0
