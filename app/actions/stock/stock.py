"""The shelf's own actions: receive, count, waste, return, open, fill a bottle.

Each is one named, undoable action on a day's sheet. A weighing is read against the container's
empty weight, a mix through the dilution, as in the station *Supplies used*.
"""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING

from app.actions.desk.amounts import (
    amount_said,
    amount_text,
    entry_setting,
    money,
    read_parts,
    stock_said,
    supply_of,
)
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import writing_on
from app.actions.stock import pool_lines
from app.actions.stock.left import left_on
from app.actions.stock.neighbors import OVERRIDES, filling_caution
from app.actions.stock.stock_lines import by_lot, receive_goods, set_counted, take_out, write_line
from app.calculations.numbers import dilution
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.entries import read_use
from app.calculations.numbers.money import read_money
from app.calculations.numbers.units import Kind, base_amount, is_mass
from app.calculations.stock.pools import PIECE
from app.errors import Mendable
from app.records.models import Lot, Movement
from app.records.queries import stock as queries
from app.records.queries.pools import last_movement
from app.records.queries.stock import SupplyRow
from app.records.stock import balance

if TYPE_CHECKING:  # it draws with Qt, which costs time at the start
    from app.documents.papers.label import BottleLabel

KINDS = frozenset({"stock", "supplies", "days"})
AS_THE_BOOK = "="  # typed for a count that found just what the book says
MIXED_DAYS = 14  # a mix is used up within about two weeks (common practice, no source)


def on_hand(desk: Desk, supply_id: int) -> int:
    """What the ledger says stands there now, base units."""
    with desk.book.reading() as session:
        return balance(session, supply_id)[0]


def read_standing(desk: Desk, supply: SupplyRow, typed: str) -> tuple[int, int | None]:
    """(base units, weight in mg) of what stands on the shelf, as a person says it when counting.

    `1.5 gal`, `3 bottles`, `1/4 bottle`. Where the empty weight is known, `412 g` of a liquid was
    read from the scale, with its container; of a paste `412 g left` was, `412 g` is its content.
    """
    plain = typed.strip()
    if not plain:
        raise Mendable("Type how much stands there, such as 2 bottles or 412 g.")
    lower = plain.lower()
    said_left = lower.endswith(("left", "now"))
    bare = lower.removesuffix("left").removesuffix("now").strip()
    setting = entry_setting(desk, supply, on_hand=None, last_weight=None)
    amount = read_use(bare, setting).amount
    on_scale = _is_mass(bare) if supply.kind == Kind.LIQUID else said_left
    if supply.kind == Kind.PIECE or supply.tare is None or not on_scale:
        return pool_lines.whole(supply, amount), None
    scale = amount
    if supply.kind == Kind.LIQUID:
        scale = base_amount(Fraction(amount), "uL", Kind.PASTE, supply.density)
    if scale < supply.tare:
        raise Mendable(
            f"{plain} is less than the empty container; weigh again, or mend its empty weight on "
            "the supply's page."
        )
    inside = scale - supply.tare
    if supply.kind == Kind.LIQUID:
        inside = base_amount(Fraction(inside), "mg", Kind.LIQUID, supply.density)
    return inside, scale


def _is_mass(typed: str) -> bool:
    """Whether what was typed of a liquid ends in a unit of mass."""
    return is_mass(typed.lstrip("0123456789.,/ ½⅓¼¾⅔").strip().rstrip("."), Kind.LIQUID)


def receive_goods_without_order(
    desk: Desk,
    day: date,
    supply_id: int,
    typed: str,
    cost_typed: str = "",
    *,
    lot_code: str = "",
) -> Changed:
    """Take goods onto the shelf that no order brought, such as from the store around the corner.

    Without a cost they come at what was last paid.
    """
    supply = supply_of(desk, supply_id)
    amount = _positive(desk, supply, typed)
    with desk.book.reading() as session:
        last = queries.last_price(session, supply_id)
    if cost_typed.strip():
        cost = read_money(cost_typed, desk.settings.currency)
        if cost < 0:
            raise Mendable("What it cost cannot be below zero; note a return instead.")
    else:
        cost = amount * last[0] // last[1] if last is not None else 0
    name = f"Received {amount_said(desk, supply, amount)} of {supply.name}"
    with writing_on(desk, day, name, KINDS) as session:
        note = "Without order"
        receive_goods(session, desk, day, supply_id, amount, cost, lot_code=lot_code, note=note)
    return Changed(name, KINDS, f"Taken in at {money(desk, cost)}.")


def _positive(desk: Desk, supply: SupplyRow, typed: str) -> int:
    if not typed.strip():
        raise Mendable("Type how much, such as 1 gal or 2 bottles.")
    setting = entry_setting(desk, supply, on_hand=None, last_weight=None)
    amount = read_use(typed, setting).amount
    if amount <= 0:
        raise Mendable(f"“{typed.strip()}” is nothing; type how much, such as 1 gal.")
    return pool_lines.whole(supply, amount)


def count(desk: Desk, day: date, supply_id: int, typed: str) -> Changed:
    """Set the shelf to what was counted; the difference is a line of its own: unrecorded use.

    The day's own uses need not be closed for it: what stands there is counted as it stands, so the
    uses of today's sheet are taken as used already. `=` says that just what the book says stands
    there.
    """
    supply = supply_of(desk, supply_id)
    # What open days take and have not booked has left the shelf already.
    pending = on_hand(desk, supply_id) - left_on(desk, day).get(supply_id, 0)
    weight: int | None = None
    if typed.strip() == AS_THE_BOOK:
        counted = on_hand(desk, supply_id) - pending
        if counted < 0:
            raise Mendable(
                f"The book says {stock_said(desk, supply, counted)}, which cannot stand there; "
                "type what you see."
            )
    else:
        counted, weight = read_standing(desk, supply, typed)
    name = f"Counted {supply.name}: {amount_said(desk, supply, counted)}"
    with writing_on(desk, day, name, KINDS) as session:
        difference, value = set_counted(session, desk, day, supply_id, counted + pending, "Counted")
        if difference == 0:
            # Counting what the book says is worth a line: the shelf was looked at on this day.
            note = "Counted, as in the book"
            write_line(session, desk, day, supply_id, "counted", note=note, physical=True)
        if supply.pool:
            pool_lines.counted(session, desk, day, supply, supply.pool, counted // PIECE)
        if weight is not None:
            session.flush()
            line = last_movement(session, supply_id, "counted")
            session.get_one(Movement, line).weight = weight
    if difference == 0:
        return Changed(name, KINDS, "Just as the book says.")
    more = "more" if difference > 0 else "less"
    text = amount_said(desk, supply, abs(difference))
    return Changed(name, KINDS, f"{text} {more} than the book, worth {money(desk, abs(value))}.")


def waste(desk: Desk, day: date, supply_id: int, typed: str, why: str = "") -> Changed:
    """Take off the shelf what was spilled, spoiled or thrown away."""
    return _take(desk, day, supply_id, typed, "wasted", "Wasted", why)


def give_back(desk: Desk, day: date, supply_id: int, typed: str, why: str = "") -> Changed:
    """Take off the shelf what went back to its supplier, at what it stood there for."""
    return _take(desk, day, supply_id, typed, "returned", "Gave back", why)


def _take(
    desk: Desk, day: date, supply_id: int, typed: str, kind: str, verb: str, why: str
) -> Changed:
    supply = supply_of(desk, supply_id)
    amount = _positive(desk, supply, typed)
    name = f"{verb} {amount_said(desk, supply, amount)} of {supply.name}"
    with writing_on(desk, day, name, KINDS) as session:
        cost = take_out(session, desk, day, supply_id, amount, kind, why or verb)
        pool_lines.went(session, desk, day, supply, amount, kind, why or verb)
        left = balance(session, supply_id)[0]
    sentence = f"Worth {money(desk, cost)}."
    if left < 0:
        sentence += f" That leaves {stock_said(desk, supply, left)}: count it when you can."
    return Changed(name, KINDS, sentence)


def open_container(desk: Desk, day: date, supply_id: int, lot_id: int | None = None) -> Changed:
    """Note that a container was opened today; without a lot it is the oldest unopened one."""
    supply = supply_of(desk, supply_id)
    name = f"Opened {supply.name}"
    with desk.book.reading() as session:
        lots = [lot for lot in queries.lots(session, supply_id) if lot.left > 0]
    if lot_id is not None and lot_id not in {lot.lot_id for lot in lots}:
        raise Mendable(f"That lot of {supply.name} is not on the shelf.")
    if by_lot(supply) and not lots:
        raise Mendable(f"No lot of {supply.name} is on the shelf; receive it first.")
    chosen = lot_id
    if chosen is None and lots:
        chosen = next((lot.lot_id for lot in lots if lot.opened_on is None), lots[0].lot_id)
    with writing_on(desk, day, name, KINDS) as session:
        if chosen is not None:
            lot = session.get_one(Lot, chosen)
            lot.opened_on = lot.opened_on or day
        write_line(session, desk, day, supply_id, "opened", note="Opened", lot_id=chosen)
    sentence = ""
    if supply.opened_life_days:
        until = day + timedelta(days=supply.opened_life_days)
        sentence = f"Opened it keeps to about {day_year(until)}. {OVERRIDES}"
    return Changed(name, KINDS, sentence)


def fill_bottle(
    desk: Desk, day: date, supply_id: int, size_typed: str = "", ratio_typed: str = ""
) -> tuple[Changed, BottleLabel]:
    """Fill a secondary bottle: the product moves, diluted, and is used when jobs use it.

    So nothing leaves the shelf here; the ledger notes the filling. What is printed on the bottle
    comes back with it.
    """
    supply = supply_of(desk, supply_id)
    if supply.kind != Kind.LIQUID:
        raise Mendable(f"{supply.name} is no liquid; there is nothing to fill.")
    finished = supply.bottle
    if size_typed.strip():
        finished = _positive(desk, supply, size_typed)
    if not finished:
        raise Mendable("Type the size of the bottle, such as 32 oz or 1 L.")
    parts = _parts(desk, supply, ratio_typed)
    product = dilution.product_in_finished(finished, parts)
    name = f"Filled a bottle of {supply.name}: {amount_said(desk, supply, product)} of product"
    with writing_on(desk, day, name, KINDS) as session:
        note = f"Bottle filled: {amount_text(desk, supply, product)} of product"
        write_line(session, desk, day, supply_id, "opened", note=note)
    caution = filling_caution(desk, supply)
    label = bottle_label(desk, supply, finished, parts, day)
    return Changed(name, KINDS, question=caution), label


def usual_label(desk: Desk, supply_id: int, day: date) -> BottleLabel:
    """The label of the supply's usual bottle at its usual strength, filled on a day."""
    supply = supply_of(desk, supply_id)
    if supply.kind != Kind.LIQUID:
        raise Mendable(f"{supply.name} is no liquid; there is no bottle to label.")
    if not supply.bottle:
        raise Mendable("Fill a bottle first, or enter the bottle's size under the facts.")
    return bottle_label(desk, supply, supply.bottle, _parts(desk, supply, ""), day)


def _parts(desk: Desk, supply: SupplyRow, typed: str) -> Fraction:
    if typed.strip():
        return read_parts(desk, typed)
    if supply.dilution is None:
        return Fraction(0)
    return Fraction(supply.dilution, 1000)


def bottle_label(
    desk: Desk, supply: SupplyRow, finished: int, parts: Fraction, day: date
) -> BottleLabel:
    """The label of a filled bottle; its hazards are those the owner entered from the data sheet."""
    from app.documents.papers.label import BottleLabel

    days = MIXED_DAYS if parts else supply.opened_life_days
    return BottleLabel(
        supply=supply.name,
        mix="Undiluted" if parts == 0 else dilution.sentence(parts, finished, desk.settings.system),
        mixed_on=day_year(day),
        use_by=day_year(day + timedelta(days=days)) if days else "",
        signal_word=supply.signal_word,
        hazards=supply.hazard_statements,
        pictograms=supply.pictograms,
        overrides=OVERRIDES,
    )
