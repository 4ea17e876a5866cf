"""The made-up shop's days: when it works, and the days that the demo needs in a certain state."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

HOLIDAYS = {(1, 1), (7, 4), (11, 11), (12, 24), (12, 25), (12, 31)}
AHEAD_DAYS = 75  # how far the diary reaches


@dataclass(frozen=True)
class Calendar:
    """Workdays in order, with the four that matter at the end.

    `left_open` was worked and never closed; `yesterday` is the workday before `today`.
    """

    workdays: tuple[date, ...]
    today: date
    yesterday: date
    left_open: date
    place: dict[date, int]

    def after(self, day: date, count: int = 1) -> date:
        """The workday that stands `count` after this day (which need not be one)."""
        return self.workdays[min(self.at_or_after(day) + count, len(self.workdays) - 1)]

    def at_or_after(self, day: date) -> int:
        """The place of this day, or of the first workday after it."""
        for _ in range(40):
            found = self.place.get(day)
            if found is not None:
                return found
            day += timedelta(days=1)
        return len(self.workdays) - 1

    @property
    def past(self) -> tuple[date, ...]:
        """The workdays up to and with today."""
        return self.workdays[: self.place[self.today] + 1]


def calendar(today: date, years: float, rng: Random) -> Calendar:
    """Weekdays, a Saturday in three, without holidays and a week's rest in February."""
    first = today - timedelta(days=max(60, round(365.25 * years)))
    days = []
    day = first
    while day <= today + timedelta(days=AHEAD_DAYS):
        saturday_off = rng.random() > 0.33
        free = (
            day.weekday() == 6
            or (day.weekday() == 5 and saturday_off)
            or (day.month, day.day) in HOLIDAYS
            or (day.month == 2 and 8 <= day.day <= 13)
        )
        # The demo opens on a working day and has one before and one after it, whatever the date.
        if not free or day == today:
            days.append(day)
        day += timedelta(days=1)
    place = {one: number for number, one in enumerate(days)}
    here = place[today]
    return Calendar(tuple(days), today, days[here - 1], days[here - 6], place)
