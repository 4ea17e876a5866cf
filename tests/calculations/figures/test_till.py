"""Cash counted against what should be there: any sequence of counts reconciles."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from app.calculations.figures.till import Count, counts, expected_on

DAY = st.integers(0, 40).map(lambda days: date(2026, 1, 20) + timedelta(days=days))
SUMS = st.integers(-90_000, 90_000)


@given(st.dictionaries(DAY, st.integers(0, 200_000), min_size=1), st.dictionaries(DAY, SUMS))
def test_the_last_count_is_the_first_with_all_that_moved_and_all_differences(
    counted: dict[date, int], moved: dict[date, int]
) -> None:
    found = counts(counted, moved)
    first, last = found[0], found[-1]
    between = sum(amount for day, amount in moved.items() if first.day < day <= last.day)
    assert last.counted == first.counted + between + sum(one.difference for one in found)
    assert (first.expected, first.difference) == (None, 0)


def test_what_is_missing_is_found_on_the_day_of_the_count_and_not_again() -> None:
    one, two, three = (date(2026, 1, day) for day in (5, 6, 8))
    moved = {one: 4000, two: 2500, date(2026, 1, 7): -1000}
    counted = {one: 10_000, two: 12_000, three: 11_000}
    assert counts(counted, moved) == [
        Count(one, 10_000, None), Count(two, 12_000, 12_500), Count(three, 11_000, 11_000)
    ]  # fmt: skip
    assert expected_on(date(2026, 1, 4), counted, moved) is None
    assert expected_on(date(2026, 1, 7), counted, moved) == 11_000
