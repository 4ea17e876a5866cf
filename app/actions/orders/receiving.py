"""Orders after they were written: sent, received in whole or part, cancelled."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date

from app.actions.desk.amounts import all_supplies, money
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import UNTOUCHED, numbered, writing_on
from app.actions.desk.typed_days import read_typed_day
from app.actions.orders.order_doubts import order_doubts
from app.actions.orders.shelf_state import probably_lost
from app.actions.stock.stock_lines import receive_goods
from app.calculations.numbers.dates import day_year, near
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.wording import counted
from app.calculations.stock.costing import landed
from app.errors import Mendable
from app.records.models import Order, OrderLine, Pack, Supply
from app.records.queries import orders as queries
from app.records.queries import stock as stock_queries
from app.records.queries import terms as term_queries
from app.records.queries.days import Session
from app.records.queries.orders import OrderLineRow, OrderRow

KINDS = frozenset({"orders", "stock", "supplies", "days"})


@dataclass(frozen=True)
class LotTyped:
    """What stands on the delivered container."""

    code: str = ""
    expires_on: date | None = None


def order_of(desk: Desk, order_id: int) -> OrderRow:
    """An order with its lines; `Mendable` where it is not in the book."""
    with desk.book.reading() as session:
        found = queries.orders_by_id(session, [order_id])
    if not found:
        raise Mendable("This order is not in the book any more.")
    return found[0]


@contextmanager
def _changing(desk: Desk, day: date, name: str) -> Iterator[Session]:
    """A change of an order alone: nothing is booked, so that the day may be closed already."""
    with (
        desk.still_standing(UNTOUCHED),
        desk.book.change(name, day=day, kinds=KINDS, at=desk.clock()) as session,
    ):
        yield session


def mark_order_sent(desk: Desk, day: date, order_id: int) -> Changed:
    """Note that a person sent an order; from that day its delivery is counted.

    It goes today at the earliest, whatever page lies open.
    """
    order = order_of(desk, order_id)
    if order.state == "cancelled":
        raise Mendable(f"{_how_it_is(order)}; write a new one where something is needed.")
    if order.state != "written":
        return Changed("", frozenset(), "This order was already noted as sent.")
    name = f"Sent order {numbered(order.number)}"
    doubts = order_doubts(desk, order)
    day = max(day, desk.today)
    with _changing(desk, day, name) as session:
        row = session.get_one(Order, order_id)
        if row.expected_on is not None and day > row.day:
            row.expected_on += day - row.day
        row.state, row.day = "sent", day
    return Changed(name, KINDS, f"{name}. {doubts}" if doubts else "")


def cancel_order(desk: Desk, day: date, order_id: int) -> Changed:
    """Take back an order of which nothing came."""
    order = order_of(desk, order_id)
    if order.state not in ("written", "sent"):
        raise Mendable(
            f"{_how_it_is(order)}; what came of it is on the "
            "shelf. Say that the rest will not come instead."
        )
    name = f"Cancelled order {numbered(order.number)}"
    with _changing(desk, day, name) as session:
        session.get_one(Order, order_id).state = "cancelled"
    return Changed(name, KINDS)


def rest_will_not_come(desk: Desk, day: date, order_id: int) -> Changed:
    """Close an order of which only a part came."""
    order = order_of(desk, order_id)
    if order.state != "part":
        raise Mendable(f"{_how_it_is(order)}, not in part.")
    name = f"The rest of order {numbered(order.number)} will not come"
    with _changing(desk, day, name) as session:
        # Without the day of receipt: a delivery that failed does not say how long one takes.
        session.get_one(Order, order_id).state = "received"
    return Changed(name, KINDS)


def expect_rest(desk: Desk, day: date, order_id: int, typed: str) -> Changed:
    """Note the day on which what is still due of an order is to come."""
    order = order_of(desk, order_id)
    if order.state not in queries.ON_THEIR_WAY:
        raise Mendable(f"{_how_it_is(order)}; nothing is due.")
    comes = read_typed_day(desk, typed, day)
    if comes is None:
        raise Mendable("Type the day on which it is to come, such as tue or 8/14.")
    if comes < day:
        raise Mendable(f"{day_year(comes)} is past; type the day on which it is to come.")
    what = "The rest of order" if order.state == "part" else "Order"
    name = f"{what} {numbered(order.number)} comes {near(comes, day)}"
    with _changing(desk, day, name) as session:
        session.get_one(Order, order_id).expected_on = comes
    return Changed(name, KINDS)


def _how_it_is(order: OrderRow) -> str:
    """`Order 0007 is received in part`."""
    state = "received in part" if order.state == "part" else order.state
    return f"Order {numbered(order.number)} is {state}"


def receive(
    desk: Desk,
    day: date,
    order_id: int,
    received: Mapping[int, int],
    freight: int | None = None,
    lots: Mapping[int, LotTyped] | None = None,
    prices: Mapping[int, int] | None = None,
    damaged: Mapping[int, int] | None = None,
) -> Changed:
    """Take a delivery onto the shelf: all of an order or a part of it.

    Parameters
    ----------
    received
        Packs that came, by the order's line.
    freight
        What freight and fees really cost, minor units; none says as ordered, charged with the
        first part. It is spread over the lines by weight (by price where no weight is known).
    lots
        The lot and expiry on the container, by line, for goods that are used oldest first.
    prices
        The price of one pack where it differs from the order, by line; it is the pack's price from
        now on.
    damaged
        How many of the packs that came cannot be used, by line. They are not taken onto the shelf
        and stay due; the order notes them.
    """
    order = order_of(desk, order_id)
    if order.state not in queries.ON_THEIR_WAY:
        raise Mendable(f"{_how_it_is(order)}; nothing is due.")
    broken = {one: packs for one, packs in (damaged or {}).items() if packs}
    coming = _whole_packs(order, received, broken)
    part = "part of " if _open_after(order, coming) else ""
    name = f"Received {part}order {numbered(order.number)}"
    lines = {line.line_id: line for line in order.lines}
    price = {one: (prices or {}).get(one, lines[one].price) for one in coming}
    news = []
    with writing_on(desk, day, name, KINDS) as session:
        costs = _landed(session, desk, lines, coming, price, _freight_due(order, freight))
        rows = {row.id: row for row in queries.lines_to_write(session, order_id)}
        for line_id, packs in coming.items():
            line, row = lines[line_id], rows[line_id]
            lot = (lots or {}).get(line_id, LotTyped())
            _onto_shelf(session, desk, day, order, line, packs, costs[line_id], lot)
            row.packs_received += packs
            if price[line_id] != line.price:
                row.price = price[line_id]
                news.append(_price_news(desk, line, price[line_id]))
            _price_seen(session, line, price[line_id], day)
        news += _seen_again(session, {lines[one].supply_id for one in coming})
        for line_id, packs in broken.items():
            news.append(_note_damaged(rows[line_id], lines[line_id], packs, day))
        head = session.get_one(Order, order_id)
        if all(row.packs_received >= row.packs for row in rows.values()):
            head.state, head.received_on = "received", day
        else:
            head.state = "part"
    return Changed(name, KINDS, " ".join(news))


def _freight_due(order: OrderRow, typed: int | None) -> int:
    """The freight of this delivery: as typed, or as ordered with the first part."""
    if typed is not None:
        return typed
    first = not any(line.packs_received for line in order.lines)
    return order.freight if first else 0


def _onto_shelf(
    session: Session,
    desk: Desk,
    day: date,
    order: OrderRow,
    line: OrderLineRow,
    packs: int,
    cost: int,
    lot: LotTyped,
) -> None:
    """Take the whole packs of a line onto the shelf."""
    receive_goods(
        session,
        desk,
        day,
        line.supply_id,
        packs * line.pack_size,
        cost,
        lot_code=lot.code,
        expires_on=lot.expires_on,
        order_line_id=line.line_id,
        note=f"Order {numbered(order.number)}: {packs} x {line.pack_label}",
    )


def _seen_again(session: Session, supply_ids: Collection[int]) -> list[str]:
    """Bring back from the archive what came in; it stands on the shelf, and is not reordered."""
    news = []
    for supply_id in sorted(supply_ids):
        supply = session.get_one(Supply, supply_id)
        if supply.archived_on is not None:
            supply.archived_on = None
            news.append(f"{supply.name} is back from the archive, to be used up.")
    return news


def _note_damaged(row: OrderLine, line: OrderLineRow, packs: int, day: date) -> str:
    """Keep on the order what came damaged; the sentence on it, said after the packs are counted."""
    row.packs_damaged, row.damaged_on = row.packs_damaged + packs, day
    what = came_damaged(line, packs)
    return f"{what}: still due." if row.packs_received < row.packs else f"{what}."


def came_damaged(line: OrderLineRow, packs: int) -> str:
    """`2 x 1 gal of Wash soap came damaged`."""
    return f"{packs} x {line.pack_label} of {line.supply} came damaged"


def _whole_packs(
    order: OrderRow, received: Mapping[int, int], broken: Mapping[int, int]
) -> dict[int, int]:
    """Packs that came and can be used, by line; `Mendable` for what cannot be."""
    lines = {line.line_id: line for line in order.lines}
    came = {one: packs for one, packs in received.items() if packs}
    if not came.keys() <= lines.keys():
        raise Mendable(f"Order {numbered(order.number)} has no such line.")
    if any(packs < 0 for packs in came.values()):
        raise Mendable("Packs that came cannot be below zero; note a return instead.")
    if not came:
        raise Mendable("Nothing was said to have come; type how many packs came.")
    for line_id, packs in broken.items():
        if not 0 <= packs <= came.get(line_id, 0):
            raise Mendable(
                f"{packs} of {lines[line_id].supply} cannot be damaged where "
                f"{came.get(line_id, 0)} came; mend one of the two."
            )
    whole = {one: packs - broken.get(one, 0) for one, packs in came.items()}
    return {one: packs for one, packs in whole.items() if packs}


def _landed(
    session: Session,
    desk: Desk,
    lines: Mapping[int, OrderLineRow],
    coming: Mapping[int, int],
    price: Mapping[int, int],
    freight: int,
) -> dict[int, int]:
    """What the goods of each line really cost, their share of the freight with them."""
    offers = stock_queries.packs(session).values()
    weights = {pack.pack_id: pack.weight for some in offers for pack in some}
    costs = landed(
        [
            (
                price[one] * packs,
                (weights.get(lines[one].pack_id or 0) or _content_weight(desk, lines[one])) * packs,
            )
            for one, packs in coming.items()
        ],
        freight,
    )
    return dict(zip(coming, costs, strict=True))


def _open_after(order: OrderRow, coming: Mapping[int, int]) -> bool:
    return any(
        line.packs_received + coming.get(line.line_id, 0) < line.packs for line in order.lines
    )


def _content_weight(desk: Desk, line: OrderLineRow) -> int:
    """What the content of a pack weighs, milligrams: where no weight was entered."""
    supply = all_supplies(desk)[line.supply_id]
    if supply.kind == "liquid":
        return half_away(line.pack_size * supply.density // 1000)
    return line.pack_size if supply.kind == "paste" else 0


def _price_seen(session: Session, line: OrderLineRow, price: int, day: date) -> None:
    """Keep a pack's price as the delivery shows it: of the pack alone, or from so many on."""
    pack = session.get(Pack, line.pack_id) if line.pack_id is not None else None
    if pack is None:
        return
    reached = [one for one in term_queries.breaks_to_write(session, pack.id)
               if one.packs <= line.packs]  # fmt: skip
    if reached:
        reached[-1].price = price
    else:
        pack.price = price
    pack.priced_on = day


def _price_news(desk: Desk, line: OrderLineRow, price: int) -> str:
    return (
        f"{line.supply}, {line.pack_label}: {money(desk, price)} instead of "
        f"{money(desk, line.price)}; that is its price from now on."
    )


def overdue_text(desk: Desk, day: date) -> str:
    """One sentence on orders that should have come, "" where none is late."""
    with desk.book.reading() as session:
        late = [
            one
            for one in queries.on_their_way(session)
            if one.expected_on is not None and one.expected_on < day
        ]
    if not late:
        return ""
    # Too long for any parcel of theirs: it is not counted on, and only the supplier knows.
    gone = probably_lost(desk, day)
    asked = []
    if parcels := [near(one.day, day) for one in gone if one.state != "part"]:
        asked.append(f"the parcel of {' and '.join(parcels)}")
    if rests := [numbered(one.number) for one in gone if one.state == "part"]:
        asked.append(f"the rest of order {' and '.join(rests)}")
    ask = f": ask about {' and '.join(asked)}" if asked else ""
    if len(late) == 1:
        expected = late[0].expected_on or day
        return f"Order {numbered(late[0].number)} was expected {near(expected, day)}{ask}."
    return f"{counted(len(late)).capitalize()} orders are overdue{ask}."
