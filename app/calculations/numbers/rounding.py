"""Rounding as people do it on paper: half away from zero, exactly, never through a float."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction


def half_away(value: Fraction | Decimal | int, digits: int = 0) -> int:
    """`value` in whole units of 10^-digits, halves away from zero.

    `half_away(Decimal("2.675"), 2)` is 268 and `half_away(Fraction(-5, 2))` is -3. Floats are not
    taken, because 2.675 is not 2.675 as a float.
    """
    if isinstance(value, float):
        raise TypeError("Money and quantities are rounded from exact numbers, not from floats")
    numerator, denominator = value.as_integer_ratio()
    if digits < 0:
        denominator *= 10**-digits
    else:
        numerator *= 10**digits
    whole = (2 * abs(numerator) + denominator) // (2 * denominator)
    return -whole if value < 0 else whole
