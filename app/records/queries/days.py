"""The days: their sheets, the jobs that stand on them, hours, steps and money of those jobs."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import and_, func, or_, select
from sqlalchemy.orm import Session

from app.records.models import (
    Customer,
    DaySheet,
    Hours,
    Job,
    JobService,
    JobStep,
    LayerEvent,
    RecipeLine,
    Service,
    Use,
    Vehicle,
)

OPEN = ("booked", "working")


@dataclass(frozen=True)
class SheetRow:
    """A day's sheet as it stands."""

    day: date
    page: int
    state: str
    stations: tuple[str, ...]
    times_closed: int
    closed_at: datetime | None
    summary: str


@dataclass(frozen=True)
class JobRow:
    """A job with its customer and vehicle, as the day sheet needs it."""

    job_id: int
    number: int
    title: str
    state: str
    condition: str
    first_day: date | None
    last_day: date | None
    done_on: date | None
    expected_minutes: int
    customer_id: int | None
    customer: str
    vehicle_id: int | None
    vehicle: str
    size_outside: str
    size_inside: str


@dataclass(frozen=True)
class ServiceRow:
    """A service sold on a job."""

    job_id: int
    service_id: int
    name: str
    outside: bool
    minutes: int
    layers: int


@dataclass(frozen=True)
class LineRow:
    """A line of a service's recipe; base units."""

    service_id: int
    supply_id: int
    scaling: str
    amount: int


@dataclass(frozen=True)
class StepRow:
    """A step of a job."""

    step_id: int
    job_id: int
    position: int
    name: str
    state: str
    because: str
    day: date | None
    effect: str
    supply_id: int | None
    surface_groups: tuple[str, ...]


@dataclass(frozen=True)
class HoursRow:
    """Minutes on a day, of a job or of the shop."""

    hours_id: int
    day: date
    job_id: int | None
    minutes: int
    expected: int
    state: str
    typed: str


def sheet(session: Session, day: date) -> SheetRow | None:
    """The sheet of a day, none while nothing was written on it."""
    row = session.get(DaySheet, day)
    if row is None:
        return None
    return SheetRow(
        row.day,
        row.page,
        row.state,
        tuple(row.stations),
        row.times_closed,
        row.closed_at,
        row.summary,
    )


def next_page(session: Session) -> int:
    """The page that the next new sheet gets."""
    return int(session.scalar(select(func.max(DaySheet.page))) or 0) + 1


def closed_between(session: Session, days: Collection[date]) -> set[date]:
    """The closed days from the first to the last of these days."""
    if not days:
        return set()
    return set(
        session.scalars(
            select(DaySheet.day).where(
                DaySheet.day >= min(days), DaySheet.day <= max(days), DaySheet.state == "closed"
            )
        )
    )


def marks(session: Session, first: date, last: date, today: date) -> tuple[set[date], set[date]]:
    """(closed, left open) days from `first` to `last`; left open are days gone by on which
    something was written, or a visit began or ended, and that were never closed."""
    closed: set[date] = set()
    begun: set[date] = set()
    for day, state in session.execute(
        select(DaySheet.day, DaySheet.state).where(DaySheet.day >= first, DaySheet.day <= last)
    ):
        (closed if state == "closed" else begun).add(day)
    for written in (Hours.day, Use.day):
        begun |= set(
            session.scalars(select(written).where(written >= first, written <= last).distinct())
        )
    for column in (Job.first_day, Job.last_day):
        begun |= set(
            session.scalars(
                select(column)
                .where(column >= first, column <= last, Job.state.in_(OPEN))
                .distinct()
            )
        )
    return closed, {day for day in begun - closed if day < today}


def last_seconds(session: Session, count: int = 10) -> list[int]:
    """How long the last closes took at the desk, newest first; without those nobody sat through."""
    return list(
        session.scalars(
            select(DaySheet.seconds)
            .where(DaySheet.state == "closed", DaySheet.seconds > 0)
            .order_by(DaySheet.day.desc())
            .limit(count)
        )
    )


def last_closed(session: Session, before: date) -> date | None:
    """The newest closed day before a day."""
    return session.scalar(
        select(func.max(DaySheet.day)).where(DaySheet.state == "closed", DaySheet.day < before)
    )


_JOB = (
    select(Job, Customer.name, Vehicle.description, Vehicle.size_outside, Vehicle.size_inside)
    .outerjoin(Customer, Customer.id == Job.customer_id)
    .outerjoin(Vehicle, Vehicle.id == Job.vehicle_id)
)


def _job_rows(session: Session, *where: object) -> list[JobRow]:
    rows = session.execute(_JOB.where(*where).order_by(Job.number)).all()  # type: ignore[arg-type]
    return [
        JobRow(
            job.id,
            job.number,
            job.title,
            job.state,
            job.condition,
            job.first_day,
            job.last_day,
            job.done_on,
            job.expected_minutes,
            job.customer_id,
            customer or "",
            job.vehicle_id,
            vehicle or "",
            outside or "M",
            inside or "M",
        )
        for job, customer, vehicle, outside, inside in rows
    ]


def jobs_by_id(session: Session, ids: Collection[int]) -> list[JobRow]:
    """These jobs, by number."""
    return _job_rows(session, Job.id.in_(ids)) if ids else []


def jobs_on(session: Session, day: date) -> list[JobRow]:
    """The jobs of a day: their visit spans it, or hours, uses or steps were written on it."""
    ids = set(
        session.scalars(
            select(Job.id).where(
                Job.first_day <= day,
                or_(
                    Job.last_day >= day,
                    and_(Job.last_day.is_(None), Job.first_day == day),
                ),
                or_(
                    Job.state.in_(OPEN),
                    and_(Job.state == "done", Job.done_on >= day),
                ),
            )
        )
    )
    for column, when in (
        (Hours.job_id, Hours.day),
        (Use.job_id, Use.day),
    ):
        ids |= set(
            session.scalars(
                select(column)
                .join(Job, Job.id == column)
                .where(when == day, Job.state != "cancelled")
                .distinct()
            )
        )
    ids |= set(session.scalars(select(Job.id).where(Job.done_on == day)))
    return jobs_by_id(session, ids)


def open_jobs(session: Session, since: date) -> list[JobRow]:
    """The jobs that are booked or begun, whose visit ends on `since` or later, or has no day."""
    ends = func.coalesce(Job.last_day, Job.first_day)
    return _job_rows(session, Job.state.in_(OPEN), or_(ends >= since, ends.is_(None)))


def visits(session: Session, first: date, last: date) -> list[JobRow]:
    """The open jobs whose visit touches the days from `first` to `last`."""
    ends = func.coalesce(Job.last_day, Job.first_day)
    return _job_rows(session, Job.state.in_(OPEN), Job.first_day <= last, ends >= first)


def services_of(session: Session, job_ids: Collection[int]) -> dict[int, list[ServiceRow]]:
    """The services of each job, in the order they were sold."""
    found: dict[int, list[ServiceRow]] = {}
    for part in in_parts(job_ids):
        for row in session.execute(
            select(
                JobService.job_id,
                Service.id,
                Service.name,
                Service.outside,
                Service.minutes,
                JobService.layers,
            )
            .join(Service, Service.id == JobService.service_id)
            .where(JobService.job_id.in_(part))
            .order_by(JobService.id)
        ):
            found.setdefault(row[0], []).append(ServiceRow(*row))
    return found


def recipes(session: Session) -> dict[int, list[LineRow]]:
    """Every service's recipe: some dozens of lines."""
    found: dict[int, list[LineRow]] = {}
    for row in session.execute(
        select(
            RecipeLine.service_id, RecipeLine.supply_id, RecipeLine.scaling, RecipeLine.amount
        ).order_by(RecipeLine.id)
    ):
        found.setdefault(row[0], []).append(LineRow(*row))
    return found


def steps_of(session: Session, job_ids: Collection[int]) -> dict[int, list[StepRow]]:
    """The steps of each job, in order."""
    found: dict[int, list[StepRow]] = {}
    for part in in_parts(job_ids):
        for step in session.scalars(
            select(JobStep)
            .where(JobStep.job_id.in_(part))
            .order_by(JobStep.job_id, JobStep.position, JobStep.id)
        ):
            found.setdefault(step.job_id, []).append(
                StepRow(
                    step.id,
                    step.job_id,
                    step.position,
                    step.name,
                    step.state,
                    step.because,
                    step.day,
                    step.effect,
                    step.supply_id,
                    tuple(step.surface_groups or ()),
                )
            )
    return found


def _hours(row: Hours) -> HoursRow:
    return HoursRow(row.id, row.day, row.job_id, row.minutes, row.expected, row.state, row.typed)


def hours_of(session: Session, job_ids: Collection[int]) -> dict[int, list[HoursRow]]:
    """The hours of each job, on whatever day."""
    found: dict[int, list[HoursRow]] = {}
    for part in in_parts(job_ids):
        for row in session.scalars(select(Hours).where(Hours.job_id.in_(part))):
            if row.job_id is not None:
                found.setdefault(row.job_id, []).append(_hours(row))
    return found


def shop_hours(session: Session, day: date) -> list[HoursRow]:
    """The day's hours that belong to no job."""
    return [
        _hours(row)
        for row in session.scalars(
            select(Hours).where(Hours.day == day, Hours.job_id.is_(None)).order_by(Hours.id)
        )
    ]


def hours_row(session: Session, day: date, job_id: int | None) -> Hours | None:
    """The line of hours to write to."""
    mine = Hours.job_id.is_(None) if job_id is None else Hours.job_id == job_id
    return session.scalars(select(Hours).where(Hours.day == day, mine).limit(1)).first()


def hours_on(session: Session, day: date) -> list[Hours]:
    """All lines of hours of a day, to write to."""
    return list(session.scalars(select(Hours).where(Hours.day == day)))


def usual_shop_minutes(session: Session, before: date, count: int = 10) -> list[int]:
    """The shop's own minutes of the last closed days on which any were noted, newest first."""
    return [
        int(total)
        for total in session.scalars(
            select(func.sum(Hours.minutes))
            .join(DaySheet, DaySheet.day == Hours.day)
            .where(
                Hours.job_id.is_(None),
                Hours.day < before,
                Hours.state == "confirmed",
                DaySheet.state == "closed",
            )
            .group_by(Hours.day)
            .order_by(Hours.day.desc())
            .limit(count)
        )
    ]


def done_on(session: Session, day: date) -> list[int]:
    """The jobs that were done on a day."""
    return list(session.scalars(select(Job.id).where(Job.state == "done", Job.done_on == day)))


def layers_of(session: Session, job_ids: Collection[int], day: date) -> list[LayerEvent]:
    """The layer events that these jobs' close wrote on a day and that still stand."""
    if not job_ids:
        return []
    taken_back = select(LayerEvent.counters_id).where(LayerEvent.counters_id.is_not(None))
    return list(
        session.scalars(
            select(LayerEvent)
            .where(
                LayerEvent.job_id.in_(job_ids),
                LayerEvent.day == day,
                LayerEvent.counters_id.is_(None),
                LayerEvent.id.not_in(taken_back),
            )
            .order_by(LayerEvent.id)
        )
    )


def near_by(session: Session, day: date, days: int = 14) -> list[JobRow]:
    """Unfinished jobs that could stand on a day: booked near it, or without a day."""
    first, last = day - timedelta(days=days), day + timedelta(days=days)
    ends = func.coalesce(Job.last_day, Job.first_day)
    rows = _job_rows(
        session,
        Job.state.in_(OPEN),
        or_(Job.first_day.is_(None), and_(Job.first_day <= last, ends >= first)),
    )
    return sorted(rows, key=lambda row: abs(((row.first_day or day) - day).days))


def in_parts(ids: Iterable[int], size: int = 500) -> list[list[int]]:
    """Ids in portions that any database takes in one statement."""
    wanted = sorted(set(ids))
    return [wanted[i : i + size] for i in range(0, len(wanted), size)]
