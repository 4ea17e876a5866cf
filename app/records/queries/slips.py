"""All work and all money up to a day, of which slips are made."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sqlalchemy import and_, case, func, select
from sqlalchemy.orm import Session, aliased

from app.records.asking import sums_of
from app.records.models import Charge, Customer, Invoice, InvoiceLine, Job, Receipt, Service


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


class UntaxedLine(NamedTuple):
    """A charge without tax: before tax, its kind, and what may make it exempt."""

    amount: int
    kind: str  # empty: not said
    done_on: date
    place: str
    printed: str  # why there is no tax, as its paper says
    exempt_no: str
    exempt_until: date | None


def lines_without_tax(session: Session, first: date, last: date) -> list[UntaxedLine]:
    """The charges without tax that were earned in a span; what a credit note took back counts on
    its own day, as in the slip."""
    payer = aliased(Customer)
    credit = and_(Invoice.kind == "credit", Invoice.issued_on > Job.done_on)
    day = case((credit, Invoice.issued_on), else_=Job.done_on)
    # A credit note's own charge says no kind: it is of the kind of what it takes back.
    taken = aliased(InvoiceLine)
    back = aliased(Charge)
    kind = func.coalesce(
        func.nullif(Charge.tax_kind, ""), Service.tax_kind, func.nullif(back.tax_kind, ""), ""
    )
    query = (
        select(
            Charge.amount, kind, Job.done_on, Job.tax_place, func.coalesce(Invoice.tax_text, ""),
            func.coalesce(payer.tax_exempt_no, ""), payer.tax_exempt_until,
        )
        .join(Job, Job.id == Charge.job_id)
        .outerjoin(Service, Service.id == Charge.service_id)
        .outerjoin(Customer, Customer.id == Job.customer_id)
        .outerjoin(payer, payer.id == func.coalesce(Job.payer_id, Customer.payer_id, Customer.id))
        .outerjoin(InvoiceLine, InvoiceLine.charge_id == Charge.id)
        .outerjoin(Invoice, Invoice.id == InvoiceLine.invoice_id)
        .outerjoin(taken, taken.id == InvoiceLine.credits_line_id)
        .outerjoin(back, back.id == taken.charge_id)
        .where(Job.state == "done", Charge.tax_rate == 0, day.between(first, last))
    )  # fmt: skip
    return [UntaxedLine(*row) for row in session.execute(query)]


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
