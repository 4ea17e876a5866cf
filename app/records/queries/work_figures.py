"""What became of estimates and bookings, which work was done again, and how deliveries came."""

from __future__ import annotations

from datetime import date, timedelta
from typing import NamedTuple

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records.models import (
    Charge,
    Customer,
    Estimate,
    Hours,
    Job,
    JobService,
    Order,
    Receipt,
    Supplier,
    Use,
)


class Given(NamedTuple):
    """A job with an estimate that was given: when first, what it came to last with its tax,
    whether one of its versions was said yes to, and how the job stands."""

    job_id: int
    number: int
    customer: str
    given_on: date
    likely: int
    yes: bool
    state: str


class Booked(NamedTuple):
    """A booking by its first day: how the job stands, why it was called off, what is kept of it."""

    job_id: int
    number: int
    customer: str
    state: str
    because: str
    kept: int


class Visit(NamedTuple):
    """A done job of a vehicle: what it earned, credit notes taken off, its minutes and supplies."""

    job_id: int
    vehicle_id: int
    number: int
    done_on: date
    earned: int
    minutes: int
    supplies: int


class Delivery(NamedTuple):
    """An order that came: days from order to shelf, and whether by the day it was expected on."""

    supplier_id: int
    supplier: str
    promised: int | None
    order_id: int
    days: int
    in_time: bool | None


def given(session: Session, first: date, last: date) -> list[Given]:
    """The jobs whose first estimate was given from `first` to `last`, both included."""
    day = func.coalesce(Estimate.given_on, Estimate.approved_on)
    whole = (
        select(
            Estimate.job_id.label("job_id"),
            func.min(day).label("given_on"),
            func.max(Estimate.version).label("version"),
            func.max(Estimate.approved_on).label("approved_on"),
        )
        .where(Estimate.state != "draft", day.is_not(None))
        .group_by(Estimate.job_id)
        .subquery()
    )
    rows = session.execute(
        select(Job.id, Job.number, Customer.name, whole.c.given_on, Estimate.likely,
               whole.c.approved_on, Job.state)
        .join(whole, whole.c.job_id == Job.id)
        .join(Estimate, (Estimate.job_id == Job.id) & (Estimate.version == whole.c.version))
        .outerjoin(Customer, Customer.id == Job.customer_id)
        .where(whole.c.given_on.between(first, last))
        .order_by(whole.c.given_on, Job.number)
    )  # fmt: skip
    return [
        Given(job, number, name or "", on, int(likely), yes is not None, state)
        for job, number, name, on, likely, yes, state in rows
    ]


def booked(session: Session, first: date, last: date) -> list[Booked]:
    """The bookings whose first day is from `first` to `last`; enquiries are none."""
    kept = (
        select(func.coalesce(func.sum(Receipt.amount), 0))
        .where(Receipt.job_id == Job.id, Receipt.kind != "tip")
        .correlate(Job)
        .scalar_subquery()
    )
    rows = session.execute(
        select(Job.id, Job.number, Customer.name, Job.state, Job.ended_because, kept)
        .outerjoin(Customer, Customer.id == Job.customer_id)
        .where(Job.first_day.between(first, last), Job.state != "enquiry")
        .where(Job.came_to_nothing.is_(False))
        .order_by(Job.first_day, Job.number)
    )
    return [
        Booked(job, number, name or "", state, because, int(held))
        for job, number, name, state, because, held in rows
    ]


def visits_of_vehicles(session: Session, first: date, last: date, before: int) -> list[Visit]:
    """The done jobs of vehicles that were here twice from `before` days before `first` to `last`,
    in order of their day."""
    span = (Job.state == "done", Job.done_on.between(first - timedelta(days=before), last))
    often = select(Job.vehicle_id).where(*span, Job.vehicle_id.is_not(None))
    often = often.group_by(Job.vehicle_id).having(func.count() > 1)
    within = (*span, Job.vehicle_id.in_(often))
    heads = session.execute(
        select(Job.id, Job.vehicle_id, Job.number, Job.done_on)
        .where(*within)
        .order_by(Job.done_on, Job.number)
    ).all()

    def sums(column: object, job: object, *where: object) -> dict[int, int]:
        query = select(job, func.sum(column)).join(Job, Job.id == job)  # type: ignore[call-overload]
        rows = session.execute(query.where(*within, *where).group_by(job))
        return {key: int(total) for key, total in rows}

    earned = sums(Charge.amount, Charge.job_id)
    minutes = sums(Hours.minutes, Hours.job_id)
    supplies = sums(Use.cost, Use.job_id, Use.booked.is_(True), Use.state != "unrecorded")
    return [
        Visit(job, vehicle or 0, number, done, earned.get(job, 0), minutes.get(job, 0),
              supplies.get(job, 0))
        for job, vehicle, number, done in heads
        if done is not None
    ]  # fmt: skip


def taken_by_kind(session: Session, first: date, last: date) -> list[tuple[int, int, int, int]]:
    """(one of the jobs, supply, quantity, cost) of the booked uses of the jobs with hours done from
    `first` to `last`, added up for jobs of the same services in the same order.

    Added up in the database: a year holds ten thousand uses and some dozens of kinds.
    """
    sold = (
        select(func.group_concat(JobService.service_id))
        .where(JobService.job_id == Job.id)
        .correlate(Job)
        .scalar_subquery()
    )
    worked = select(Hours.job_id).where(Hours.job_id == Job.id).group_by(Hours.job_id)
    kinds = (
        select(Job.id.label("job_id"), func.coalesce(sold, Job.title).label("kind"))
        .where(Job.state == "done", Job.done_on.between(first, last))
        .where(worked.having(func.sum(Hours.minutes) > 0).correlate(Job).exists())
        .cte("kinds")
    )
    rows = session.execute(
        select(func.min(Use.job_id), Use.supply_id, func.sum(Use.quantity), func.sum(Use.cost))
        .join(kinds, kinds.c.job_id == Use.job_id)
        .where(Use.booked.is_(True), Use.state != "unrecorded")
        .group_by(kinds.c.kind, Use.supply_id)
    )
    return [(job or 0, supply, int(some), int(cost)) for job, supply, some, cost in rows]


def deliveries(session: Session, first: date, last: date) -> list[Delivery]:
    """The orders that had wholly come from `first` to `last`, by supplier."""
    rows = session.execute(
        select(Supplier.id, Supplier.name, Supplier.promised_days, Order.id, Order.day,
               Order.received_on, Order.expected_on)
        .join(Supplier, Supplier.id == Order.supplier_id)
        .where(Order.state == "received", Order.received_on.between(first, last))
        .order_by(Supplier.name, Order.id)
    )  # fmt: skip
    return [
        Delivery(one, name, promised, order, max(0, (came - day).days),
                 None if expected is None else came <= expected)
        for one, name, promised, order, day, came, expected in rows
        if came is not None
    ]  # fmt: skip
