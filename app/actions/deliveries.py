"""Deliveries: what is on its way, ready to be written over with what really came."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from app.actions.amounts import all_supplies, money
from app.actions.desk import Desk
from app.actions.open_day import numbered
from app.actions.receiving import LotTyped
from app.actions.stock_lines import by_lot
from app.calculations.dates import near
from app.calculations.money import read_money
from app.documents.dates import read_day
from app.errors import Mendable
from app.records.queries import orders as queries
from app.records.queries import stock as stock_queries

STATE_WORDS = {"written": "written", "sent": "sent", "part": "came in part;"}


@dataclass(frozen=True)
class DueLine:
    """A line of an order, ready to be written over with what came."""

    line_id: int
    supply: str
    pack: str
    ordered: int
    came: int
    due: int
    price_text: str
    by_lot: bool


@dataclass(frozen=True)
class DueOrder:
    """An order on its way."""

    order_id: int
    number_text: str
    supplier: str
    state: str
    text: str
    overdue: bool
    lines: tuple[DueLine, ...]


def due_orders(desk: Desk, day: date) -> tuple[DueOrder, ...]:
    """The orders written or sent and not wholly received, the oldest first."""
    supplies = all_supplies(desk)
    with desk.book.reading() as session:
        orders = queries.on_their_way(session)
        suppliers = stock_queries.suppliers(session)
    found = []
    for order in orders:
        expected = order.expected_on
        overdue = order.state != "written" and expected is not None and expected < day
        said = f"{STATE_WORDS.get(order.state, order.state)} {near(order.day, day)}"
        if expected is not None:
            said += f", expected {near(expected, day)}"
        found.append(
            DueOrder(
                order.order_id,
                numbered(order.number),
                suppliers[order.supplier_id].name,
                order.state,
                said,
                overdue,
                tuple(
                    DueLine(
                        line.line_id,
                        line.supply,
                        line.pack_label,
                        line.packs,
                        line.packs_received,
                        max(0, line.packs - line.packs_received),
                        money(desk, line.price),
                        by_lot(supplies[line.supply_id]) if line.supply_id in supplies else False,
                    )
                    for line in order.lines
                ),
            )
        )
    return tuple(found)


def read_delivery(
    desk: Desk, came: Mapping[int, tuple[str, str, str, str]]
) -> tuple[dict[int, int], dict[int, int], dict[int, LotTyped]]:
    """(packs, prices, lots) by line from what was typed of it: packs, price, lot, keeps to."""
    packs: dict[int, int] = {}
    prices: dict[int, int] = {}
    lots: dict[int, LotTyped] = {}
    for line, (number, price, code, keeps) in came.items():
        plain = number.strip()
        if not plain.isdecimal():
            raise Mendable(f"“{plain}” is no number of packs; type one like 2, or 0.")
        packs[line] = int(plain)
        if price.strip():
            prices[line] = read_money(price, desk.settings.currency)
        expires = None
        if keeps.strip():
            read = read_day(keeps, desk.settings.date_order.upper(), desk.today)
            if read.day is None:
                raise Mendable(
                    f"“{keeps.strip()}” is no day; type it like {desk.today.isoformat()}."
                )
            expires = read.day
        if code.strip() or expires:
            lots[line] = LotTyped(code.strip(), expires)
    return packs, prices, lots
