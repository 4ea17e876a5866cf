"""The hours of the next four weeks: what is booked of them, day by day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from app.actions.desk.desk import Desk
from app.actions.plan.load import load
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.durations import shown_duration
from app.calculations.plan.load import DayLoad

WEEKS = 4


@dataclass(frozen=True)
class AheadFigure:
    """The days that are worked, from today on, and the first of them with nothing booked."""

    finding: str
    days: tuple[DayLoad, ...] = ()
    free: date | None = None
    facts: tuple[tuple[str, str], ...] = ()
    jobs: Mapping[date, tuple[int, ...]] = field(default_factory=dict)  # ids, of each day

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
    standing = load(desk, today, last)
    days = tuple(one for one in standing.days.values() if one.open_minutes or one.booked)
    free = next((one.day for one in days if one.open_minutes and not one.booked), None)
    booked = sum(min(one.booked, one.open_minutes) for one in days)
    has, over = sum(one.open_minutes for one in days), sum(one.beyond for one in days)
    facts = [("Open hours", shown_duration(has)), ("Booked of them", shown_duration(booked))]
    if over:
        facts.append(("Booked beyond them", shown_duration(over)))
    facts.append(("Free", shown_duration(has - booked)))
    finding = f"{round(booked / 60)} of the next {round(has / 60)} open hours are booked."
    if not has:
        finding = "The settings give a day no hours."
    return AheadFigure(finding, days, free, tuple(facts), standing.ids)
