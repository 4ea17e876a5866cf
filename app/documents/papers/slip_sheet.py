"""A slip as it is shown and printed: its steps, how it came, the tax, what is held."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class SlipStep:
    """One step from earned to all that came in; minor units.

    `sum`: a bold line, with what the steps before it come to; `before` and `after` are where its
    bar begins and ends.
    """

    words: str
    amount: int
    before: int
    after: int
    sum: bool = False

    @property
    def sign(self) -> str:
        """`+`, `−`, or `=` of a sum."""
        return "=" if self.sum else "−" if self.amount < 0 else "+"


@dataclass(frozen=True)
class HeldRow:
    """Money that is held: on the first morning, what came, what went (below zero), at the end."""

    words: str
    start: int
    came: int
    went: int
    end: int


@dataclass(frozen=True)
class TaxRow:
    """The work of one rate before tax, and its tax; minor units."""

    words: str
    on: int
    tax: int


@dataclass(frozen=True, kw_only=True)
class SlipSheet:
    """One slip. `trouble` is one sentence where it does not add up, else empty."""

    first: date
    last: date
    title: str
    span: str
    finding: str
    steps: tuple[SlipStep, ...]
    ways: tuple[tuple[str, int], ...]  # the last is their sum
    taxes: tuple[TaxRow, ...]  # the last is their sum
    rounding: str
    held: tuple[HeldRow, ...]  # deposits first; the last of several is their sum
    # Earned, less supplies, expenses and driving; the last is the profit.
    profit: tuple[SlipStep, ...]
    an_hour: str  # the profit by the hour, one sentence
    received: int
    tips: int
    checked: str
    notes: tuple[str, ...]
    trouble: str
    currency: str
    shop_name: str
    shop_address: str
    shop_phone: str
    shop_mail: str
    printed: date
    # Where tax is counted by the money: what of it counts, and the sum; empty where by the work.
    counted: tuple[TaxRow, ...] = ()
    bought: tuple[TaxRow, ...] = ()  # without tax, and the use tax on it
    filing: str = ""  # how these days were filed, unlocked, or overlap with filed ones

    @property
    def tax_rows(self) -> tuple[tuple[TaxRow, bool], ...]:
        """The rows on tax, each with whether it is a sum."""
        sums = {id(some[-1]) for some in (self.taxes, self.counted) if some}
        rows = (*self.taxes, *self.counted, *self.bought)
        return tuple((one, id(one) in sums) for one in rows)

    @property
    def moved(self) -> bool:
        """Whether anything was earned, came, or is held or owed in these days."""
        held = any(row.start or row.came or row.end for row in self.held)
        return held or any(step.amount for step in (*self.steps, *self.profit))

    @property
    def axis(self) -> tuple[int, int]:
        """Where the bars begin and end: cut below the lowest step where that shows them better."""
        return bars_axis(self.steps)


def bars_axis(steps: Sequence[SlipStep]) -> tuple[int, int]:
    """The first and last value of the bars' axis, minor units; 0 is in it where steps come near.

    Cut where all steps lie in the upper half: the cut is a round number below the lowest.
    """
    ends = [end for one in steps for end in ((one.after,) if one.sum else (one.before, one.after))]
    low, high = min(ends, default=0), max(ends, default=0)
    if low <= 0 or low < high // 2:
        return min(low, 0), max(high, 1)
    room = high - low or low
    size = 10 ** (len(str(room)) - 1)
    size = size * 5 if room >= 5 * size else size
    start = max(0, (low - room // 4) // size * size)
    return start, high
