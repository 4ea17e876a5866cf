"""Jobs that letters may have brought."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from app.records.models import Charge, Customer, Job
from app.records.queries.protection import household_of


@dataclass(frozen=True)
class BroughtRow:
    """A job not called off, with what is charged on it in net minor units."""

    job_id: int
    number: int
    customer: str
    household: str
    booked_on: date | None
    first_day: date | None
    state: str
    net: int


def jobs_booked(session: Session, since: date) -> list[BroughtRow]:
    """The jobs that were booked, or begin, on or after a day."""
    rows = session.execute(
        select(
            Job.id,
            Job.number,
            Customer.name,
            Customer.id,
            Customer.household,
            Job.booked_on,
            Job.first_day,
            Job.state,
            func.coalesce(func.sum(Charge.amount), 0),
        )
        .join(Customer, Customer.id == Job.customer_id)
        .outerjoin(Charge, Charge.job_id == Job.id)
        .where(
            Job.state.in_(("booked", "working", "done")),
            or_(Job.booked_on >= since, Job.first_day >= since),
        )
        .group_by(Job.id)
        .order_by(Job.id)
    )
    return [
        BroughtRow(job, number, name, household_of(customer, household), booked, first, state, net)
        for job, number, name, customer, household, booked, first, state, net in rows
    ]
