"""When the shop is open, as its settings say and as the days it closed show."""

from __future__ import annotations

from app.actions.desk.desk import Desk
from app.actions.plan.job_plan import days_off, working_weekdays
from app.calculations.bay.opening import OpenHours

DAY = 24 * 60  # minutes


def open_hours(desk: Desk) -> OpenHours:
    """The opening times of each weekday: those that were set, else the hours of a day on each
    weekday that is worked; without the closed days."""
    settings = desk.settings
    closed = days_off(desk)
    if settings.open_week:
        opens, minutes = zip(*settings.open_week, strict=True)
        return OpenHours(opens, minutes, settings.zone, closed)
    weekdays, a_day = working_weekdays(desk), max(1, settings.hours_a_day) * 60
    a_day = min(a_day, DAY - settings.opens_at)
    minutes = tuple(a_day if weekday in weekdays else 0 for weekday in range(7))
    return OpenHours((settings.opens_at,) * 7, minutes, settings.zone, closed)
