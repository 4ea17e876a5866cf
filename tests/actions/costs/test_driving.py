"""What was driven, one number a day, and whose rate it is worth."""

from __future__ import annotations

from datetime import date

import pytest

from app.actions.costs import driving
from app.actions.desk.desk import Desk
from app.errors import Mendable
from app.records.queries import expenses as queries
from tests.shop import TODAY


def driven(desk: Desk) -> dict[date, int]:
    with desk.book.reading() as session:
        return queries.driven(session, TODAY, TODAY)


def test_a_day_has_one_number_in_the_shops_own_unit(empty: Desk, desk: Desk) -> None:
    driving.set_driven(empty, TODAY, "12.5")  # a shop that counts in miles
    assert driven(empty) == {TODAY: 20117}
    driving.set_driven(empty, TODAY, "20 km")
    assert driven(empty) == {TODAY: 20000}
    assert driving.driven_text(empty, 20117) == "12.5"
    empty.book.undo(today=TODAY)
    assert driven(empty) == {TODAY: 20117}
    driving.set_driven(empty, TODAY, "")
    assert driven(empty) == {}
    driving.set_driven(desk, TODAY, "20")  # a metric one
    assert driven(desk) == {TODAY: 20000}
    for typed in ("-3", "5000", "12 ft"):
        with pytest.raises(Mendable):
            driving.set_driven(empty, TODAY, typed)


def test_a_rate_holds_from_its_day_and_says_whose_it_is(empty: Desk) -> None:
    with pytest.raises(Mendable, match="Whose rate"):
        driving.set_rate(empty, "0.725", "1 Jan 2025", "")
    driving.set_rate(empty, "0.725", "1 Jan 2025", "tax office, notice 3")
    driving.set_rate(empty, "0.75", "1 Aug 2025", "tax office, notice 9")
    assert [one.rate for one in driving.rates(empty)] == [72_500, 75_000]
    text = driving.rate_text(empty, driving.rates(empty)[0])
    assert text == "0.725 a mile from 1 January 2025 (tax office, notice 3)"
    driving.set_rate(empty, "", "1 Aug 2025", "")
    assert [one.rate for one in driving.rates(empty)] == [72_500]
    with pytest.raises(Mendable, match="What is a mile worth"):
        driving.set_rate(empty, "", "1 Aug 2025", "")
    empty.book.undo(today=TODAY)
    empty.reload()
    assert len(driving.rates(empty)) == 2
