"""Rounding half away from zero, against the standard library's decimal."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.rounding import half_away


@pytest.mark.parametrize(
    ("value", "digits", "units"),
    [
        ("0.125", 2, 13),
        ("0.135", 2, 14),
        ("2.675", 2, 268),
        ("1.005", 2, 101),
        ("0.045", 2, 5),
        ("2.5", 0, 3),
        ("-2.5", 0, -3),
        ("-0.125", 2, -13),
    ],
)
def test_halves_go_away_from_zero(value: str, digits: int, units: int) -> None:
    """decimal's ROUND_HALF_UP is half away from zero by its documentation."""
    step = Decimal(1).scaleb(-digits)
    assert int(Decimal(value).quantize(step, ROUND_HALF_UP).scaleb(digits)) == units
    assert half_away(Decimal(value), digits) == units


@given(st.decimals(-(10**9), 10**9, places=6), st.integers(-5, 4))
def test_any_decimal_rounds_as_the_standard_library_rounds_it(value: Decimal, digits: int) -> None:
    expected = value.quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP).scaleb(digits)
    assert half_away(value, digits) == int(expected)


def test_whole_numbers_stay() -> None:
    assert half_away(Fraction(7)) == 7
    assert half_away(-7) == -7
    assert half_away(0) == 0


def test_a_float_is_not_taken() -> None:
    with pytest.raises(TypeError, match="exact"):
        half_away(2.675, 2)  # type: ignore[arg-type]
