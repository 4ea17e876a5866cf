"""What to order: the pure rule that the window, the command line and the simulation share.

`propose` is asked once per day's end. It reads the whole shelf (`shelf_state`) and returns, per
supplier, an order that is worth sending now, and per supply how long it lasts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.calculations.chances import Floats, need_survival, normal_quantile
from app.calculations.lead_times import lead_time_chances, lead_time_quantile
from app.calculations.need import HORIZON, Needs, forecast
from app.calculations.shelf_state import (
    OrderSettings,
    PackOffer,
    ShelfState,
    SupplierState,
    SupplyState,
)

BEYOND_DELIVERY_DAYS = 21  # an order lasts about three weeks beyond its delivery: judgement


@dataclass(frozen=True, slots=True)
class Reason:
    """The numbers of a line's sentence: "two booked jobs need 56 mL before the 22nd, 32 mL left".

    All quantities are base units. `before_day` is the day until which the present stock has to
    last: the delivery that a later order would bring.
    """

    kind: str  # booked, usual, filler, minimum
    jobs: int  # booked jobs that need it before that day
    booked: int  # what they need (mean)
    unbooked: int  # what work not booked yet will need until then (mean)
    left: int  # on hand
    coming: int  # on order
    before_day: int
    needed_day: int  # the day an order for it could not wait any longer (today for what is due)
    lasts_days: int  # how long the bought quantity will last


@dataclass(frozen=True, slots=True)
class OrderLine:
    """So many packs of one supply."""

    supply: int
    pack: int
    count: int
    quantity: int  # count x pack size, base units
    price: int  # of one pack
    cost: int
    filler: bool  # bought along, not due yet
    outlives: bool  # even so few packs last longer than they keep
    reason: Reason


@dataclass(frozen=True, slots=True)
class SupplierProposal:
    """What to order from one supplier now (no lines: nothing), and when it would come."""

    supplier: int
    lines: tuple[OrderLine, ...]
    goods: int
    freight: int
    hazard_fee: int
    total: int
    freight_saved: int  # what the fillers saved on this order
    tied_up: int  # money in fillers
    tied_days: int  # how much earlier than due they are bought, weighted by money
    below_minimum: bool  # the supplier's minimum could not be reached sensibly
    delivery_day: int  # half of deliveries have come by then, if ordered today
    delivery_late_day: int  # nine in ten
    following_day: int  # half of deliveries, if ordered at the next chance after today
    next_order_day: int  # the next chance to order after today


@dataclass(frozen=True, slots=True)
class SupplyCover:
    """How long one supply lasts and where its reorder level stands.

    Run-out days are None where they lie beyond the horizon of a year.
    """

    supply: int
    per_day: float  # forecast use a day, base units, mean of the next four weeks
    runs_out_early: int | None  # one in ten has run out by this day
    runs_out: int | None  # half
    runs_out_late: int | None  # nine in ten
    reorder_level: int  # order when on hand and on order together fall to this
    order_day: int | None  # the day that is expected
    risk: float  # chance of running short if nothing is ordered before the next chance
    next_delivery_day: int | None  # of what is on order
    short_before_delivery: int  # base units expected to lack before the first delivery
    short_day: int | None  # from when
    count_it: bool  # below zero


@dataclass(frozen=True, slots=True)
class Proposal:
    """Answer for one day's end; suppliers and supplies by rising number."""

    day: int
    suppliers: tuple[SupplierProposal, ...]
    covers: tuple[SupplyCover, ...]

    @property
    def orders(self) -> tuple[SupplierProposal, ...]:
        """The suppliers from whom something is to be ordered now."""
        return tuple(s for s in self.suppliers if s.lines)


def propose(state: ShelfState) -> Proposal:
    """What to order at this day's end, from whom, and why.

    A supply is due when the chance that it runs out before the delivery that the *next* chance to
    order would bring exceeds 1 - `quantile`: booked work with its own spread first, the unbooked
    remainder forecast, over lead times as really seen. Due supplies are ordered in whole packs;
    what would be due soonest anyway is bought along up to the supplier's freight line.
    """
    supplies = sorted(state.supplies, key=lambda one: one.supply)
    if not supplies:
        return Proposal(state.day, tuple(_nothing(state, one) for one in _suppliers(state)), ())
    needs = _needs(state, supplies)
    known = {one.supplier: one for one in state.suppliers}
    leads = {
        number: lead_time_chances(one.lead_days, one.promised_days) for number, one in known.items()
    }
    unknown = lead_time_chances((), None)
    views = [
        _View.of(
            state,
            one,
            needs,
            row,
            leads.get(one.supplier or 0, unknown),
            known.get(one.supplier) if one.supplier is not None else None,
        )
        for row, one in enumerate(supplies)
    ]
    orders = []
    for supplier in _suppliers(state):
        own = [view for view in views if view.supply.supplier == supplier.supplier]
        orders.append(_order(state, supplier, leads[supplier.supplier], own))
    return Proposal(state.day, tuple(orders), tuple(view.cover(state) for view in views))


def _suppliers(state: ShelfState) -> list[SupplierState]:
    return sorted(state.suppliers, key=lambda one: one.supplier)


def _needs(state: ShelfState, supplies: list[SupplyState]) -> Needs:
    """The needs of all supplies at once, from windows laid side by side."""
    count = len(supplies)
    window = max(1, min(state.settings.window_days, max(len(one.use) for one in supplies)))
    use = np.zeros((count, window))
    known = np.zeros(count, dtype=np.int64)
    mean, variance, jobs = (np.zeros((count, HORIZON)) for _ in range(3))
    for row, one in enumerate(supplies):
        tail = np.asarray(one.use, dtype=float)[-window:]
        known[row] = tail.size
        if tail.size:
            use[row, window - tail.size :] = np.maximum(tail, 0.0)
        for need in one.booked:
            at = max(need.day, state.day + 1) - state.day - 1
            if at < HORIZON:
                grown = need.amount * float(np.exp(need.spread**2 / 2))
                mean[row, at] += grown
                variance[row, at] += grown**2 * float(np.expm1(need.spread**2))
                jobs[row, at] += 1
    return forecast(state.day, use, known, mean, variance, jobs, state.notice)


@dataclass(frozen=True, slots=True)
class _View:
    """One supply with its needs and what follows from them."""

    supply: SupplyState
    mean: Floats
    variance: Floats
    some: Floats
    booked: Floats
    jobs: Floats
    per_day: float
    lead: Floats
    review: int
    position: int
    risk: float
    order_in: int | None  # days until it is expected to be due

    @classmethod
    def of(
        cls,
        state: ShelfState,
        supply: SupplyState,
        needs: Needs,
        row: int,
        lead: Floats,
        supplier: SupplierState | None,
    ) -> _View:
        mean, variance, some = needs.mean[row], needs.variance[row], needs.some[row]
        position = supply.on_hand + sum(one.quantity for one in supply.on_order)
        review = _review_days(state.day, supplier.order_weekdays if supplier else ())
        chance = need_survival(position, mean, variance, some)
        spans = np.arange(lead.size) + review
        risk = float(lead @ chance[np.minimum(spans, HORIZON - 1)])
        allowed = 1.0 - state.settings.quantile
        later = np.convolve(chance, lead[::-1], mode="valid")
        due = np.flatnonzero(later > allowed)
        order_in = int(max(0, due[0] - review + 1)) if due.size else None
        if risk > allowed:
            order_in = 0
        return cls(
            supply,
            mean,
            variance,
            some,
            needs.booked[row],
            needs.booked_jobs[row],
            float(needs.per_day[row]),
            lead,
            review,
            position,
            risk,
            order_in,
        )

    def level(self, quantile: float) -> int:
        """The position at which it is due: that quantile of the need until the next delivery."""
        span = min(self.review + lead_time_quantile(self.lead, 0.9), HORIZON) - 1
        deviation = float(np.sqrt(max(self.variance[span], 0.0)))
        return max(0, round(float(self.mean[span]) + normal_quantile(quantile) * deviation))

    def run_out(self, chance: float) -> int | None:
        """Days until this share of such shelves has run out, deliveries on the way left aside."""
        gone = need_survival(self.supply.on_hand, self.mean, self.variance, self.some) >= chance
        return int(np.argmax(gone)) + 1 if gone.any() else None

    def cover(self, state: ShelfState) -> SupplyCover:
        """What the shelf shows of it."""
        supply = self.supply
        out = {c: self.run_out(c) for c in (0.1, 0.5, 0.9)}
        coming = sorted(one.expected_day for one in supply.on_order if one.quantity > 0)
        delivery = coming[0] if coming else None
        arrives = lead_time_quantile(self.lead, 0.5)
        first = max(1, delivery - state.day) if delivery is not None else arrives
        short = max(0, round(float(self.mean[min(first, HORIZON) - 1])) - max(supply.on_hand, 0))
        days = [state.day + d if d is not None else None for d in (out[0.1], out[0.5], out[0.9])]
        order_day = None
        if self.order_in is not None and not supply.stopped:
            order_day = state.day + self.order_in
        return SupplyCover(
            supply.supply,
            self.per_day,
            days[0],
            days[1],
            days[2],
            0 if supply.stopped else self.level(state.settings.quantile),
            order_day,
            self.risk,
            delivery,
            short,
            days[1] if short else None,
            supply.on_hand < 0,
        )


def _review_days(day: int, weekdays: tuple[int, ...]) -> int:
    """Days until the next chance to order after today."""
    if not weekdays:
        return 1
    return next(ahead for ahead in range(1, 8) if (day + ahead - 1) % 7 in weekdays)


def _pack_for(view: _View, settings: OrderSettings) -> tuple[PackOffer, int, bool] | None:
    """(pack, count, outlives): the cheapest way to reach the target that still keeps."""
    supply = view.supply
    offers = [pack for pack in supply.packs if pack.size > 0]
    if not offers:
        return None
    span = min(view.review + lead_time_quantile(view.lead, 0.9) + BEYOND_DELIVERY_DAYS, HORIZON)
    deviation = float(np.sqrt(max(view.variance[span - 1], 0.0)))
    target = float(view.mean[span - 1]) + normal_quantile(settings.quantile) * deviation
    missing = max(1.0, target - view.position)
    life = min(
        (days for days in (supply.shelf_life_days, supply.opened_life_days) if days),
        default=HORIZON,
    )
    most = 0.75 * life * view.per_day
    best = None
    for pack in offers:
        count = max(1, int(np.ceil(missing / pack.size)))
        if view.per_day > 0:
            count = max(1, min(count, int(max(most - max(view.position, 0), 0) // pack.size)))
        bought = count * pack.size
        outlives = bool(view.per_day > 0 and max(view.position, 0) + bought > most)
        held = bought / max(view.per_day, 1e-9) / 365 / 2
        cost = pack.price * count * (1 + settings.money_per_year * min(held, 5.0))
        key = (outlives, cost / min(bought, max(missing, 1.0)), bought, pack.pack)
        if best is None or key < best[0]:
            best = (key, pack, count, outlives)
    assert best is not None
    return best[1], best[2], best[3]


def _order(
    state: ShelfState, supplier: SupplierState, lead: Floats, views: list[_View]
) -> SupplierProposal:
    """The order for one supplier, with what is bought along up to the freight line."""
    settings = state.settings
    weekdays = supplier.order_weekdays
    today_is_a_chance = not weekdays or (state.day - 1) % 7 in weekdays
    open_views = [view for view in views if not view.supply.stopped and view.supply.packs]
    due = [view for view in open_views if view.order_in == 0] if today_is_a_chance else []
    lines = [line for view in due if (line := _line(state, view, filler=False)) is not None]
    free, saved = supplier.free_freight_from, 0
    fillers: list[OrderLine] = []
    if lines and free is not None and supplier.freight:
        waiting = sorted(
            (view for view in open_views if view.order_in),
            key=lambda view: (view.order_in, view.supply.supply),
        )
        goods = sum(line.cost for line in lines)
        for view in waiting:
            assert view.order_in is not None
            if goods >= free or view.order_in > settings.longest_days:
                break
            line = _line(state, view, filler=True)
            if line is not None and not line.outlives:
                fillers.append(line)
                goods += line.cost
        saved = supplier.freight if goods >= free else 0
        if not saved:
            fillers = []
    lines = sorted([*lines, *fillers], key=lambda line: line.supply)
    goods = sum(line.cost for line in lines)
    freight = 0 if not lines or (free is not None and goods >= free) else supplier.freight
    hazardous = {view.supply.supply for view in views if view.supply.hazardous}
    fee = supplier.hazard_fee if any(line.supply in hazardous for line in lines) else 0
    review = _review_days(state.day, weekdays)
    half, late = lead_time_quantile(lead, 0.5), lead_time_quantile(lead, 0.9)
    tied = sum(line.cost for line in fillers)
    wait = sum(line.cost * (line.reason.needed_day - state.day) for line in fillers)
    return SupplierProposal(
        supplier.supplier,
        tuple(lines),
        goods,
        freight,
        fee,
        goods + freight + fee,
        saved if fillers else 0,
        tied,
        round(wait / tied) if tied else 0,
        bool(lines) and goods < supplier.minimum_order,
        state.day + half,
        state.day + late,
        state.day + review + half,
        state.day + review,
    )


def _line(state: ShelfState, view: _View, *, filler: bool) -> OrderLine | None:
    chosen = _pack_for(view, state.settings)
    if chosen is None:
        return None
    pack, count, outlives = chosen
    quantity = count * pack.size
    span = min(view.review + lead_time_quantile(view.lead, 0.5), HORIZON)
    booked = round(float(view.booked[span - 1]))
    unbooked = max(0, round(float(view.mean[span - 1])) - booked)
    left = view.supply.on_hand
    reason = Reason(
        "filler" if filler else "booked" if booked and booked >= unbooked else "usual",
        round(float(view.jobs[span - 1])),
        booked,
        unbooked,
        left,
        view.position - left,
        state.day + span,
        state.day + (view.order_in or 0),
        round(quantity / view.per_day) if view.per_day > 0 else HORIZON,
    )
    return OrderLine(
        view.supply.supply,
        pack.pack,
        count,
        quantity,
        pack.price,
        count * pack.price,
        filler,
        outlives,
        reason,
    )


def _nothing(state: ShelfState, supplier: SupplierState) -> SupplierProposal:
    return _order(
        state, supplier, lead_time_chances(supplier.lead_days, supplier.promised_days), []
    )
