"""How many hours of work a day holds, against those that it is open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class DayLoad:
    """The minutes of a day: open, booked by jobs that stand, and added by one that may come."""

    day: date
    open_minutes: int
    booked: int
    added: int = 0

    @property
    def held(self) -> int:
        """All minutes that it then holds."""
        return self.booked + self.added

    @property
    def beyond(self) -> int:
        """Minutes that it holds beyond its open hours."""
        return max(0, self.held - self.open_minutes)

    @property
    def over(self) -> bool:
        """Whether what is added goes beyond the open hours; a day that was full before and gets
        nothing is left alone."""
        return self.added > 0 and self.held > self.open_minutes


def with_job(days: Mapping[date, DayLoad], minutes: Mapping[date, int]) -> tuple[DayLoad, ...]:
    """The days as they are with another job on them; its days that are not among them are left
    out."""
    return tuple(
        DayLoad(one.day, one.open_minutes, one.booked, minutes.get(day, 0))
        for day, one in sorted(days.items())
    )
