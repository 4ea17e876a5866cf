"""The proposal of a day, by supplier, as it stands with what was changed by hand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.desk.amounts import all_supplies, amount_said, money
from app.actions.desk.desk import Desk
from app.actions.desk.open_day import numbered
from app.actions.orders.order_reasons import BY_HAND, reason_text
from app.actions.orders.order_terms import (
    SoonerView,
    break_text,
    sale_text,
    sooner_views,
    waits_texts,
    why_this_pack,
)
from app.actions.orders.rule_facts import offers, supplier_names
from app.actions.orders.shelf_state import (
    HAZARDOUS,
    alert_of,
    covers,
    proposal,
)
from app.actions.stock.left import left_on
from app.calculations.numbers.dates import near
from app.calculations.numbers.wording import count_of, noun, words_of
from app.calculations.orders.lead_times import ASSUMED_DAYS
from app.calculations.orders.proposal import ProposedLine, SupplierProposal
from app.records.queries import orders as queries
from app.records.queries import stock as stock_queries
from app.records.queries.orders import OrderRow
from app.records.queries.stock import PackRow, SupplierRow


@dataclass(frozen=True, kw_only=True)
class OrderLineView:
    """So many packs of one supply."""

    supply_id: int
    name: str
    pack_id: int
    pack_label: str
    packs: int
    price: int
    cost: int
    cost_text: str
    quantity_text: str
    reason: str
    filler: bool  # bought along, not due yet
    chosen: bool  # the number of packs was typed
    alert: str  # "", look, wrong
    proposed: int = 0  # packs, before anything was typed
    break_text: str = ""  # what the price break saves and ties up, or where the next one begins
    why_pack: tuple[str, ...] = ()  # this pack and not the next smaller or larger
    sooner: SoonerView | None = None  # who else would bring it in time


@dataclass(frozen=True, kw_only=True)
class SupplierOrder:
    """What to order from one supplier."""

    supplier_id: int
    name: str
    lines: tuple[OrderLineView, ...]
    goods: int
    freight: int
    freight_text: str
    total: int
    total_text: str
    note: str
    next_delivery: date
    sale_text: str = ""

    @property
    def lines_text(self) -> str:
        """`2 × 1 gal Rinseless wash, 1 × 16 oz Sealant`."""
        return ", ".join(
            f"{line.packs} × {line.pack_label} {line.name}" for line in self.lines if line.packs
        )


@dataclass(frozen=True)
class OpenOrder:
    """An order on its way."""

    order_id: int
    number_text: str
    supplier: str
    state: str
    overdue: bool
    text: str


@dataclass(frozen=True, kw_only=True)
class WhatToOrder:
    """The station."""

    suppliers: tuple[SupplierOrder, ...]
    waiting: tuple[OpenOrder, ...]
    total: int
    total_text: str
    short: int  # supplies that run out before their delivery
    short_text: str
    # What comes too late, stands in no order above, and somebody else would bring in time.
    sooner: tuple[SoonerView, ...] = ()
    waits: tuple[tuple[str, str], ...] = ()  # supplier, what is due and must wait
    unsold: tuple[str, ...] = ()  # what runs out and has no supplier, so that nothing is proposed


@dataclass(frozen=True)
class _Line:
    """A line before it is written out."""

    supply_id: int
    pack: PackRow
    packs: int
    proposed: ProposedLine | None
    chosen: bool


def order_day(desk: Desk, day: date) -> date:
    """The day on whose evening what a day's page orders leaves: no order leaves in the past.

    So a page that was missed, or is closed a second time, orders by the shelf of today, on which
    what came and what is on its way since then stands already.
    """
    return max(day, desk.today)


def what_to_order(desk: Desk, page: date) -> WhatToOrder:
    """The proposal of a page, by supplier, with what was changed by hand; orders on their way."""
    day = order_day(desk, page)
    proposed = proposal(desk, day)
    with desk.book.reading() as session:
        suppliers = stock_queries.suppliers(session)
        coming = queries.on_their_way(session)
    lines = _lines(desk, page, day)
    by_supplier = {one.supplier: one for one in proposed.suppliers}
    orders = tuple(
        _order(desk, day, supplier, lines[supplier_id], by_supplier.get(supplier_id))
        for supplier_id, supplier in suppliers.items()
        if lines.get(supplier_id)
    )
    total = sum(one.total for one in orders)
    ordered = {line.supply_id for one in orders for line in one.lines if line.packs}
    waits = waits_texts(desk, day)
    short, known = short_supplies(desk, day), all_supplies(desk)
    return WhatToOrder(
        suppliers=orders,
        waiting=tuple(_waiting(one, suppliers.get(one.supplier_id), day) for one in coming),
        total=total,
        total_text=money(desk, total),
        short=len(short),
        short_text=_short_text(len(short)),
        sooner=tuple(one for one in sooner_views(desk, day) if one.supply_id not in ordered),
        waits=tuple((row.name, waits[one]) for one, row in suppliers.items() if one in waits),
        unsold=tuple(
            known[one].name
            for one in short
            if one not in ordered and known[one].supplier_id is None
        ),
    )


def _short_text(count: int) -> str:
    if not count:
        return ""
    run = count_of(count, "supply runs", "supplies run")
    return f"{run} out before {noun(count, 'its', 'their')} delivery"


def short_supplies(desk: Desk, day: date) -> tuple[int, ...]:
    """The supplies that run out before a delivery, or stand below zero."""
    supplies = all_supplies(desk)
    left = left_on(desk, day)
    deliveries = {one.supplier: one.delivery_day for one in proposal(desk, day).suppliers}
    return tuple(
        one
        for one, cover in covers(desk, day).items()
        if one in supplies
        and not supplies[one].stopped
        and alert_of(cover, left.get(one, 0), deliveries.get(supplies[one].supplier_id or 0))
    )


def _lines(desk: Desk, page: date, day: date) -> dict[int, list[_Line]]:
    """The lines by supplier: as proposed, with the numbers that a person typed on the page."""
    with desk.book.reading() as session:
        chosen = queries.choices(session, page)
    supplies, packs = all_supplies(desk), offers(desk).packs
    found: dict[int, list[_Line]] = {}
    for one in proposal(desk, day).suppliers:
        for line in one.lines:
            choice = chosen.pop(line.supply, None)
            pack_id, count = choice if choice is not None else (line.pack, line.count)
            if pack_id not in packs:
                continue
            supplier = packs[pack_id].supplier_id or one.supplier
            found.setdefault(supplier, []).append(
                _Line(line.supply, packs[pack_id], count, line, choice is not None)
            )
    for supply_id, (pack_id, count) in chosen.items():
        if pack_id not in packs or supply_id not in supplies:
            continue
        own = packs[pack_id].supplier_id or supplies[supply_id].supplier_id
        if own is not None and count:
            found.setdefault(own, []).append(_Line(supply_id, packs[pack_id], count, None, True))
    return found


def _order(
    desk: Desk,
    day: date,
    supplier: SupplierRow,
    lines: Sequence[_Line],
    proposed: SupplierProposal | None,
) -> SupplierOrder:
    views = [_line_view(desk, day, supplier, line, proposed) for line in lines]
    goods = sum(view.cost for view in views)
    freight = freight_of(desk, supplier, [(view.supply_id, view.cost) for view in views])
    comes = _delivery(supplier, proposed, day)
    return SupplierOrder(
        supplier_id=supplier.supplier_id,
        name=supplier.name,
        lines=tuple(views),
        goods=goods,
        freight=freight,
        freight_text=money(desk, freight) if freight else "free",
        total=goods + freight,
        total_text=money(desk, goods + freight),
        note=_note(desk, supplier, goods, freight, proposed, any(line.chosen for line in lines)),
        next_delivery=comes,
        sale_text=sale_text(desk, proposed, day),
    )


def _line_view(
    desk: Desk,
    day: date,
    supplier: SupplierRow,
    line: _Line,
    proposed: SupplierProposal | None,
) -> OrderLineView:
    supply, offer = all_supplies(desk)[line.supply_id], offers(desk).offer(line.pack)
    each = offer.each(line.packs)
    cost = line.packs * each
    tied, usual = 0, line.proposed
    if usual is not None and usual.count == line.packs:
        tied = usual.reason.break_tied
    sooner = next((one for one in sooner_views(desk, day) if one.supply_id == line.supply_id), None)
    return OrderLineView(
        supply_id=line.supply_id,
        name=supply.name,
        pack_id=line.pack.pack_id,
        pack_label=line.pack.label,
        packs=line.packs,
        price=each,
        cost=cost,
        cost_text=money(desk, cost),
        quantity_text=amount_said(desk, supply, line.packs * line.pack.size),
        reason=reason_text(desk, supply, usual, day, supplier_names(desk), supplier.supplier_id)
        if usual is not None
        else BY_HAND,
        filler=usual is not None and usual.filler,
        chosen=line.chosen,
        alert=alert_of(
            covers(desk, day).get(line.supply_id),
            left_on(desk, day).get(line.supply_id, 0),
            proposed.delivery_day if proposed is not None else None,
        ),
        proposed=usual.count if usual is not None else 0,
        break_text=break_text(desk, line.packs, each, offer, tied),
        why_pack=why_this_pack(desk, day, line.supply_id, line.pack.pack_id),
        sooner=sooner if sooner is not None and sooner.pack_id != line.pack.pack_id else None,
    )


def freight_of(desk: Desk, supplier: SupplierRow, lines: Iterable[tuple[int, int]]) -> int:
    """Freight and hazard fee of an order of (supply, cost) lines; nothing ordered costs nothing."""
    lines = [(supply, cost) for supply, cost in lines if cost]
    if not lines:
        return 0
    supplies = all_supplies(desk)
    goods = sum(cost for _, cost in lines)
    free = supplier.free_freight_from is not None and goods >= supplier.free_freight_from
    hazardous = any(
        supplies[one].flammable or HAZARDOUS & set(supplies[one].pictograms) for one, _ in lines
    )
    return (0 if free else supplier.freight) + (supplier.hazard_fee if hazardous else 0)


def _delivery(supplier: SupplierRow, proposed: SupplierProposal | None, day: date) -> date:
    if proposed is not None:
        return date.fromordinal(proposed.delivery_day)
    return day + timedelta(days=supplier.promised_days or ASSUMED_DAYS)


def _note(
    desk: Desk,
    supplier: SupplierRow,
    goods: int,
    freight: int,
    proposed: SupplierProposal | None,
    by_hand: bool,
) -> str:
    if goods < supplier.minimum_order:
        return (
            f"{money(desk, supplier.minimum_order - goods)} below {supplier.name}'s minimum order "
            f"of {money(desk, supplier.minimum_order)}."
        )
    if proposed is not None and not by_hand and proposed.freight_saved > 0:
        fillers = sum(line.filler for line in proposed.lines)
        weeks = max(1, round(proposed.tied_days / 7))
        return (
            f"{words_of(fillers, 'line').capitalize()} bought along "
            f"{noun(fillers, 'saves', 'save')} {money(desk, proposed.freight_saved)} of freight "
            f"and {noun(fillers, 'ties', 'tie')} up {money(desk, proposed.tied_up)} for about "
            f"{words_of(weeks, 'week')}."
        )
    line = supplier.free_freight_from
    if freight and line is not None and goods < line:
        return f"{money(desk, line - goods)} more of goods would come free of freight."
    return ""


def _waiting(order: OrderRow, supplier: SupplierRow | None, day: date) -> OpenOrder:
    overdue = order.expected_on is not None and order.expected_on < day
    name = supplier.name if supplier is not None else "a supplier"
    if order.state == "written":
        text = f"written {near(order.day, day)}, not sent yet"
    elif order.state == "part":
        text = f"part came; the rest expected {near(order.expected_on or day, day)}"
    else:
        text = f"expected {near(order.expected_on or day, day)}"
    if overdue:
        text += ", overdue"
    return OpenOrder(
        order.order_id,
        numbered(order.number),
        name,
        order.state,
        overdue,
        text,
    )
