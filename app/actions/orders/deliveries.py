"""Deliveries: what is on its way, ready to be written over with what really came."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from app.actions.desk.amounts import all_supplies, money
from app.actions.desk.desk import Desk
from app.actions.desk.typed_days import read_written_day
from app.actions.orders.order_doubts import order_doubts
from app.actions.orders.receiving import LotTyped, came_damaged
from app.actions.stock.stock_lines import by_lot
from app.calculations.numbers.dates import day_year, near
from app.calculations.numbers.entries import KEEP
from app.calculations.numbers.money import read_money
from app.errors import Mendable
from app.records.queries import orders as queries
from app.records.queries import stock as stock_queries
from app.records.queries.orders import OrderLineRow, OrderRow

STATE_WORDS = {"written": "not sent yet, written", "sent": "sent", "part": "came in part; sent"}


@dataclass(frozen=True)
class LineTyped:
    """What was typed of a line: packs that came, damaged ones among them, price, lot, last day."""

    packs: str
    damaged: str = ""
    price: str = ""
    lot: str = ""
    keeps: str = ""


@dataclass(frozen=True)
class ReadDelivery:
    """What came, by the order's line."""

    packs: dict[int, int]
    damaged: dict[int, int]
    prices: dict[int, int]
    lots: dict[int, LotTyped]


@dataclass(frozen=True)
class DueOrder:
    """An order on its way."""

    row: OrderRow
    supplier: str
    text: str
    overdue: bool
    by_lot: frozenset[int]  # the lines whose goods have a lot and a last day
    note: str  # what was damaged before
    doubts: str  # what speaks against sending it as it stands

    @property
    def goods(self) -> int:
        """What the goods cost that are still to come, minor units."""
        return sum(still_due(line) * line.price for line in self.row.lines)

    @property
    def freight(self) -> int:
        """What is still to be paid for freight, minor units; the first part brings all of it."""
        return 0 if any(line.packs_received for line in self.row.lines) else self.row.freight


def still_due(line: OrderLineRow) -> int:
    """Packs of a line that have not come."""
    return max(0, line.packs - line.packs_received)


def due_orders(desk: Desk, day: date) -> tuple[DueOrder, ...]:
    """The orders written or sent and not wholly received, the oldest first."""
    supplies = all_supplies(desk)
    with desk.book.reading() as session:
        orders = queries.on_their_way(session)
        suppliers = stock_queries.suppliers(session)
    found = []
    for order in orders:
        expected = order.expected_on
        text = f"{STATE_WORDS.get(order.state, order.state)} {near(order.day, day)}"
        if expected is not None:
            text += f", expected {near(expected, day)}"
        found.append(
            DueOrder(
                order,
                suppliers[order.supplier_id].name,
                text,
                order.state != "written" and expected is not None and expected < day,
                frozenset(
                    line.line_id
                    for line in order.lines
                    if line.supply_id in supplies and by_lot(supplies[line.supply_id])
                ),
                " ".join(_damage_of(line) for line in order.lines if line.packs_damaged),
                order_doubts(desk, order),
            )
        )
    return tuple(found)


def _damage_of(line: queries.OrderLineRow) -> str:
    when = "" if line.damaged_on is None else f" {day_year(line.damaged_on)}"
    return f"{came_damaged(line, line.packs_damaged)}{when}."


def read_delivery(desk: Desk, came: Mapping[int, LineTyped]) -> ReadDelivery:
    """What was typed of a delivery, by line; `Mendable` says what cannot be read."""
    read = ReadDelivery({}, {}, {}, {})
    for line, typed in came.items():
        read.packs[line] = _packs(typed.packs)
        if typed.damaged.strip() not in ("", "·"):
            read.damaged[line] = _packs(typed.damaged)
            if read.damaged[line] > read.packs[line]:
                raise Mendable(
                    f"{read.damaged[line]} cannot be damaged where {read.packs[line]} came; mend "
                    "one of the two."
                )
        if typed.price.strip():
            price = read_money(typed.price, desk.settings.currency)
            if price < 0:
                raise Mendable("A price cannot be below zero.")
            read.prices[line] = price
        expires = None
        if typed.keeps.strip() not in ("", "·"):
            expires = read_written_day(desk, typed.keeps)
        code = typed.lot.strip()
        if code not in ("", "·") or expires:
            read.lots[line] = LotTyped("" if code == "·" else code, expires)
    return read


def _packs(typed: str) -> int:
    plain = typed.strip()
    if not plain.isdecimal():
        raise Mendable(f"“{plain}” is no number of packs; type one like 2, or 0.")
    return int(plain)


def price_question(desk: Desk, line: OrderLineRow, typed: LineTyped) -> str:
    """Asked once where the price on the delivery differs from the order's."""
    price = read_delivery(desk, {line.line_id: typed}).prices.get(line.line_id, line.price)
    if price == line.price:
        return ""
    return (
        f"{line.supply}, {line.pack_label}: {money(desk, price)} instead of "
        f"{money(desk, line.price)}. It is the pack’s price from then on. {KEEP}"
    )
