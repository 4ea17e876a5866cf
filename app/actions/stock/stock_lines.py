"""Lines of the stock ledger with their cost, written within a change.

A supply's cost is a moving average, or goes by lot, oldest first, for dated goods and whole
containers (`calculations.costing`, `calculations.containers`). Whatever is written here, the values
in the ledger sum to what the goods cost, to the cent.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from typing import Any

from app.actions.desk.amounts import supply_of
from app.actions.desk.desk import Desk
from app.actions.stock.pool_lines import came
from app.actions.stock.pool_lines import take_back as take_back_pool
from app.calculations.stock.containers import opened_cost
from app.calculations.stock.costing import Average, Lots, Received
from app.calculations.stock.pools import worth_of_uses
from app.records.models import Lot, Movement
from app.records.queries import stock as queries
from app.records.queries.days import Session
from app.records.queries.stock import SupplyRow
from app.records.stock import balance, book_movement, lots_left
from app.records.undo.ledgers import countering


def write_line(
    session: Session,
    desk: Desk,
    day: date,
    supply_id: int,
    kind: str,
    quantity: int = 0,
    value: int = 0,
    note: str = "",
    **named: Any,
) -> None:
    """One line of the ledger, at this moment.

    `named` are its lot, job, use or order line by id, and `physical` for what a person counted.
    """
    book_movement(
        session,
        supply_id=supply_id,
        day=day,
        at=desk.clock(),
        kind=kind,
        quantity=quantity,
        value=value,
        note=note,
        **named,
    )


@dataclass(frozen=True)
class _Part:
    """A part of what is taken: from a lot (or none), base units, minor units."""

    lot: int | None
    quantity: int
    cost: int
    opens: bool = True  # whether a container was opened for it


def by_lot(supply: SupplyRow) -> bool:
    """Whether a supply is used and valued lot by lot, oldest first."""
    if supply.pool:
        return False  # pieces that come back from the wash have no age by which they go
    return supply.costing == "lot" or supply.whole_container


def take_out(
    session: Session,
    desk: Desk,
    day: date,
    supply_id: int,
    quantity: int,
    kind: str,
    note: str = "",
    *,
    known: dict[int, tuple[int, int]] | None = None,
    **named: Any,
) -> int:
    """Write what leaves the shelf, and return what it cost in minor units.

    What is not there is taken all the same, at the last known unit cost: then the count was wrong,
    or a delivery was not entered yet. Who takes out much at once passes the balances as `known`
    (quantity and value by supply), which then are kept up instead of read each time. `named` are
    those of `write_line`.
    """
    if quantity == 0:
        return 0
    supply = supply_of(desk, supply_id)
    standing = known.get(supply_id, (0, 0)) if known is not None else balance(session, supply_id)
    parts = _parts(session, supply, quantity, *standing)
    for part in parts:
        cost, took, lot = -part.cost, -part.quantity, part.lot
        write_line(session, desk, day, supply_id, kind, took, cost, note, lot_id=lot, **named)
        if part.lot is not None:
            _note_opened(session, part.lot, day, again=part.opens and supply.whole_container)
    session.flush()
    cost = sum(part.cost for part in parts)
    if known is not None:
        known[supply_id] = (standing[0] - quantity, standing[1] - cost)
    return cost


def wear_out(
    session: Session,
    desk: Desk,
    day: date,
    supply: SupplyRow,
    uses: int,
    each: Fraction,
    known: dict[int, tuple[int, int]],
    **named: Any,
) -> int:
    """Write the worth that single uses wear off the pieces of a pool; what it is in minor units.

    `uses` in thousandths, `each` what a new piece costs (`last_unit_cost`). The pieces stay: the
    line has no quantity.
    """
    standing, value = known.get(supply.supply_id, (0, 0))
    cost = worth_of_uses(uses, each, supply.pool_uses, value)
    if cost:
        note = f"Worn by {uses // 1000} uses"
        write_line(session, desk, day, supply.supply_id, "used", 0, -cost, note, **named)
        session.flush()
        known[supply.supply_id] = (standing, value - cost)
    return cost


def _parts(
    session: Session, supply: SupplyRow, quantity: int, standing: int, value: int
) -> list[_Part]:
    # The last cost paid is only asked for where something is taken that is not there.
    last = Fraction(0) if 0 <= quantity <= standing else last_unit_cost(session, supply)
    if not by_lot(supply):
        _, cost = Average(standing, value, last).issue(quantity)
        return [_Part(None, quantity, cost)]
    lots = _lots(session, supply, standing, value, last)
    _, _, taken = lots.issue(quantity)
    if not supply.whole_container:
        return [_Part(one.lot, one.quantity, one.cost) for one in taken]
    size = container_size(session, supply)
    there = {one.lot: one for one in lots.lots}
    parts = []
    for one in taken:
        source = there.pop(one.lot, None)  # what is short comes last and from nowhere
        cost, opens = one.cost, True
        if source is not None:
            cost = opened_cost(source.quantity, source.cost, size, one.quantity)
            rest = source.quantity - one.quantity
            opens = size <= 0 or rest // size < source.quantity // size
        parts.append(_Part(one.lot, one.quantity, cost, opens))
    return parts


def _lots(session: Session, supply: SupplyRow, standing: int, value: int, last: Fraction) -> Lots:
    """The lots as they stand; what belongs to no lot is the oldest of them, or what is short."""
    found = [
        Received(quantity, cost, lot)
        for lot, quantity, cost in lots_left(session, supply.supply_id)
    ]
    rest = standing - sum(one.quantity for one in found)
    rest_value = value - sum(one.cost for one in found)
    if rest > 0:
        found.insert(0, Received(rest, rest_value, None))
    short = max(0, -rest)
    return Lots(tuple(found), short, -rest_value if short else 0, last)


def container_size(session: Session, supply: SupplyRow) -> int:
    """The content of one container: its bottle, else its smallest pack."""
    return supply.bottle or queries.smallest_packs(session).get(supply.supply_id, 0)


def last_unit_cost(session: Session, supply: SupplyRow) -> Fraction:
    """Minor units per base unit as last paid, else by the cheapest pack, else nothing."""
    paid = queries.last_price(session, supply.supply_id, for_nothing=False)
    if paid is not None:
        return Fraction(paid[0], paid[1])
    offers = [
        Fraction(pack.price, pack.size)
        for pack in queries.packs(session).get(supply.supply_id, ())
        if pack.size > 0 and pack.price > 0
    ]
    return min(offers, default=Fraction(0))


def _note_opened(session: Session, lot_id: int, day: date, *, again: bool) -> None:
    """A lot may hold several containers: the day is that of the one opened last."""
    lot = session.get(Lot, lot_id)
    if lot is not None and (lot.opened_on is None or again):
        lot.opened_on = day


def receive_goods(
    session: Session,
    desk: Desk,
    day: date,
    supply_id: int,
    quantity: int,
    cost: int,
    *,
    lot_code: str = "",
    expires_on: date | None = None,
    order_line_id: int | None = None,
    note: str = "",
) -> None:
    """Write what comes onto the shelf, with what it really cost.

    Goods used by lot get one, with the expiry on the container, else by the supply's shelf life.
    Where the book stood below zero the goods fill that first; what the shortage was valued at and
    what it really cost are settled by a line of their own.
    """
    supply = supply_of(desk, supply_id)
    standing, value = balance(session, supply_id)
    last = last_unit_cost(session, supply)
    untaxed = queries.use_tax_rate(session, order_line_id) if order_line_id else 0
    lot_id = None
    if by_lot(supply):
        if expires_on is None and supply.shelf_life_days:
            expires_on = day + timedelta(days=supply.shelf_life_days)
        lot = Lot(supply_id=supply_id, code=lot_code[:60], received_on=day, expires_on=expires_on)
        session.add(lot)
        session.flush()
        lot_id = lot.id

    def line(kind: str, quantity: int, value: int, lot: int | None, why: str) -> None:
        named = {"lot_id": lot, "order_line_id": order_line_id}
        if kind == "received":
            named["use_tax_rate"] = untaxed
        write_line(session, desk, day, supply_id, kind, quantity, value, why, **named)

    if by_lot(supply):
        before = _lots(session, supply, standing, value, last)
        after = before.receive(quantity, cost, lot_id)
        line("received", quantity, cost, lot_id, note)
        filling = before.short - after.short
        if filling:
            released = before.short_value - after.short_value
            line("counted", -filling, -(after.settled + released), lot_id, "Fills what was short")
            line("counted", filling, released, None, "Filled from the delivery")
    else:
        settled = Average(standing, value, last).receive(quantity, cost).settled
        line("received", quantity, cost, None, note)
        if settled:
            why = "What was short cost more or less than it was valued"
            line("counted", 0, -settled, None, why)
    session.flush()
    came(session, desk, day, supply, quantity, note)


def set_counted(
    session: Session, desk: Desk, day: date, supply_id: int, counted: int, note: str
) -> tuple[int, int]:
    """Write the difference to what a person counted; (difference in base units, its value)."""
    supply = supply_of(desk, supply_id)
    standing, value = balance(session, supply_id)
    difference = counted - standing
    if difference == 0:
        return 0, 0
    if difference < 0 and counted >= 0:
        return difference, -take_out(
            session, desk, day, supply_id, -difference, "counted", note, physical=True
        )
    last = last_unit_cost(session, supply)
    after, lost = Average(standing, value, last).correct(counted)
    lot = None
    if by_lot(supply):
        newest = lots_left(session, supply_id)
        lot = newest[-1][0] if newest and standing >= 0 else None
    write_line(
        session, desk, day, supply_id, "counted", difference, -lost, note,
        physical=True, lot_id=lot,
    )  # fmt: skip
    session.flush()
    return difference, after.value - value


def take_back(session: Session, desk: Desk, lines: list[Movement], reason: str) -> None:
    """Write the lines that take these back, each on its own day, and settle what is left over.

    The quantity returns at the very cost it left at. Where the stock has moved on so that a value
    would stand on an empty shelf, that value is settled by a line of its own.
    """
    touched: dict[int, date] = {}
    for one in lines:
        session.add(countering(one, day=one.day, at=desk.clock(), note=reason))
        touched[one.supply_id] = one.day
        lot = session.get(Lot, one.lot_id) if one.lot_id is not None else None
        if lot is not None and lot.opened_on == one.day:
            lot.opened_on = None
        if lot is not None and lot.finished_on == one.day:
            lot.finished_on = None
    session.flush()
    take_back_pool(session, desk, reason, movement_ids=[one.id for one in lines])
    for supply_id, day in touched.items():
        settle(session, desk, day, supply_id)


def settle(session: Session, desk: Desk, day: date, supply_id: int) -> None:
    """Write off a value that cannot be that of what stands there."""
    quantity, value = balance(session, supply_id)
    last = last_unit_cost(session, supply_of(desk, supply_id))
    kept = Average(quantity, value, last).settle().value
    if kept != value:
        note = "Settled: the shelf is empty"
        write_line(session, desk, day, supply_id, "counted", 0, kept - value, note)
        session.flush()
