"""Days in words, against the standard library's names."""

from __future__ import annotations

import calendar
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.dates import (
    day_month,
    day_short,
    day_year,
    months_of,
    near,
    near_short,
    span_words,
    weekday_day,
)


@given(st.dates(date(1900, 1, 1), date(2200, 1, 1)))
def test_a_day_is_said_without_a_zero_before_it(day: date) -> None:
    month = calendar.month_name[day.month]
    assert day_month(day) == f"{day.day} {month}"
    assert day_short(day) == f"{day.day} {calendar.month_abbr[day.month]}"
    assert day_year(day) == f"{day.day} {month} {day.year}"
    assert weekday_day(day) == f"{calendar.day_name[day.weekday()]} {day.day} {month}"


@pytest.mark.parametrize(("away", "year"), [(0, False), (299, False), (300, True), (-299, False),
                                            (-300, True), (400, True)])  # fmt: skip
def test_the_year_is_said_where_the_day_could_be_mistaken(away: int, year: bool) -> None:
    today = date(2026, 8, 14)
    day = today + timedelta(days=away)
    assert (str(day.year) in near(day, today)) is year
    assert near_short(day, today) == (f"{day_short(day)} {day.year}" if year else day_short(day))


@pytest.mark.parametrize(("first", "last", "words"), [
    (date(2026, 5, 3), date(2026, 10, 1), "May–Oct 2026"),
    (date(2026, 12, 31), date(2027, 1, 1), "Dec 2026–Jan 2027"),
    (date(2026, 5, 3), date(2026, 5, 30), "May 2026"),
    (date(2026, 5, 3), date(2027, 5, 3), "May 2026–May 2027"),
])  # fmt: skip
def test_the_months_of_a_span_say_a_year_once_where_they_share_it(
    first: date, last: date, words: str
) -> None:
    assert months_of(first, last) == words


@pytest.mark.parametrize(("low", "high", "words"), [
    (3, 41, "3 to 41 days"),
    (7, 42, "1 to 6 weeks"),
    (21, 182, "3 to 26 weeks"),
    (21, 183, "1 to 6 months"),
    (365 / 4, 365, "3 to 12 months"),
    (365, 5 * 365.25, "12 to 60 months"),
    (360, 367, "12 months"),
])  # fmt: skip
def test_a_range_is_said_in_the_unit_of_its_far_end(low: float, high: float, words: str) -> None:
    """Twelve months are a year, and a year is 365 days or so."""
    assert span_words(low, high) == words
