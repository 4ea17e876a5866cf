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
from app.calculations.reorder_risk import Risks, due_in, risks
from app.calculations.shelf_state import (
    PackOffer,
    ShelfState,
    SupplierState,
    SupplyState,
    check_shelf,
)

FOR_MINIMUM = 3  # times `longest_days`: how far ahead goods may be bought to reach a minimum order
NOBODY = -1
MOST_PACKS = 200  # of one supply in one order


def propose(state: ShelfState) -> Proposal:
    """What to order at this day's end, from whom, and why.

    For each supplier the chances that one of its supplies runs short, should one wait for the next
    chance to order, are added up; when they exceed 1 - `quantile` an order is due. Into it go, in
    whole packs, what is due, and what will be due soonest anyway, up to where freight, fees and
    money tied up cost least a day (`basket`). Nothing is bought that would not be used within 0.75
    of its shelf life, except the least number of packs that what is due needs.

    The same shelf gives the same answer, in whatever order its supplies stand. Raises `Mendable`
    for a shelf that cannot be (a pack without content, a supply that stands there twice).
    """
    check_shelf(state)
    supplies = sorted(state.supplies, key=lambda one: one.supply)
    suppliers = sorted(state.suppliers, key=lambda one: one.supplier)
    needs = needs_ahead(state, supplies)
    shelf = _Shelf(
        state,
        supplies,
        needs,
        np.array([max(one.on_hand, 0) for one in supplies], dtype=float),
        np.array([sum(o.quantity for o in one.on_order) for one in supplies], dtype=float),
    )
    known = {one.supplier for one in suppliers}
    from_whom: dict[int | None, list[int]] = {}
    for row, one in enumerate(supplies):
        from_whom.setdefault(_sold_by(one, known), []).append(row)
    found: list[tuple[SupplierProposal, dict[int, SupplyCover]]] = []
    for supplier in suppliers:
        found.append(shelf.ask(supplier, np.array(from_whom.pop(supplier.supplier, []), dtype=int)))
    covers = {row: cover for _, some in found for row, cover in some.items()}
    if None in from_whom:
        nobody = SupplierState(NOBODY)
        covers |= shelf.ask(nobody, np.array(from_whom[None], dtype=int))[1]
    return Proposal(
        state.day,
        tuple(order for order, _ in found),
        tuple(covers[row] for row in range(len(supplies))),
    )


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
    """The shelf with its needs; rows are supplies by rising number."""

    state: ShelfState
    supplies: list[SupplyState]
    needs: Needs
    on_hand: Floats
    on_order: Floats

    def ask(
        self, supplier: SupplierState, rows: np.ndarray
    ) -> tuple[SupplierProposal, dict[int, SupplyCover]]:
        """The order for one supplier, and how long the supplies it sells last."""
        state = self.state
        lead = lead_time_chances(supplier.lead_days, supplier.promised_days)
        gap = _chance_after(state.day, supplier.order_weekdays)
        allowed = 1.0 - state.settings.quantile
        position = (self.on_hand + self.on_order)[rows]
        found = risks(self.needs, rows, position, lead, gap, allowed)
        half = lead_time_quantile(lead, 0.5)
        choices = self._choices(supplier, rows, found)
        can_order = not supplier.order_weekdays or (state.day - 1) % 7 in supplier.order_weekdays
        ladders = {
            row: self._ladder(row, choices[row], found, at, allowed)
            for at, row in enumerate(rows.tolist())
            if row in choices
        }
        # What is due: each supply whose own chance is too high, and if only the sum is, the worst.
        at_risk = {
            row: float(found.risk[at]) for at, row in enumerate(rows.tolist()) if row in choices
        }
        basket = Basket((), 0, ())
        if can_order and sum(at_risk.values()) > allowed:
            worst = max(at_risk, key=lambda row: (at_risk[row], -row))
            if not ladders[worst] or ladders[worst][0].due_in > 0:
                ladders[worst] = [self._candidate(worst, choices[worst], 0, 0), *ladders[worst][1:]]
            candidates = [one for ladder in ladders.values() for one in ladder]
            basket = fill(supplier, candidates, state.settings)
        before = gap + half
        order = self._proposal(supplier, basket, choices, before, gap, lead)
        ends = run_outs(
            Needs(*(column[rows] for column in _columns(self.needs))), self.on_hand[rows]
        )
        covers = {
            row: self._cover(
                row, at, found, [float(end[at]) for end in ends], ladders.get(row), half
            )
            for at, row in enumerate(rows.tolist())
        }
        return order, covers

    def _choices(
        self, supplier: SupplierState, rows: np.ndarray, found: Risks
    ) -> dict[int, PackChoice]:
        """The pack to buy of each supply that may be bought here."""
        choices = {}
        for at, row in enumerate(rows.tolist()):
            supply = self.supplies[row]
            offers = [] if supply.stopped else _offers(supply, supplier.supplier)
            if offers:
                missing = float(found.level[at] - self.on_hand[row] - self.on_order[row])
                choices[row] = choose_pack(
                    supply,
                    offers,
                    self.needs.mean[row],
                    float(self.needs.per_day[row]),
                    missing,
                    self.state.settings,
                )
        return choices

    def _candidate(self, row: int, choice: PackChoice, nth: int, due: int) -> Candidate:
        return Candidate(due, row, nth, choice.offer.price, self.supplies[row].hazardous)

    def _ladder(
        self, row: int, choice: PackChoice, found: Risks, at: int, allowed: float
    ) -> list[Candidate]:
        """The packs of a supply that could be bought, with the days on which they are due."""
        ladder: list[Candidate] = []
        position = float(self.on_hand[row] + self.on_order[row])
        span, safety = found.span, float(found.safety[at])
        farthest = self.state.settings.longest_days * FOR_MINIMUM
        for nth in range(MOST_PACKS):
            due = due_in(self.needs, row, position, safety, span)
            if nth == 0 and found.risk[at] > allowed:
                due = 0
            too_much = position + choice.offer.size > choice.most
            if due is None or due > farthest or (due > 0 and (too_much or choice.outlives)):
                break
            if nth > 0 and too_much and position >= found.level[at]:
                break
            ladder.append(self._candidate(row, choice, nth, due))
            position += choice.offer.size
        return ladder

    def _proposal(
        self,
        supplier: SupplierState,
        basket: Basket,
        choices: dict[int, PackChoice],
        before: int,
        gap: int,
        lead: Floats,
    ) -> SupplierProposal:
        """The basket as an order with its lines, reasons and figures."""
        day = self.state.day
        packs: dict[int, list[Candidate]] = {}
        for one in basket.packs:
            packs.setdefault(one.supply, []).append(one)
        only_minimum = {one.supply for one in basket.for_minimum}
        lines = tuple(
            self._line(row, some, choices[row], before, row in only_minimum)
            for row, some in sorted(packs.items())
        )
        goods = basket.goods
        freight = freight_of(supplier, goods)
        fee = supplier.hazard_fee if any(one.hazardous for one in basket.packs) else 0
        early = [one for one in basket.packs if one.due_in > 0]
        tied = sum(one.price for one in early)
        wait = sum(one.price * one.due_in for one in early)
        half, late = lead_time_quantile(lead, 0.5), lead_time_quantile(lead, 0.9)
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
        kind = "booked" if booked and booked >= unbooked else "usual"
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
        )
        position = float(self.on_hand[row] + self.on_order[row])
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

    def _cover(
        self,
        row: int,
        at: int,
        found: Risks,
        ends: list[float],
        ladder: list[Candidate] | None,
        half: int,
    ) -> SupplyCover:
        """How long one supply lasts."""
        supply, day, mean = self.supplies[row], self.state.day, self.needs.mean[row]
        early, middle, late = (None if isnan(end) else day + int(end) for end in ends)
        coming = [one.expected_day for one in supply.on_order if one.quantity > 0]
        delivery = min(coming, default=None)
        first = max(1, delivery - day) if delivery is not None else half
        until = float(mean[min(first - 1, HORIZON) - 1]) if first > 1 else 0.0
        short = max(0, round(until - self.on_hand[row]))
        out = int(np.searchsorted(mean, self.on_hand[row], side="right")) + 1
        return SupplyCover(
            supply=supply.supply,
            per_day=float(self.needs.per_day[row]),
            runs_out_early=early,
            runs_out=middle,
            runs_out_late=late,
            reorder_level=0 if supply.stopped else ceil(found.level[at]),
            order_day=day + max(ladder[0].due_in, 0) if ladder else None,
            risk=float(found.risk[at]),
            next_delivery_day=delivery,
            short_before_delivery=short,
            short_day=day + out if short else None,
            count_it=supply.on_hand < 0,
        )


def _columns(needs: Needs) -> tuple[Floats, ...]:
    return (
        needs.mean,
        needs.variance,
        needs.some,
        needs.booked,
        needs.booked_jobs,
        needs.per_day,
    )
