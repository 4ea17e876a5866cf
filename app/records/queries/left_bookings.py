"""Work and money of who has died or is archived, or of a vehicle that is sold or archived."""

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
    """A job that is booked, under way or done."""

    job_id: int
    number: int
    state: str
    vehicle_id: int | None
    first_day: date | None


_LEFT = columns(LeftRow, Job, job_id=Job.id)


_GONE = or_(Customer.deceased, Customer.archived_on.is_not(None))


def left_jobs(session: Session, customer_ids: Collection[int]) -> list[LeftRow]:
    """The jobs of customers who died or are archived, or on what is not theirs any more.

    A vehicle that was never theirs by the book is none that they have sold.
    """
    link = select(OwnerLink.id).where(
        OwnerLink.vehicle_id == Job.vehicle_id, OwnerLink.customer_id == Job.customer_id
    )
    sold = and_(link.exists(), ~link.where(OwnerLink.to_day.is_(None)).exists())
    query = (
        select(*_LEFT)
        .join(Customer, Customer.id == Job.customer_id)
        .outerjoin(Vehicle, Vehicle.id == Job.vehicle_id)
        .where(Job.customer_id.in_(customer_ids), Job.state.in_(("booked", "working", "done")))
        .where(or_(_GONE, Vehicle.archived_on.is_not(None), sold))
        .order_by(Job.number)
    )
    return rows_of(LeftRow, session.execute(query))


def gone(session: Session, customer_ids: Collection[int]) -> dict[int, str]:
    """Which of these customers have died or are archived, with words for it."""
    query = select(Customer.id, Customer.deceased).where(Customer.id.in_(customer_ids), _GONE)
    return {
        number: "has died" if died else "is in the archive"
        for number, died in session.execute(query)
    }
