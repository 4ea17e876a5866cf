"""Counting on the Shelf: the walk along the places, and what each count found gone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from app.actions.desk.amounts import money, stock_text, supply_of
from app.actions.desk.desk import Desk
from app.actions.shelf.counting import Counted
from app.actions.shelf.shelf import ShelfRow, ShelfView, count_lines
from app.calculations.numbers.dates import near_short
from app.calculations.numbers.wording import MINUS
from app.calculations.stock.shelf_order import shelf_order
from app.documents.papers.count_sheet import CountLine
from app.window.house.office import Office
from app.window.paper.cells import Cell, Column, State, TableRow, entry, quiet, row_of
from app.window.paper.namefit import Rows, fit_names
from app.window.paper.notes import Alert, Block, Facts, Plain, Voice, known
from app.window.paper.theme import Theme

COLUMNS = (
    Column("place", "Stands at", width=76, least=64, dense=True),
    Column("supply", "Supply", width=200, least=110),
    Column("hand", "On hand", width=122, least=92, right=True),
    Column("unit", "", width=44, least=32, unit=True, pad=4),
    Column("last", "Counted", subhead="last", width=72, least=60, right=True, dense=True),
    Column("gone", "Unrecorded", subhead="use", width=100, least=80, right=True, dense=True),
    Column(
        "share", "Share of", subhead="all that went", width=92, least=84, right=True, dense=True
    ),
    Column("value", "Worth", width=66, least=56, right=True, dense=True),
)


# What gives way where long names need the room.
YIELDING = ("value", "last")


def fit_count(rows: Rows, room: int, theme: Theme) -> tuple[tuple[Column, ...], Rows]:
    """The columns for so many pixels; what is over goes to the names."""
    columns, fitted = fit_names(
        COLUMNS, rows, room, theme, widths={"supply": (200, 320)}, yielding=YIELDING
    )
    return tuple(replace(one, width=0) if one.key == "supply" else one for one in columns), fitted


def walk(view: ShelfView) -> list[ShelfRow]:
    """The supplies in the order in which the shelf is walked along."""
    rows = [row for group in view.groups for row in group.rows]
    return sorted(rows, key=lambda row: shelf_order(row.shelf_place, row.name))


def count_row(desk: Desk, row: ShelfRow, found: Counted | None, before_text: str = "") -> TableRow:
    """A supply to be counted; one that was counted today shows what that found."""
    hand = entry(
        row.on_hand_text, State.ALARM if row.on_hand_text.startswith(MINUS) else State.PLAIN
    )
    last = quiet("never" if found is None else near_short(found.last, desk.today))
    gone, share, value = (Cell("", State.UNUSED),) * 3
    if found is not None and found.today:
        last = Cell("today", State.GOOD)
        if found.gone:
            hand = Cell(row.on_hand_text, State.CHANGED, old=before_text, editable=True)
            amount = _amount(desk, row.supply_id, found)
            gone = Cell(amount if found.gone > 0 else f"{amount} more")
            value = quiet(money(desk, found.value))
            if found.share_text:
                share = quiet(found.share_text)
        else:
            hand, gone = entry(row.on_hand_text, State.GOOD), quiet("none")
    return row_of(
        row.supply_id,
        Cell(row.shelf_place or "no place", State.QUIET if row.shelf_place else State.CLOSED),
        Cell(row.name, bold=bool(row.alert), tip=row.name),
        hand,
        row.unit,
        last,
        gone,
        share,
        value,
    )


def _amount(desk: Desk, supply_id: int, found: Counted) -> str:
    """How much more or less than the book said was found."""
    return stock_text(desk, supply_of(desk, supply_id), abs(found.gone))


def count_blocks(desk: Desk, supply_id: int, found: Counted | None) -> list[Block]:
    """What the margin says of a supply that is being counted."""
    if found is None or not found.today:
        return [
            Voice(
                "Type what stands there: bottles, fractions, or what the scale shows. The equals "
                "sign says that it is just what the book says."
            )
        ]
    if not found.gone:
        return [Voice("Counted today, just as the book says.")]
    gone = _amount(desk, supply_id, found)
    if found.gone < 0:
        return [
            Alert("More than the book says"),
            Facts((("Found", gone), ("Worth", money(desk, abs(found.value))))),
            Voice("A delivery that was not entered, or a use that was filled in too high."),
        ]
    facts = known(
        ("Gone without a record", gone),
        ("Worth", money(desk, found.value)),
        ("Of all that went this quarter", found.share_text),
    )
    return [Plain("Unrecorded use"), facts]


def counted_text(found: Mapping[int, Counted], rows: Iterable[ShelfRow]) -> str:
    """`3 of 48 counted today`."""
    shown = [row.supply_id for row in rows]
    done = sum(one in found and found[one].today for one in shown)
    return f"{done} of {len(shown)} counted today"


def sheet_lines(office: Office, wanted: Iterable[str]) -> list[CountLine]:
    """The lines of the count sheet, of these supplies only, in the order of the walk."""
    names = set(wanted)
    return [CountLine(*line) for line in count_lines(office.desk) if line[1] in names]
