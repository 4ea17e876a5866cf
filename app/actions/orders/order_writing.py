"""Choosing packs by hand, and writing the day's orders."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from app.actions.desk.amounts import supply_of
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import numbered, writing_on
from app.actions.orders.order_proposal import SupplierOrder, order_day, what_to_order
from app.actions.orders.rule_facts import supplier_names
from app.errors import Mendable
from app.records.models import Order, OrderChoice, OrderLine
from app.records.queries import days as day_queries
from app.records.queries import orders as queries
from app.records.queries import stock as stock_queries
from app.records.queries.days import Session

KINDS = frozenset({"orders", "days"})
MOST_PACKS = 9999


def set_packs(desk: Desk, day: date, supply_id: int, pack_id: int, packs: int) -> Changed:
    """Choose how many packs to order; it is kept for the day. None of it is 0."""
    if not 0 <= packs <= MOST_PACKS:
        raise Mendable(f"The number of packs must lie between 0 and {MOST_PACKS:,}.")
    supply = supply_of(desk, supply_id)
    with desk.book.reading() as session:
        offers = {pack.pack_id: pack for pack in stock_queries.packs(session).get(supply_id, [])}
    pack = offers.get(pack_id)
    if pack is None:
        raise Mendable(f"{supply.name} is not sold in that pack; choose one of its packs.")
    if pack.supplier_id is None and supply.supplier_id is None:
        raise Mendable(f"{supply.name} has no supplier yet; name one on its page.")
    name = f"Order {packs} x {pack.label} of {supply.name}"
    with writing_on(desk, day, name, KINDS) as session:
        row = queries.choice_to_write(session, day, supply_id)
        if row is None:
            row = OrderChoice(day=day, supply_id=supply_id)
            session.add(row)
        row.pack_id, row.packs = pack_id, packs
    return Changed(name, KINDS)


def as_proposed(desk: Desk, day: date, supply_id: int) -> Changed:
    """Forget what was typed: the line is ordered as proposed, or not at all."""
    supply = supply_of(desk, supply_id)
    name = f"Order {supply.name} as proposed"
    with desk.book.reading() as session:
        if supply_id not in queries.choices(session, day):
            return Changed("", frozenset())
    with writing_on(desk, day, name, KINDS) as session:
        row = queries.choice_to_write(session, day, supply_id)
        if row is not None:
            session.delete(row)
    return Changed(name, KINDS)


def write_orders(desk: Desk, day: date, supplier_ids: Iterable[int] | None = None) -> Changed:
    """Write the day's orders, all or those to some suppliers; a person sends them.

    What is written counts as on its way, so it is not proposed again.
    """
    wanted = None if supplier_ids is None else set(supplier_ids)

    def proposed() -> list[SupplierOrder]:
        return [
            one
            for one in what_to_order(desk, day).suppliers
            if (wanted is None or one.supplier_id in wanted)
            and any(line.packs for line in one.lines)
        ]

    orders = proposed()
    if not orders:
        return Changed("", frozenset(), "There is nothing to order.")
    name = (
        f"Wrote the order to {orders[0].name}"
        if len(orders) == 1
        else f"Wrote {len(orders)} orders"
    )
    with writing_on(desk, day, name, KINDS) as session:
        # as the book is now that nobody else writes
        add_orders(session, day, order_day(desk, day), proposed())
    return Changed(name, KINDS)


def orders_written(desk: Desk, day: date) -> tuple[int, ...]:
    """The orders that were written from a day's page and still stand.

    What a missed page ordered bears the day on which it was closed, or today's while it is open.
    """
    return tuple(one.order_id for one in orders_standing(desk, day))


def orders_standing(desk: Desk, day: date) -> list[queries.OrderRow]:
    """`orders_written` with their lines."""
    with desk.book.reading() as session:
        sheet = day_queries.sheet(session, day)
        closed = sheet.closed_at if sheet is not None and sheet.state == "closed" else None
        then = order_day(desk, day) if closed is None else max(day, desk.day_of(closed))
        found = queries.orders_on(session, day)
        found += queries.orders_on(session, then) if then != day else []
    return [one for one in found if one.state != "cancelled"]


def order_text(desk: Desk, order: queries.OrderRow) -> str:
    """`Order 0012 to Dunmarrow is written: 2 × 1 gal Rinseless wash`."""
    goods = ", ".join(f"{line.packs} × {line.pack_label} {line.supply}" for line in order.lines)
    name = supplier_names(desk).get(order.supplier_id, "a supplier")
    return f"Order {numbered(order.number)} to {name} is written: {goods}"


def add_orders(
    session: Session, page: date, day: date, orders: Sequence[SupplierOrder]
) -> tuple[int, ...]:
    """Write a page's orders of a day within a change; choices by hand are settled with them."""
    ids = []
    number = queries.next_number(session)
    for one in orders:
        order = Order(
            number=number,
            supplier_id=one.supplier_id,
            day=day,
            state="written",
            expected_on=one.next_delivery,
            freight=one.freight,
            note=one.note[:300],
        )
        session.add(order)
        session.flush()
        number += 1
        ids.append(order.id)
        for line in one.lines:
            choice = queries.choice_to_write(session, page, line.supply_id)
            if choice is not None:
                session.delete(choice)
            if not line.packs:
                continue
            pack = stock_queries.pack_to_write(session, line.pack_id)
            session.add(
                OrderLine(
                    order_id=order.id,
                    supply_id=line.supply_id,
                    pack_id=line.pack_id,
                    pack_label=line.pack_label,
                    pack_size=pack.size,
                    packs=line.packs,
                    packs_received=0,
                    price=line.price,
                    reason=line.reason[:300],
                )
            )
        session.flush()
    return tuple(ids)
