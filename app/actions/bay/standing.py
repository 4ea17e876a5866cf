"""All open jobs as they are to be planned, and what the shop's own days are like beside them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from app.actions.bay.pieces import left_of, pieces_of, worked
from app.actions.bay.weather import weather
from app.actions.desk.desk import Desk, kept
from app.actions.plan.job_hours import GUESS_HIGH, GUESS_LOW, JobHours, job_hours
from app.actions.plan.job_plan import JobPlan, plans
from app.actions.plan.opening import open_hours
from app.calculations.bay.opening import OpenHours, Window, minute_of
from app.calculations.bay.planning import Wanted
from app.records.queries import days as day_queries
from app.records.queries.bay import WeatherRow

AHEAD = 120  # days that are planned
FORGOTTEN = 60  # days after its last one that a job nobody closed is still planned
NARROW = 1.02  # a band is never narrower, each way
# The guess holds the middle half of jobs, a band the middle three in five of them.
_WIDER = 0.8416 / 0.6745


@dataclass(frozen=True)
class Move:
    """A job as it is to be tried: begun at another minute, elsewhere, promised for another time,
    standing so many minutes after its steps (by id) as is said here; none leaves it as it is."""

    job_id: int
    begins_at: datetime | None = None
    place: str | None = None  # bay, outside, yard
    promised_at: datetime | None = None
    holds: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, kw_only=True)
class Standing:
    """A job that stands on the plan."""

    job: JobPlan
    wanted: Wanted
    begun: bool
    low: float  # shares of the likely minutes
    high: float
    n: int  # closed jobs like it

    @property
    def minutes(self) -> int:
        """Hands on that is left."""
        return left_of(self.job)


@dataclass(frozen=True)
class Ahead:
    """When the shop is open from now on: the windows begin with what is left of today, and of
    tomorrow once today is closed in the book."""

    hours: OpenHours
    now: int
    today: date
    windows: tuple[Window, ...]
    weather: Mapping[date, WeatherRow]

    @property
    def shut(self) -> tuple[Window, ...]:
        """The days on which nothing is worked outside."""
        held = sorted(day for day, row in self.weather.items() if row.holds_outside)
        midnight = self.hours.midnight
        return tuple((midnight(day), midnight(day + timedelta(days=1))) for day in held)


def ahead(desk: Desk) -> Ahead:
    """The days that are planned."""
    hours, now, today = open_hours(desk), minute_of(desk.clock()), desk.today
    first = today + timedelta(days=1) if closed_on(desk, today) else today
    found = hours.windows(first, today + timedelta(days=AHEAD))
    windows = tuple((max(now, start), end) for start, end in found if end > now)
    noted = weather(desk, today, today + timedelta(days=AHEAD))
    return Ahead(hours, now, today, windows, noted)


@kept("a closed day")
def closed_on(desk: Desk, day: date) -> bool:
    """Whether a day is closed in the book: nobody works on it any more."""
    with desk.book.reading() as session:
        return bool(day_queries.closed_between(session, {day}))


@kept("open jobs")
def open_jobs(desk: Desk) -> tuple[JobPlan, ...]:
    """All jobs that are booked or begun, by number."""
    since = desk.today - timedelta(days=FORGOTTEN)
    with desk.book.reading() as session:
        return tuple(plans(desk, session, day_queries.open_jobs(session, since)).values())


def standing(
    desk: Desk, days: Ahead, move: Move | None = None
) -> tuple[list[Standing], list[JobPlan]]:
    """(the jobs that stand on the plan, those that have no day), with one of them moved."""
    stand, waiting = [], []
    for plan in open_jobs(desk):
        mine = move if move is not None and move.job_id == plan.job_id else None
        if plan.job.first_day is None and (mine is None or mine.begins_at is None):
            waiting.append(plan)
        else:
            stand.append(_standing(desk, days, plan, mine))
    return stand, waiting


def as_waiting(desk: Desk, days: Ahead, plan: JobPlan) -> Standing:
    """A job without a day, to see where it fits."""
    found = _standing(desk, days, plan, None)
    return replace(found, wanted=replace(found.wanted, not_before=days.now, latest=None))


def _standing(desk: Desk, days: Ahead, plan: JobPlan, move: Move | None) -> Standing:
    job, hours = plan.job, _hours(desk, plan)
    place = (move.place if move else None) or place_of(plan)
    promised = (move.promised_at if move else None) or job.promised_at
    begun = job.state == "working" or worked(plan) > 0
    begins = move.begins_at if move else None
    if begins is None and job.begins_at and desk.day_of(job.begins_at) == job.first_day:
        begins = job.begins_at  # on another day than its first it was put there without a time
    not_before, latest = _when(days, job.first_day, begins, begun)
    pieces = pieces_of(
        desk, plan, dict(move.holds) if move else {}, days.hours, days.now, place == "yard"
    )
    wanted = Wanted(
        job=plan.job_id, pieces=pieces, in_bay=place == "bay", not_before=not_before,
        latest=latest, promised=minute_of(promised) if promised else None,
        here=begun, shut=() if place == "bay" else days.shut,
    )  # fmt: skip
    low, high = spread(hours)
    return Standing(job=plan, wanted=wanted, begun=begun, low=low, high=high, n=hours.n)


def place_of(plan: JobPlan) -> str:
    """Where a job is done: as it was said, else in the bay if any of its services is."""
    if plan.job.place:
        return plan.job.place
    return "bay" if not plan.services or any(one.in_bay for one in plan.services) else "outside"


def _when(
    days: Ahead, first: date | None, begins: datetime | None, begun: bool
) -> tuple[int, int | None]:
    """(not before, the latest begin): of an appointment to the minute, of one for a day, and of
    one that has come and gone, which begins as soon as may be."""
    if begins is not None and minute_of(begins) > days.now:
        return minute_of(begins), minute_of(begins)
    if begun or begins is not None:
        return days.now, days.now
    if first is None or first < days.today:
        return days.now, None
    start = days.hours.midnight(first)
    return max(start, days.now), days.hours.midnight(first + timedelta(days=1))


def _hours(desk: Desk, plan: JobPlan) -> JobHours:
    sold = tuple((one.service_id, one.layers) for one in plan.services)
    job = plan.job
    return desk.remembered(
        ("hours of", plan.job_id),
        lambda: job_hours(desk, sold, job.size_outside, job.size_inside, job.condition),
    )


def spread(hours: JobHours) -> tuple[float, float]:
    """(low, high) by the likely minutes: of the shop's own jobs, else as common practice has it."""
    if hours.own and hours.likely:
        low, high = hours.low / hours.likely, hours.high / hours.likely
    else:
        low, high = GUESS_LOW**_WIDER, GUESS_HIGH**_WIDER
    return min(max(low, 0.05), 1 / NARROW), max(high, NARROW)
