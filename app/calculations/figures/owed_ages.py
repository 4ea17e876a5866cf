"""What is owed by how long ago the work was done."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

# Days since the work was done, from the newest; the last band has no end (common practice, no
# source).
BANDS: tuple[tuple[int, int | None], ...] = ((0, 30), (31, 60), (61, 90), (91, None))


@dataclass(frozen=True, slots=True)
class OwedBand:
    """What is owed for work done `first` to `last` days ago; minor units."""

    first: int
    last: int | None
    amount: int
    count: int

    @property
    def words(self) -> str:
        """`0–30 days`, `over 90 days`."""
        return (
            f"{self.first}–{self.last} days"
            if self.last is not None
            else f"over {self.first - 1} days"
        )


def band_of(days: int) -> int:
    """Which band a debt of so many days stands in: 0 for the newest."""
    return next(
        at for at, (_first, last) in enumerate(BANDS) if last is None or max(days, 0) <= last
    )


def by_age(owed: Iterable[tuple[int, int]]) -> tuple[OwedBand, ...]:
    """Sums of what is owed, given as (days since the work was done, minor units)."""
    amounts, counts = [0] * len(BANDS), [0] * len(BANDS)
    for days, due in owed:
        at = band_of(days)
        amounts[at] += due
        counts[at] += 1
    return tuple(
        OwedBand(first, last, amount, count)
        for (first, last), amount, count in zip(BANDS, amounts, counts, strict=True)
    )
