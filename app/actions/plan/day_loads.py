"""How many hours each day has, and how many of them are booked: one reckoning for every page.

A day has the shop's hours where its weekday is one that the shop works; what is booked is what its
jobs are expected to take on it. The bays of a shop, its holidays and days off would come in here.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.desk.desk import Desk, kept
from app.actions.plan.job_plan import plans, working_weekdays
from app.records.queries import days as day_queries


@dataclass(frozen=True)
class DayLoad:
    """A day's hours, in minutes: what is booked of them, and what there are; ids of its jobs."""

    day: date
    booked: int
    open: int
    jobs: tuple[int, ...] = ()

    @property
    def over(self) -> int:
        """Minutes booked beyond the day's hours."""
        return max(0, self.booked - self.open)


@kept("day loads")
def day_loads(desk: Desk, first: date, last: date) -> tuple[DayLoad, ...]:
    """Every day from `first` to `last`, both included, with the open jobs that stand on it."""
    weekdays, hours = working_weekdays(desk), 60 * desk.settings.hours_a_day
    with desk.book.reading() as session:
        found = plans(desk, session, day_queries.visits(session, first, last)).values()
    loads = []
    for day in (first + timedelta(days=at) for at in range((last - first).days + 1)):
        minutes = {plan.job_id: plan.minutes_on(day) for plan in found if day in plan.days}
        standing = tuple(job for job, took in minutes.items() if took > 0)
        has = hours if day.weekday() in weekdays else 0
        loads.append(DayLoad(day, sum(minutes.values()), has, standing))
    return tuple(loads)
