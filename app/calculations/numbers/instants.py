"""Instants and the shop's days: the one place where either is turned into the other.

An instant is kept in UTC; a day is the date on the clock of the shop's zone. Where clocks change,
a clock time that does not exist is read with the offset before the change (02:30 is then 03:30),
and of one that comes twice the first is meant: RFC 5545, section 3.3.5. Where a zone left a whole
day out, what falls on that day falls on the next.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo


def day_of(at: datetime, zone: str) -> date:
    """The shop's day on which an aware instant falls; `ValueError` for one without a zone."""
    return _local(at, zone).date()


def clock_of(at: datetime, zone: str) -> str:
    """The time of an aware instant on the shop's clock: `17:54`."""
    return f"{_local(at, zone):%H:%M}"


def instant(day: date, clock: time, zone: str) -> datetime:
    """The instant, in UTC, at which the shop's clock shows this time of this day."""
    return datetime.combine(day, clock, tzinfo=ZoneInfo(zone)).astimezone(UTC)


def elapsed(start: datetime, end: datetime) -> timedelta:
    """How long it really was; two times of one zone subtract by their clock, changes or not."""
    return in_utc(end) - in_utc(start)


def in_utc(at: datetime) -> datetime:
    """The same instant in UTC, where adding hours adds hours whatever clocks do meanwhile."""
    if at.tzinfo is None:
        raise ValueError(f"{at:%Y-%m-%d %H:%M} is no instant: it has no time zone")
    return at.astimezone(UTC)


def _local(at: datetime, zone: str) -> datetime:
    return in_utc(at).astimezone(ZoneInfo(zone))
