"""Booked work that has lost its customer or its vehicle: sold, died, put into the archive."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from sqlalchemy import and_, or_, select
from sqlalchemy.orm import Session

from app.records.asking import columns, rows_of
from app.records.models import Customer, Job, OwnerLink, Vehicle


@dataclass(frozen=True, kw_only=True)
class LeftRow:
    """A job that is still booked."""

    job_id: int
    number: int
    vehicle_id: int | None
    first_day: date | None


_LEFT = columns(LeftRow, Job, job_id=Job.id)


def left_bookings(session: Session, customer_ids: Collection[int]) -> list[LeftRow]:
    """What is booked for customers who died or are archived, or on what is not theirs any more.

    A vehicle that was never theirs by the book is none that they have sold.
    """
    link = select(OwnerLink.id).where(
        OwnerLink.vehicle_id == Job.vehicle_id, OwnerLink.customer_id == Job.customer_id
    )
    sold = and_(link.exists(), ~link.where(OwnerLink.to_day.is_(None)).exists())
    gone = or_(Customer.deceased, Customer.archived_on.is_not(None))
    query = (
        select(*_LEFT)
        .join(Customer, Customer.id == Job.customer_id)
        .outerjoin(Vehicle, Vehicle.id == Job.vehicle_id)
        .where(Job.customer_id.in_(customer_ids), Job.state == "booked")
        .where(or_(gone, Vehicle.archived_on.is_not(None), sold))
        .order_by(Job.number)
    )
    return rows_of(LeftRow, session.execute(query))
