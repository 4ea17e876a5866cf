"""What to order: the pure rule that the window, the command line and the simulation share.

`propose` is asked once per day's end. It reads the whole shelf (`shelf_state`) and returns, per
supplier, an order that is worth sending now, and per supply how long it lasts.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, isnan

import numpy as np

from app.calculations.basket import Basket, Candidate, fill, freight_of
from app.calculations.chances import Floats
from app.calculations.cover import run_outs
from app.calculations.lead_times import lead_time_chances, lead_time_quantile
from app.calculations.need import HORIZON, Needs, needs_ahead
from app.calculations.packs import PackChoice, choose_pack
from app.calculations.proposal import (
    OrderLine,
    Proposal,
    Reason,
    SupplierProposal,
    SupplyCover,
)
from app.calculations.reorder_risk import (
    Risks,
    Waits,
    any_short,
    due_after,
    due_in,
    floor_in,
    risks,
)
from app.calculations.shelf_state import (
    PackOffer,
    ShelfState,
    SupplierState,
    SupplyState,
    check_shelf,
)

FOR_MINIMUM = 3  # times `longest_days`: how far ahead goods may be bought to reach a minimum order
MOST_PACKS = 200  # of one supply in one order


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
    shelf = _Shelf.of(state)
    orders = tuple(shelf.order_from(one) for one in shelf.suppliers)
    return Proposal(state.day, orders, shelf.covers())


def _sold_by(supply: SupplyState, known: set[int]) -> int | None:
    """Its own supplier, or if that one has no pack of it, the one with the cheapest unit."""
    own = supply.supplier if supply.supplier in known else None
    if own is not None and (not supply.packs or _offers(supply, own)):
        return own
    others = [one for one in supply.packs if one.supplier in known]
    if not others:
        return own
    return min(others, key=lambda one: (one.price / one.size, one.pack)).supplier


def _offers(supply: SupplyState, supplier: int) -> list[PackOffer]:
    """The packs of a supply that this supplier sells."""
    return [
        pack
        for pack in supply.packs
        if pack.supplier == supplier or (pack.supplier is None and supply.supplier == supplier)
    ]


def _chance_after(day: int, weekdays: tuple[int, ...]) -> int:
    """Days from this one to the next on which can be ordered, at least 1."""
    return next((d for d in range(1, 8) if not weekdays or (day + d - 1) % 7 in weekdays), 1)


@dataclass(frozen=True, slots=True)
class _Shelf:
    """The shelf with its needs and risks; rows are supplies by rising number."""

    state: ShelfState
    supplies: list[SupplyState]
    suppliers: list[SupplierState]
    leads: dict[int | None, Floats]
    rows: dict[int | None, list[int]]  # by who sells them; none: nobody does
    needs: Needs
    on_hand: Floats  # what is below zero counts as nothing: a miscount
    on_order: Floats
    floor: Floats  # what is to stand there in any case
    waits: Waits
    risks: Risks
    due: Floats  # days until each supply is due; NaN: not within the horizon

    @classmethod
    def of(cls, state: ShelfState) -> _Shelf:
        """Forecast all needs and weigh all risks at once."""
        supplies = sorted(state.supplies, key=lambda one: one.supply)
        suppliers = sorted(state.suppliers, key=lambda one: one.supplier)
        known = {one.supplier for one in suppliers}
        leads: dict[int | None, Floats] = {None: lead_time_chances((), None)}
        gaps: dict[int | None, int] = {None: 1}
        for one in suppliers:
            leads[one.supplier] = lead_time_chances(one.lead_days, one.promised_days)
            gaps[one.supplier] = _chance_after(state.day, one.order_weekdays)
        sold_by = [_sold_by(one, known) for one in supplies]
        rows: dict[int | None, list[int]] = {}
        for row, number in enumerate(sold_by):
            rows.setdefault(number, []).append(row)
        needs = needs_ahead(state, supplies)
        on_hand = np.array([max(one.on_hand, 0) for one in supplies], dtype=float)
        on_order = np.array(
            [sum(o.quantity for o in one.on_order) for one in supplies], dtype=float
        )
        waits = Waits.of([leads[one] for one in sold_by], [gaps[one] for one in sold_by])
        allowed = 1.0 - state.settings.quantile
        found = risks(needs, on_hand + on_order, waits, allowed)
        due = due_in(needs, on_hand + on_order, found.safety, waits.span)
        due = np.where(found.risk > allowed, 0.0, due)
        floor = np.array([0 if one.stopped else one.floor for one in supplies], dtype=float)
        due = np.fmin(due, floor_in(needs, on_hand + on_order, floor))
        return cls(
            state,
            supplies,
            suppliers,
            leads,
            rows,
            needs,
            on_hand,
            on_order,
            floor,
            waits,
            found,
            due,
        )

    def order_from(self, supplier: SupplierState) -> SupplierProposal:
        """What to order from one supplier now."""
        state, weekdays = self.state, supplier.order_weekdays
        number = supplier.supplier
        offers = {
            row: some
            for row in self.rows.get(number, ())
            if not self.supplies[row].stopped and (some := _offers(self.supplies[row], number))
        }
        risk = {row: float(self.risks.risk[row]) for row in offers}
        chance_today = not weekdays or (state.day - 1) % 7 in weekdays
        basket, choices = Basket((), 0, ()), {}
        together = any_short(self.risks, self.waits, list(offers))
        risky = together > 1.0 - state.settings.quantile
        if chance_today and (risky or any(self._below_floor(row) for row in offers)):
            choices = {row: self._choice(row, some) for row, some in offers.items()}
            # Due is each supply whose own chance is too high; if only the sum is, the worst.
            worst = max(risk, key=lambda row: (risk[row], -row))
            candidates = [
                one
                for row, choice in choices.items()
                for one in self._ladder(row, choice, due_now=risky and row == worst)
            ]
            basket = fill(supplier, candidates, state.settings)
        return self._proposal(supplier, basket, choices)

    def _level(self, row: int) -> float:
        """The position below which an order is due."""
        return max(float(self.risks.level[row]), float(self.floor[row]))

    def _below_floor(self, row: int) -> bool:
        return float(self.on_hand[row] + self.on_order[row]) < float(self.floor[row])

    def _choice(self, row: int, offers: list[PackOffer]) -> PackChoice:
        """The pack to buy of a supply."""
        return choose_pack(
            self.supplies[row],
            offers,
            self.needs.mean[row],
            float(self.needs.per_day[row]),
            self._level(row) - float(self.on_hand[row] + self.on_order[row]),
            self.state.settings,
        )

    def _ladder(self, row: int, choice: PackChoice, *, due_now: bool) -> list[Candidate]:
        """The packs of a supply that could be bought, with the days on which they are due."""
        size, level = choice.offer.size, self._level(row)
        start = float(self.on_hand[row] + self.on_order[row])
        farthest = self.state.settings.longest_days * FOR_MINIMUM
        safety, span = float(self.risks.safety[row]), int(self.waits.span[row])
        last = float(self.needs.mean[row, min(farthest + span, HORIZON) - 1])
        floor = float(self.floor[row])
        most = min(max(int((last + max(safety, floor) - start) / size), 0) + 1, MOST_PACKS)
        positions = start + size * np.arange(most, dtype=float)
        days = due_after(self.needs, row, positions, safety, span, floor)
        if due_now or self.due[row] == 0:
            days = [0, *days[1:]]
        ladder: list[Candidate] = []
        for nth, due in enumerate(days):
            position = start + nth * size
            # Beyond what keeps, only what is due is bought, and of it no pack too many.
            keeps = position + size <= choice.most and not choice.outlives
            needed = due == 0 and (nth == 0 or position < level)
            if due > farthest or not (keeps or needed):
                break
            ladder.append(
                Candidate(due, row, nth, choice.offer.price, self.supplies[row].hazardous)
            )
        return ladder

    def _proposal(
        self,
        supplier: SupplierState,
        basket: Basket,
        choices: dict[int, PackChoice],
    ) -> SupplierProposal:
        """The basket as an order with its lines, reasons and figures."""
        day, lead = self.state.day, self.leads[supplier.supplier]
        half, late = lead_time_quantile(lead, 0.5), lead_time_quantile(lead, 0.9)
        gap = _chance_after(day, supplier.order_weekdays)
        packs: dict[int, list[Candidate]] = {}
        for one in basket.packs:
            packs.setdefault(one.supply, []).append(one)
        only_minimum = {one.supply for one in basket.for_minimum}
        lines = tuple(
            self._line(row, some, choices[row], gap + half, row in only_minimum)
            for row, some in sorted(packs.items())
        )
        goods = basket.goods
        freight = freight_of(supplier, goods)
        fee = supplier.hazard_fee if any(one.hazardous for one in basket.packs) else 0
        early = [one for one in basket.packs if one.due_in > 0]
        tied = sum(one.price for one in early)
        wait = sum(one.price * one.due_in for one in early)
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
            delivery_day=day + half,
            delivery_late_day=day + late,
            following_day=day + gap + half,
            next_order_day=day + gap,
        )

    def _line(
        self,
        row: int,
        packs: list[Candidate],
        choice: PackChoice,
        before: int,
        only_minimum: bool,
    ) -> OrderLine:
        """One supply's packs, and the numbers of its reason."""
        needs, supply, offer = self.needs, self.supplies[row], choice.offer
        quantity = len(packs) * offer.size
        first = min(packs, key=lambda one: one.nth)
        column = min(before, HORIZON) - 1
        booked = round(float(needs.booked[row, column]))
        unbooked = max(0, round(float(needs.mean[row, column])) - booked)
        filler = first.due_in > 0
        position = float(self.on_hand[row] + self.on_order[row])
        kind = "booked" if booked and booked >= min(unbooked, position) else "usual"
        if position < float(self.floor[row]) and position >= float(self.risks.level[row]):
            kind = "floor"
        if filler:
            kind = "minimum" if only_minimum else "filler"
        per_day = float(needs.per_day[row])
        reason = Reason(
            kind=kind,
            jobs=round(float(needs.booked_jobs[row, column])),
            booked=booked,
            unbooked=unbooked,
            left=supply.on_hand,
            coming=round(float(self.on_order[row])),
            before_day=self.state.day + before,
            needed_day=self.state.day + max(first.due_in, 0),
            lasts_days=min(HORIZON, round(quantity / per_day)) if per_day > 0 else HORIZON,
            floor=supply.floor,
        )
        outlives = choice.outlives or position + quantity > choice.most
        return OrderLine(
            supply=supply.supply,
            pack=offer.pack,
            count=len(packs),
            quantity=quantity,
            price=offer.price,
            cost=len(packs) * offer.price,
            filler=filler,
            outlives=outlives,
            reason=reason,
        )

    def covers(self) -> tuple[SupplyCover, ...]:
        """How long each supply lasts."""
        ends = np.stack(run_outs(self.needs, self.on_hand), axis=1).tolist()
        halves = {one: lead_time_quantile(lead, 0.5) for one, lead in self.leads.items()}
        half_of = {row: halves[number] for number, rows in self.rows.items() for row in rows}
        return tuple(self._cover(row, ends[row], half_of[row]) for row in range(len(ends)))

    def _cover(self, row: int, ends: list[float], half: int) -> SupplyCover:
        """How long one supply lasts."""
        supply, day, mean = self.supplies[row], self.state.day, self.needs.mean[row]
        early, middle, late = (None if isnan(end) else day + int(end) for end in ends)
        coming = [one.expected_day for one in supply.on_order if one.quantity > 0]
        delivery = min(coming, default=None)
        first = max(1, delivery - day) if delivery is not None else half
        until = float(mean[min(first - 1, HORIZON) - 1]) if first > 1 else 0.0
        on_hand = float(self.on_hand[row])
        short = max(0, round(until - on_hand))
        due = float(self.due[row])
        out = int(np.searchsorted(mean, on_hand, side="right")) + 1 if short else 0
        return SupplyCover(
            supply=supply.supply,
            per_day=float(self.needs.per_day[row]),
            runs_out_early=early,
            runs_out=middle,
            runs_out_late=late,
            reorder_level=0 if supply.stopped else ceil(self._level(row)),
            order_day=None if supply.stopped or isnan(due) else day + int(due),
            risk=float(self.risks.risk[row]),
            next_delivery_day=delivery,
            short_before_delivery=short,
            short_day=day + out if short else None,
            count_it=supply.on_hand < 0,
        )
