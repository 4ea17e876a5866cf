"""Temperatures as people write them, in tenths of a degree Celsius."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.units import System
from app.errors import Mendable

LOWEST, HIGHEST = -600, 700  # tenths; outside it no vehicle is worked on
_TYPED = re.compile(r"([-\u2212]?) ?(\d{1,3}(?:[.,]\d)?) ?°? ?([cf])?", re.IGNORECASE)


def read_temperature(typed: str, system: System) -> int:
    """Tenths of a degree Celsius from `50 F`, `10 °C`, `-3`; a bare number is in the shop's own
    unit. Raises `Mendable` for anything else, and for what no weather is."""
    found = _TYPED.fullmatch(" ".join(typed.split()))
    if found is None:
        raise Mendable(f"“{typed[:20]}” is no temperature; type one such as 50 F or 10 C.")
    number = Fraction(Decimal(found[2].replace(",", "."))) * (-1 if found[1] else 1)
    unit = (found[3] or ("f" if system is System.US else "c")).casefold()
    tenths = half_away((number - 32) * 50 / 9 if unit == "f" else number * 10)
    if not LOWEST <= tenths <= HIGHEST:
        raise Mendable(f"“{typed[:20]}” is no temperature that a shop has; check the unit.")
    return tenths


def shown_temperature(tenths: int, system: System) -> str:
    """In whole degrees of the shop's unit: `50 °F`, `10 °C`."""
    if system is System.US:
        return _signed(half_away(Fraction(tenths * 9, 50) + 32), "F")
    return _signed(half_away(Fraction(tenths, 10)), "C")


def _signed(degrees: int, unit: str) -> str:
    return f"{'−' if degrees < 0 else ''}{abs(degrees)} °{unit}"
