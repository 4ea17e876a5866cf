"""Letters that went, and jobs that they may have brought."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from app.records.asking import columns, rows_of
from app.records.models import Charge, Customer, Job, Reminder
from app.records.queries.protection import HOUSEHOLD


@dataclass(frozen=True, kw_only=True)
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


_BROUGHT = columns(
    BroughtRow,
    Job,
    job_id=Job.id,
    customer=Customer.name,
    household=HOUSEHOLD,
    net=func.coalesce(func.sum(Charge.amount), 0),
)


@dataclass(frozen=True)
class SentRow:
    """A letter that went."""

    reminder_id: int
    customer_id: int
    household: str
    sent_on: date
    answer: str


def letters_between(session: Session, first: date, last: date) -> list[SentRow]:
    """The letters that went from `first` to `last`, both included, in that order."""
    query = (
        select(Reminder.id, Reminder.customer_id, HOUSEHOLD, Reminder.sent_on, Reminder.answer)
        .join(Customer, Customer.id == Reminder.customer_id)
        .where(Reminder.state.in_(("sent", "answered")), Reminder.sent_on.between(first, last))
        .order_by(Reminder.sent_on, Reminder.id)
    )
    return [
        SentRow(reminder, customer, household, sent_on, answer)
        for reminder, customer, household, sent_on, answer in session.execute(query)
        if sent_on is not None
    ]


def jobs_booked(session: Session, since: date, until: date | None = None) -> list[BroughtRow]:
    """The jobs that were booked, or begin, on or after a day; none booked after another."""
    query = (
        select(*_BROUGHT)
        .join(Customer, Customer.id == Job.customer_id)
        .outerjoin(Charge, Charge.job_id == Job.id)
        .where(
            Job.state.in_(("booked", "working", "done")),
            or_(Job.booked_on >= since, Job.first_day >= since),
        )
        .group_by(Job.id)
        .order_by(Job.id)
    )
    if until is not None:
        query = query.where(func.coalesce(Job.booked_on, Job.first_day) <= until)
    return rows_of(BroughtRow, session.execute(query))


def letters_sent(
    session: Session, since: date, customer_ids: Collection[int] | None = None
) -> list[tuple[int, date, str]]:
    """(Customer id, day it was sent on, answer) of each letter that went on or after a day."""
    query = select(Reminder.customer_id, Reminder.sent_on, Reminder.answer).where(
        Reminder.state.in_(("sent", "answered")), Reminder.sent_on >= since
    )
    if customer_ids is not None:
        query = query.where(Reminder.customer_id.in_(customer_ids))
    return [
        (customer, sent_on, answer)
        for customer, sent_on, answer in session.execute(query)
        if sent_on
    ]
