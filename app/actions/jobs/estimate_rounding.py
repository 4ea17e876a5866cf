"""How a price that was worked out is rounded: by the book's currency.

To whole units where it has decimals (1.00 of USD, 1.000 of KWD), to hundreds where it has none
(100 of JPY). What a person typed, and what the list itself says, is charged as it stands.
"""

from __future__ import annotations

from fractions import Fraction

from app.actions.desk.desk import Desk
from app.calculations.numbers.money import minor_digits
from app.calculations.numbers.rounding import half_away

WITHOUT_DECIMALS = 100


def step(desk: Desk) -> int:
    """The minor units to which a price that was worked out is rounded."""
    digits = minor_digits(desk.settings.currency)
    return 10**digits if digits else WITHOUT_DECIMALS


def rounded(desk: Desk, minor: float | Fraction) -> int:
    """A price worked out, in minor units, to the nearest step, half away from zero."""
    one = step(desk)
    return half_away(Fraction(minor) / one) * one
