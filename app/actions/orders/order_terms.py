"""What terms do to the orders: sales ahead, cold stops, order days, who else would be sooner."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.desk.amounts import all_supplies, money
from app.actions.desk.desk import Desk
from app.actions.orders.pack_reasons import why_pack
from app.actions.orders.rule_facts import offers, supplier_names
from app.actions.orders.shelf_state import covers, proposal
from app.calculations.numbers.dates import day_month, day_short, near
from app.calculations.numbers.wording import capital, counted, noun, words_of
from app.calculations.orders.proposal import SecondSource, SupplierProposal, SupplyCover
from app.calculations.orders.shelf_state import PackOffer, Span
from app.records.queries.stock import PackRow

STOP_SAID_DAYS = 60  # a cold stop is spoken of so long before it begins


@dataclass(frozen=True, kw_only=True)
class SoonerView:
    """Another supplier's packs that would come in time where the usual ones come too late."""

    supply_id: int
    name: str
    supplier_id: int
    supplier: str
    pack_id: int
    pack_label: str
    packs: int
    cost: int
    cost_text: str
    text: str


def sale_text(desk: Desk, proposed: SupplierProposal | None, day: date) -> str:
    """`Sale from 27 November: three lines worth 120.00 wait for it.`"""
    if proposed is None or proposed.sale_day is None or proposed.sale_last_day is None:
        return ""
    last = near(date.fromordinal(proposed.sale_last_day), day)
    if proposed.sale_day <= day.toordinal():
        return f"Sale until {last}."
    text = f"Sale from {near(date.fromordinal(proposed.sale_day), day)}"
    early = [one for one in proposed.lines if one.reason.needed_day >= proposed.sale_day]
    if not proposed.held_lines and early:
        worth = money(desk, sum(one.cost for one in early))
        return (
            f"{text}: {words_of(len(early), 'line')} worth {worth} could wait for it, but "
            f"{noun(len(early), 'reaches', 'reach')} the minimum order."
        )
    if not proposed.held_lines:
        return f"{text} to {last}."
    lines = words_of(proposed.held_lines, "line")
    wait = noun(proposed.held_lines, "waits", "wait")
    return f"{text}: {lines} worth {money(desk, proposed.held_worth)} {wait} for it."


def sale_short(proposed: SupplierProposal | None, day: date) -> str:
    """`sale from 27 Nov`, for a line with little room."""
    if proposed is None or proposed.sale_day is None or proposed.sale_last_day is None:
        return ""
    if proposed.sale_day <= day.toordinal():
        return f"sale until {day_short(date.fromordinal(proposed.sale_last_day))}"
    return f"sale from {day_short(date.fromordinal(proposed.sale_day))}"


def stop_words(stop: Span, day: date) -> str:
    """`from 1 December to 28 February`."""
    first, last = (date.fromordinal(one) for one in stop)
    if first <= day:
        return f"until {near(last, day)}"
    return f"from {day_month(first)} to {near(last, day)}"


def why_not_text(desk: Desk, cover: SupplyCover | None, day: date) -> str:
    """Why something that is due is not proposed: `Orders go out to Dunmarrow on Thursday.`"""
    if cover is None or not cover.due:
        return ""
    name = supplier_names(desk).get(cover.supplier or 0, "its supplier")
    when = _chance_words(cover.chance_day, day)
    if cover.why_not == "weekday":
        return f"Due, but orders to {name} go out {when}."
    if cover.why_not == "cold" and cover.stop is not None:
        stop = stop_words(cover.stop, day)
        return (
            f"Due, but {name} sends nothing that freezes {stop}, and nobody else sells it then; "
            f"it can be ordered {when}."
        )
    if cover.why_not == "no pack":
        return "Due, but no pack is known: enter one with its price to have it ordered."
    if cover.why_not == "no supplier":
        return "Due, but it has no supplier yet: name one to have it ordered."
    return ""


def _chance_words(chance: int, day: date) -> str:
    ahead = chance - day.toordinal()
    when = date.fromordinal(chance)
    if ahead == 1:
        return "tomorrow"
    return f"on {when:%A}" if ahead < 7 else f"on {near(when, day)}"


def waits_texts(desk: Desk, day: date) -> dict[int, str]:
    """By supplier, what is due and must wait: `two due, orders go out on Thursday`."""
    supplies = all_supplies(desk)
    due: dict[int, dict[str, list[SupplyCover]]] = {}
    for supply_id, cover in covers(desk, day).items():
        own = supplies[supply_id].supplier_id if supply_id in supplies else None
        if own is not None and cover.due and cover.why_not in ("weekday", "cold"):
            due.setdefault(own, {}).setdefault(cover.why_not, []).append(cover)
    found = {}
    for supplier, by_reason in due.items():
        sentences = []
        for why, some in by_reason.items():
            when = _chance_words(min(one.chance_day for one in some), day)
            what = "orders go out" if why == "weekday" else "what freezes goes out"
            sentences.append(f"{counted(len(some))} due, {what} {when}")
        found[supplier] = "; ".join(sentences)
    return found


def sooner_views(desk: Desk, day: date) -> tuple[SoonerView, ...]:
    """Who else would bring in time what comes too late, and what that costs more."""
    names, supplies, packs = supplier_names(desk), all_supplies(desk), offers(desk).packs
    return tuple(
        SoonerView(
            supply_id=one.supply,
            name=supplies[one.supply].name,
            supplier_id=one.supplier,
            supplier=names.get(one.supplier, ""),
            pack_id=one.pack,
            pack_label=packs[one.pack].label,
            packs=one.count,
            cost=one.cost,
            cost_text=money(desk, one.cost),
            text=_sooner_text(desk, one, packs[one.pack], names.get(one.supplier, ""), day),
        )
        for one in proposal(desk, day).sooner
        if one.supply in supplies and one.pack in packs
    )


def _sooner_text(desk: Desk, one: SecondSource, pack: PackRow, name: str, day: date) -> str:
    comes = date.fromordinal(one.delivery_day)
    when = "tomorrow" if comes == day + timedelta(days=1) else near(comes, day)
    many = pack.label if one.count == 1 else f"{one.count} × {pack.label}"
    text = f"{name} has it by {when}: {many} for {money(desk, one.cost)}"
    if one.dearer is not None and one.dearer > 0:
        text += f", {money(desk, one.dearer)} dearer"
    elif one.dearer is not None and one.dearer < 0:
        text += f", {money(desk, -one.dearer)} less"
    if one.freight:
        text += f", and {money(desk, one.freight)} of freight"
    if one.order_day > day.toordinal():
        text += f", ordered {_chance_words(one.order_day, day)}"
    return f"{text}."


def ordered_words(cover: SupplyCover | None, day: date) -> str:
    """`Ordered today`, or on the first day on which it can be."""
    if cover is None or cover.chance_day <= day.toordinal():
        return "Ordered today"
    return f"Ordered {_chance_words(cover.chance_day, day)}"


def terms_voice(desk: Desk, day: date, supply_id: int) -> list[str]:
    """What suppliers' terms mean for a supply just now, for the margin beside it."""
    cover = covers(desk, day).get(supply_id)
    sentences = [why_not_text(desk, cover, day)]
    sentences += [one.text for one in sooner_views(desk, day) if one.supply_id == supply_id]
    if cover is not None and cover.stop is not None and cover.why_not != "cold":
        name = supplier_names(desk).get(cover.supplier or 0, "Its supplier")
        first = date.fromordinal(cover.stop[0])
        if (first - day).days <= STOP_SAID_DAYS:
            words = stop_words(cover.stop, day)
            usual = all_supplies(desk)[supply_id].supplier_id
            if usual is not None and usual != cover.supplier:
                name = supplier_names(desk).get(usual, name)
            sentences.append(f"{name} sends nothing that freezes {words}.")
    own = all_supplies(desk)[supply_id].supplier_id
    sentences += [
        sale_text(desk, one, day) for one in proposal(desk, day).suppliers if one.supplier == own
    ]
    return [one for one in sentences if one]


def why_this_pack(desk: Desk, day: date, supply_id: int, pack_id: int) -> tuple[str, ...]:
    """Why this pack of its supplier's, in sentences."""
    supplies, known = all_supplies(desk), offers(desk)
    supply, pack, cover = supplies.get(supply_id), known.packs.get(pack_id), None
    if supply is None or pack is None:
        return ()
    cover = covers(desk, day).get(supply_id)
    seller = pack.supplier_id or supply.supplier_id
    same = [
        one
        for one in known.by_supply.get(supply_id, ())
        if (one.supplier or supply.supplier_id) == seller
    ]
    labels = {one.pack: known.packs[one.pack].label for one in same}
    return why_pack(desk, supply, same, labels, pack_id, cover.per_day if cover else 0.0)


def break_text(desk: Desk, packs: int, price: int, offer: PackOffer, tied: int) -> str:
    """`Four or more at 38.00 instead of 45.00 save 28.00 and tie up 76.00.`, or what the next
    break would be."""
    if price < offer.price and packs:
        start = max(one for one, _ in offer.breaks if one <= packs)
        text = (
            f"{counted(start)} or more at {money(desk, price)} instead of "
            f"{money(desk, offer.price)} save {money(desk, packs * (offer.price - price))}"
        )
        if tied > 0:
            text += f" and tie up {money(desk, tied)} in what is not due yet"
        return capital(f"{text}.")
    coming = next(((one, each) for one, each in sorted(offer.breaks) if one > packs), None)
    if coming is None:
        return ""
    return f"From {counted(coming[0])} on one costs {money(desk, coming[1])}."
