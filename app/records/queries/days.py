"""The days: their sheets, the jobs that stand on them, hours, steps and money of those jobs."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, and_, func, or_, select
from sqlalchemy.orm import Session

from app.records.asking import columns, grouped, made, rows_in_parts, rows_of, to_write
from app.records.models import (
    Customer,
    DaySheet,
    Hours,
    Job,
    JobService,
    JobStep,
    LayerEvent,
    Movement,
    Receipt,
    RecipeLine,
    Service,
    Use,
    Vehicle,
)
from app.records.undo.ledgers import standing

OPEN = ("booked", "working")
_ENDS = func.coalesce(Job.last_day, Job.first_day)


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


@dataclass(frozen=True, kw_only=True)
class JobRow:
    """A job with its customer and vehicle, as the day sheet needs it."""

    job_id: int
    number: int
    title: str
    state: str
    condition: str
    asked_on: date | None
    booked_on: date | None
    wanted: str
    order_number: str
    first_day: date | None
    last_day: date | None
    done_on: date | None
    expected_minutes: int
    begins_at: datetime | None
    promised_at: datetime | None
    place: str
    travel_minutes: int
    drift_reason: str
    came_to_nothing: bool
    ended_because: str
    notes: str
    customer_id: int | None
    customer: str
    vehicle_id: int | None
    vehicle: str
    size_outside: str
    size_inside: str

    @property
    def number_text(self) -> str:
        """The number as it is shown: 0412."""
        return f"{self.number:04d}"


@dataclass(frozen=True)
class ServiceRow:
    """A service sold on a job."""

    job_id: int
    service_id: int
    name: str
    outside: bool
    minutes: int
    layers: int
    in_bay: bool


@dataclass(frozen=True)
class LineRow:
    """A line of a service's recipe; base units."""

    service_id: int
    supply_id: int
    scaling: str
    amount: int


@dataclass(frozen=True, kw_only=True)
class StepRow:
    """A step of a job."""

    step_id: int
    job_id: int
    position: int
    name: str
    state: str
    because: str
    day: date | None
    minutes: int
    hold: str
    hold_minutes: int
    effect: str
    supply_id: int | None
    surface_groups: tuple[str, ...]


@dataclass(frozen=True)
class HoursRow:
    """Minutes on a day, of a job or of the shop."""

    day: date
    job_id: int | None
    minutes: int
    expected: int
    state: str
    typed: str


_SERVICE = columns(ServiceRow, JobService, Service)
_LINE = columns(LineRow, RecipeLine)
_STEP = columns(StepRow, JobStep, step_id=JobStep.id)
_HOURS = columns(HoursRow, Hours)


def sheet(session: Session, day: date) -> SheetRow | None:
    """The sheet of a day, none while nothing was written on it."""
    row = session.get(DaySheet, day)
    return made(SheetRow, row) if row is not None else None


def next_page(session: Session) -> int:
    """The page that the next new sheet gets."""
    return int(session.scalar(select(func.max(DaySheet.page))) or 0) + 1


def closed_last(session: Session) -> date | None:
    """The day that was closed most recently, whichever day that was."""
    query = select(DaySheet.day).where(DaySheet.state == "closed")
    return session.scalar(query.order_by(DaySheet.closed_at.desc(), DaySheet.day.desc()).limit(1))


def times_closed(session: Session) -> int:
    """How often a day of this book was closed."""
    return int(session.scalar(select(func.sum(DaySheet.times_closed))) or 0)


def any_closed(session: Session) -> bool:
    """Whether a day was ever closed and is still."""
    query = select(DaySheet.day).where(DaySheet.state == "closed").limit(1)
    return session.scalar(query) is not None


def begun(session: Session) -> bool:
    """Whether a job is booked or begun, or a day was written on."""
    some = select(Job.id).where(Job.state.in_(OPEN)).limit(1)
    return bool(session.scalar(some) or session.scalar(select(DaySheet.day).limit(1)))


def newest_closed(session: Session) -> date | None:
    """The latest day that is closed."""
    return session.scalar(select(func.max(DaySheet.day)).where(DaySheet.state == "closed"))


def closed_after(session: Session, day: date) -> tuple[int, date]:
    """How many closed days lie later, and the first of them; that day itself where none does."""
    later = (DaySheet.state == "closed", DaySheet.day > day)
    count, first = session.execute(select(func.count(), func.min(DaySheet.day)).where(*later)).one()
    return count, first or day


def closed_between(session: Session, days: Collection[date]) -> set[date]:
    """The closed days from the first to the last of these days."""
    if not days:
        return set()
    within = DaySheet.day.between(min(days), max(days))
    return set(session.scalars(select(DaySheet.day).where(within, DaySheet.state == "closed")))


def marks(session: Session, first: date, last: date, today: date) -> tuple[set[date], set[date]]:
    """(closed, left open) days from `first` to `last`; left open are days gone by on which
    something was written, or a visit began or ended, and that were never closed."""
    closed: set[date] = set()
    begun: set[date] = set()
    for day, state in session.execute(
        select(DaySheet.day, DaySheet.state).where(DaySheet.day >= first, DaySheet.day <= last)
    ):
        (closed if state == "closed" else begun).add(day)
    for column in (Hours.day, Use.day, Job.first_day, Job.last_day):
        query = select(column).where(column.between(first, last)).distinct()
        if column.class_ is Job:
            query = query.where(Job.state.in_(OPEN))
        begun |= set(session.scalars(query))
    return closed, {day for day in begun - closed if day < today}


def nearest(session: Session, day: date) -> date | None:
    """The day nearest to this one on which the book has anything; None in an empty book."""
    found: list[date] = []
    for column in (DaySheet.day, Job.first_day, Hours.day, Use.day, Movement.day, Receipt.day):
        for side, best in ((column <= day, func.max), (column >= day, func.min)):
            told = session.scalar(select(best(column)).where(side))
            if told is not None:
                found.append(told)
    return min(found, key=lambda one: abs(one - day), default=None)


def last_seconds(session: Session, count: int = 10) -> list[int]:
    """How long the last closes took at the desk, newest first; without those nobody sat through."""
    query = select(DaySheet.seconds).where(DaySheet.state == "closed", DaySheet.seconds > 0)
    return list(session.scalars(query.order_by(DaySheet.day.desc()).limit(count)))


# What counts where no vehicle is known, or none of its sizes.
SIZE_OUTSIDE = func.coalesce(func.nullif(Vehicle.size_outside, ""), "M")
SIZE_INSIDE = func.coalesce(func.nullif(Vehicle.size_inside, ""), "M")
_JOB = columns(
    JobRow,
    Job,
    job_id=Job.id,
    customer=func.coalesce(Customer.name, ""),
    vehicle=func.coalesce(Vehicle.description, ""),
    size_outside=SIZE_OUTSIDE,
    size_inside=SIZE_INSIDE,
)


def with_names(query: Any) -> Any:
    """A question about jobs with their customers and vehicles."""
    query = query.outerjoin(Customer, Customer.id == Job.customer_id)
    return query.outerjoin(Vehicle, Vehicle.id == Job.vehicle_id)


def _job_rows(session: Session, *where: ColumnElement[bool]) -> list[JobRow]:
    query = with_names(select(*_JOB)).where(*where).order_by(Job.number)
    return rows_of(JobRow, session.execute(query))


def jobs_by_id(session: Session, ids: Collection[int]) -> list[JobRow]:
    """These jobs, by number."""
    return _job_rows(session, Job.id.in_(ids)) if ids else []


def jobs_on(session: Session, day: date) -> list[JobRow]:
    """The jobs of a day: their visit spans it, or hours, uses or steps were written on it."""
    spans = and_(Job.first_day <= day, day <= _ENDS)
    still = or_(Job.state.in_(OPEN), and_(Job.state == "done", Job.done_on >= day))
    ids = set(session.scalars(select(Job.id).where(spans, still)))
    for model in (Hours, Use):
        written = select(Job.id).join(model, model.job_id == Job.id).where(model.day == day)
        ids |= set(session.scalars(written.where(Job.state != "cancelled").distinct()))
    ids |= set(session.scalars(select(Job.id).where(Job.done_on == day)))
    return jobs_by_id(session, ids)


def open_jobs(session: Session, since: date) -> list[JobRow]:
    """The jobs that are booked or begun, whose visit ends on `since` or later, or has no day."""
    return _job_rows(session, Job.state.in_(OPEN), or_(since <= _ENDS, _ENDS.is_(None)))


def visits(session: Session, first: date, last: date) -> list[JobRow]:
    """The open jobs whose visit touches the days from `first` to `last`."""
    return _job_rows(session, Job.state.in_(OPEN), Job.first_day <= last, first <= _ENDS)


def services_of(session: Session, job_ids: Collection[int]) -> dict[int, list[ServiceRow]]:
    """The services of each job, in the order they were sold."""
    query = select(*_SERVICE).join(Service, Service.id == JobService.service_id)
    query = query.order_by(JobService.id)
    return grouped(rows_in_parts(ServiceRow, session, query, JobService.job_id, job_ids), "job_id")


def recipes(session: Session) -> dict[int, list[LineRow]]:
    """Every service's recipe: some dozens of lines."""
    rows = session.execute(select(*_LINE).order_by(RecipeLine.id))
    return grouped(rows_of(LineRow, rows), "service_id")


def steps_of(session: Session, job_ids: Collection[int]) -> dict[int, list[StepRow]]:
    """The steps of each job, in order."""
    query = select(*_STEP).order_by(JobStep.job_id, JobStep.position, JobStep.id)
    return grouped(rows_in_parts(StepRow, session, query, JobStep.job_id, job_ids), "job_id")


def hours_of(session: Session, job_ids: Collection[int]) -> dict[int, list[HoursRow]]:
    """The hours of each job, on whatever day."""
    rows = rows_in_parts(HoursRow, session, select(*_HOURS), Hours.job_id, job_ids)
    return grouped(rows, "job_id")


def shop_hours(session: Session, day: date) -> list[HoursRow]:
    """The day's hours that belong to no job."""
    query = select(*_HOURS).where(Hours.day == day, Hours.job_id.is_(None)).order_by(Hours.id)
    return rows_of(HoursRow, session.execute(query))


def hours_row(session: Session, day: date, job_id: int | None) -> Hours | None:
    """The line of hours to write to."""
    return next(iter(to_write(session, Hours, day=day, job_id=job_id)), None)


def usual_shop_minutes(session: Session, before: date, count: int = 10) -> list[int]:
    """The shop's own minutes of the last closed days on which any were noted, newest first."""
    query = (
        select(func.sum(Hours.minutes))
        .join(DaySheet, DaySheet.day == Hours.day)
        .where(Hours.job_id.is_(None), Hours.day < before)
        .where(Hours.state == "confirmed", DaySheet.state == "closed")
        .group_by(Hours.day)
        .order_by(Hours.day.desc())
        .limit(count)
    )
    return [int(total) for total in session.scalars(query)]


def done_on(session: Session, day: date) -> list[int]:
    """The jobs that were done on a day."""
    return list(session.scalars(select(Job.id).where(Job.state == "done", Job.done_on == day)))


def layers_of(session: Session, job_ids: Collection[int], day: date) -> list[LayerEvent]:
    """The layer events that these jobs' close wrote on a day and that still stand."""
    query = select(LayerEvent).where(LayerEvent.job_id.in_(job_ids), LayerEvent.day == day)
    return list(session.scalars(query.where(standing(LayerEvent)).order_by(LayerEvent.id)))


def near_by(session: Session, day: date, days: int = 14) -> list[JobRow]:
    """Unfinished jobs that could stand on a day: booked near it, or without a day."""
    first, last = day - timedelta(days=days), day + timedelta(days=days)
    near = and_(Job.first_day <= last, first <= _ENDS)
    rows = _job_rows(session, Job.state.in_(OPEN), or_(Job.first_day.is_(None), near))
    return sorted(rows, key=lambda row: abs(((row.first_day or day) - day).days))
