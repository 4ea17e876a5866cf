"""What the Shelf place shows of a supply: its bar, its note, and packs as they are typed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import partial

from app.actions.desk.amounts import money, stock_text, supply_of
from app.actions.desk.desk import Desk
from app.actions.orders.order_proposal import OrderLineView
from app.actions.shelf import supplies
from app.actions.shelf.shelf import ShelfGroup, ShelfRow, ShelfView
from app.actions.shelf.stock_worth import DeadStock
from app.calculations.numbers.wording import capital
from app.errors import Mendable
from app.window.paper.cells import (
    Cell,
    Column,
    GroupRow,
    State,
    TableRow,
    entry,
    given,
    quiet,
    row_of,
)
from app.window.paper.namefit import Rows, fit_names
from app.window.paper.notes import Alert, Block, Facts, Rule, Voice
from app.window.paper.theme import Theme
from app.window.shelf.timebars import ShelfBar, ShelfCalendar, shelf_column, spoken_bar


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


def idle_blocks(desk: Desk, idle: DeadStock | None) -> list[Block]:
    """Why a supply stands idle or is past its life, and what it is worth."""
    if idle is None:
        return []
    amount = stock_text(desk, supply_of(desk, idle.supply_id), idle.amount)
    facts = (("Stands there", amount), ("Worth", money(desk, idle.value)))
    return [Alert(capital(idle.why)), Facts(facts), Rule()]


def order_blocks(row: ShelfRow, line: OrderLineView | None) -> list[Block]:
    """Why it is to be ordered and why in this pack, or why it is due and yet not proposed."""
    reasons: tuple[str, ...] = (row.why_not,)
    if line is not None and line.packs:
        reasons = (line.reason, line.break_text, *line.why_pack)
    spoken = [Voice(words) for words in reasons if words]
    return [Rule(), *spoken] if spoken else []


def flammables(view: ShelfView) -> list[Block]:
    """The running total of what is marked flammable, and who sets the limit."""
    if not view.flammable_text:
        return []
    return [
        Rule(),
        Facts((("Flammables here", view.flammable_text),)),
        Voice("Your local fire code sets the limit."),
    ]


def deliveries(group: ShelfGroup, today: date) -> tuple[float, ...]:
    """The supplier's next deliveries, in days from today."""
    found = (group.next_delivery, group.following_delivery)
    return tuple(float((day - today).days) for day in found if day is not None)


def shelf_bar(row: ShelfRow, group: ShelfGroup, today: date) -> ShelfBar:
    """The row's numbers in days from today; what lasts over a year reaches beyond the edge."""

    def ahead(day: date | None, otherwise: float = 0.0) -> float:
        return otherwise if day is None else float((day - today).days)

    low = max(0.0, ahead(row.low_day, 400.0))
    high = max(low, ahead(row.high_day, 420.0))
    if row.on_hand <= 0:
        low = high = 0.0
    coming_days = deliveries(group, today)
    gap = on_order = None
    if row.short and row.short_day is not None and coming_days:
        begins, coming = max(0.0, ahead(row.short_day)), ahead(row.on_order_day, coming_days[0])
        gap = (begins, coming) if coming > begins else None
    if row.on_order_day is not None:
        arrives = ahead(row.on_order_day)
        on_order = (arrives, arrives + float(row.on_order_lasts_days or 14))
    reorder = None if row.order_day is None else max(0.0, ahead(row.order_day))
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


def free_name(view: ShelfView | None) -> str:
    """A name for a new supply that none has yet."""
    taken = {row.name.casefold() for group in view.groups for row in group.rows} if view else set()
    name, number = "New supply", 1
    while name.casefold() in taken:
        number += 1
        name = f"New supply {number}"
    return name


# What gives way where long names need the room, least missed first: the bar's T stands for the
# level, the sum beside the action and the margin for the cost, the dashed bar for what is coming.
YIELDING = ("below", "cost", "coming")
NAME_LEAST, NAME_MOST = 110, 320
BARS_LEAST = 64


def shelf_columns(day: date) -> tuple[Column, ...]:
    """The columns of the shelf; the time bars begin at a day and take what is left."""
    cell, group, head = shelf_column(ShelfCalendar(day))
    return (
        Column("supply", "Supply", width=150, least=NAME_LEAST),
        Column("hand", "On hand", width=72, least=60, right=True),
        Column("unit", "", width=34, least=30, unit=True, pad=4),
        Column("cover", "Days of", subhead="cover", width=58, least=52, right=True),
        Column(
            "time",
            width=0,
            least=144,
            pad=0,
            paint=cell,
            paint_group=group,
            paint_head=head,
            say=partial(spoken_bar, today=day),
        ),
        Column("below", "Reorder", subhead="below", width=60, least=54, right=True, dense=True),
        Column("coming", "On", subhead="order", width=52, least=44, right=True, dense=True),
        Column("now", "Order now", width=96, least=80, right=True),
        Column("cost", "Cost", width=60, least=54, right=True, dense=True),
    )


def fit_shelf(
    rows: Sequence[TableRow | GroupRow], day: date, room: int, theme: Theme
) -> tuple[tuple[Column, ...], Rows]:
    """The columns for so many pixels, and the rows with the cells of just those."""
    widths = {"supply": (NAME_LEAST, NAME_MOST), "now": (96, 160)}
    columns, fitted = fit_names(
        shelf_columns(day), rows, room, theme, widths=widths, yielding=YIELDING
    )
    if theme.px(sum(one.least for one in columns)) > room:  # the bars give way at the very last
        columns = tuple(
            replace(one, least=BARS_LEAST) if one.key == "time" else one for one in columns
        )
    return columns, fitted


def shelf_line(
    row: ShelfRow,
    group: ShelfGroup,
    day: date,
    line: OrderLineView | None,
) -> TableRow:
    """One supply as a row; packs to order are written over."""
    state = {"look": State.LOOK, "wrong": State.ALARM}.get(row.alert, State.PLAIN)
    days = "" if row.cover_days is None else str(row.cover_days)
    now = entry("", State.UNUSED)
    if line is not None and line.packs:
        chosen = State.CHANGED if line.chosen else State.PLAIN
        now = entry(f"{line.packs} × {line.pack_label}", chosen, bold=True, tip=line.reason)
    hand = State.ALARM if row.on_hand < 0 else State.LOOK if row.past else State.PLAIN
    past = "some of it is past its life" if row.past else ""
    return row_of(
        row.supply_id,
        Cell(
            row.name,
            bold=bool(row.alert),
            detail="archived" if row.archived else "",
            tip=row.name,
        ),
        Cell(row.on_hand_text, hand, mark="look" if row.past else "", tip=past),
        row.unit,
        Cell(days, state, mark=row.alert),
        Cell(data=shelf_bar(row, group, day)),
        quiet(row.reorder_below_text),
        given(row.on_order_text),
        now,
        given(row.cost_text),
    )
