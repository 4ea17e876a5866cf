"""Minutes of the plan along a line: open hours wide, nights and closed days narrow."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from app.actions.bay.plan_of_shop import DayOfPlan

# Widths that days have to each other: an open hour, the night after it, and a closed day.
_HOUR, _NIGHT, _CLOSED = 4.4, 12.4, 16.0
STEP = 30  # minutes to which a begin is moved


class Calendar:
    """Where minutes stand for days that follow each other, each with its (from, end of its open
    hours, to)."""

    def __init__(
        self, days: Sequence[DayOfPlan], places: Sequence[tuple[float, float, float]]
    ) -> None:
        self.days = tuple(days)
        self.spans = [(left, right) for left, _closes, right in places]
        self.left, self.right = (places[0][0], places[-1][2]) if places else (0.0, 0.0)
        self._minutes: list[int] = []
        self._at: list[float] = []
        for day, (left, closed, _right) in zip(days, places, strict=True):
            opens, closes = day.window or (day.start, day.start)
            self._knot(opens, left)
            if day.window:
                self._knot(closes, closed)
        if days:
            self._knot(days[-1].end, self.right)

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
        return (left, self.x(day.window[1])) if day.window else (left, right)


def calendar_of(days: Sequence[DayOfPlan], left: float, right: float) -> Calendar:
    """The days between two edges, open hours wide, nights and closed days narrow."""
    hours = [(day.window[1] - day.window[0]) / 60 * _HOUR if day.window else 0.0 for day in days]
    wide = [own + _NIGHT if day.window else _CLOSED for day, own in zip(days, hours, strict=True)]
    unit, at, places = (right - left) / (sum(wide) or 1), left, []
    for own, whole in zip(hours, wide, strict=True):
        places.append((at, at + own * unit, at + whole * unit))
        at += whole * unit
    return Calendar(days, places)


def _between(one: float, of: Sequence[float], to: Sequence[float]) -> float:
    at = min(max(bisect_right(of, one) - 1, 0), len(of) - 2)
    low, high = of[at], of[at + 1]
    share = (one - low) / (high - low) if high > low else 0.0
    return to[at] + share * (to[at + 1] - to[at])


def working_step(days: Sequence[DayOfPlan], minute: int, by: int) -> int:
    """A begin moved by half an hour of open time, later (1) or sooner (-1); where no day is left
    it stays."""
    begins = [begin for day in days for begin in _begins(day)]
    if by > 0:
        return next((begin for begin in begins if begin > minute), minute)
    return next((begin for begin in reversed(begins) if begin < minute), minute)


def day_step(days: Sequence[DayOfPlan], minute: int, by: int) -> int:
    """The same time on the next open day, or the one before, within its open hours."""
    own = next((one for one in days if one.start <= minute < one.end), None)
    if own is None:
        return working_step(days, minute, by)
    after = [one for one in days if one.window and (one.start - own.start) * by > 0]
    if not after:
        return minute
    to = after[0] if by > 0 else after[-1]
    assert to.window is not None
    return min(max(to.start + minute - own.start, to.window[0]), to.window[1] - STEP)


def begin_at(days: Sequence[DayOfPlan], minute: int) -> int:
    """The begin nearest to a minute at which the shop is open, on a half hour of its day."""
    begins = (begin for day in days for begin in _begins(day))
    return min(begins, key=lambda begin: abs(begin - minute), default=minute)


def _begins(day: DayOfPlan) -> range:
    """The half hours at which a day's work may begin."""
    return range(*day.window, STEP) if day.window else range(0)
