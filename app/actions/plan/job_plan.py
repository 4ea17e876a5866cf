"""What each job is expected to take, of hours and of supplies, on each of its days.

The stations of the day sheet, the order proposal, tomorrow's list and the close all read this one
plan, so that they agree. How a job falls on its days is `calculations.visit_days`; what it is
expected to use is `calculations.expected_use`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property, partial, wraps
from typing import TYPE_CHECKING, Any, Concatenate, ParamSpec, TypeVar

from app.actions.desk.desk import Desk, kept
from app.calculations.plan import visit_days
from app.calculations.stock.pools import whole_pieces
from app.records.queries import days as day_queries
from app.records.queries import uses as use_queries
from app.records.queries.days import HoursRow, JobRow, LineRow, ServiceRow, Session, StepRow
from app.records.queries.uses import UseRow

if TYPE_CHECKING:
    from app.actions.plan.job_needs import Need

# Where other days took most of what is expected, a rest below this share is no need any more.
SMALL_REST = 0.1
WEEKS_BACK = 13  # of closed days, from which the shop's own week is read
OFF = "off"  # the state of a line of hours that says: not worked on this day


P = ParamSpec("P")
T = TypeVar("T")


def _kept(
    work: Callable[Concatenate[JobPlan, P], T],
) -> Callable[Concatenate[JobPlan, P], T]:
    """A method whose answers are asked for again and again, so each is worked out once."""

    @wraps(work)
    def once(plan: JobPlan, *args: P.args, **named: P.kwargs) -> T:
        key = (work.__name__, args, tuple(named.items()))
        if key not in plan._known:
            plan._known[key] = work(plan, *args, **named)
        found: T = plan._known[key]
        return found

    return once


@dataclass(frozen=True)
class StepOnDay:
    """A step as it stands on a day: done (ticked), not done, later, or before (done already)."""

    step: StepRow
    state: str


@dataclass(frozen=True, kw_only=True)
class JobPlan:
    """A job with everything that was said of it, and what is expected of the rest."""

    job: JobRow
    services: tuple[ServiceRow, ...]
    steps: tuple[StepRow, ...]
    hours: tuple[HoursRow, ...]
    uses: tuple[UseRow, ...]
    closed: frozenset[date]
    weekdays: frozenset[int]  # on which the shop works
    days_off: frozenset[date]  # closed beside that
    room: Mapping[date, int]  # minutes that the shop is open on its days, from its begin on
    expected_minutes: int
    _needs: Callable[[], dict[int, Need]] = field(repr=False, compare=False)
    _known: dict[object, Any] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def needs(self) -> dict[int, Need]:
        """What the whole job is expected to use, by supply, in the order of its recipes.

        Worked out when it is first asked for: what the shop's own uses taught takes longer than
        all else, and the hours do not need it.
        """
        return self._needs()

    @property
    def job_id(self) -> int:
        """The job's id."""
        return self.job.job_id

    @property
    def last_day(self) -> date | None:
        """The last day of its visit."""
        return self.job.last_day or self.job.first_day

    @cached_property
    def days(self) -> tuple[date, ...]:
        """The days of its visit that are worked."""
        if self.job.first_day is None:
            return ()
        last = self.last_day or self.job.first_day
        return visit_days.planned_days(self.job.first_day, last, self.weekdays, self.days_off)

    @property
    def services_text(self) -> str:
        """Its services, or what the job is called."""
        return ", ".join(service.name for service in self.services) or self.job.title

    def finishes_on(self, day: date) -> bool:
        """Whether the job is expected to be done when this day ends."""
        if self.job.state == "done":
            return self.job.done_on == day
        return self.last_day is not None and self.last_day <= day

    def is_off(self, day: date) -> bool:
        """Whether it was said not to be worked on that day."""
        return any(row.day == day and row.state == OFF for row in self.hours)

    def entered_hours(self, day: date) -> HoursRow | None:
        """The hours that were typed for a day, or booked when it was closed."""
        for row in self.hours:
            if row.day == day and (row.state != "expected" or day in self.closed):
                return row
        return None

    def expected_on(self, day: date) -> int:
        """Minutes filled in for a day: what is left of the job, whatever was typed for that day."""
        return self._minutes(without=day).get(day, 0)

    def minutes_on(self, day: date) -> int:
        """Minutes of a day as they stand: typed, booked or filled in."""
        entered = self.entered_hours(day)
        return entered.minutes if entered is not None else self.expected_on(day)

    @_kept
    def _minutes(self, without: date | None = None) -> dict[date, int]:
        """Minutes of all days."""
        known = {day: 0 for day in self.closed if day in self.days}
        for row in self.hours:
            if row.state != "expected" or row.day in self.closed:
                known[row.day] = row.minutes
        if without is not None:
            known.pop(without, None)
        days = self.days
        if without is not None and without not in days:
            days = tuple(sorted({*days, without}))
        return visit_days.minutes_by_day(self.expected_minutes, days, known, self.room)

    @_kept
    def steps_on(self, day: date) -> tuple[StepOnDay, ...]:
        """The steps as they stand on a day: what is not said otherwise is ticked in its order, as
        far as the hours have come."""
        wanted = [step for step in self.steps if step.state != "not done"]
        minutes = {**self._minutes(), day: self.minutes_on(day)}
        reached = visit_days.steps_done_by(
            len(wanted), day, minutes, finishes=self.finishes_on(day)
        )
        done = sum(1 for step in wanted if step.state == "done")
        ticks = reached - done if day not in self.closed and not self.is_off(day) else 0
        found = []
        for step in self.steps:
            state = step.state
            if state == "done":
                state = "done" if step.day == day else "before"
                if step.day is not None and step.day > day:
                    state = "later"
            elif state == "to do":
                state = "later"
                if step.day != day and ticks > 0:
                    state, ticks = "done", ticks - 1
            found.append(StepOnDay(step, state))
        return tuple(found)

    def entered_use(self, day: date, supply_id: int) -> UseRow | None:
        """The use that was typed for a day, or booked when it was closed."""
        for use in self.uses:
            if use.day == day and use.supply_id == supply_id and _counts(use):
                return use
        return None

    @_kept
    def filled_in(self, day: date, supply_id: int) -> tuple[int, int]:
        """(expected, recipe) of a supply on a day, base units, whatever was typed for that day."""
        need = self.needs.get(supply_id)
        if need is None or self.is_off(day):
            return 0, 0
        weights = self._step_weights(day, supply_id)
        if weights is None:
            weights = {**self._minutes(), day: self.minutes_on(day)}
        elif not weights.get(day):
            return 0, 0
        taken: dict[date, int] = {}
        for use in self.uses:
            if use.supply_id == supply_id and use.day != day and _counts(use):
                taken[use.day] = taken.get(use.day, 0) + use.quantity
        if taken and need.amount - sum(taken.values()) < need.amount * SMALL_REST:
            return 0, 0
        amount = visit_days.amount_on(
            need.amount,
            day,
            weights,
            taken,
            over=self.closed,
            finishes=self.finishes_on(day),
        )
        # A container is opened once: it falls whole on the first day that takes of it.
        if need.whole_container and amount:
            amount = max(0, need.amount - sum(taken.values()))
        if need.pieces:
            amount = whole_pieces(amount, washed=need.washed)
        recipe = need.recipe * amount // need.amount if need.amount else 0
        return amount, recipe

    def _step_weights(self, day: date, supply_id: int) -> dict[date, int] | None:
        """How many of the job's own steps use a supply on which day; None where none names it."""
        named = [one for one in self.steps_on(day) if one.step.supply_id == supply_id]
        if not named:
            return None
        weights: dict[date, int] = {}
        later = max([day, *self.days])
        for one in named:
            when = {"done": day, "before": one.step.day or day, "later": later}.get(one.state)
            if when is None or (one.state == "later" and later == day):
                continue
            weights[when] = weights.get(when, 0) + 1
        return weights

    def supplies_on(self, day: date) -> tuple[int, ...]:
        """The supplies that are expected or noted on a day, recipe first."""
        noted = [use.supply_id for use in self.uses if use.day == day and _counts(use)]
        expected = [supply for supply in self.needs if self.filled_in(day, supply)[0]]
        return tuple(dict.fromkeys([*expected, *noted]))


def _counts(use: UseRow) -> bool:
    """Whether a use says anything by itself; what a reopened day had filled in does not."""
    return use.booked or use.state == "confirmed"


def plans(desk: Desk, session: Session, jobs: Sequence[JobRow]) -> dict[int, JobPlan]:
    """The plan of each of these jobs."""
    ids = [job.job_id for job in jobs]
    services = day_queries.services_of(session, ids)
    recipes = day_queries.recipes(session)
    steps = day_queries.steps_of(session, ids)
    hours = day_queries.hours_of(session, ids)
    uses = use_queries.uses_of(session, ids)
    days: dict[int, set[date]] = {}
    weekdays, off = working_weekdays(desk), days_off(desk)
    for job in jobs:
        rows = (*hours.get(job.job_id, ()), *uses.get(job.job_id, ()))
        days[job.job_id] = {row.day for row in rows}
        if job.first_day is not None:
            last = job.last_day or job.first_day
            days[job.job_id] |= set(visit_days.planned_days(job.first_day, last, weekdays, off))
    closed = day_queries.closed_between(session, set().union(*days.values()))
    found: dict[int, JobPlan] = {}
    for job in jobs:
        mine = tuple(services.get(job.job_id, ()))
        found[job.job_id] = JobPlan(
            job=job,
            services=mine,
            steps=tuple(steps.get(job.job_id, ())),
            hours=tuple(hours.get(job.job_id, ())),
            uses=tuple(uses.get(job.job_id, ())),
            closed=frozenset(closed & days[job.job_id]),
            weekdays=weekdays,
            days_off=off,
            room=_room(desk, job, days[job.job_id]),
            expected_minutes=job.expected_minutes or usual_minutes(desk, job, mine),
            _needs=partial(_needs, desk, job, mine, recipes),
        )
    return found


def _room(desk: Desk, job: JobRow, days: Collection[date]) -> dict[date, int]:
    """Minutes that the shop is open on these days, on the first from the begin on; a day on which
    it is not open at all was chosen by hand, and is not short."""
    settings = desk.settings
    usual = [settings.opens_at, max(1, settings.hours_a_day) * 60]
    open_on = {day: (settings.open_week or [usual] * 7)[day.weekday()] for day in days}
    room = {day: minutes for day, (_opens, minutes) in open_on.items()}
    if job.begins_at is not None and job.first_day in open_on:
        opens, minutes = open_on[job.first_day]
        hour, minute = desk.clock_of(job.begins_at).split(":")
        room[job.first_day] = min(minutes, opens + minutes - 60 * int(hour) - int(minute))
    return {day: minutes for day, minutes in room.items() if minutes > 0}


@kept("weekdays worked")
def working_weekdays(desk: Desk) -> frozenset[int]:
    """The weekdays on which the shop works: those set to be open, else by the days it closed in
    the last `WEEKS_BACK`."""
    week = desk.settings.open_week
    if week:
        return frozenset(at for at, (_opens, minutes) in enumerate(week) if minutes)
    first = desk.today - timedelta(weeks=WEEKS_BACK)
    with desk.book.reading() as session:
        return visit_days.weekdays_worked(day_queries.closed_between(session, {first, desk.today}))


def days_off(desk: Desk) -> frozenset[date]:
    """The days beside the week on which the shop is closed."""
    return frozenset(date.fromisoformat(day) for day in desk.settings.closed_days)


def _needs(
    desk: Desk,
    job: JobRow,
    services: Sequence[ServiceRow],
    recipes: dict[int, list[LineRow]],
) -> dict[int, Need]:
    from app.actions.plan.job_needs import needs

    return needs(desk, job, services, recipes)


def usual_minutes(desk: Desk, job: JobRow, services: Iterable[ServiceRow]) -> int:
    """Hands-on minutes of a job that was booked without any: service x size x condition."""
    total = 0.0
    for service in services:
        factors = desk.settings.hours_outside if service.outside else desk.settings.hours_inside
        size = job.size_outside if service.outside else job.size_inside
        total += (
            service.minutes
            * factors.get(size, 1.0)
            * desk.settings.hours_condition.get(job.condition, 1.0)
        )
    return round(total)


@kept("plans on")
def plans_on(desk: Desk, day: date) -> tuple[JobPlan, ...]:
    """The jobs of a day, by number."""
    with desk.book.reading() as session:
        found = plans(desk, session, day_queries.jobs_on(session, day))
    return tuple(
        plan
        for plan in found.values()
        if not plan.is_off(day) or any(use.day == day and _counts(use) for use in plan.uses)
    )
