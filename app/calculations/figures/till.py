"""The cash in the till: what should lie there by what was counted before, and what is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Count:
    """What was counted at the end of a day, and what should have been there; minor units.

    Of the first count there is nothing to compare with: `expected` is None.
    """

    day: date
    counted: int
    expected: int | None

    @property
    def difference(self) -> int:
        """What lay there above what should have; below zero where some was missing."""
        return 0 if self.expected is None else self.counted - self.expected


def counts(counted: Mapping[date, int], moved: Mapping[date, int]) -> list[Count]:
    """Each count in the order of its day, against the count before it and the cash that moved
    since: what came in, less what went out, by day.

    The last count is the first one, with all that moved after its day and all differences.
    """
    found: list[Count] = []
    for day in sorted(counted):
        found.append(Count(day, counted[day], expected_on(day, counted, moved)))
    return found


def expected_on(day: date, counted: Mapping[date, int], moved: Mapping[date, int]) -> int | None:
    """What should lie in the till at the end of a day; None before anything was counted."""
    before = max((one for one in counted if one < day), default=None)
    if before is None:
        return None
    return counted[before] + sum(sum_ for on, sum_ in moved.items() if before < on <= day)
