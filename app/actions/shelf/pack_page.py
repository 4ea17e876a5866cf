"""Packs of a supply as its card shows them: prices and breaks, why which is taken, prices paid."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from app.actions.desk.amounts import amount_text, in_unit_of, money, price_by_unit, supply_of
from app.actions.desk.desk import Desk
from app.actions.orders.order_terms import why_this_pack
from app.actions.orders.pack_reasons import chosen_pack
from app.actions.orders.rule_facts import offers, supplier_names
from app.actions.orders.shelf_state import covers, proposal
from app.actions.orders.supplier_terms import breaks_text
from app.calculations.numbers.money import minor_digits
from app.calculations.numbers.rounding import half_away
from app.records.queries import terms as queries
from app.records.queries.stock import PackRow, SupplyRow


@dataclass(frozen=True, kw_only=True)
class PackOnSale:
    """A pack that can be bought."""

    pack: PackRow
    supplier: str
    each_text: str
    breaks_text: str  # as it is typed: 4 at 38.00; 12 at 34.00
    taken: bool  # the rule orders this one


@dataclass(frozen=True, kw_only=True)
class PricePaid:
    """What came once, at which price; landed is with its freight and fees."""

    paid: queries.PaidRow
    came_text: str
    landed_text: str  # one pack
    each_text: str  # landed, by the unit
    unit_price: float | None  # the same as a number, in whole money


@dataclass(frozen=True)
class PackPage:
    """The entry of a supply's card."""

    packs: tuple[PackOnSale, ...]
    paid: tuple[PricePaid, ...]
    why: tuple[str, ...]


def pack_page(desk: Desk, day: date, supply_id: int) -> PackPage:
    """Packs, the reason for the one that is taken, and the prices paid so far."""
    supply = supply_of(desk, supply_id)
    known, names = offers(desk), supplier_names(desk)
    with desk.book.reading() as session:
        paid = queries.paid(session, supply_id)
    rows = [one for one in known.packs.values() if one.supply_id == supply_id]
    taken = _taken(desk, day, supply)
    return PackPage(
        tuple(
            PackOnSale(
                pack=one,
                supplier=names.get(one.supplier_id or supply.supplier_id or 0, ""),
                each_text=price_by_unit(desk, supply, one.price, one.size) if one.size else "",
                breaks_text=breaks_text(desk, known.breaks.get(one.pack_id, ())),
                taken=one.pack_id == taken,
            )
            for one in rows
        ),
        tuple(_paid(desk, supply, one) for one in paid),
        why_this_pack(desk, day, supply_id, taken) if taken is not None else (),
    )


def _taken(desk: Desk, day: date, supply: SupplyRow) -> int | None:
    """The pack that stands in today's order, else the one that the rule would take."""
    for order in proposal(desk, day).orders:
        for line in order.lines:
            if line.supply == supply.supply_id:
                return line.pack
    cover = covers(desk, day).get(supply.supply_id)
    seller = cover.supplier if cover is not None else supply.supplier_id
    same = [
        one
        for one in offers(desk).by_supply.get(supply.supply_id, ())
        if (one.supplier or supply.supplier_id) == seller
    ]
    if not same:
        return None
    return chosen_pack(desk, supply, same, cover.per_day if cover is not None else 0.0)


def _paid(desk: Desk, supply: SupplyRow, one: queries.PaidRow) -> PricePaid:
    landed, by_unit, price = "", "", None
    if one.quantity > 0:
        pack = half_away(Fraction(one.landed * one.pack_size, one.quantity))
        landed = money(desk, pack)
        by_unit = price_by_unit(desk, supply, one.landed, one.quantity)
        price = float(one.landed / in_unit_of(desk, supply, one.quantity))
        price /= 10 ** minor_digits(desk.settings.currency)
    return PricePaid(
        paid=one,
        came_text=amount_text(desk, supply, one.quantity),
        landed_text=landed,
        each_text=by_unit,
        unit_price=price,
    )
