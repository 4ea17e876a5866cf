"""Station 1, *Jobs worked*: which jobs, which steps, how many hours."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from statistics import median

from app.actions.desk.desk import Changed, Desk, kept, there
from app.actions.desk.open_day import UNTOUCHED_BY_TYPING, numbered, writing_on
from app.actions.desk.typed_days import still_promised
from app.actions.plan.job_plan import OFF, JobPlan, days_off, plans_on, working_weekdays
from app.calculations.numbers.dates import near
from app.calculations.numbers.durations import read_duration, shown_duration
from app.calculations.numbers.entries import far_off
from app.calculations.numbers.wording import count_of
from app.calculations.plan.visit_days import next_workday
from app.errors import Mendable
from app.records.asking import to_write
from app.records.models import Hours, Job, JobStep, Use
from app.records.queries import days as queries
from app.records.queries import uses as use_queries
from app.records.queries.days import JobRow, Session

KINDS = frozenset({"jobs", "hours", "days"})
STATES = ("done", "not done", "later")
OVER = 1.15  # of the expected hours; above it the reason is asked, once
DRIFT_REASONS = (
    "condition", "extra work asked for", "redone", "tools or supplies", "learning",
    "estimated too low",
)  # fmt: skip


@dataclass(frozen=True)
class StepView:
    """A step: done (ticked), not done (because), later, or before (done on an earlier day)."""

    step_id: int
    name: str
    state: str
    because: str


@dataclass(frozen=True, kw_only=True)
class JobWorked:
    """A job on this day."""

    job: JobRow
    services: str
    steps: tuple[StepView, ...]
    minutes: int
    expected: int
    hours_state: str  # confirmed or expected
    over: bool  # all its days together took more than 15 % over what the job was expected to
    finished: bool

    @property
    def steps_text(self) -> str:
        """How many steps stand done at the end of the day, of how many: `3 of 13`."""
        done = sum(step.state in ("done", "before") for step in self.steps)
        return f"{done} of {len(self.steps)}" if self.steps else "none"


@dataclass(frozen=True)
class JobsWorked:
    """The station."""

    rows: tuple[JobWorked, ...]
    other_minutes: int
    other_state: str
    total_text: str
    others: tuple[tuple[JobRow, str], ...]  # that could be put on this day, and when they stand


@kept("jobs worked")
def jobs_worked(desk: Desk, day: date) -> JobsWorked:
    """The jobs of a day with their steps and hours, filled in where nothing was said."""
    plans = plans_on(desk, day)
    with desk.book.reading() as session:
        near_by = queries.near_by(session, day)
    rows = tuple(_worked(plan, day) for plan in plans)
    here = {plan.job_id for plan in plans}
    total = sum(row.minutes for row in rows)
    return JobsWorked(
        rows,
        *other_minutes(desk, day),
        f"{count_of(len(rows), 'job')}  {shown_duration(total)}",
        tuple((job, _when(job, day)) for job in near_by if job.job_id not in here),
    )


def _worked(plan: JobPlan, day: date) -> JobWorked:
    entered = plan.entered_hours(day)
    booked = entered is not None and day in plan.closed
    return JobWorked(
        job=plan.job,
        services=plan.services_text,
        steps=tuple(
            StepView(one.step.step_id, one.step.name, one.state, one.step.because)
            for one in plan.steps_on(day)
        ),
        minutes=plan.minutes_on(day),
        expected=entered.expected if entered and booked else plan.expected_on(day),
        hours_state=entered.state if entered is not None else "expected",
        over=is_over(plan, day),
        finished=plan.finishes_on(day),
    )


def is_over(plan: JobPlan, day: date) -> bool:
    """Whether the hours noted until this day are well over what the job was expected to take."""
    worked = sum(
        row.minutes
        for row in plan.hours
        if row.day <= day and (row.state == "confirmed" or row.day in plan.closed)
    )
    return plan.expected_minutes > 0 and worked > plan.expected_minutes * OVER


def _when(job: JobRow, day: date) -> str:
    if job.first_day is None:
        return "no day yet"
    when = near(job.first_day, day)
    if job.last_day is not None and job.last_day != job.first_day:
        when += f" to {near(job.last_day, day)}"
    return when


def other_minutes(desk: Desk, day: date) -> tuple[int, str]:
    """(minutes, state) of the shop's own work: typed, else the middle of the last ten days that
    noted any, in quarter hours."""
    with desk.book.reading() as session:
        rows = queries.shop_hours(session, day)
        closed = is_closed_in(session, day)
        usual = [] if rows or closed else queries.usual_shop_minutes(session, day)
    noted = [row for row in rows if row.state == "confirmed" or closed]
    if noted:
        return sum(row.minutes for row in noted), noted[0].state
    if closed or not usual:
        return 0, "expected"
    return 15 * round(median(usual) / 15), "expected"


def is_closed_in(session: Session, day: date) -> bool:
    """Whether the day is closed, within a session that is open already."""
    row = queries.sheet(session, day)
    return row is not None and row.state == "closed"


def plan_of(desk: Desk, day: date, job_id: int) -> JobPlan:
    """The plan of a job of this day; `Mendable` where it does not stand on the day."""
    for plan in plans_on(desk, day):
        if plan.job_id == job_id:
            return plan
    raise Mendable("This job does not stand on that day; put it on the day first.")


def set_step(desk: Desk, day: date, step_id: int, state: str, because: str = "") -> Changed:
    """Say of a step that it was done, not done (because), or comes later."""
    if state not in STATES:
        raise Mendable(f"A step is {', '.join(STATES[:-1])} or {STATES[-1]}, not “{state}”.")
    with desk.book.reading() as session:
        name = f"{there(session.get(JobStep, step_id), 'This step').name}: {state}"
    with writing_on(desk, day, name, KINDS | {"layers"}, untouched=UNTOUCHED_BY_TYPING) as session:
        row = session.get_one(JobStep, step_id)
        # A step that comes later keeps this day, so that the tick does not come back by itself.
        row.state, row.day = ("to do" if state == "later" else state), day
        row.because = because.strip()[:200] if state == "not done" else ""
    return Changed(name, KINDS | {"layers"})


def set_hours(desk: Desk, day: date, job_id: int | None, typed: str) -> Changed:
    """Note the hours of a job, or with no job those of the shop; nothing typed fills in again."""
    if job_id is None:
        expected, what = other_minutes(desk, day)[0], "the shop"
    else:
        plan = plan_of(desk, day, job_id)
        expected, what = plan.expected_on(day), numbered(plan.job.number)
    if not typed.strip():
        return _clear_hours(desk, day, job_id, what)
    minutes = read_duration(typed)
    name = f"Hours of {what}: {shown_duration(minutes)}"
    with writing_on(desk, day, name, KINDS, untouched=UNTOUCHED_BY_TYPING) as session:
        row = queries.hours_row(session, day, job_id)
        if row is None:
            row = Hours(day=day, job_id=job_id)
            session.add(row)
        row.minutes, row.expected, row.typed = minutes, expected, typed.strip()[:60]
        row.state = "confirmed"
    asked = far_off(minutes, expected, "expected", shown_duration)
    question = f"Hours of {what}: {asked}" if asked else ""
    return Changed(name, KINDS, question=question)


def _clear_hours(desk: Desk, day: date, job_id: int | None, what: str) -> Changed:
    name = f"Hours of {what} filled in again"
    with writing_on(desk, day, name, KINDS, untouched=UNTOUCHED_BY_TYPING) as session:
        row = queries.hours_row(session, day, job_id)
        if row is not None:
            session.delete(row)
    return Changed(name, KINDS)


def why_over(desk: Desk, day: date, job_id: int, reason: str) -> Changed:
    """Note why a job takes longer than it was expected to."""
    plan = plan_of(desk, day, job_id)
    name = f"Why {numbered(plan.job.number)} took longer: {reason.strip() or 'not said'}"
    with writing_on(desk, day, name, KINDS, untouched=UNTOUCHED_BY_TYPING) as session:
        session.get_one(Job, job_id).drift_reason = reason.strip()[:40]
    return Changed(name, KINDS)


def put_on_day(desk: Desk, day: date, job_id: int) -> Changed:
    """Work a job on a day it was not booked for.

    A visit that has not begun moves there with its length; one that has begun is stretched to it.
    """
    with desk.book.reading() as session:
        found = queries.jobs_by_id(session, [job_id])
        begun = bool(
            [row for row in queries.hours_of(session, [job_id]).get(job_id, []) if row.state != OFF]
            or use_queries.uses_of(session, [job_id])
        )
    row = there(found[0] if found else None, "This job")
    if row.state not in queries.OPEN:
        raise Mendable(f"Job {row.number_text} is {row.state}; open it again first.")
    name = f"Put {row.number_text} on {near(day, desk.today)}"
    with writing_on(desk, day, name, KINDS) as session:
        job = session.get_one(Job, job_id)
        off = queries.hours_row(session, day, job_id)
        if off is not None and off.state == OFF:
            session.delete(off)
        if job.first_day is None:
            job.first_day = job.last_day = day
        else:
            last = job.last_day or job.first_day
            if not job.first_day <= day <= last:
                if begun:
                    job.first_day, job.last_day = min(job.first_day, day), max(last, day)
                else:
                    job.last_day, job.first_day = day + (last - job.first_day), day
        promised, last_day = job.promised_at, job.last_day
    return Changed(name, KINDS, still_promised(desk, name, promised, last_day))


def take_off_day(desk: Desk, day: date, job_id: int) -> Changed:
    """Say that a job was not worked on this day; what was typed for it there goes with it."""
    plan = plan_of(desk, day, job_id)
    name = f"Took {numbered(plan.job.number)} off {near(day, desk.today)}"
    with writing_on(desk, day, name, KINDS | {"uses"}) as session:
        row = queries.hours_row(session, day, job_id)
        if row is None:
            row = Hours(day=day, job_id=job_id)
            session.add(row)
        row.minutes, row.expected, row.state, row.typed = 0, 0, OFF, ""
        for use in to_write(session, Use, day=day, job_id=job_id):
            session.delete(use)
        for one in plan.steps:
            if one.day == day:
                step = session.get_one(JobStep, one.step_id)
                step.state, step.day, step.because = "to do", None, ""
    return Changed(name, KINDS | {"uses"})


def finish_job(desk: Desk, day: date, job_id: int, done: bool) -> Changed:
    """Say that a job is finished on this day, or goes on.

    Finished early, its visit ends today; not finished on its last day, the visit is stretched to
    the shop's next working day. The job is marked done when the day is closed.
    """
    plan = plan_of(desk, day, job_id)
    number = numbered(plan.job.number)
    if plan.finishes_on(day) == done:
        return Changed("", frozenset())
    until = next_workday(day, working_weekdays(desk), days_off(desk))
    name = f"{number} is finished" if done else f"{number} goes on to {near(until, day)}"
    with writing_on(desk, day, name, KINDS) as session:
        job = session.get_one(Job, job_id)
        if done:
            job.last_day = day
        else:
            job.last_day = until
            if job.state == "done":
                job.state, job.done_on = "working", None
        if job.first_day is None or job.first_day > day:
            job.first_day = day
        last = job.last_day
    return Changed(name, KINDS, still_promised(desk, name, plan.job.promised_at, last))
