"""Minutes of the plan along a line: open hours wide, nights and closed days narrow."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

# Widths that days have to each other: an open hour, the night after it, and a closed day.
_HOUR, _NIGHT, _CLOSED = 4.4, 12.4, 16.0
STEP = 30  # minutes to which a begin is moved


@dataclass(frozen=True)
class PlanDay:
    """A day of the plan; minutes as everywhere in it. A closed one opens and closes at midnight.

    `hands` are the minutes that all who work have on it, `booked` those that are taken, `was` what
    was taken before the move that is tried.
    """

    day: date
    midnight: int
    opens: int
    closes: int
    hands: int = 0
    booked: int = 0
    was: int = 0

    @property
    def is_open(self) -> bool:
        """Whether anybody works on it."""
        return self.closes > self.opens

    @property
    def changed(self) -> bool:
        """Whether the move that is tried changes what it holds."""
        return self.booked != self.was


class Calendar:
    """Where minutes stand between `left` and `right`, for days that follow each other."""

    def __init__(self, days: Sequence[PlanDay], left: float, right: float) -> None:
        self.days = tuple(days)
        self.left, self.right = left, right
        wide = [_wide(day) for day in days]
        unit = (right - left) / (sum(wide) or 1)
        self._minutes: list[int] = []
        self._at: list[float] = []
        self.spans: list[tuple[float, float]] = []  # of each day: from, to
        at = left
        for day, own in zip(days, wide, strict=True):
            self.spans.append((at, at + own * unit))
            self._knot(day.opens, at)
            if day.is_open:
                self._knot(day.closes, at + (own - _NIGHT) * unit)
            at += own * unit
        if days:
            self._knot(days[-1].midnight + 24 * 60, right)

    def _knot(self, minute: int, at: float) -> None:
        self._minutes.append(minute)
        self._at.append(at)

    @property
    def first(self) -> int:
        """The first minute shown."""
        return self._minutes[0] if self._minutes else 0

    @property
    def last(self) -> int:
        """The first minute that is not shown any more."""
        return self._minutes[-1] if self._minutes else 0

    def x(self, minute: int) -> float:
        """Where a minute stands; one outside stands at the edge."""
        if not self._minutes or minute <= self._minutes[0]:
            return self.left
        if minute >= self._minutes[-1]:
            return self.right
        return _between(minute, self._minutes, self._at)

    def minute(self, x: float) -> int:
        """The minute at a point."""
        if not self._minutes:
            return 0
        x = min(max(x, self._at[0]), self._at[-1] - 0.01)
        return round(_between(x, self._at, self._minutes))

    def open_span(self, at: int) -> tuple[float, float]:
        """From where to where a day's open hours reach; of a closed day all of it."""
        day, (left, right) = self.days[at], self.spans[at]
        return (left, self.x(day.closes)) if day.is_open else (left, right)


def _wide(day: PlanDay) -> float:
    return (day.closes - day.opens) / 60 * _HOUR + _NIGHT if day.is_open else _CLOSED


def _between(one: float, of: Sequence[float], to: Sequence[float]) -> float:
    at = min(max(bisect_right(of, one) - 1, 0), len(of) - 2)
    low, high = of[at], of[at + 1]
    share = (one - low) / (high - low) if high > low else 0.0
    return to[at] + share * (to[at + 1] - to[at])


def working_step(days: Sequence[PlanDay], minute: int, by: int) -> int:
    """A begin moved by so many half hours of open time; where no day is left it stays."""
    now = minute
    for _ in range(abs(by)):
        now = _later(days, now) if by > 0 else _sooner(days, now)
    return now


def _later(days: Sequence[PlanDay], minute: int) -> int:
    for day in days:
        since = max(minute - day.opens, -1)
        then = day.opens + (since // STEP + 1) * STEP
        if day.is_open and then < day.closes:
            return then
    return minute


def _sooner(days: Sequence[PlanDay], minute: int) -> int:
    for day in reversed(days):
        last = min(minute, day.closes)
        then = day.opens + (last - day.opens - 1) // STEP * STEP
        if day.is_open and then >= day.opens:
            return then
    return minute


def day_step(days: Sequence[PlanDay], minute: int, by: int) -> int:
    """The same time on the next open day, or the one before, within its open hours."""
    own = next((one for one in days if one.midnight <= minute < one.midnight + 24 * 60), None)
    if own is None:
        return minute
    after = [one for one in days if one.is_open and (one.day - own.day) * by > timedelta()]
    if not after:
        return minute
    to = after[0] if by > 0 else after[-1]
    return min(max(to.midnight + minute - own.midnight, to.opens), to.closes - STEP)


def begin_at(days: Sequence[PlanDay], minute: int) -> int:
    """The begin nearest to a minute at which the shop is open, on a half hour of its day."""
    begins = [
        day.opens + min(max(round((minute - day.opens) / STEP) * STEP, 0), _last(day))
        for day in days
        if day.is_open
    ]
    return min(begins, key=lambda begin: abs(begin - minute), default=minute)


def _last(day: PlanDay) -> int:
    return (day.closes - day.opens - 1) // STEP * STEP
