"""What became of estimates and bookings: the sentence over each figure is true of its rows."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from app.actions.figures.work_figures import bookings_figure, estimates_figure
from app.records.queries.work_figures import Booked, Given

TODAY = date(2026, 8, 14)


def given(number: int, ago: int, state: str, *, yes: bool = False) -> Given:
    """An estimate of 100 that was given so many days ago."""
    return Given(number, number, "Ida Penhale", TODAY - timedelta(days=ago), 10_000, yes, state)


def booked(number: int, state: str, because: str = "", kept: int = 0) -> Booked:
    """A booking whose first day has come."""
    return Booked(number, number, "Ida Penhale", state, because, kept)


MIXED = [
    given(1, 300, "done", yes=True),
    given(2, 40, "done"),  # nobody noted the yes, but the work was done
    given(3, 10, "booked", yes=True),
    given(4, 90, "cancelled", yes=True),
    given(5, 90, "cancelled"),
    given(6, 21, "booked"),  # on its last open day
    given(7, 22, "booked"),
    given(8, 61, "booked"),
]


def test_estimates_stand_by_what_became_of_them_and_the_open_ones_by_age() -> None:
    figure = estimates_figure(MIXED, [], TODAY, "USD")
    assert {row.name: row.ids for row in figure.rows} == {
        "yes, done": (1, 2), "yes, to come": (3,), "yes, then called off": (4,),
        "came to nothing": (5,), "open up to 21 days": (6,), "open 22 to 60 days": (7,),
        "open over 60 days": (8,),
    }  # fmt: skip
    assert figure.finding == "4 of 7 decided estimates got a yes."
    assert sum(int(row.cells[1] or 0) for row in figure.rows) == 8 * 10_000


@pytest.mark.parametrize("many", [1, 4])
def test_fewer_than_five_estimates_are_listed_and_no_share_is_said(many: int) -> None:
    figure = estimates_figure(MIXED[:many], MIXED[:many], TODAY, "USD")
    assert [row.ids for row in figure.rows] == [(n,) for n in range(1, many + 1)]
    assert figure.finding == f"{many} estimate{'s' * (many > 1)} given, {_word(many)} said yes to."
    assert not any("%" in value for _, value in figure.facts)


def _word(many: int) -> str:
    return {1: "one", 4: "four"}[many]


def test_a_year_before_is_said_of_five_or_more() -> None:
    figure = estimates_figure(MIXED, MIXED[:5], TODAY, "USD")
    assert dict(figure.facts)["A year before"] == "80 %"


def test_bookings_that_did_not_come_are_said_and_what_they_left_is_kept() -> None:
    rows = [booked(n, "done") for n in range(1, 9)]
    assert bookings_figure(rows, [], "USD").finding == "All eight bookings came."
    rows += [booked(9, "cancelled", "the weather")]
    assert bookings_figure(rows, [], "USD").finding == "1 of 9 bookings was called off."
    rows += [booked(10, "cancelled", "they did not come", 5000), booked(11, "booked")]
    figure = bookings_figure(rows, [], "USD")
    assert figure.finding == "1 of 10 bookings did not come."
    assert [row.ids for row in figure.rows] == [(9,), (10,)], "fewer than five are listed"
    assert figure.rows[1].look
    assert dict(figure.facts)["Kept of deposits"] == "50.00"
    assert dict(figure.facts)["Of all"] == "10 %"
    rows += [booked(n, "cancelled", "the weather") for n in range(12, 15)]
    figure = bookings_figure(rows, [], "USD")
    assert [(row.name, row.cells) for row in figure.rows] == [
        ("the weather", (4, 0)), ("they did not come", (1, 5000)),
    ]  # fmt: skip
