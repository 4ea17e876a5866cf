"""A supply: the margin beside it on the shelf, and its page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.day.use_note import OVERRIDES
from app.actions.desk.amounts import (
    amount_text,
    at_least_one,
    need_said,
    price_by_unit,
    stock_number,
    stock_said,
    stock_text,
    supply_of,
)
from app.actions.desk.desk import Desk
from app.actions.desk.open_day import numbered
from app.actions.orders.order_terms import ordered_words, terms_voice
from app.actions.orders.shelf_state import (
    alert_of,
    cover_days,
    covers,
    losses_on,
    open_plans,
    proposal,
)
from app.actions.orders.supplier_page import lead_sentence, lead_times
from app.actions.plan.job_plan import JobPlan
from app.actions.shelf.stock_worth import QuarterShare, unrecorded
from app.actions.shelf.supply_uses import days_taken
from app.actions.stock.left import left_on, used_on
from app.actions.stock.lots import (
    LotStanding,
    OpenLot,
    keeps_opened_to,
    loss_text,
    lots_there,
    open_lots,
    past_life,
)
from app.calculations.numbers.dates import day_year, near, near_short
from app.calculations.numbers.wording import MINUS, words_of
from app.calculations.orders.reorder import SupplyCover
from app.records.queries import orders as order_queries
from app.records.queries import stock as queries
from app.records.queries.stock import SupplyRow

LEDGER_LINES = 200  # shown at first; older ones are asked for
OLD_SHEET_DAYS = 3 * 365  # a data sheet may be out of date by then (common practice, no source)


@dataclass(frozen=True)
class SupplyNote:
    """The margin beside a supply on the shelf."""

    title: str
    alert: str
    alert_text: str
    voice: tuple[str, ...]
    facts: tuple[tuple[str, str, str], ...]  # label, value, "" or wrong


@dataclass(frozen=True)
class LotView:
    """A lot, how much of it lies opened (base units), and whether it is past its life."""

    lot: queries.LotRow
    opened: int
    past: bool
    text: str


@dataclass(frozen=True, kw_only=True)
class SupplyPage:
    """Everything about one supply."""

    supply: SupplyRow
    left_text: str  # what is left and until when it lasts
    note: SupplyNote
    packs: tuple[queries.PackRow, ...]
    lots: tuple[LotView, ...]
    ledger: tuple[queries.LedgerRow, ...]
    taken_back: frozenset[int]  # the movements among them that were
    lead_text: str
    hazards: tuple[str, ...]
    unrecorded: tuple[QuarterShare, ...] = ()
    ledger_length: int = 0  # of which the newest lines are in `ledger`
    opened: tuple[OpenLot, ...] = ()


def supply_note(desk: Desk, day: date, supply_id: int) -> SupplyNote:
    """What the shelf's margin says of a supply: until when it lasts, and for which jobs it must."""
    supply = supply_of(desk, supply_id)
    left = left_on(desk, day).get(supply_id, 0)
    cover = covers(desk, day).get(supply_id)
    proposed = next(
        (one for one in proposal(desk, day).suppliers if one.supplier == supply.supplier_id), None
    )
    with desk.book.reading() as session:
        supplier = queries.suppliers(session).get(supply.supplier_id or 0)
        last = queries.last_price(session, supply_id)
    alert = alert_of(cover, left, proposed.delivery_day if proposed else None)
    shown = stock_number(desk, supply, left)
    below = "wrong" if shown.startswith(MINUS) else ""
    facts = [("On hand", stock_text(desk, supply, left), below)]
    today = used_on(desk, day).get(supply_id, 0)
    if today and not supply.pool:
        facts.insert(0, ("Before this day", stock_text(desk, supply, left + today), ""))
        facts.insert(1, ("This day takes", f"{MINUS}{amount_text(desk, supply, today)}", ""))
    needs = [] if supply.pool else booked_jobs(desk, day, supply_id)  # what is taken comes back
    for plan, when, amount in needs[:4]:
        label = f"Job {numbered(plan.job.number)}, {when:%A} {when.day}"
        facts.append((label, f"{MINUS}{amount_text(desk, supply, amount)}", ""))
    voice = terms_voice(desk, day, supply_id)
    if proposed is not None and supplier is not None and (cover is None or cover.why_not != "cold"):
        delivery = date.fromordinal(proposed.delivery_day)
        text = f"{ordered_words(cover, day)}, {supplier.name} comes about {near(delivery, day)}."
        before = [one for one in needs if one[1] <= delivery]
        if before:
            amount = sum(one[2] for one in before)
            jobs = words_of(len(before), "booked job needs", "booked jobs need")
            text += (
                f" Until then {jobs} {need_said(desk, supply, amount)}, and "
                f"{stock_said(desk, supply, left)} is left."
            )
        voice.append(text)
    voice += loss_text(desk, day, supply, losses_on(desk, day).get(supply_id))
    if cover is not None and cover.reorder_level and not supply.stopped:
        facts.append(
            (
                "Reorder below",
                stock_text(desk, supply, at_least_one(supply, cover.reorder_level)),
                "",
            )
        )
    if cover is not None and cover.short_before_delivery > 0:
        short = stock_text(desk, supply, at_least_one(supply, cover.short_before_delivery))
        facts.append(("Short before the delivery", short, "wrong"))
    if supply.stopped:
        voice.append("It is being used up and not ordered again.")
    if last is not None and last[0] > 0:
        cost, quantity, on = last
        voice.append(
            f"Bought last for {price_by_unit(desk, supply, cost, quantity)}, {near(on, day)}."
        )
    return SupplyNote(
        supply.name, alert, _alert_text(shown, cover, day), tuple(voice), tuple(facts)
    )


def _left_text(desk: Desk, day: date, supply: SupplyRow) -> str:
    """What is left and until when: `90 mL, lasts to 7 January`."""
    left = left_on(desk, day).get(supply.supply_id, 0)
    said = stock_text(desk, supply, left)
    if said.startswith(MINUS):
        return f"{said}, count it"
    if left == 0:
        return "none left"
    if supply.pool:
        return said  # what is taken of it comes back
    days = cover_days(covers(desk, day).get(supply.supply_id), day)
    until = "over a year" if days is None else f"to {near(day + timedelta(days=days), day)}"
    return f"{said}, lasts {until}"


def _alert_text(left: str, cover: SupplyCover | None, day: date) -> str:
    if left.startswith(MINUS):
        return "Below zero: count it"
    if not left.strip("0."):
        return "None left"
    days = cover_days(cover, day)
    if days is None:
        return "Lasts over a year"
    out = day + timedelta(days=days)
    if days < 7:
        return f"Out on about {out:%A}"
    return f"Out about {near(out, day)}"


def booked_jobs(desk: Desk, day: date, supply_id: int) -> list[tuple[JobPlan, date, int]]:
    """The booked jobs that need it, with the first of their days on which they do."""
    found = []
    for plan in open_plans(desk, day):
        if supply_id not in plan.needs:
            continue
        ahead = [
            (when, amount)
            for when in plan.days
            if when > day and (amount := plan.filled_in(when, supply_id)[0])
        ]
        if ahead:
            found.append((plan, ahead[0][0], sum(amount for _, amount in ahead)))
    return sorted(found, key=lambda one: one[1])


def supply_page(
    desk: Desk, day: date, supply_id: int, *, lines_wanted: int = LEDGER_LINES
) -> SupplyPage:
    """Facts, packs, lots, the newest lines of the ledger, and hazards of a supply."""
    supply = supply_of(desk, supply_id)
    with desk.book.reading() as session:
        packs = queries.packs(session).get(supply_id, [])
        lots = queries.lots(session, supply_id)
        lines = queries.ledger(session, supply_id, lines_wanted)
        length = len(lines)
        if length == lines_wanted:
            length = queries.ledger_length(session, supply_id)
        leads = [days_taken(one) for one in order_queries.arrivals(session, supply_id)]
    standing = {one.lot.lot_id: one for one in lots_there(desk).get(supply_id, ())}
    return SupplyPage(
        supply=supply,
        left_text=_left_text(desk, day, supply),
        note=supply_note(desk, day, supply_id),
        packs=tuple(packs),
        lots=tuple(_lot_view(day, supply, lot, standing.get(lot.lot_id)) for lot in lots),
        ledger=tuple(lines),
        taken_back=frozenset(line.counters_id for line in lines if line.counters_id is not None),
        lead_text=lead_sentence(lead_times(leads)),
        hazards=tuple(_hazards(desk, supply)),
        unrecorded=unrecorded(desk, day, supply),
        ledger_length=length,
        opened=open_lots(desk, day, supply),
    )


def _lot_view(
    day: date, supply: SupplyRow, lot: queries.LotRow, standing: LotStanding | None
) -> LotView:
    opened = standing.opened if standing is not None else 0
    why = past_life(supply, standing, day)[2] if standing is not None else ""
    text = why.capitalize() if why and lot.opened_on is None else ""
    if lot.opened_on is not None:
        text = f"opened {near_short(lot.opened_on, day)}"
        until = keeps_opened_to(supply, lot)
        if opened and until is not None:
            text += f", {'kept' if why else 'keeps'} to {near_short(until, day)}"
    return LotView(lot, opened, bool(why), text)


def _hazards(desk: Desk, supply: SupplyRow) -> list[str]:
    sentences = []
    if supply.signal_word or supply.hazard_statements:
        hazards = "; ".join(supply.hazard_statements)
        sentences.append(": ".join(filter(None, (supply.signal_word, hazards))))
    if supply.pictograms:
        sentences.append("Pictograms: " + ", ".join(supply.pictograms))
    if supply.sds_file:
        dated = f" of {day_year(supply.sds_date)}" if supply.sds_date else ""
        sentences.append(f"Safety data sheet{dated}: {supply.sds_file}")
        if supply.sds_date and (desk.today - supply.sds_date).days > OLD_SHEET_DAYS:
            sentences.append(
                "The sheet is older than three years: ask the supplier for the present one."
            )
    if sentences:
        sentences.append(OVERRIDES)
    elif not supply.ingredients:
        sentences.append("Nothing was entered from its safety data sheet yet.")
    return sentences
