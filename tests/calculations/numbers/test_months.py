"""Months as they are typed."""

from __future__ import annotations

import calendar

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.months import month_words, read_months
from app.errors import Mendable


@pytest.mark.parametrize(
    ("typed", "months"),
    [
        ("", []),
        ("Oct, Nov", [10, 11]),
        ("10 11", [10, 11]),
        ("1 and 12", [1, 12]),
        ("01", [1]),
        ("dec to jan", [1, 12]),
        ("mar", [3]),
        ("March to May", [3, 4, 5]),
        ("nov–feb", [1, 2, 11, 12]),
        ("june and june", [6]),
    ],
)
def test_months_are_read_by_name_number_and_span(typed: str, months: list[int]) -> None:
    assert read_months(typed) == months


@pytest.mark.parametrize("typed", ["ju", "13", "spring", "0", "oct; x", "0123", "012"])
def test_what_names_no_month_is_one_plain_sentence(typed: str) -> None:
    with pytest.raises(Mendable, match="names no months"):
        read_months(typed)


@given(st.sets(st.integers(1, 12)))
def test_what_is_said_reads_back_and_agrees_with_the_standard_library(months: set[int]) -> None:
    words = month_words(sorted(months))
    assert read_months(words) == sorted(months)
    assert words == ", ".join(calendar.month_name[month] for month in sorted(months))
