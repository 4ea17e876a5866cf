"""What jobs cost their customers and what came for them."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date

from sqlalchemy import ColumnElement, and_, case, func, select
from sqlalchemy.orm import Session, aliased

from app.records.asking import columns, grouped, in_parts, rows_in_parts, rows_of, sums_of
from app.records.models import (
    BESIDE_THE_JOB,
    Charge,
    Invoice,
    InvoiceLine,
    Job,
    Receipt,
)
from app.records.queries import days
from app.records.undo.ledgers import standing


@dataclass(frozen=True)
class ReceiptRow:
    """Money that came for a job and was not taken back."""

    receipt_id: int
    job_id: int | None
    day: date
    amount: int
    method: str
    kind: str
    state: str  # confirmed, expected


_RECEIPT = columns(ReceiptRow, Receipt, receipt_id=Receipt.id)


@dataclass
class Nets:
    """What a job is charged: (amount before tax, tax rate), apart as it stands on papers or not.

    The tax of what was invoiced is as printed, whatever the shop's rule or the rest is since.
    """

    invoiced: list[tuple[int, int]] = dataclass_field(default_factory=list)
    open: list[tuple[int, int]] = dataclass_field(default_factory=list)
    printed_tax: dict[int, int] = dataclass_field(default_factory=dict)  # by rate
    done_on: date | None = None

    def __iter__(self) -> Iterator[tuple[int, int]]:
        return iter((*self.invoiced, *self.open))


def nets_of(session: Session, job_ids: Collection[int]) -> dict[int, Nets]:
    """The charges of each job that has any."""
    found: dict[int, Nets] = {}
    sign = case((Invoice.kind == "credit", -1), else_=1)
    for part in in_parts(job_ids):
        of_jobs = InvoiceLine.job_id.in_(part)
        on_paper = set(session.scalars(select(InvoiceLine.charge_id).where(of_jobs)))
        taxes = session.execute(
            select(InvoiceLine.job_id, InvoiceLine.tax_rate, func.sum(sign * InvoiceLine.tax))
            .join(Invoice, Invoice.id == InvoiceLine.invoice_id)
            .where(of_jobs)
            .group_by(InvoiceLine.job_id, InvoiceLine.tax_rate)
        )
        for job_id, rate, tax in taxes if on_paper else ():
            found.setdefault(job_id, Nets()).printed_tax[rate] = tax
        for job_id, charge_id, amount, rate, done_on in session.execute(
            select(Charge.job_id, Charge.id, Charge.amount, Charge.tax_rate, Job.done_on)
            .join(Job, Job.id == Charge.job_id)
            .where(Charge.job_id.in_(part))
            .order_by(Charge.position, Charge.id)
        ):
            nets = found.setdefault(job_id, Nets())
            nets.done_on = done_on
            (nets.invoiced if charge_id in on_paper else nets.open).append((amount, rate))
    return found


def receipts_of(session: Session, job_ids: Collection[int]) -> dict[int, list[ReceiptRow]]:
    """What each job was paid and stands: neither taken back nor taking back; no tip or credit."""
    return _receipts(session, job_ids, Receipt.kind.not_in(BESIDE_THE_JOB))


def lines_within(session: Session, first: date, last: date) -> list[ReceiptRow]:
    """Every line of the receipts of these days, also one that takes another back."""
    query = select(*_RECEIPT).where(Receipt.day >= first, Receipt.day <= last)
    return rows_of(ReceiptRow, session.execute(query.order_by(Receipt.day, Receipt.id)))


def together_with(session: Session, receipt_id: int) -> list[ReceiptRow]:
    """The receipts that came in one payment with this one and stand, its tips and credits too."""
    one = aliased(Receipt)
    query = (
        select(*_RECEIPT)
        .join(one, and_(one.at == Receipt.at, one.day == Receipt.day, one.method == Receipt.method))
        .where(one.id == receipt_id, standing(Receipt))
    )
    return rows_of(ReceiptRow, session.execute(query.order_by(Receipt.id)))


def beside_of(session: Session, job_ids: Collection[int]) -> dict[int, list[ReceiptRow]]:
    """The tips and credits that came with each job and stand."""
    return _receipts(session, job_ids, Receipt.kind.in_(BESIDE_THE_JOB))


def _receipts(
    session: Session, job_ids: Collection[int], wanted: ColumnElement[bool]
) -> dict[int, list[ReceiptRow]]:
    query = select(*_RECEIPT).where(wanted, standing(Receipt))
    query = query.order_by(Receipt.day, Receipt.id)
    return grouped(rows_in_parts(ReceiptRow, session, query, Receipt.job_id, job_ids), "job_id")


def credit_of(session: Session, customer_ids: Collection[int]) -> dict[int, int]:
    """What is held for each customer as credit, found through their jobs."""
    query = select(Job.customer_id, func.sum(Receipt.amount)).group_by(Job.customer_id)
    query = query.join(Job, Job.id == Receipt.job_id).where(Receipt.kind == "credit")
    found: dict[int, int] = {}
    for part in in_parts(customer_ids):
        found |= sums_of(session, query.where(Job.customer_id.in_(part)))
    return found


def jobs_with_receipts(session: Session, day: date) -> set[int]:
    """The jobs for which money stands as taken on a day."""
    found = session.scalars(
        select(Receipt.job_id)
        .where(Receipt.day == day, Receipt.job_id.is_not(None), Receipt.kind != "reversed")
        .distinct()
    )
    return {job for job in found if job is not None}


def lately_done_owing(session: Session, since: date, day: date) -> list[days.JobRow]:
    """The jobs done from `since` to `day` whose charges with tax are above what came for them."""
    within = and_(Job.state == "done", Job.done_on >= since, Job.done_on <= day)
    owed = (
        select(Charge.job_id, func.sum(Charge.amount * (100_000 + Charge.tax_rate)).label("exact"))
        .join(Job, Job.id == Charge.job_id)
        .where(within)
        .group_by(Charge.job_id)
        .subquery()
    )
    came = (
        select(Receipt.job_id, func.sum(Receipt.amount).label("amount"))
        .join(Job, Job.id == Receipt.job_id)
        .where(within, Receipt.kind.not_in(BESIDE_THE_JOB))
        .group_by(Receipt.job_id)
        .subquery()
    )
    paid = func.coalesce(came.c.amount, 0) * 100_000
    ids = list(
        session.scalars(
            select(owed.c.job_id)
            .outerjoin(came, came.c.job_id == owed.c.job_id)
            # Within a unit is rounding; the exact sums are worked out by the caller.
            .where(owed.c.exact > paid + 50_000)
        )
    )
    return days.jobs_by_id(session, ids)


def usual_methods(session: Session, customer_ids: Collection[int]) -> dict[int, str]:
    """How each customer paid last."""
    found: dict[int, str] = {}
    for part in in_parts(customer_ids):
        for customer_id, method in session.execute(
            select(Receipt.customer_id, Receipt.method)
            .where(Receipt.customer_id.in_(part), Receipt.method.not_in(("", "credit")))
            .order_by(Receipt.day, Receipt.id)
        ):
            if customer_id is not None:
                found[customer_id] = method
    return found
