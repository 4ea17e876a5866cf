"""Orders: those on their way, how long deliveries took, and what was chosen by hand."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from app.records.asking import columns, made, rows_of, sums_of, to_write
from app.records.models import (
    Job,
    Movement,
    Order,
    OrderChoice,
    OrderLine,
    Supplier,
    Supply,
    Use,
)
from app.records.undo.ledgers import standing

ON_THEIR_WAY = ("written", "sent", "part")


@dataclass(frozen=True, kw_only=True)
class OrderLineRow:
    """So many packs of one supply on an order."""

    line_id: int
    order_id: int
    supply_id: int
    supply: str
    pack_id: int | None
    pack_label: str
    pack_size: int
    packs: int
    packs_received: int
    price: int
    reason: str
    packs_damaged: int = 0
    damaged_on: date | None = None


@dataclass(frozen=True, kw_only=True)
class OrderRow:
    """An order with its lines."""

    order_id: int
    number: int
    supplier_id: int
    day: date
    state: str
    expected_on: date | None
    received_on: date | None
    freight: int
    note: str
    lines: tuple[OrderLineRow, ...]


def _orders(session: Session, *where: object) -> list[OrderRow]:
    heads = list(session.scalars(select(Order).where(*where).order_by(Order.number)))  # type: ignore[arg-type]
    ids = [head.id for head in heads]
    lines: dict[int, list[OrderLineRow]] = {}
    for line, name in session.execute(
        select(OrderLine, Supply.name)
        .join(Supply, Supply.id == OrderLine.supply_id)
        .where(OrderLine.order_id.in_(ids))
        .order_by(OrderLine.id)
    ):
        lines.setdefault(line.order_id, []).append(
            made(OrderLineRow, line, line_id=line.id, supply=name)
        )
    return [
        made(OrderRow, head, order_id=head.id, lines=tuple(lines.get(head.id, ())))
        for head in heads
    ]


def on_their_way(session: Session) -> list[OrderRow]:
    """The orders that are written or sent and not wholly received."""
    return _orders(session, Order.state.in_(ON_THEIR_WAY))


def last_parts(session: Session) -> dict[int, date]:
    """Order -> the last day on which a part of it came, of those that came in part."""
    own = select(OrderLine.id).join(Order, Order.id == OrderLine.order_id)
    lines = list(session.scalars(own.where(Order.state == "part")))
    if not lines:
        return {}  # mostly: the whole ledger is not looked through for it
    rows = session.execute(
        select(OrderLine.order_id, func.max(Movement.day))
        .join(Movement, Movement.order_line_id == OrderLine.id)
        .where(OrderLine.id.in_(lines), Movement.kind == "received", standing(Movement))
        .group_by(OrderLine.order_id)
    )
    return {order: day for order, day in rows}


def orders_by_id(session: Session, ids: Collection[int]) -> list[OrderRow]:
    """These orders."""
    return _orders(session, Order.id.in_(sorted(ids)))


def orders_on(session: Session, day: date) -> list[OrderRow]:
    """The orders written on a day."""
    return _orders(session, Order.day == day)


def orders_of(session: Session, supplier_id: int, limit: int = 60) -> list[OrderRow]:
    """The newest orders to a supplier, newest first."""
    query = select(Order.id).where(Order.supplier_id == supplier_id)
    ids = session.scalars(query.order_by(Order.id.desc()).limit(limit))
    return _orders(session, Order.id.in_(list(ids)))[::-1]


def order_counts(session: Session) -> dict[int, int]:
    """How many orders went to each supplier, those called off left out."""
    query = select(Order.supplier_id, func.count()).group_by(Order.supplier_id)
    return sums_of(session, query.where(Order.state != "cancelled"))


def next_number(session: Session) -> int:
    """The number of the next order."""
    return int(session.scalar(select(func.max(Order.number))) or 0) + 1


def lead_days(session: Session, supplier_id: int, limit: int = 50) -> list[int]:
    """Days from order to shelf of a supplier's last deliveries, latest last."""
    rows = session.execute(
        select(Order.day, Order.received_on)
        .where(
            Order.supplier_id == supplier_id,
            Order.state == "received",
            Order.received_on.is_not(None),
        )
        .order_by(Order.id.desc())
        .limit(limit)
    )
    return [max(0, (received - day).days) for day, received in rows if received is not None][::-1]


@dataclass(frozen=True)
class ArrivalRow:
    """What one delivery brought of a supply; base units."""

    order_number: int
    supplier: str
    ordered_on: date
    came_on: date
    quantity: int


_ARRIVAL = columns(
    ArrivalRow,
    order_number=Order.number,
    supplier=Supplier.name,
    ordered_on=Order.day,
    came_on=Movement.day,
    quantity=func.sum(Movement.quantity),
)


def brought(supply_id: int, *columns: Any) -> Select[Any]:
    """Columns of what orders brought of a supply and what stands: ledger, line, order, supplier."""
    return (
        select(*columns)
        .select_from(Movement)
        .join(OrderLine, OrderLine.id == Movement.order_line_id)
        .join(Order, Order.id == OrderLine.order_id)
        .join(Supplier, Supplier.id == Order.supplier_id)
        .where(Movement.supply_id == supply_id, Movement.kind == "received", standing(Movement))
    )


def arrivals(session: Session, supply_id: int, limit: int = 60) -> list[ArrivalRow]:
    """The last deliveries of a supply that orders brought and that stand, newest first."""
    query = (
        brought(supply_id, *_ARRIVAL)
        .group_by(Order.id, Movement.day)
        .order_by(Movement.day.desc(), Order.id.desc())
        .limit(limit)
    )
    return rows_of(ArrivalRow, session.execute(query))


def notice_days(session: Session, limit: int = 100) -> list[int]:
    """Days between booking and work of the newest jobs whose booking day is known."""
    rows = session.execute(
        select(Job.booked_on, Job.first_day)
        .where(Job.booked_on.is_not(None), Job.first_day.is_not(None), Job.state != "cancelled")
        .order_by(Job.id.desc())
        .limit(limit)
    )
    return [max(0, (first - booked).days) for booked, first in rows if first and booked]


def notice_by_supply(session: Session, jobs: int = 400) -> dict[int, list[int]]:
    """Supply -> days between booking and work of those of the newest jobs that took it."""
    newest = (
        select(Job.id, Job.booked_on, Job.first_day)
        .where(Job.booked_on.is_not(None), Job.first_day.is_not(None), Job.state != "cancelled")
        .order_by(Job.id.desc())
        .limit(jobs)
        .subquery()
    )
    rows = session.execute(
        select(Use.supply_id, newest.c.booked_on, newest.c.first_day)
        .join(newest, newest.c.id == Use.job_id)
        .where(Use.quantity > 0)
        .group_by(Use.supply_id, newest.c.id)
        .order_by(Use.supply_id, newest.c.id)
    )
    found: dict[int, list[int]] = {}
    for supply, booked, first in rows:
        found.setdefault(supply, []).append(max(0, (first - booked).days))
    return found


def choices(session: Session, day: date) -> dict[int, tuple[int, int]]:
    """Supply -> (pack, packs) as chosen by hand on a day."""
    return {
        supply: (pack, packs)
        for supply, pack, packs in session.execute(
            select(OrderChoice.supply_id, OrderChoice.pack_id, OrderChoice.packs)
            .where(OrderChoice.day == day)
            .order_by(OrderChoice.id)
        )
    }


def choice_to_write(session: Session, day: date, supply_id: int) -> OrderChoice | None:
    """The line to write to."""
    return next(iter(to_write(session, OrderChoice, day=day, supply_id=supply_id)), None)


def lines_to_write(session: Session, order_id: int) -> list[OrderLine]:
    """An order's lines, to note what came."""
    return to_write(session, OrderLine, order_id=order_id)
