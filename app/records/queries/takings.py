"""What jobs cost their customers and what came for them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from sqlalchemy import ColumnElement, and_, func, select
from sqlalchemy.orm import Session

from app.records.asking import columns, grouped, in_parts, rows_in_parts, sums_of
from app.records.models import BESIDE_THE_JOB, Charge, Job, Receipt
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


def nets_of(session: Session, job_ids: Collection[int]) -> dict[int, list[tuple[int, int]]]:
    """(amount, tax rate) of each charge of each job."""
    found: dict[int, list[tuple[int, int]]] = {}
    for part in in_parts(job_ids):
        for job_id, amount, rate in session.execute(
            select(Charge.job_id, Charge.amount, Charge.tax_rate)
            .where(Charge.job_id.in_(part))
            .order_by(Charge.position, Charge.id)
        ):
            found.setdefault(job_id, []).append((amount, rate))
    return found


def receipts_of(session: Session, job_ids: Collection[int]) -> dict[int, list[ReceiptRow]]:
    """What each job was paid and stands: neither taken back nor taking back; no tip or credit."""
    return _receipts(session, job_ids, Receipt.kind.not_in(BESIDE_THE_JOB))


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
