"""The Shelf: every supply by supplier, how long it lasts, what to order, what it is worth."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from app.actions.desk.amounts import all_supplies, at_least_one, money, stock_number, unit_of
from app.actions.desk.desk import Desk
from app.actions.orders.order_proposal import OrderLineView, short_supplies, what_to_order
from app.actions.orders.order_terms import sale_short, waits_texts, why_not_text
from app.actions.orders.shelf_state import (
    alert_of,
    cover_days,
    covers,
    losses_on,
    on_order,
    proposal,
)
from app.actions.stock.left import left_on
from app.calculations.numbers.dates import day_short, weekday_day
from app.calculations.numbers.units import Kind, System, base_amount, in_unit
from app.calculations.numbers.wording import capital, counted, noun
from app.calculations.orders.reorder import SupplierProposal, SupplyCover
from app.calculations.orders.shelf_state import OnOrder
from app.calculations.stock.shelf_order import shelf_order
from app.records.queries import stock as queries
from app.records.queries.stock import SupplierRow, SupplyRow
from app.records.stock import balances

FOLDED_FROM_DAYS = 35  # what lasts longer and needs nothing folds into one sentence


@dataclass(frozen=True, kw_only=True)
class ShelfRow:
    """One supply: numbers for the table, days for the bar. Quantities are base units."""

    supply_id: int
    name: str
    on_hand: int
    on_hand_text: str
    unit: str
    cover_days: int | None
    low_day: date | None  # one in ten has run out by this day
    high_day: date | None  # nine in ten
    order_day: date | None  # when its reorder level is expected to be reached
    reorder_below_text: str
    on_order: int
    on_order_text: str
    on_order_day: date | None
    on_order_lasts_days: int | None
    packs: int
    cost_text: str
    short: int  # what will lack before the delivery
    short_day: date | None
    alert: str  # "", look, wrong
    folded: bool
    shelf_place: str = ""
    why_not: str = ""  # why it is due and yet not proposed
    past: bool = False  # some of it is past its life
    archived: bool = False


@dataclass(frozen=True, kw_only=True)
class ShelfGroup:
    """A supplier's supplies, the shortest cover first."""

    supplier_id: int | None
    name: str
    next_delivery: date | None
    following_delivery: date | None
    next_text: str  # next Mon 1 Dec
    deliveries_text: str  # that, and the one after it
    rows: tuple[ShelfRow, ...]
    waits_text: str = ""  # what is due and must wait for an order day
    sale_text: str = ""  # sale from 27 Nov


@dataclass(frozen=True, kw_only=True)
class ShelfView:
    """The place."""

    day: date
    groups: tuple[ShelfGroup, ...]
    count: int
    worth_text: str
    folded: int
    folded_text: str
    order_lines: int
    order_total_text: str
    counted_text: str
    short: int
    short_text: str
    past: int = 0  # supplies of which some is past its life
    flammable_text: str = ""  # what stands there marked flammable, in litres or gallons


@dataclass(frozen=True)
class _AllRows:
    """What every row needs, read once."""

    day: date
    left: dict[int, int]
    covers: dict[int, SupplyCover]
    proposals: dict[int, SupplierProposal]
    on_order: dict[int, tuple[OnOrder, ...]]
    orders: dict[int, OrderLineView]
    past: frozenset[int]  # of which some is past its life


def shelf(desk: Desk, day: date) -> ShelfView:
    """The whole shelf at a day's end."""
    supplies = all_supplies(desk)
    to_order = what_to_order(desk, day)
    with desk.book.reading() as session:
        suppliers = queries.suppliers(session)
        worth = sum(value for quantity, value in balances(session).values() if quantity > 0)
        last_count = queries.last_count(session)
    facts = _AllRows(
        day,
        left_on(desk, day),
        covers(desk, day),
        {one.supplier: one for one in proposal(desk, day).suppliers},
        on_order(desk, day),
        {line.supply_id: line for one in to_order.suppliers for line in one.lines},
        frozenset(one for one, lost in losses_on(desk, day).items() if lost.past),
    )
    groups = _groups(desk, supplies, suppliers, facts)
    folded = sum(row.folded and not row.archived for group in groups for row in group.rows)
    short = len(short_supplies(desk, day))
    lines = sum(bool(line.packs) for one in to_order.suppliers for line in one.lines)
    return ShelfView(
        day=day,
        groups=groups,
        count=sum(supply.archived_on is None for supply in supplies.values()),
        worth_text=money(desk, worth),
        folded=folded,
        folded_text=f"{folded} more {noun(folded, 'lasts', 'last')} over five weeks."
        if folded
        else "",
        order_lines=lines,
        order_total_text=to_order.total_text,
        counted_text=f"Counted last on {weekday_day(last_count)}"
        if last_count
        else "Never counted",
        short=short,
        short_text=_short_text(short),
        past=sum(row.past for group in groups for row in group.rows),
        flammable_text=_flammable_text(desk, supplies, facts.left),
    )


def flammable_volume(supplies: dict[int, SupplyRow], left: dict[int, int]) -> int:
    """Microlitres of what is marked flammable; pastes by their density, pieces left out."""
    total = 0
    for supply in supplies.values():
        amount = max(0, left.get(supply.supply_id, 0))
        if not supply.flammable or not amount:
            continue
        if supply.kind == Kind.LIQUID:
            total += amount
        elif supply.kind == Kind.PASTE:
            total += base_amount(Fraction(amount), "mg", Kind.LIQUID, supply.density)
    return total


def _flammable_text(desk: Desk, supplies: dict[int, SupplyRow], left: dict[int, int]) -> str:
    total = flammable_volume(supplies, left)
    if not total:
        return ""
    unit = "gal" if desk.settings.system == System.US else "L"
    amount = float(in_unit(total, unit, Kind.LIQUID))
    return f"{amount:.1f} {unit}" if amount >= 0.1 else f"under 0.1 {unit}"


def _short_text(count: int) -> str:
    if not count:
        return "Nothing runs out before its delivery."
    runs, whose = noun(count, "runs", "run"), noun(count, "its", "their")
    return f"{capital(counted(count))} {runs} out before {whose} delivery."


def _groups(
    desk: Desk,
    supplies: dict[int, SupplyRow],
    suppliers: dict[int, SupplierRow],
    facts: _AllRows,
) -> tuple[ShelfGroup, ...]:
    by_supplier: dict[int | None, list[ShelfRow]] = {}
    for supply in supplies.values():
        known = supply.supplier_id if supply.supplier_id in suppliers else None
        by_supplier.setdefault(known, []).append(_row(desk, supply, facts))
    groups = []
    waits = waits_texts(desk, facts.day)
    for supplier_id, rows in by_supplier.items():
        rows.sort(key=lambda row: (row.cover_days is None, row.cover_days or 0, row.name))
        proposed = facts.proposals.get(supplier_id or 0)
        following = next_day = None
        next_text = text = ""
        if proposed is not None:
            next_day = date.fromordinal(proposed.delivery_day)
            following = date.fromordinal(proposed.following_day)
            next_text = f"next {day_short(next_day)}"
            text = f"{next_text}, then {day_short(following)}"
        name = suppliers[supplier_id].name if supplier_id is not None else "No supplier yet"
        groups.append(
            ShelfGroup(
                supplier_id=supplier_id,
                name=name,
                next_delivery=next_day,
                following_delivery=following,
                next_text=next_text,
                deliveries_text=text,
                rows=tuple(rows),
                waits_text=waits.get(supplier_id or 0, ""),
                sale_text=sale_short(proposed, facts.day),
            )
        )
    return tuple(sorted(groups, key=lambda one: (one.supplier_id is None, one.name)))


def _day(ordinal: int | None) -> date | None:
    return None if ordinal is None else date.fromordinal(ordinal)


def _row(desk: Desk, supply: SupplyRow, facts: _AllRows) -> ShelfRow:
    supply_id = supply.supply_id
    left = facts.left.get(supply_id, 0)
    cover = facts.covers.get(supply_id)
    line = facts.orders.get(supply_id)
    packs = line.packs if line is not None else 0
    arriving = facts.on_order.get(supply_id, ())
    coming = sum(one.quantity for one in arriving)
    days = cover_days(cover, facts.day)
    low_day, high_day, short_day = _running_out(cover)
    level, order_day = _reordering(supply, cover)
    alert = _alert(supply, left, cover, facts.proposals.get(supply.supplier_id or 0))
    past = supply_id in facts.past
    needs_nothing = not (coming or packs or alert or past)
    idle = needs_nothing and (days is None or days > FOLDED_FROM_DAYS)
    return ShelfRow(
        supply_id=supply_id,
        name=supply.name,
        on_hand=left,
        on_hand_text=stock_number(desk, supply, left),
        unit=unit_of(desk, supply),
        cover_days=days,
        low_day=low_day,
        high_day=high_day,
        order_day=order_day,
        reorder_below_text=stock_number(desk, supply, at_least_one(supply, level)) if level else "",
        on_order=coming,
        on_order_text=stock_number(desk, supply, coming) if coming else "",
        on_order_day=_day(min((one.expected_day for one in arriving), default=None)),
        on_order_lasts_days=_lasts_days(coming, cover),
        packs=packs,
        cost_text=line.cost_text if line is not None and line.cost else "",
        short=cover.short_before_delivery if cover else 0,
        short_day=short_day,
        alert=alert,
        folded=idle or supply.archived_on is not None,
        archived=supply.archived_on is not None,
        shelf_place=supply.shelf_place,
        why_not="" if packs else why_not_text(desk, cover, facts.day),
        past=past,
    )


def _running_out(cover: SupplyCover | None) -> tuple[date | None, date | None, date | None]:
    """The days by which one in ten and nine in ten have run out, and on which it falls short."""
    if cover is None:
        return None, None, None
    return _day(cover.runs_out_early), _day(cover.runs_out_late), _day(cover.short_day)


def _reordering(supply: SupplyRow, cover: SupplyCover | None) -> tuple[int, date | None]:
    """The reorder level and the day on which it is reached; none of what is no longer bought."""
    if cover is None or supply.stopped:
        return 0, None
    return cover.reorder_level, _day(cover.order_day)


def _alert(
    supply: SupplyRow, left: int, cover: SupplyCover | None, proposed: SupplierProposal | None
) -> str:
    if supply.stopped and left >= 0:
        return ""
    return alert_of(cover, left, proposed.delivery_day if proposed else None)


def _lasts_days(coming: int, cover: SupplyCover | None) -> int | None:
    """For how many days what is on order lasts."""
    if not coming or cover is None or cover.per_day <= 0:
        return None
    return round(coming / cover.per_day)


def count_lines(desk: Desk) -> tuple[tuple[str, str, str], ...]:
    """(place, name, unit) of every supply, in the order in which the shelf is walked along."""
    supplies = sorted(
        all_supplies(desk).values(), key=lambda one: shelf_order(one.shelf_place, one.name)
    )
    return tuple((one.shelf_place, one.name, unit_of(desk, one)) for one in supplies)
