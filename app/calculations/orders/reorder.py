"""What to order: the pure rule that the window, the command line and the simulation share.

`propose` is asked once per day's end. It reads the whole shelf (`shelf_state`) and returns, per
supplier, an order that is worth sending now, and per supply how long it lasts.
"""

from __future__ import annotations

from math import ceil, isnan

import numpy as np

from app.calculations.orders.basket import Basket, PackCandidate, fill, freight_of
from app.calculations.orders.cover import run_outs
from app.calculations.orders.lead_times import lead_time_quantile
from app.calculations.orders.need import HORIZON
from app.calculations.orders.order_chances import goes_out, ordinary_gap, sale_ahead
from app.calculations.orders.packs import PackChoice, choose_pack
from app.calculations.orders.proposal import (
    Proposal,
    ProposedLine,
    Reason,
    SecondSource,
    SupplierProposal,
    SupplyCover,
)
from app.calculations.orders.second_source import in_time
from app.calculations.orders.shelf_risks import WeighedShelf, offers_of
from app.calculations.orders.shelf_state import PackOffer, ShelfState, SupplierState, check_shelf


def propose(state: ShelfState) -> Proposal:
    """What to order at this day's end, from whom, and why.

    For each supplier it weighs the chance that any of its supplies runs short, should one wait for
    the next chance to order; when that exceeds 1 - `quantile` an order is due. Into it go, in
    whole packs, what is due, and what will be due soonest anyway, up to where freight, fees and
    money tied up cost least a day (`basket`). Nothing is bought that would not be used within 0.75
    of its shelf life, except the least number of packs that what is due needs.

    The same shelf gives the same answer, in whatever order its supplies stand. Raises `Mendable`
    for a shelf that cannot be (a pack without content, a supply that stands there twice).
    """
    check_shelf(state)
    shelf = WeighedShelf.of(state)
    orders = tuple(_order_from(shelf, one) for one in shelf.suppliers)
    covers = _covers(shelf)
    return Proposal(state.day, orders, covers, _sooner(shelf, orders, covers))


def _order_from(shelf: WeighedShelf, supplier: SupplierState) -> SupplierProposal:
    """What to order from one supplier now."""
    settings, day = shelf.state.settings, shelf.state.day
    offers = shelf.orderable(supplier.supplier)
    risky = shelf.short_together(list(offers))
    sale = sale_ahead(day, supplier, settings.longest_days)
    sale_in = sale[1] if sale is not None and sale[1] > 0 else None
    empty = Basket((), 0, ())
    if not risky and not any(shelf.below_floor(row) for row in offers):
        return _proposal(shelf, supplier, empty, empty, {})
    choices = {row: _choice(shelf, row, some, sale_in) for row, some in offers.items()}
    # Due is each supply whose own chance is too high; if only the sum is, the worst.
    worst = max(offers, key=lambda row: (shelf.own_risk(row), -row))
    candidates: list[PackCandidate] = []
    at_level: list[PackCandidate] = []
    for row, choice in choices.items():
        some = shelf.ladder(row, choice, due_now=risky and row == worst)
        candidates += shelf.not_too_early(row, choice, some)
        if shelf.due[row] == 0:
            some = shelf.ladder(row, choice, due_now=True, at_level=True)
        at_level += some
    basket = fill(supplier, candidates, settings, sale_in, at_level)
    without = fill(supplier, candidates, settings, None, at_level) if sale_in else basket
    return _proposal(shelf, supplier, basket, without, choices)


def _choice(
    shelf: WeighedShelf, row: int, offers: list[PackOffer], sale_in: int | None
) -> PackChoice:
    """The pack to buy of a supply; with a sale ahead no more at once than is due."""
    choice = choose_pack(
        shelf.supplies[row],
        offers,
        shelf.needs.mean[row],
        float(shelf.needs.per_day[row]),
        shelf.level(row) - float(shelf.position[row]),
        shelf.state.settings,
        shelf.judged(row),
    )
    if sale_in:
        return PackChoice(choice.offer, choice.most, choice.outlives)
    return choice


def _proposal(
    shelf: WeighedShelf,
    supplier: SupplierState,
    basket: Basket,
    without_sale: Basket,
    choices: dict[int, PackChoice],
) -> SupplierProposal:
    """The basket as an order with its lines, reasons and figures."""
    day, lead = shelf.state.day, shelf.leads[supplier.supplier]
    half, late = lead_time_quantile(lead, 0.5), lead_time_quantile(lead, 0.9)
    weekdays = supplier.order_weekdays
    gap = ordinary_gap(day, weekdays)
    first = 0 if goes_out(day, weekdays) else gap
    packs: dict[int, list[PackCandidate]] = {}
    for one in basket.packs:
        packs.setdefault(one.supply, []).append(one)
    only_minimum = {one.supply for one in basket.for_minimum}
    lines = tuple(
        _line(shelf, row, some, choices[row], half, row in only_minimum)
        for row, some in sorted(packs.items())
    )
    goods = basket.goods
    freight = freight_of(supplier, goods)
    fee = supplier.hazard_fee if any(one.hazardous for one in basket.packs) else 0
    early = [one for one in basket.packs if one.due_in > 0]
    tied = sum(one.price for one in early)
    wait = sum(one.price * one.due_in for one in early)
    held = [one for one in without_sale.packs if one not in basket.packs]
    sale = sale_ahead(day, supplier, shelf.state.settings.longest_days)
    return SupplierProposal(
        supplier=supplier.supplier,
        lines=lines,
        goods=goods,
        freight=freight,
        hazard_fee=fee,
        total=goods + freight + fee,
        freight_saved=freight_of(supplier, goods - tied) - freight if early else 0,
        tied_up=tied,
        tied_days=round(wait / tied) if tied else 0,
        below_minimum=bool(lines) and goods < supplier.minimum_order,
        delivery_day=day + first + half,
        delivery_late_day=day + first + late,
        following_day=day + first + ordinary_gap(day + first, weekdays) + half,
        next_order_day=day + gap,
        sale_day=sale[0][0] if sale is not None else None,
        sale_last_day=sale[0][1] if sale is not None else None,
        held_lines=len({one.supply for one in held}),
        held_worth=sum(one.price for one in held),
    )


def _line(
    shelf: WeighedShelf,
    row: int,
    packs: list[PackCandidate],
    choice: PackChoice,
    half: int,
    only_minimum: bool,
) -> ProposedLine:
    """One supply's packs, and the numbers of its reason."""
    offer = choice.offer
    count = sum(one.packs for one in packs)
    quantity, each = count * offer.size, offer.each(count)
    due_in = max(min(packs, key=lambda one: one.nth).due_in, 0)
    return ProposedLine(
        supply=shelf.supplies[row].supply,
        pack=offer.pack,
        count=count,
        quantity=quantity,
        price=each,
        cost=count * each,
        filler=due_in > 0,
        outlives=choice.outlives or float(shelf.position[row]) + quantity > choice.most,
        reason=_reason(shelf, row, choice, count, due_in, half, only_minimum),
    )


def _reason(
    shelf: WeighedShelf,
    row: int,
    choice: PackChoice,
    count: int,
    due_in: int,
    half: int,
    only_minimum: bool,
) -> Reason:
    """Why so many packs of a supply, the first of them due in so many days, stand in an order."""
    needs, supply, offer = shelf.needs, shelf.supplies[row], choice.offer
    source, stop = shelf.sources[row], shelf.over_stop.get(row)
    position = float(shelf.position[row])
    last_chance = stop is not None and stop.last == 0
    before, late = _has_to_last(shelf, row, half)
    column = min(before, HORIZON) - 1
    booked = round(float(needs.booked[row, column]))
    unbooked = max(0, round(float(needs.mean[row, column])) - booked)
    kind = "booked" if booked and booked >= min(unbooked, position) else "usual"
    if position < float(shelf.floor[row]) and position >= float(shelf.risks.level[row]):
        kind = "floor"
    if last_chance:
        kind = "cold"
    if due_in > 0:
        kind = "minimum" if only_minimum else "filler"
    # What the packs beyond those that are due would cost, were they not bought for the break.
    each = offer.each(count)
    wanted = max(shelf.level(row), stop.level if stop is not None else 0.0)
    due = max(1, ceil((wanted - position) / offer.size))
    beyond = max(0, count - due) if offer.each(due) > each and due_in <= 0 else 0
    quantity = count * offer.size
    return Reason(
        kind=kind,
        jobs=round(float(needs.booked_jobs[row, column])),
        booked=booked,
        unbooked=unbooked,
        left=supply.on_hand,
        coming=round(position - float(shelf.on_hand[row])),
        before_day=shelf.state.day + before,
        needed_day=shelf.state.day + due_in,
        floor=supply.floor,
        stop=source.own_stop or source.chances.stop,
        late=late and kind in ("booked", "usual", "cold"),
        keeps_only=last_chance and position + quantity > choice.most,
        instead_of=source.instead_of,
        break_saved=count * (offer.price - each),
        break_tied=beyond * each,
    )


def _has_to_last(shelf: WeighedShelf, row: int, half: int) -> tuple[int, bool]:
    """(days that the present stock has to last, whether for a late delivery only).

    Where it would last to the middle delivery, it is the late one that counts.
    """
    source = shelf.sources[row]
    before = source.chances.gap + half
    late = False
    for share in (0.9, shelf.state.settings.quantile):
        if float(shelf.needs.mean[row, min(before, HORIZON) - 1]) >= float(shelf.position[row]):
            break
        lead = lead_time_quantile(shelf.leads[source.supplier], share)
        before, late = source.chances.gap + lead, True
    return before, late


def _covers(shelf: WeighedShelf) -> tuple[SupplyCover, ...]:
    """How long each supply lasts."""
    ends = np.stack(run_outs(shelf.needs, shelf.on_hand), axis=1).tolist()
    halves = {one: lead_time_quantile(lead, 0.5) for one, lead in shelf.leads.items()}
    return tuple(
        _cover(shelf, row, ends[row], halves[shelf.sources[row].supplier])
        for row in range(len(ends))
    )


def _cover(shelf: WeighedShelf, row: int, ends: list[float], half: int) -> SupplyCover:
    """How long one supply lasts."""
    supply, day, mean = shelf.supplies[row], shelf.state.day, shelf.needs.mean[row]
    source = shelf.sources[row]
    early, middle, late = (None if isnan(end) else day + int(end) for end in ends)
    coming = [one.expected_day for one in supply.coming if one.quantity > 0]
    delivery = min(coming, default=None)
    chance = source.chances.first
    first = max(1, delivery - day) if delivery is not None else chance + half
    until = float(mean[min(first - 1, HORIZON) - 1]) if first > 1 else 0.0
    on_hand = float(shelf.on_hand[row])
    short = max(0, round(until - on_hand))
    due = float(shelf.due[row])
    out = int(np.searchsorted(mean, on_hand, side="right")) + 1 if short else 0
    return SupplyCover(
        supply=supply.supply,
        per_day=float(shelf.needs.per_day[row]),
        runs_out_early=early,
        runs_out=middle,
        runs_out_late=late,
        reorder_level=0 if supply.stopped else ceil(shelf.level(row)),
        order_day=None if supply.stopped or isnan(due) else day + max(int(due), 0),
        risk=float(shelf.risks.risk[row]),
        next_delivery_day=delivery,
        short_before_delivery=short,
        short_day=day + out if short else None,
        count_it=supply.on_hand < 0,
        due=float(shelf.position[row]) < shelf.level(row),
        why_not=_why_not(shelf, row),
        chance_day=day + chance,
        stop=source.own_stop or source.chances.stop,
        supplier=source.supplier,
    )


def _why_not(shelf: WeighedShelf, row: int) -> str:
    """Why a supply cannot be ordered today; nothing where it can."""
    supply, source = shelf.supplies[row], shelf.sources[row]
    if supply.stopped:
        return "stopped"
    if source.supplier is None:
        return "no supplier"
    if not offers_of(supply, source.supplier):
        return "no pack"
    if source.chances.today:
        return ""
    return "cold" if source.chances.stopped else "weekday"


def _sooner(
    shelf: WeighedShelf, orders: tuple[SupplierProposal, ...], covers: tuple[SupplyCover, ...]
) -> tuple[SecondSource, ...]:
    """For what runs short before its delivery: who else would come in time."""
    found = []
    for row, cover in enumerate(covers):
        if cover.short_day is not None and not shelf.supplies[row].stopped:
            other = in_time(shelf, row, cover, orders)
            if other is not None:
                found.append(other)
    return tuple(found)
