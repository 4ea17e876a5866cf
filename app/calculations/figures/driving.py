"""What driving for the shop is worth: the metres of a day by the rate that held on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from app.calculations.numbers.rounding import half_away

# International Yard and Pound Agreement of 1959: a mile is 1,609.344 metres.
METRES = {"mi": Fraction(1_609_344, 1000), "km": Fraction(1000)}


@dataclass(frozen=True, slots=True)
class Rate:
    """What a mile or kilometre is worth from a day on, thousandths of a minor unit; whose word."""

    from_day: date
    rate: int
    unit: str  # mi, km
    source: str


def worth(metres: int, day: date, rates: Iterable[Rate]) -> int | None:
    """The worth of a day's driving in whole minor units; None where no rate holds on that day."""
    held = max(
        (one for one in rates if one.from_day <= day), key=lambda one: one.from_day, default=None
    )
    if held is None:
        return None
    return half_away(Fraction(metres) / METRES[held.unit] * Fraction(held.rate, 1000))


def worth_of(driven: Mapping[date, int], rates: Iterable[Rate]) -> tuple[int, int]:
    """(worth of these days, metres on days that no rate holds for)."""
    rates = tuple(rates)
    by_day = {day: worth(metres, day, rates) for day, metres in driven.items()}
    without = sum(driven[day] for day, found in by_day.items() if found is None)
    return sum(found for found in by_day.values() if found is not None), without
