"""All work and all money up to a day, of which slips are made."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from app.records.asking import sums_of
from app.records.models import Invoice, InvoiceLine, Job, Receipt


class MoneyLine(NamedTuple):
    """A line of the receipts, also one that takes another back."""

    job_id: int | None
    day: date
    amount: int
    method: str
    kind: str


def done_by(session: Session, last: date) -> dict[int, date]:
    """The jobs done by a day, each with its day."""
    query = select(Job.id, Job.done_on).where(Job.state == "done", Job.done_on <= last)
    return {job_id: done_on for job_id, done_on in session.execute(query) if done_on is not None}


def invoiced_by(session: Session, last: date) -> dict[int, int]:
    """What stands of each job on invoices issued by a day, with its tax, less credit notes."""
    sign = case((Invoice.kind == "credit", -1), else_=1)
    query = (
        select(InvoiceLine.job_id, func.sum(sign * (InvoiceLine.amount + InvoiceLine.tax)))
        .join(Invoice, Invoice.id == InvoiceLine.invoice_id)
        .where(Invoice.issued_on <= last)
        .group_by(InvoiceLine.job_id)
    )
    return sums_of(session, query)


class Credited(NamedTuple):
    """What a credit note took back at one rate, above zero: before tax, and its tax."""

    day: date
    rate: int
    net: int
    tax: int


def credited(session: Session) -> dict[int, list[Credited]]:
    """What credit notes took back of each job, by rate."""
    found: dict[int, list[Credited]] = {}
    sums = func.sum(InvoiceLine.amount), func.sum(InvoiceLine.tax)
    query = (
        select(InvoiceLine.job_id, Invoice.issued_on, InvoiceLine.tax_rate, *sums)
        .join(Invoice, Invoice.id == InvoiceLine.invoice_id)
        .where(Invoice.kind == "credit")
        .group_by(InvoiceLine.job_id, Invoice.id, InvoiceLine.tax_rate)
        .order_by(InvoiceLine.job_id, Invoice.id, InvoiceLine.tax_rate)
    )
    for job_id, day, rate, net, tax in session.execute(query):
        found.setdefault(job_id, []).append(Credited(day, rate, net, tax))
    return found


def money_lines(session: Session, last: date) -> list[MoneyLine]:
    """All lines of the receipts up to a day, in the order of their days."""
    columns = (Receipt.job_id, Receipt.day, Receipt.amount, Receipt.method, Receipt.kind)
    query = select(*columns).where(Receipt.day <= last).order_by(Receipt.day, Receipt.id)
    return [MoneyLine(*row) for row in session.execute(query)]


def first_day(session: Session) -> date | None:
    """The first day on which work was done or money came."""
    done = session.scalar(select(Job.done_on).where(Job.state == "done", Job.done_on.is_not(None))
                          .order_by(Job.done_on).limit(1))  # fmt: skip
    came = session.scalar(select(Receipt.day).order_by(Receipt.day).limit(1))
    return min((day for day in (done, came) if day is not None), default=None)
