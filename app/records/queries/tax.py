"""Rates of tax, filed spans of days, and what was bought without tax."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.calculations.numbers.tax_rates import DatedRate
from app.records.asking import columns, rows_of
from app.records.models import Expense, Filing, Movement, TaxRate


@dataclass(frozen=True, kw_only=True)
class FilingRow:
    """A span whose tax was filed; locked while it was not unlocked."""

    filing_id: int
    first_day: date
    last_day: date
    filed_on: date
    figures: dict[str, Any]
    unlocked_on: date | None
    unlocked_because: str


_RATE = columns(DatedRate, TaxRate, rate_id=TaxRate.id)
_FILING = columns(FilingRow, Filing, filing_id=Filing.id)


def rates(session: Session) -> list[DatedRate]:
    """All rates by kind and place, the newest of each first; those of work before others."""
    query = select(*_RATE).order_by(
        TaxRate.kind != "work",
        func.lower(TaxRate.kind),
        TaxRate.place,
        TaxRate.from_day.desc(),
        TaxRate.id,
    )
    return list(rows_of(DatedRate, session.execute(query)))


def filings(session: Session) -> list[FilingRow]:
    """All filings, the last filed span first."""
    query = select(*_FILING).order_by(Filing.last_day.desc(), Filing.id.desc())
    return list(rows_of(FilingRow, session.execute(query)))


def locked(session: Session, first: date, last: date) -> FilingRow | None:
    """The filing that locks any of these days."""
    query = select(*_FILING).where(
        Filing.unlocked_on.is_(None), Filing.first_day <= last, Filing.last_day >= first
    )
    found = rows_of(FilingRow, session.execute(query.order_by(Filing.last_day.desc()).limit(1)))
    return found[0] if found else None


def bought_untaxed(session: Session, first: date, last: date) -> list[tuple[int, int]]:
    """(rate, cost with freight) of what came in these days without tax, less what went back; by
    orders, and as expenses."""
    goods = (
        select(Movement.use_tax_rate, func.sum(Movement.value))
        .where(Movement.use_tax_rate > 0, Movement.day.between(first, last))
        .group_by(Movement.use_tax_rate)
    )
    beside = (
        select(Expense.use_tax_rate, func.sum(Expense.amount))
        .where(Expense.use_tax_rate > 0, Expense.day.between(first, last))
        .group_by(Expense.use_tax_rate)
    )
    found: dict[int, int] = {}
    for query in (goods, beside):
        for rate, value in session.execute(query):
            found[rate] = found.get(rate, 0) + int(value)
    return sorted(found.items())
