"""Suppliers' terms: announced days, price breaks, and the prices that were paid."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records.asking import columns, grouped, made, rows_of, to_write
from app.records.models import Movement, OrderLine, PackBreak, Supplier, SupplierDate
from app.records.queries.orders import brought


@dataclass(frozen=True)
class DateRow:
    """Days that a supplier announced."""

    date_id: int
    supplier_id: int
    kind: str  # sale, cold
    first_day: date
    last_day: date
    yearly: bool
    note: str


@dataclass(frozen=True)
class PaidRow:
    """Packs that came with an order: what one was to cost, what came and what that came to, with
    its freight and fees."""

    day: date
    supplier: str
    pack_label: str
    pack_size: int
    price: int
    quantity: int  # base units that came
    landed: int  # minor units


_PAID = columns(
    PaidRow,
    Movement,
    OrderLine,
    supplier=Supplier.name,
    quantity=func.sum(Movement.quantity),
    landed=func.sum(Movement.value),
)


def supplier_dates(session: Session) -> list[DateRow]:
    """All announced days, the earliest first."""
    rows = to_write(session, SupplierDate, SupplierDate.first_day, SupplierDate.id)
    return [made(DateRow, row, date_id=row.id) for row in rows]


def date_to_write(session: Session, date_id: int) -> SupplierDate | None:
    """Announced days to write to; None when they are gone."""
    return session.get(SupplierDate, date_id)


def breaks(session: Session) -> dict[int, tuple[tuple[int, int], ...]]:
    """By pack: from so many on, one of them costs so much."""
    rows = session.scalars(select(PackBreak).order_by(PackBreak.pack_id, PackBreak.packs))
    by_pack = grouped(rows, "pack_id")
    return {pack: tuple((one.packs, one.price) for one in some) for pack, some in by_pack.items()}


def breaks_to_write(session: Session, pack_id: int) -> list[PackBreak]:
    """A pack's breaks to write to."""
    return to_write(session, PackBreak, PackBreak.packs, pack_id=pack_id)


def paid(session: Session, supply_id: int, limit: int = 60) -> list[PaidRow]:
    """What came of a supply by order and what it cost, the newest first; what was taken back is
    left out."""
    query = (
        brought(supply_id, *_PAID)
        .group_by(Movement.day, OrderLine.id, Supplier.name)
        .order_by(Movement.day.desc(), func.max(Movement.id).desc())
        .limit(limit)
    )
    return rows_of(PaidRow, session.execute(query))
