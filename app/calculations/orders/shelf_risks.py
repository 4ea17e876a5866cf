"""The whole shelf weighed at once: who sells what, when it can be ordered, when it is due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

import numpy as np
from numpy.typing import NDArray

from app.calculations.numbers.chances import Floats
from app.calculations.orders.basket import PackCandidate
from app.calculations.orders.lead_times import lead_time_chances
from app.calculations.orders.need import HORIZON, LEARNT, Needs, needs_ahead
from app.calculations.orders.order_chances import Chances, chances
from app.calculations.orders.packs import PackChoice, keeps_for, pack_steps
from app.calculations.orders.reorder_risk import (
    OrderWaits,
    Risks,
    any_short,
    due_after,
    due_in,
    floor_in,
    risks,
    rows_of,
)
from app.calculations.orders.shelf_state import PackOffer, ShelfState, SupplierState, SupplyState

FOR_MINIMUM = 3  # times `longest_days`: how far ahead goods may be bought to reach a minimum order
MOST_PACKS = 200  # of one supply in one order
# Chance of needing more than was bought ahead of a cold stop, where another supplier sends it
# then: it costs a dearer pack, not a job. Judgement, no source.
ANOTHER_STEPS_IN = 0.2
# Standard deviation of what is needed until a delivery, as a share of it, up to which `quantile` is
# kept: judgement. It is 0.44 in the made-up shop as described, and 0.93 booked one day ahead.
USUAL_DOUBT = 0.5
MOST_SHIFTED = 3.0  # times: how much surer or less sure a supply may be than most; judgement


@dataclass(frozen=True, slots=True)
class SupplySource:
    """From whom a supply is bought now, and when it can be ordered there."""

    supplier: int | None
    chances: Chances
    instead_of: int | None = None  # its own supplier, where that one sends nothing that freezes
    own_stop: tuple[int, int] | None = None  # that one's cold stop
    another: bool = False  # someone else sells it and sends it through the coming stop


@dataclass(frozen=True, slots=True)
class OverStop:
    """What a cold stop asks of a supply that must not freeze.

    While chances before it may still be relied on (`last` days from now and sooner), a position
    under `level` is due by then. On the last of them `level` is the reorder level itself, and
    what is due later waits for the first chance `after` the stop, by the usual `safety`, `span`.
    """

    last: int
    after: int
    level: float  # what has to last through the stop, or what keeps of it
    safety: float
    span: int


_ALWAYS = Chances(True, 1, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedShelf:
    """The shelf with its needs and risks; rows are supplies by rising number."""

    state: ShelfState
    supplies: list[SupplyState]
    suppliers: list[SupplierState]
    leads: dict[int | None, Floats]
    sources: list[SupplySource]
    rows: dict[int | None, list[int]]  # by who sells them now; none: nobody does
    needs: Needs
    position: Floats  # on hand (below zero counts as nothing: a miscount) and on order
    on_hand: Floats
    floor: Floats  # what is to stand there in any case
    waits: OrderWaits
    risks: Risks
    over_stop: dict[int, OverStop]  # by row
    due: Floats  # days until each supply is due; NaN: not within the horizon

    @classmethod
    def of(cls, state: ShelfState) -> WeighedShelf:
        """Forecast all needs and weigh all risks."""
        supplies = sorted(state.supplies, key=lambda one: one.supply)
        suppliers = sorted(state.suppliers, key=lambda one: one.supplier)
        leads: dict[int | None, Floats] = {None: lead_time_chances((), None)}
        for one in suppliers:
            leads[one.supplier] = lead_time_chances(
                one.lead_days, one.promised_days, one.waiting_days
            )
        sources = _sources(state.day, supplies, suppliers)
        rows: dict[int | None, list[int]] = {}
        for row, source in enumerate(sources):
            rows.setdefault(source.supplier, []).append(row)
        needs = needs_ahead(state, supplies)
        on_hand = np.array([max(one.on_hand, 0) for one in supplies], dtype=float)
        position = on_hand + np.array(
            [sum(o.quantity for o in one.coming) for one in supplies], dtype=float
        )
        of_row = [leads[one.supplier] for one in sources]
        waits = OrderWaits.of(of_row, [one.chances.gap for one in sources])
        usual = accepted(state, supplies, needs, waits.span)
        allowed = _allowed(usual, sources, before_stop=False)
        found = risks(needs, position, waits, allowed)
        # chances of what is allowed more count for as much less among the others
        found.by_wait[:] *= ((1.0 - state.settings.quantile) / allowed)[:, None]
        due = due_in(needs, position, found.safety, waits.span)
        due = np.where(found.risk > allowed, 0.0, due)
        over = _over_stops(usual, supplies, sources, of_row, needs, position, found)
        for row, stop in over.items():
            if stop.last == 0:
                later = due_after(needs, row, position[row : row + 1], stop.safety, stop.span)
                due[row] = max(stop.after, later[0]) if later else np.nan
            if position[row] < stop.level:
                due[row] = np.fmin(due[row], stop.last)
        floor = np.array([0 if one.stopped else one.floor for one in supplies], dtype=float)
        due = np.fmin(due, floor_in(needs, position, floor))
        return cls(
            state=state,
            supplies=supplies,
            suppliers=suppliers,
            leads=leads,
            sources=sources,
            rows=rows,
            needs=needs,
            position=position,
            on_hand=on_hand,
            floor=floor,
            waits=waits,
            risks=found,
            over_stop=over,
            due=due,
        )

    def level(self, row: int) -> float:
        """The position below which an order is due."""
        return max(float(self.risks.level[row]), float(self.floor[row]))

    def supplier(self, number: int) -> SupplierState:
        """A supplier by number."""
        return next(one for one in self.suppliers if one.supplier == number)

    def own_risk(self, row: int) -> float:
        """The chance of running short that ordering now could help.

        Of what is allowed more than most, it counts as much less.
        """
        return float(self.risks.by_wait[row] @ self.waits.chances[row])

    def below_floor(self, row: int) -> bool:
        """Whether less stands there and comes than is to stand there in any case."""
        return float(self.position[row]) < float(self.floor[row])

    def orderable(self, number: int) -> dict[int, list[PackOffer]]:
        """The rows that this supplier can be asked for today, with his packs."""
        return {
            row: some
            for row in self.rows.get(number, ())
            if self.sources[row].chances.today
            and not self.supplies[row].stopped
            and (some := offers_of(self.supplies[row], number))
        }

    def short_together(self, rows: Sequence[int]) -> bool:
        """Whether any of them running short is likelier than the shop accepts."""
        allowed = 1.0 - self.state.settings.quantile
        return any_short(self.risks, self.waits, rows) > allowed

    def judged(self, row: int) -> float:
        """The position by which it is judged how much to buy: of what is due, its reorder level.

        So that is the same however much of it is left.
        """
        return self.level(row) if self.due[row] == 0 else float(self.position[row])

    def ladder(
        self, row: int, choice: PackChoice, *, due_now: bool, at_level: bool = False
    ) -> list[PackCandidate]:
        """The packs of a supply that could be bought, with the days on which they are due.

        Of what is due, the packs that leave it behind its level are due as well, and all further
        ones as if it stood there just now; at_level: as if it did in fact.
        """
        level, own, behind = self.level(row), float(self.position[row]), 0
        start = self.judged(row)
        if at_level:
            own = start
        elif start > own:
            together = choice.at_once * choice.offer.size
            behind = (ceil((start - own) / together) - 1) * choice.at_once
            start -= behind * choice.offer.size
        farthest = self.state.settings.longest_days * FOR_MINIMUM
        stop, floor = self.over_stop.get(row), float(self.floor[row])
        safety, span = float(self.risks.safety[row]), int(self.waits.span[row])
        if stop is not None and stop.last == 0:
            safety, span = stop.safety, stop.span
        last = float(self.needs.mean[row, min(farthest + span, HORIZON) - 1])
        top = max(last + safety, floor, stop.level if stop is not None else 0.0)
        most = min(max(int((top - start) / choice.offer.size), 0) + 1, MOST_PACKS)
        steps = pack_steps(choice, most)
        positions = start + choice.offer.size * np.array([one.nth for one in steps], dtype=float)
        days = due_after(self.needs, row, positions, safety, span, floor)
        if stop is not None:
            if stop.last == 0:
                days = [max(day, stop.after) for day in days]
            days = [
                min(day, stop.last) if position < stop.level else day
                for day, position in zip(_padded(days, len(steps)), positions, strict=True)
            ]
        if due_now or self.due[row] == 0:
            days = [0] * (behind + 1) + days[behind + 1 :]
        ladder: list[PackCandidate] = []
        for step, due in zip(steps, days, strict=False):
            position = own + step.nth * choice.offer.size
            # Beyond what keeps, only what is due is bought, and of it no pack too many.
            keeps = position + step.packs * choice.offer.size <= choice.most and not choice.outlives
            needed = due == 0 and (step.nth == 0 or position < level)
            if due > farthest or not (keeps or needed):
                break
            if due > 0 and self.sources[row].instead_of is not None:
                break  # what can wait, waits for its own supplier
            hazardous = self.supplies[row].hazardous
            ladder.append(PackCandidate(due, row, step.nth, step.price, hazardous, step.packs))
        return ladder

    def not_too_early(
        self, row: int, choice: PackChoice, some: list[PackCandidate]
    ) -> list[PackCandidate]:
        """These packs of a supply, those put off that it is too early to buy along.

        The use of a supply is a guess in its first weeks, and ground for no more stock than such
        weeks will take, or what stands booked (judgement, no source). Only a minimum order may
        ask for more.
        """
        longest = self.state.settings.longest_days
        if any(self.supplies[row].use[: 1 - LEARNT]):
            return some
        enough = max(self.needs.mean[row, LEARNT - 1], self.needs.booked[row, longest - 1])
        room = float(enough - self.position[row]) / choice.offer.size
        return [
            replace(one, due_in=longest + 1)
            if 0 < one.due_in <= longest and one.nth >= room
            else one
            for one in some
        ]


def _padded(days: list[int], length: int) -> list[int]:
    """What was left out beyond the horizon, as beyond it."""
    return days + [HORIZON + 1] * (length - len(days))


def offers_of(supply: SupplyState, supplier: int) -> list[PackOffer]:
    """The packs of a supply that this supplier sells."""
    return [
        pack
        for pack in supply.packs
        if pack.supplier == supplier or (pack.supplier is None and supply.supplier == supplier)
    ]


def sold_by(supply: SupplyState, known: set[int]) -> int | None:
    """Its own supplier, or if that one has no pack of it, the one with the cheapest unit."""
    own = supply.supplier if supply.supplier in known else None
    if own is not None and (not supply.packs or offers_of(supply, own)):
        return own
    return _cheapest(supply, known) or own


def _cheapest(supply: SupplyState, among: set[int]) -> int | None:
    """Of these suppliers the one who sells it for the least by the unit."""
    others = [one for one in supply.packs if one.supplier in among]
    return (
        min(others, key=lambda one: (one.price / one.size, one.pack)).supplier if others else None
    )


def _sources(
    day: int, supplies: Sequence[SupplyState], suppliers: Sequence[SupplierState]
) -> list[SupplySource]:
    """From whom each supply is bought: its own supplier, in his cold stop another who sells it."""
    known = {one.supplier for one in suppliers}
    when = {
        (one.supplier, frost): chances(day, one, no_frost=frost)
        for one in suppliers
        for frost in (False, True)
    }
    found = []
    for supply in supplies:
        number, frost = sold_by(supply, known), supply.no_frost
        if number is None:
            found.append(SupplySource(None, _ALWAYS))
            continue
        own = when[number, frost]
        if own.stopped:
            open_ = {one for one in known - {number} if not when[one, frost].stopped}
            other = _cheapest(supply, open_)
            if other is not None:
                found.append(SupplySource(other, when[other, frost], number, own.stop))
                continue
        found.append(SupplySource(number, own, another=_sent_through(own, supply, suppliers)))
    return found


def _sent_through(
    own: Chances,
    supply: SupplyState,
    suppliers: Sequence[SupplierState],
) -> bool:
    """Whether somebody else sells a supply and has no cold stop of his own while its supplier's
    lasts."""
    if own.stop is None:
        return False
    first, last = own.stop
    return any(
        offers_of(supply, one.supplier)
        and not any(begin <= last and first <= end for begin, end in one.cold_spans)
        for one in suppliers
        if one.supplier != supply.supplier
    )


def accepted(
    state: ShelfState, supplies: Sequence[SupplyState], needs: Needs, span: NDArray[np.int64]
) -> Floats:
    """The chance of running short that is accepted for each supply.

    What is missing spoils a job whatever it costs, so the money in safety stock does most where it
    buys most safety: cheap goods are kept surer than dear ones, each chance in proportion to the
    worth of its doubt, within `MOST_SHIFTED` times (a total safety stock so shared that the fewest
    stockouts are expected: Silver, Pyke and Peterson, *Inventory Management and Production
    Planning and Scheduling*, 3rd edition, 1998, chapter 7; from memory).

    On average it is 1 - `quantile`, as long as that worth is at most `USUAL_DOUBT` of the worth of
    what is used until a delivery, in the mean of all. Where more is in doubt, as with work that is
    hardly booked ahead, being sure costs more stock, and a little less of it is held: so it is with
    a price on each shortage (criterion B1 of the same chapter). That price is taken to grow with
    the shop, and with how long a job that falls short would have to wait.
    """
    usual, rows = 1.0 - state.settings.quantile, np.arange(len(supplies))
    each = np.array([min((p.price / p.size for p in one.packs), default=0.0) for one in supplies])
    worth = each * np.sqrt(needs.variance[rows, span - 1])
    counted = worth > 0
    mean = float(worth[counted].mean()) if counted.any() else 1.0
    used = each * np.maximum(needs.mean[rows, span - 1], needs.per_day * span)
    if used[counted].any():
        mean = min(mean, USUAL_DOUBT * float(used[counted].mean()))
    shift = np.clip(worth / mean, 1.0 / MOST_SHIFTED, MOST_SHIFTED)
    return usual * np.where(counted, shift, 1.0)


def _allowed(usual: Floats, sources: Sequence[SupplySource], *, before_stop: bool) -> Floats:
    """The chance of running short that is accepted for each, on a usual day or over a stop."""
    over = [one.another and (before_stop != (one.chances.last == 0)) for one in sources]
    return np.where(over, np.maximum(usual, ANOTHER_STEPS_IN), usual)


def _over_stops(
    accepts: Floats,
    supplies: Sequence[SupplyState],
    sources: Sequence[SupplySource],
    leads: Sequence[Floats],
    needs: Needs,
    position: Floats,
    found: Risks,
) -> dict[int, OverStop]:
    """What cold stops ask of the rows that they concern; takes what does not keep so long out of
    the levels and risks in `found`."""
    rows = [row for row, one in enumerate(sources) if one.chances.last is not None]
    if not rows:
        return {}
    when = [sources[row].chances for row in rows]
    # beside the risk of waiting for the next chance: that of the other side of the stop
    gaps = [one.ordinary if one.last == 0 else one.after for one in when]
    waits = OrderWaits.of([leads[row] for row in rows], gaps)
    allowed = _allowed(accepts[rows], [sources[row] for row in rows], before_stop=True)
    other = risks(rows_of(needs, rows), position[rows], waits, allowed)
    over = {}
    for at, (row, one) in enumerate(zip(rows, when, strict=True)):
        last = one.last or 0
        keeps = keeps_for(supplies[row], needs.mean[row], float(needs.per_day[row]))
        usual = float(other.level[at])
        if last == 0:
            found.level[row] = min(float(found.level[row]), max(keeps, usual))
            if position[row] >= found.level[row]:
                found.by_wait[row] = 0.0
            level = float(found.level[row])
        else:
            level = min(usual, keeps)
        over[row] = OverStop(last, one.after, level, float(other.safety[at]), int(waits.span[at]))
    return over
