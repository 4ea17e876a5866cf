"""A week's plan for the wall, as it is put on paper: vehicles and work, and no customer's name."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class WeekDay:
    """A day of the week: its midnights, when it is open (none where it is closed), in minutes that
    the bars are told in; its words: the opening hours, the weather."""

    day: date
    start: int
    end: int
    window: tuple[int, int] | None
    words: str


@dataclass(frozen=True)
class WeekBar:
    """A stretch: `hands`, `holds` (cures or dries) or `waits`."""

    what: str
    start: int
    end: int


@dataclass(frozen=True)
class WeekJob:
    """A job's row, and where it stands: `The bay`, `Outside or in a yard`."""

    where: str
    name: str  # number and vehicle
    work: str
    bars: tuple[WeekBar, ...]
    ready: str
    promised: str


@dataclass(frozen=True, kw_only=True)
class WeekSheet:
    """The week."""

    title: str
    shop: str
    printed: date
    days: tuple[WeekDay, ...]
    jobs: tuple[WeekJob, ...]
    clashes: tuple[str, ...]
    waiting: tuple[str, ...]  # jobs without a day
