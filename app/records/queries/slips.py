"""All work and all money up to a day, of which slips are made."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.records.models import Charge, Job, Receipt


class ChargedJob(NamedTuple):
    """A job with its charges, (amount before tax, rate in thousandths of a percent)."""

    job_id: int
    done_on: date | None
    lines: tuple[tuple[int, int], ...]


class MoneyLine(NamedTuple):
    """A line of the receipts, also one that takes another back."""

    job_id: int | None
    day: date
    amount: int
    method: str
    kind: str


def done_by(session: Session, last: date) -> list[ChargedJob]:
    """The jobs done by a day, with their charges."""
    done = (Job.state == "done") & (Job.done_on <= last)
    lines: dict[int, list[tuple[int, int]]] = {}
    for job_id, amount, rate in session.execute(
        select(Charge.job_id, Charge.amount, Charge.tax_rate)
        .join(Job, Job.id == Charge.job_id)
        .where(done)
        .order_by(Charge.job_id, Charge.position, Charge.id)
    ):
        lines.setdefault(job_id, []).append((amount, rate))
    return [
        ChargedJob(job_id, done_on, tuple(lines.get(job_id, ())))
        for job_id, done_on in session.execute(select(Job.id, Job.done_on).where(done))
    ]


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
