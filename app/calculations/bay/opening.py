"""When the shop is open: windows of minutes in which hands work and vehicles come and go.

All of the plan counts minutes since 1970-01-01 00:00 UTC, so that a cure of twelve hours is twelve
hours though clocks change meanwhile; opening times stand on the shop's clock.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from app.calculations.numbers.instants import in_utc, instant

Window = tuple[int, int]  # from, to
_FIRST = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class OpenHours:
    """Opening times by weekday (Monday first): minutes after midnight, and minutes open, 0 where
    the day is closed; days closed beside that; the shop's zone."""

    opens: Sequence[int]
    minutes: Sequence[int]
    zone: str
    closed: frozenset[date] = frozenset()

    def on(self, day: date) -> int:
        """Minutes that a day is open."""
        return 0 if day in self.closed else self.minutes[day.weekday()]

    def windows(self, first: date, last: date) -> tuple[Window, ...]:
        """The open windows of these days, in order; a day that clocks cut short is as long."""
        found = []
        for at in range((last - first).days + 1):
            day = first + timedelta(days=at)
            minutes = self.on(day)
            if minutes:
                opens = self.opens[day.weekday()]
                start = minute_of(instant(day, time(opens // 60, opens % 60), self.zone))
                found.append((start, start + minutes))
        return tuple(found)

    def midnight(self, day: date) -> int:
        """The minute at which a day begins on the shop's clock."""
        return minute_of(instant(day, time(), self.zone))


def minute_of(at: datetime) -> int:
    """An aware instant as a minute of the plan; its seconds are dropped."""
    return int((in_utc(at) - _FIRST).total_seconds() // 60)


def instant_of(minute: int) -> datetime:
    """A minute of the plan as an instant in UTC."""
    return _FIRST + timedelta(minutes=minute)


def next_open(windows: Sequence[Window], minute: int) -> int | None:
    """The first minute from this one at which the shop is open, its closing minute included; none
    after the last window."""
    at = bisect_left(windows, minute, key=lambda window: window[1])
    return max(minute, windows[at][0]) if at < len(windows) else None
