"""Jobs: the list by what remains of them, one job's charges and history, what such jobs took."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, and_, case, func, or_, select
from sqlalchemy.orm import Session

from app.records.asking import anywhere, columns, in_parts, made, rows_of, sums_of
from app.records.models import (
    BESIDE_THE_JOB,
    Action,
    Charge,
    Customer,
    Hours,
    InvoiceLine,
    Job,
    JobService,
    Receipt,
    Service,
    Use,
    Vehicle,
)
from app.records.queries.days import SIZE_INSIDE, SIZE_OUTSIDE, with_names

WHICH = ("work", "booked", "enquiries", "done", "owed", "all")


ALL_OWED = 100_000  # its sums by age need every job; few are owed even after ten years


@dataclass(frozen=True, kw_only=True)
class ListedJob:
    """A line of the list of jobs; minutes, and money in minor units."""

    job_id: int
    number: int
    state: str
    title: str
    customer: str
    phone: str
    vehicle: str
    asked_on: date | None
    booked_on: date | None
    wanted: str
    first_day: date | None
    last_day: date | None
    done_on: date | None
    promised_at: datetime | None
    expected_minutes: int
    worked_minutes: int
    came_to_nothing: bool
    ended_because: str


@dataclass(frozen=True)
class ChargeRow:
    """A line of what a job costs, before tax; the rate in thousandths of a percent."""

    charge_id: int
    position: int
    text: str
    amount: int
    tax_rate: int
    tax_kind: str
    minutes: int  # with the next: where it is charged by time, else 0 and 0
    hour_rate: int
    service_id: int | None


@dataclass(frozen=True)
class TookRow:
    """What a closed job took in hours, and what it was made of."""

    job_id: int
    done_on: date
    minutes: int
    condition: str
    size_outside: str
    size_inside: str


_TOOK = columns(
    TookRow,
    Job,
    job_id=Job.id,
    minutes=func.sum(Hours.minutes),
    size_outside=SIZE_OUTSIDE,
    size_inside=SIZE_INSIDE,
)


def _matching(text: str) -> ColumnElement[bool]:
    sold = select(JobService.job_id).join(Service, Service.id == JobService.service_id)
    texts = (Customer.name, Vehicle.description, Vehicle.plate, Job.title)
    clauses = [anywhere(column, text) for column in texts]
    clauses.append(Job.id.in_(sold.where(anywhere(Service.name, text))))
    if text.isdecimal() and len(text) < 10:
        clauses.append(Job.number == int(text))
    return or_(*clauses)


def _standing(which: str, today: date) -> tuple[list[ColumnElement[bool]], list[Any]]:
    """(conditions, order) of a part of the list."""
    last = func.coalesce(Job.last_day, Job.first_day)
    if which == "work":
        begun = and_(Job.state == "booked", Job.first_day <= today)
        return [or_(Job.state == "working", begun)], [last, Job.number]
    if which == "booked":
        ahead = or_(Job.first_day.is_(None), Job.first_day > today)
        return (
            [Job.state == "booked", ahead],
            [Job.first_day.is_(None), Job.first_day, Job.number],
        )
    if which == "enquiries":
        # Who waits longest first; then what came to nothing, the newest first.
        waits = case((Job.state == "enquiry", Job.number), else_=None)
        order = [waits.is_(None), waits, Job.number.desc()]
        return [or_(Job.state == "enquiry", Job.came_to_nothing)], order
    if which == "done":
        return [Job.state == "done"], [Job.done_on.desc(), Job.number.desc()]
    if which == "owed":
        # Nearly: the tax is rounded by the shop's rule afterwards, which moves cents only.
        charged = (
            select(func.sum(Charge.amount * (1 + Charge.tax_rate / 100000.0)))
            .where(Charge.job_id == Job.id)
            .correlate(Job)
            .scalar_subquery()
        )
        received = (
            select(func.sum(Receipt.amount))
            .where(Receipt.job_id == Job.id, Receipt.kind.not_in(BESIDE_THE_JOB))
            .correlate(Job)
            .scalar_subquery()
        )
        owing = func.coalesce(charged, 0) - func.coalesce(received, 0) > 0.5
        # What was invoiced is due also while the day of the work is open again.
        due = or_(Job.state == "done", Job.id.in_(select(InvoiceLine.job_id)))
        return [due, owing], [Job.done_on, Job.number]
    return [], [Job.number.desc()]


def list_jobs(
    session: Session, which: str, text: str, today: date, limit: int
) -> tuple[list[ListedJob], int]:
    """(jobs of a part of the list, how many there are in all); of what is owed always all."""
    if which == "owed":
        limit = ALL_OWED
    where, order = _standing(which, today)
    if text.strip():
        where = [*where, _matching(text.strip())]
    named = select(Job, Customer.name, Customer.phone, Vehicle.description)
    query = with_names(named).where(*where)
    count = query.with_only_columns(func.count(Job.id))
    found = session.execute(query.order_by(*order).limit(limit)).all()
    worked = minutes_of(session, [job.id for job, *_ in found])
    rows = [
        made(
            ListedJob,
            job,
            job_id=job.id,
            customer=customer or "",
            phone=phone or "",
            vehicle=vehicle or "",
            worked_minutes=worked.get(job.id, 0),
        )
        for job, customer, phone, vehicle in found
    ]
    whole = len(rows) if len(rows) < limit else int(session.scalar(count) or 0)
    return rows, whole


def count_in_work(session: Session, today: date) -> int:
    """How many jobs are begun, or were to begin by today."""
    where, _ = _standing("work", today)
    return int(session.scalar(select(func.count(Job.id)).where(*where)) or 0)


def count_enquiries(session: Session) -> int:
    """How many enquiries wait for an answer."""
    return int(session.scalar(select(func.count(Job.id)).where(Job.state == "enquiry")) or 0)


def reasons_said(session: Session, *, enquiries: bool, most: int = 8) -> list[str]:
    """Why enquiries came to nothing, or bookings were called off, what was said most first."""
    query = select(Job.ended_because).where(
        Job.ended_because != "", Job.state == "cancelled", Job.came_to_nothing == enquiries
    )
    often = query.group_by(Job.ended_because).order_by(func.count().desc(), Job.ended_because)
    return list(session.scalars(often.limit(most)))


def minutes_of(session: Session, job_ids: Collection[int]) -> dict[int, int]:
    """Minutes noted for each of these jobs, all days together."""
    found: dict[int, int] = {}
    for part in in_parts(job_ids):
        query = select(Hours.job_id, func.sum(Hours.minutes)).where(Hours.job_id.in_(part))
        found |= sums_of(session, query.group_by(Hours.job_id))
    return found


def charges_of(session: Session, job_id: int) -> list[ChargeRow]:
    """The charges of a job, in order."""
    query = select(Charge).where(Charge.job_id == job_id).order_by(Charge.position, Charge.id)
    return [made(ChargeRow, row, charge_id=row.id) for row in session.scalars(query)]


def next_number(session: Session) -> int:
    """The number that the next job gets."""
    return int(session.scalar(select(func.max(Job.number))) or 0) + 1


def took(session: Session, limit: int = 200) -> list[TookRow]:
    """The newest closed jobs that sold a service and whose hours a person confirmed."""
    query = (
        select(*_TOOK)
        .join(Hours, Hours.job_id == Job.id)
        .outerjoin(Vehicle, Vehicle.id == Job.vehicle_id)
        .where(
            Job.state == "done",
            Job.done_on.is_not(None),
            Job.id.in_(select(JobService.job_id)),
            Job.id.not_in(
                select(Hours.job_id).where(Hours.state == "expected", Hours.job_id.is_not(None))
            ),
        )
        .group_by(Job.id, Job.done_on, Job.condition, Vehicle.size_outside, Vehicle.size_inside)
        .having(func.sum(Hours.minutes) > 0)
        .order_by(Job.done_on.desc(), Job.id.desc())
        .limit(limit)
    )
    return rows_of(TookRow, session.execute(query))


def has_work(session: Session, job_id: int) -> bool:
    """Whether hours or uses were noted for a job."""
    return any(
        session.scalars(select(column).where(column == job_id).limit(1)).first() is not None
        for column in (Hours.job_id, Use.job_id)
    )


def actions_on(session: Session, number: str, limit: int = 40) -> list[tuple[datetime, str, str]]:
    """(moment, name, state) of the actions whose name says a job's number, newest first."""
    query = select(Action.at, Action.name, Action.state)
    query = query.where(anywhere(Action.name, number), Action.of_id.is_(None))
    rows = session.execute(query.order_by(Action.id.desc()).limit(limit))
    return [(at, name, state) for at, name, state in rows]
