"""Plain dataclasses that say what a table shows; the table itself formats nothing."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import KW_ONLY, dataclass
from enum import StrEnum
from typing import Any

from PySide6.QtCore import QRectF

from app.window.paper.brush import Brush


class State(StrEnum):
    """How a cell stands; each has a shape or weight besides its colour."""

    PLAIN = "plain"  # filled in, nothing to do
    CHANGED = "changed"  # the old number struck through, then the new in bold
    FEW = "few"  # filled in from few jobs: dotted underline
    UNUSED = "unused"  # a centred dot
    CLOSED = "closed"  # a closed day: third ink
    QUIET = "quiet"  # second ink
    LOOK = "look"  # worth a look: bold, look colour
    ALARM = "alarm"  # wrong or too late: bold, alarm colour
    GOOD = "good"


WORTH_A_LOOK = frozenset({State.FEW, State.LOOK, State.ALARM})


@dataclass(frozen=True)
class Cell:
    """One cell. `old` is the filled-in number that stands struck through before a changed one.

    `detail` follows the text in small third ink; `mark` names a mark drawn before it; `data` is
    handed to a column's own painter; `tip` is shown when the mouse rests there. `under` is a second
    line, before which `mark` stands then; `key` a key cap at the cell's right end; `order` is what
    a table is sorted by where the text does not say it, such as a day without its year.
    """

    text: str = ""
    state: State = State.PLAIN
    _: KW_ONLY
    old: str = ""
    unit: str = ""
    mark: str = ""
    bold: bool = False
    editable: bool = False
    detail: str = ""
    under: str = ""
    key: str = ""
    data: object = None
    tip: str = ""
    order: Any = None


def quiet(text: str, *, tip: str = "", mark: str = "", order: Any = None) -> Cell:
    """A text in second ink."""
    return Cell(text, State.QUIET, tip=tip, mark=mark, order=order)


def entry(text: str, state: State = State.PLAIN, *, bold: bool = False, tip: str = "") -> Cell:
    """A text that can be typed over."""
    return Cell(text, state, bold=bold, tip=tip, editable=True)


def given(text: str, state: State = State.PLAIN, *, bold: bool = False) -> Cell:
    """A text, or a dot where there is none."""
    return Cell(text, state, bold=bold) if text else Cell("", State.UNUSED)


def given_entry(text: str, state: State = State.PLAIN, *, bold: bool = False) -> Cell:
    """A text that can be typed over, or a dot where there is none yet."""
    return entry(text, state, bold=bold) if text else entry("", State.UNUSED)


@dataclass(frozen=True)
class TableRow:
    """A row of cells, one for each column; `key` finds it again after a refresh.

    A row of a single cell runs over all columns. A `low` one is as high as a sentence needs; one
    that is `last` stays last in any order.
    """

    key: Hashable
    cells: tuple[Cell, ...]
    low: bool = False
    last: bool = False


def row_of(key: Hashable, *cells: Cell | str) -> TableRow:
    """A row; a bare text is a plain cell."""
    return TableRow(key, tuple(Cell(one) if isinstance(one, str) else one for one in cells))


def new_row(words: str, columns: int, at: int = 0, key: Hashable = "new") -> TableRow:
    """A blank row to write another line in: `words` say what, its cell `at` can be written."""
    cells = [Cell() for _ in range(columns)]
    cells[0] = Cell("", detail=words)
    cells[at] = Cell("", detail=words if at == 0 else "", editable=True)
    return TableRow(key, tuple(cells), last=True)


@dataclass(frozen=True)
class GroupRow:
    """A line over the rows that follow: serif title, italic note."""

    key: Hashable
    title: str
    note: str = ""
    data: object = None


CellPainter = Callable[[Brush, QRectF, Any, bool], None]
CellSpeaker = Callable[[Any], str]
HeadPainter = Callable[[Brush, QRectF], None]


@dataclass(frozen=True)
class Column:
    """A column. `width` at scale 1, 0 takes what is left; it may shrink to `least`.

    One that `folds` is one of many alike: where they have no room, only those around the focus
    are shown, and all other columns stay in sight. One that `yields` lets its longest words be
    shortened, one in so many, before many of other columns are. One that stands `aside` does so
    where all have no room, the greatest number first; the margin says it of the row in view.

    `paint(brush, box, cell.data, selected)` draws a cell, `paint_group(brush, box, group.data,
    False)` the column's part of a group line, `paint_head(brush, box)` its head; `say(cell.data)`
    puts what is painted into words, for who cannot see it.
    """

    key: str
    head: str = ""
    _: KW_ONLY
    subhead: str = ""
    width: int = 0
    least: int = 48
    right: bool = False
    unit: bool = False
    dense: bool = False
    folds: bool = False
    yields: int = 0
    aside: int = 0
    pad: int = 9
    paint: CellPainter | None = None
    paint_group: CellPainter | None = None
    paint_head: HeadPainter | None = None
    say: CellSpeaker | None = None


@dataclass(frozen=True)
class Outcome:
    """What came of writing into a cell; a refusal says in one sentence what to do."""

    ok: bool = True
    sentence: str = ""


@dataclass(frozen=True)
class EmptyText:
    """What stands in place of an empty table: what will appear here, and how."""

    title: str
    text: str
    key: str = ""
    label: str = ""
    on_click: Callable[[], object] | None = None
