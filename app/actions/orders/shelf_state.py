"""The shelf as the order rule reads it, and the rule's answer: one for all who show or use it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from app.actions.desk.desk import Desk
from app.actions.orders.rule_facts import rule_facts
from app.actions.orders.supplier_terms import spans_of
from app.actions.plan.job_plan import JobPlan, plans, plans_on
from app.actions.stock import pool_stock
from app.actions.stock.left import left_on, used_on
from app.actions.stock.lots import losses
from app.calculations.orders.lead_times import ASSUMED_DAYS, comes_at_all
from app.calculations.orders.proposal import Proposal, SupplyCover
from app.calculations.orders.reorder import propose
from app.calculations.orders.shelf_state import (
    BookedNeed,
    OnOrder,
    OrderSettings,
    PackOffer,
    ShelfState,
    Span,
    SupplierState,
    SupplyState,
)
from app.calculations.stock.expiry import Loss
from app.records.queries import days as day_queries
from app.records.queries import uses as use_queries
from app.records.queries.orders import OrderRow
from app.records.queries.stock import SupplierRow, SupplyRow

WINDOW_DAYS = 365  # of use; it bounds what is read, however old the book is
OPEN_SINCE_DAYS = 30  # unfinished jobs whose visit ended longer ago are not waited for
# Hazards for which carriers charge; the supplier's own list comes first (common practice).
HAZARDOUS = frozenset({"GHS02", "GHS03", "GHS05", "GHS06"})


def proposal(desk: Desk, day: date) -> Proposal:
    """What to order at this day's end and how long everything lasts."""
    return desk.remembered(("proposal", day), lambda: propose(shelf_state(desk, day)))


def covers(desk: Desk, day: date) -> dict[int, SupplyCover]:
    """How long each supply lasts."""
    return {cover.supply: cover for cover in proposal(desk, day).covers}


def shelf_state(desk: Desk, day: date) -> ShelfState:
    """The whole shelf at a day's end, from a bounded part of the book."""
    so_far = desk.remembered(("use so far", day), lambda: _use_so_far(desk, day))
    left = left_on(desk, day)
    gone = pool_stock.use_until(desk, day, WINDOW_DAYS)
    today = used_on(desk, day)
    facts = rule_facts(desk)
    booked = booked_needs(desk, day)
    lost = losses_on(desk, day)
    coming = on_order(desk, day)
    cold, sales = spans_of(facts.announced, day)
    return ShelfState(
        day.toordinal(),
        tuple(
            _supply_state(
                supply,
                usable(left.get(one, 0), lost.get(one)),
                facts.offers.by_supply.get(one, ()),
                coming.get(one, ()),
                booked.get(one, ()),
                gone[one] if one in gone else [*so_far.get(one, ()), today.get(one, 0)],
                pool_stock.floor_of(desk, one),
                facts.notice_of.get(one, ()),
            )
            for one, supply in sorted(facts.supplies.items())
        ),
        tuple(
            _supplier_state(
                supplier,
                facts.leads[one],
                waiting_days(desk, one, day),
                cold.get(one, ()),
                sales.get(one, ()),
            )
            for one, supplier in sorted(facts.suppliers.items())
        ),
        facts.notice,
        rule_settings(desk),
    )


def rule_settings(desk: Desk) -> OrderSettings:
    """What the shop chose, as the order rule reads it."""
    chosen = desk.settings
    return OrderSettings(
        quantile=chosen.service_quantile,
        freight_days=chosen.freight_days,
        longest_days=chosen.longest_days,
        window_days=WINDOW_DAYS,
    )


def losses_on(desk: Desk, day: date) -> dict[int, Loss]:
    """What of each supply is past its life after this day, or will be before it is used."""
    return desk.remembered(
        ("losses", day),
        lambda: losses(
            desk,
            day,
            booked_needs(desk, day),
            desk.remembered(("use so far", day), lambda: _use_so_far(desk, day)),
        ),
    )


def usable(left: int, lost: Loss | None) -> int:
    """What can be counted on of what is left; the ledger keeps it all until it is written off."""
    return left if lost is None else min(left, max(0, left - lost.whole))


def _supply_state(
    supply: SupplyRow,
    left: int,
    packs: tuple[PackOffer, ...],
    coming: tuple[OnOrder, ...],
    booked: tuple[BookedNeed, ...],
    use: Sequence[int],
    floor: int,
    notice: Sequence[int],
) -> SupplyState:
    return SupplyState(
        supply=supply.supply_id,
        supplier=supply.supplier_id,
        on_hand=left,
        packs=packs,
        on_order=coming,
        booked=booked,
        use=use,
        shelf_life_days=supply.shelf_life_days,
        # a whole container is opened for a job: how long the rest keeps says nothing of packs
        opened_life_days=None if supply.whole_container else supply.opened_life_days,
        stopped=supply.stopped,
        hazardous=supply.flammable or bool(HAZARDOUS & set(supply.pictograms)),
        floor=floor,
        no_frost=supply.no_frost,
        notice=notice,
    )


def _supplier_state(
    supplier: SupplierRow,
    leads: Sequence[int],
    waiting: Sequence[int],
    cold: tuple[Span, ...],
    sales: tuple[Span, ...],
) -> SupplierState:
    return SupplierState(
        supplier=supplier.supplier_id,
        lead_days=leads,
        waiting_days=waiting,
        promised_days=supplier.promised_days,
        freight=supplier.freight,
        free_freight_from=supplier.free_freight_from,
        minimum_order=supplier.minimum_order,
        hazard_fee=supplier.hazard_fee,
        order_weekdays=supplier.order_weekdays,
        cold_spans=cold,
        sale_spans=sales,
    )


def waiting_days(desk: Desk, supplier: int, day: date) -> tuple[int, ...]:
    """Days that a supplier's parcels of which nothing came have taken so far, at a day's end.

    What is more likely lost says nothing of how long parcels take that come.
    """
    return tuple(
        (day - one.day).days
        for one in rule_facts(desk).coming
        if one.supplier_id == supplier
        and one.state == "sent"
        and one.day < day
        and _comes(desk, one, day) >= 0.5
    )


def _use_so_far(desk: Desk, day: date) -> dict[int, list[int]]:
    """Daily use of each supply until the day before, oldest first, from when it was first there."""
    start = day - timedelta(days=WINDOW_DAYS - 1)
    with desk.book.reading() as session:
        used = use_queries.use_by_day(session, start, day - timedelta(days=1))
        first = use_queries.first_days(session)
    found = {}
    for supply in used.keys() | first.keys():
        begins = max(start, min(first.get(supply, day), *used.get(supply, {day: 0})))
        length = (day - begins).days
        series = [0] * length
        for when, amount in used.get(supply, {}).items():
            series[(when - begins).days] = amount
        found[supply] = series
    return found


def booked_needs(desk: Desk, day: date) -> dict[int, tuple[BookedNeed, ...]]:
    """What booked jobs still need after this day, by supply.

    What stands on this day's own sheet is not among it: it is taken off the shelf already. What
    earlier days left unsaid counts with its own, past day.
    """
    found = {supply: list(needs) for supply, needs in _needs_elsewhere(desk, day).items()}
    for plan in plans_on(desk, day):
        if plan.job.state in day_queries.OPEN:
            _add_needs(found, plan, day, here=True)
    pools = pool_stock.pool_ids(desk)  # what jobs take of them comes back
    return {supply: tuple(needs) for supply, needs in found.items() if supply not in pools}


def _needs_elsewhere(desk: Desk, day: date) -> dict[int, list[BookedNeed]]:
    """What the jobs need that do not stand on this day."""

    def work_out() -> dict[int, list[BookedNeed]]:
        found: dict[int, list[BookedNeed]] = {}
        for plan in plans_elsewhere(desk, day):
            _add_needs(found, plan, day, here=False)
        return found

    return desk.remembered(("elsewhere", "needs", day), work_out)


def _add_needs(found: dict[int, list[BookedNeed]], plan: JobPlan, day: date, *, here: bool) -> None:
    if plan.last_day is None:
        return
    for supply, need in plan.needs.items():
        for when, amount in _still_needed(plan, supply, day, here):
            found.setdefault(supply, []).append(
                BookedNeed(when.toordinal(), amount, need.spread, plan.job_id)
            )


def plans_elsewhere(desk: Desk, day: date) -> tuple[JobPlan, ...]:
    """The jobs that are booked or begun and do not stand on this day."""

    def read() -> tuple[JobPlan, ...]:
        here = {plan.job_id for plan in plans_on(desk, day)}
        with desk.book.reading() as session:
            jobs = day_queries.open_jobs(session, day - timedelta(days=OPEN_SINCE_DAYS))
            jobs = [job for job in jobs if job.job_id not in here]
            return tuple(plans(desk, session, jobs).values())

    return desk.remembered(("elsewhere", "plans", day), read)


def open_plans(desk: Desk, day: date) -> tuple[JobPlan, ...]:
    """The jobs that are booked or begun, with what each still takes."""
    here = [plan for plan in plans_on(desk, day) if plan.job.state in day_queries.OPEN]
    return (*here, *plans_elsewhere(desk, day))


def _still_needed(plan: JobPlan, supply: int, day: date, here: bool) -> list[tuple[date, int]]:
    """(day, amount) of what a job still takes of a supply, apart from this day."""
    rest = plan.needs[supply].amount - sum(
        use.quantity
        for use in plan.uses
        if use.supply_id == supply and (use.booked or use.state == "confirmed")
    )
    if here and plan.entered_use(day, supply) is None:
        rest -= plan.filled_in(day, supply)[0]
    if here and plan.finishes_on(day):
        ahead: list[tuple[date, int]] = []
    else:
        ahead = [
            (when, plan.filled_in(when, supply)[0])
            for when in plan.days
            if when > day and when not in plan.closed
        ]
    needed = []
    for when, amount in ahead:
        part = min(amount, rest)
        if part > 0:
            needed.append((when, part))
            rest -= part
    late = [when for when in plan.days if when < day and when not in plan.closed]
    if rest > 0 and late:
        needed.append((late[-1], rest))
    return needed


def on_order(desk: Desk, day: date, without: int | None = None) -> dict[int, tuple[OnOrder, ...]]:
    """What is still to come, by supply; what is overdue is expected tomorrow.

    What is more likely lost is not among it. without: an order that is left out.
    """
    found: dict[int, list[OnOrder]] = {}
    for order in rule_facts(desk).coming:
        comes = _comes(desk, order, day)
        if order.order_id == without or comes < 0.5:
            continue
        expected = max(_expected(desk, order), day + timedelta(days=1)).toordinal()
        for line in order.lines:
            open_packs = line.packs - line.packs_received
            if open_packs > 0:
                found.setdefault(line.supply_id, []).append(
                    OnOrder(open_packs * line.pack_size, expected, comes)
                )
    return {supply: tuple(lines) for supply, lines in found.items()}


def proposal_without(desk: Desk, day: date, order_id: int) -> Proposal:
    """What would be ordered at this day's end, were an order that is on its way not there."""

    def work_out() -> Proposal:
        state, coming = shelf_state(desk, day), on_order(desk, day, order_id)
        supplies = [replace(one, on_order=coming.get(one.supply, ())) for one in state.supplies]
        return propose(replace(state, supplies=tuple(supplies)))

    return desk.remembered(("proposal without", day, order_id), work_out)


def probably_lost(desk: Desk, day: date) -> list[OrderRow]:
    """The orders of which all or the rest is overdue for so long that it is not counted on."""
    return [one for one in rule_facts(desk).coming if _comes(desk, one, day) < 0.5]


def _promised(desk: Desk, order: OrderRow) -> timedelta:
    supplier = rule_facts(desk).suppliers.get(order.supplier_id)
    promised = supplier.promised_days if supplier is not None else None
    return timedelta(days=promised or ASSUMED_DAYS)


def _expected(desk: Desk, order: OrderRow) -> date:
    return order.expected_on or order.day + _promised(desk, order)


def _comes(desk: Desk, order: OrderRow, day: date) -> float:
    """The chance that what is still due of an order comes at all.

    The rest of one that came in part is taken as sent on the day on which the last part came.
    """
    facts, sent, expected = rule_facts(desk), order.day, _expected(desk, order)
    supplier = facts.suppliers.get(order.supplier_id)
    if order.state == "written" or supplier is None:
        return 1.0
    if order.state == "part":
        sent = facts.last_part.get(order.order_id, sent)
        expected = max(expected, sent + _promised(desk, order))
    return comes_at_all(
        (day - expected).days,
        (expected - sent).days,
        facts.leads[order.supplier_id],
        supplier.promised_days,
    )


def alert_of(cover: SupplyCover | None, left: int, delivery_day: int | None) -> str:
    """ "wrong" when work that is booked will lack it (or the count is wrong), "look" when it may
    well run out before anything ordered now could come, else nothing."""
    if left < 0:
        return "wrong"
    if cover is None:
        return ""
    if cover.short_before_delivery > 0:
        return "wrong"
    comes = cover.next_delivery_day if cover.next_delivery_day is not None else delivery_day
    if cover.runs_out is not None and comes is not None and cover.runs_out < comes:
        return "look"
    return ""


def cover_days(cover: SupplyCover | None, day: date) -> int | None:
    """For how many days it lasts, in the middle case; None beyond the horizon of a year."""
    if cover is None or cover.runs_out is None:
        return None
    return max(0, cover.runs_out - day.toordinal())
