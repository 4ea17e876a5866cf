"""Customers, vehicles and who held which: lists with limits, and pages."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Select, func, or_, select
from sqlalchemy.orm import Session

from app.records.asking import anywhere, columns, made, rows_of, sums_of
from app.records.models import (
    Charge,
    Customer,
    Job,
    OwnerLink,
    Reminder,
    Vehicle,
)
from app.records.queries.days import services_of


@dataclass(frozen=True, kw_only=True)
class CustomerRow:
    """A line of the customer list."""

    id: int
    name: str
    phone: str
    email: str
    city: str
    vehicles: tuple[str, ...]
    jobs: int
    last_visit: date | None
    may_remind: bool
    stopped: bool
    deceased: bool
    archived_on: date | None


@dataclass(frozen=True, kw_only=True)
class LinkRow:
    """A vehicle that a customer holds or held."""

    link_id: int
    vehicle_id: int
    description: str
    plate: str
    year: int | None
    size_outside: str
    size_inside: str
    from_day: date | None
    to_day: date | None
    archived_on: date | None


@dataclass(frozen=True)
class HistoryRow:
    """A job in a customer's or vehicle's history; net in minor units."""

    job_id: int
    number: int
    day: date | None
    state: str
    vehicle: str
    services: tuple[str, ...]
    net: int


def _matching(text: str) -> Select[Any]:
    """Ids of customers whose name, ways to reach them or vehicles hold the text."""
    digits = "".join(c for c in text if c.isdigit())
    holders = select(OwnerLink.customer_id).join(Vehicle, Vehicle.id == OwnerLink.vehicle_id)
    held = or_(anywhere(Vehicle.description, text), anywhere(Vehicle.plate, text))
    clauses = [anywhere(c, text) for c in (Customer.name, Customer.email, Customer.city)]
    clauses.append(Customer.id.in_(holders.where(OwnerLink.to_day.is_(None), held)))
    if len(digits) >= 3:
        clauses.append(Customer.phone.like(f"%{digits}%"))
        clauses.append(Customer.second_phone.like(f"%{digits}%"))
    return select(Customer.id).where(or_(*clauses))


def makes(session: Session) -> list[str]:
    """The makers of the vehicles in the book, each once."""
    query = select(Vehicle.make).where(Vehicle.make != "").distinct().order_by(Vehicle.make)
    return list(session.scalars(query))


def customers(session: Session, text: str = "", limit: int = 500) -> tuple[list[CustomerRow], int]:
    """(rows in order of name, how many there are in all); the vehicles are those held now.

    Archived customers are found by a text only.
    """
    query = select(Customer).order_by(func.lower(Customer.name), Customer.id)
    count = select(func.count()).select_from(Customer)
    if text.strip():
        wanted = _matching(text.strip())
        query = query.where(Customer.id.in_(wanted))
        count = count.where(Customer.id.in_(wanted))
    else:
        query = query.where(Customer.archived_on.is_(None))
        count = count.where(Customer.archived_on.is_(None))
    found = list(session.scalars(query.limit(limit)))
    ids = [customer.id for customer in found]
    vehicles: dict[int, list[str]] = {}
    for customer_id, description in session.execute(
        select(OwnerLink.customer_id, Vehicle.description)
        .join(Vehicle, Vehicle.id == OwnerLink.vehicle_id)
        .where(
            OwnerLink.customer_id.in_(ids),
            OwnerLink.to_day.is_(None),
            Vehicle.archived_on.is_(None),
        )
        .order_by(OwnerLink.id)
    ):
        vehicles.setdefault(customer_id, []).append(description)
    visits = {
        customer_id: {"jobs": count, "last_visit": last}
        for customer_id, count, last in session.execute(
            select(Job.customer_id, func.count(), func.max(Job.done_on))
            .where(Job.customer_id.in_(ids), Job.state == "done")
            .group_by(Job.customer_id)
        )
    }
    never: dict[str, Any] = {"jobs": 0, "last_visit": None}
    rows = [
        made(
            CustomerRow,
            c,
            vehicles=tuple(vehicles.get(c.id, ())),
            stopped=c.stopped_on is not None,
            **visits.get(c.id, never),
        )
        for c in found
    ]
    return rows, int(session.scalar(count) or 0)


_LINK = columns(LinkRow, OwnerLink, Vehicle, link_id=OwnerLink.id, archived_on=Vehicle.archived_on)


def links_of(session: Session, *, customer_id: int) -> list[LinkRow]:
    """The vehicles a customer holds, then those they held."""
    query = (
        select(*_LINK)
        .join(Vehicle, Vehicle.id == OwnerLink.vehicle_id)
        .where(OwnerLink.customer_id == customer_id)
        .order_by(OwnerLink.to_day.is_not(None), OwnerLink.id)
    )
    return rows_of(LinkRow, session.execute(query))


def owners_of(session: Session, vehicle_id: int) -> list[tuple[int, str, date | None, date | None]]:
    """(customer id, name, from, to) of a vehicle, the present owner last."""
    rows = session.execute(
        select(Customer.id, Customer.name, OwnerLink.from_day, OwnerLink.to_day)
        .join(OwnerLink, OwnerLink.customer_id == Customer.id)
        .where(OwnerLink.vehicle_id == vehicle_id)
        .order_by(OwnerLink.to_day.is_(None), OwnerLink.id)
    )
    return [(customer, name, start, end) for customer, name, start, end in rows]


def history(
    session: Session,
    *,
    customer_id: int | None = None,
    vehicle_id: int | None = None,
    limit: int = 200,
) -> list[HistoryRow]:
    """The jobs of a customer or of a vehicle, the newest first."""
    query = (
        select(Job, Vehicle.description)
        .outerjoin(Vehicle, Vehicle.id == Job.vehicle_id)
        .order_by(func.coalesce(Job.done_on, Job.first_day).desc(), Job.number.desc())
        .limit(limit)
    )
    if customer_id is not None:
        query = query.where(Job.customer_id == customer_id)
    if vehicle_id is not None:
        query = query.where(Job.vehicle_id == vehicle_id)
    found = session.execute(query).all()
    ids = [job.id for job, _ in found]
    services = services_of(session, ids)
    charges = select(Charge.job_id, func.sum(Charge.amount)).where(Charge.job_id.in_(ids))
    net = sums_of(session, charges.group_by(Charge.job_id))
    return [
        made(
            HistoryRow,
            job,
            job_id=job.id,
            day=job.done_on or job.first_day,
            vehicle=vehicle or "",
            services=tuple(one.name for one in services.get(job.id, ())),
            net=net.get(job.id, 0),
        )
        for job, vehicle in found
    ]


def earned_since(session: Session, customer_id: int, since: date) -> int:
    """Net minor units of the customer's jobs done since a day: for courtesy, not for score."""
    total = session.scalar(
        select(func.sum(Charge.amount))
        .join(Job, Job.id == Charge.job_id)
        .where(Job.customer_id == customer_id, Job.state == "done", Job.done_on >= since)
    )
    return int(total or 0)


def reminders_of(session: Session, customer_id: int) -> list[Reminder]:
    """The newest reminders to a customer, the newest first."""
    query = select(Reminder).where(Reminder.customer_id == customer_id)
    return list(session.scalars(query.order_by(Reminder.day.desc(), Reminder.id.desc()).limit(40)))


def open_links(session: Session, customer_id: int, vehicle_ids: tuple[int, ...]) -> list[int]:
    """The open owner links of a customer to these vehicles."""
    query = select(OwnerLink.id).where(OwnerLink.customer_id == customer_id)
    query = query.where(OwnerLink.vehicle_id.in_(vehicle_ids), OwnerLink.to_day.is_(None))
    return list(session.scalars(query))


def others_of_household(session: Session, customer_id: int) -> list[str]:
    """The names of who else lives in a customer's household."""
    mine = select(Customer.household).where(Customer.id == customer_id).scalar_subquery()
    query = select(Customer.name).where(
        Customer.household == mine,
        Customer.household != "",
        Customer.id != customer_id,
        Customer.deceased.is_(False),
        Customer.archived_on.is_(None),
    )
    return list(session.scalars(query.order_by(Customer.name)))


def referred_by(session: Session, customer_id: int) -> list[tuple[int, str]]:
    """The customers whom this one sent."""
    rows = session.execute(
        select(Customer.id, Customer.name)
        .where(Customer.referred_by_id == customer_id)
        .order_by(Customer.name)
    )
    return [(found, name) for found, name in rows]
