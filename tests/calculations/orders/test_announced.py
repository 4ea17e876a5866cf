"""Days that come back each year, against dateutil's recurrence rules."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from dateutil.relativedelta import relativedelta
from dateutil.rrule import YEARLY, rrule
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.orders.announced import occurrences

days = st.dates(date(2000, 1, 1), date(2060, 12, 31))


@given(days.filter(lambda day: (day.month, day.day) != (2, 29)), st.integers(0, 120), days)
def test_yearly_days_are_those_of_a_yearly_recurrence(
    first: date, length: int, around: date
) -> None:
    last = first + timedelta(days=length)
    if (last.month, last.day) == (2, 29):
        return
    over = last.year - first.year
    found = occurrences(first, last, True, around)
    begin = datetime(around.year - 1 - over, first.month, first.day)
    rule = rrule(YEARLY, dtstart=begin, until=datetime(around.year + 2, 12, 31))
    assert [one for one, _ in found] == [one.date().toordinal() for one in rule]
    for begins, ends in found:
        day = date.fromordinal(ends)
        assert (day.month, day.day) == (last.month, last.day)
        assert begins <= ends < begins + 366


@given(days, st.integers(0, 120), days)
def test_the_span_that_a_day_lies_in_and_the_next_one_are_always_among_them(
    first: date, length: int, around: date
) -> None:
    found = occurrences(first, first + timedelta(days=length), True, around)
    assert any(begins > around.toordinal() for begins, _ in found)
    assert any(ends < around.toordinal() for _, ends in found)


def test_what_is_announced_once_comes_once() -> None:
    span = date(2026, 12, 1), date(2027, 2, 28)
    assert occurrences(*span, False, date(2040, 1, 1)) == (
        (span[0].toordinal(), span[1].toordinal()),
    )


def test_29_february_is_the_28th_in_other_years() -> None:
    leap = date(2024, 2, 29)
    found = {date.fromordinal(one) for one, _ in occurrences(leap, leap, True, date(2026, 6, 1))}
    # dateutil clips to the end of a month as well
    assert found == {leap + relativedelta(years=step) for step in (1, 2, 3, 4)}


def test_at_the_ends_of_the_calendar_no_year_is_made_up() -> None:
    over = date(2025, 12, 20), date(2026, 1, 5)
    years = [date.fromordinal(one).year for one, _ in occurrences(*over, True, date(9998, 6, 1))]
    assert years == [9996, 9997, 9998]
    years = [date.fromordinal(one).year for one, _ in occurrences(*over, True, date(2, 6, 1))]
    assert years == [1, 2, 3, 4]
