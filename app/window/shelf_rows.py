"""What the Shelf place shows of a supply: its bar, its note, and packs as they are typed."""

from __future__ import annotations

from datetime import date

from app.actions import supplies
from app.actions.pools import PoolView
from app.actions.shelf import Shelf, ShelfGroup, ShelfRow
from app.errors import Mendable
from app.window.notes import Alert, Block, Facts, Rule, Voice
from app.window.timebars import ShelfBar


def note_blocks(note: supplies.SupplyNote) -> list[Block]:
    """The margin beside a supply."""
    blocks: list[Block] = []
    if note.alert_text:
        if note.alert:
            blocks.append(Alert(note.alert_text, note.alert))
        else:
            blocks.append(Voice(f"{note.alert_text}."))
    blocks += [Voice(words) for words in note.voice]
    if note.facts:
        facts = tuple(
            (label, value, "alarm") if tone == "wrong" else (label, value)
            for label, value, tone in note.facts
        )
        blocks += [Rule(), Facts(facts)]
    return blocks


def pool_blocks(view: PoolView | None) -> list[Block]:
    """The pieces of a pool, and what a use of them wears off."""
    if view is None:
        return []
    facts = [("In the pool", view.text)]
    if view.loads:
        facts.append(("Loads washed", str(view.loads)))
    if view.wear_text:
        facts.append(("Wear", view.wear_text))
    blocks: list[Block] = [Rule(), Facts(tuple(facts))]
    if view.rebuy_text:
        blocks.append(Alert(view.rebuy_text))
    return blocks


def flammables(view: Shelf) -> list[Block]:
    """The running total of what is marked flammable, and who sets the limit."""
    if not view.flammable_text:
        return []
    return [
        Rule(),
        Facts((("Flammables here", view.flammable_text),)),
        Voice("Your local fire code sets the limit."),
    ]


def _days(day: date | None, today: date, otherwise: float) -> float:
    return otherwise if day is None else float((day - today).days)


def deliveries(group: ShelfGroup, today: date) -> tuple[float, ...]:
    """The supplier's next deliveries, in days from today."""
    found = (group.next_delivery, group.following_delivery)
    return tuple(float((day - today).days) for day in found if day is not None)


def shelf_bar(row: ShelfRow, group: ShelfGroup, today: date) -> ShelfBar:
    """The row's numbers in days from today; what lasts over a year reaches beyond the edge."""
    low = max(0.0, _days(row.low_day, today, 400.0))
    high = max(low, _days(row.high_day, today, 420.0))
    if row.on_hand <= 0:
        low = high = 0.0
    coming_days = deliveries(group, today)
    gap = None
    if row.short and row.short_day is not None and coming_days:
        coming = _days(row.on_order_day, today, coming_days[0])
        begins = max(0.0, float((row.short_day - today).days))
        gap = (begins, coming) if coming > begins else None
    on_order = None
    if row.on_order_day is not None:
        arrives = float((row.on_order_day - today).days)
        on_order = (arrives, arrives + float(row.on_order_lasts_days or 14))
    reorder = None if row.order_day is None else max(0.0, _days(row.order_day, today, 0.0))
    return ShelfBar(low, high, reorder, coming_days, gap, on_order)


def read_packs(text: str) -> int:
    """A number of packs as typed: `3`, `3 ×`, `-` or nothing for none."""
    plain = text.split("×")[0].split("x")[0].strip()
    if plain in ("", "-", "·"):
        return 0
    try:
        return int(plain)
    except ValueError:
        raise Mendable(f"“{text.strip()}” is no number of packs; type one like 2.") from None


def free_name(view: Shelf | None) -> str:
    """A name for a new supply that none has yet."""
    taken = {row.name.casefold() for group in view.groups for row in group.rows} if view else set()
    name, number = "New supply", 1
    while name.casefold() in taken:
        number += 1
        name = f"New supply {number}"
    return name
