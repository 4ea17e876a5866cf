"""Which months and years of a repeating expense are due: against pandas' own calendar."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.figures.repeating import due_by

DAYS = st.dates(date(2019, 1, 1), date(2029, 12, 31))


@given(DAYS, st.integers(-40, 4000), st.none() | st.integers(0, 3000), st.booleans())
def test_each_month_or_year_is_due_once_on_its_day_or_the_last_of_a_shorter_month(
    first: date, ahead: int, ends: int | None, yearly: bool
) -> None:
    by = first + timedelta(days=ahead)
    until = None if ends is None else first + timedelta(days=ends)
    found = list(due_by("year" if yearly else "month", first, until, by))
    step = 12 if yearly else 1
    # pandas' DateOffset(months=…) clips to the end of a shorter month, counted from the first day.
    days = [(pd.Timestamp(first) + pd.DateOffset(months=step * n)).date() for n in range(140)]
    last = by if until is None else min(by, until)
    assert [on for _, on in found] == [day for day in days if day <= last]
    span = "Y" if yearly else "M"
    assert [period for period, _ in found] == [
        pd.Timestamp(on).to_period(span).start_time.date() for _, on in found
    ]
    assert len({period for period, _ in found}) == len(found)


def test_what_begins_on_a_leap_day_is_due_on_28_february_in_common_years() -> None:
    found = [on for _, on in due_by("year", date(2024, 2, 29), None, date(2028, 3, 1))]
    assert found == [
        date(2024, 2, 29), date(2025, 2, 28), date(2026, 2, 28), date(2027, 2, 28),
        date(2028, 2, 29),
    ]  # fmt: skip
    assert not list(due_by("month", date(2024, 2, 29), None, date(2024, 2, 28)))
