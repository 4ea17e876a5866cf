"""Days of the week as they are typed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.weekdays import read_weekdays, weekdays_text
from app.errors import Mendable


@pytest.mark.parametrize(
    ("typed", "days"),
    [
        ("Monday, Thursday", (0, 3)),
        ("thu mon", (0, 3)),
        ("Tuesdays and Fridays", (1, 4)),
        ("weekdays", (0, 1, 2, 3, 4)),
        ("0,3", (0, 3)),
        ("6 5", (5, 6)),
        ("daily", (0, 1, 2, 3, 4, 5, 6)),
        ("tues.", (1,)),
        ("mondays", (0,)),
        ("", ()),
        ("any day", ()),
    ],
)
def test_days_are_read_as_people_write_them(typed: str, days: tuple[int, ...]) -> None:
    assert read_weekdays(typed) == days


@pytest.mark.parametrize("typed", ["T", "Moonday", "7", "8", "Monday next"])
def test_what_is_no_day_is_named(typed: str) -> None:
    with pytest.raises(Mendable, match="no day of the week"):
        read_weekdays(typed)


@given(st.sets(st.integers(0, 6)))
def test_what_is_written_is_read_again(days: set[int]) -> None:
    assert read_weekdays(weekdays_text(days)) == tuple(sorted(days))
