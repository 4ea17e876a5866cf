"""The hours of the next four weeks: what is booked of them, day by day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.desk.desk import Desk
from app.actions.plan.day_loads import DayLoad, day_loads
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.durations import shown_duration

WEEKS = 4


@dataclass(frozen=True)
class AheadFigure:
    """The days that are worked, from today on, and the first of them with nothing booked."""

    finding: str
    days: tuple[DayLoad, ...] = ()
    free: date | None = None
    facts: tuple[tuple[str, str], ...] = ()

    @property
    def said(self) -> str:
        """The first free day in a sentence."""
        if self.free is None:
            return "Every day has something booked."
        return f"First day with nothing booked: {weekday_day(self.free)}."

    def week(self, monday: date) -> tuple[DayLoad, ...]:
        """The days of the week that begins on a Monday."""
        return tuple(one for one in self.days if 0 <= (one.day - monday).days < 7)


def ahead_figure(desk: Desk, today: date) -> AheadFigure:
    """From today to the Sunday of the fourth week."""
    monday = today - timedelta(days=today.weekday())
    last = monday + timedelta(days=7 * WEEKS - 1)
    days = tuple(one for one in day_loads(desk, today, last) if one.open or one.booked)
    free = next((one.day for one in days if one.open and not one.booked), None)
    booked = sum(min(one.booked, one.open) for one in days)
    has, over = sum(one.open for one in days), sum(one.over for one in days)
    facts = [("Open hours", shown_duration(has)), ("Booked of them", shown_duration(booked))]
    if over:
        facts.append(("Booked beyond them", shown_duration(over)))
    facts.append(("Free", shown_duration(has - booked)))
    finding = f"{round(booked / 60)} of the next {round(has / 60)} open hours are booked."
    return AheadFigure(finding, days, free, tuple(facts))
