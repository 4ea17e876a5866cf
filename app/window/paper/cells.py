"""Plain dataclasses that say what a table shows; the table itself formats nothing."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app.window.paper.theme import Theme


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
    handed to a column's own painter; `tip` is shown when the mouse rests there.
    """

    text: str = ""
    state: State = State.PLAIN
    old: str = ""
    unit: str = ""
    mark: str = ""
    bold: bool = False
    editable: bool = False
    detail: str = ""
    data: object = None
    tip: str = ""


@dataclass(frozen=True)
class TableRow:
    """A row of cells, one for each column; `key` finds it again after a refresh.

    A row of a single cell runs over all columns.
    """

    key: Hashable
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class GroupRow:
    """A line over the rows that follow: serif title, italic note."""

    key: Hashable
    title: str
    note: str = ""
    data: object = None


CellPainter = Callable[[QPainter, QRectF, Any, Theme, bool], None]
HeadPainter = Callable[[QPainter, QRectF, Theme], None]


@dataclass(frozen=True)
class Column:
    """A column. `width` at scale 1, 0 takes what is left; it may shrink to `least`.

    `paint(painter, box, cell.data, theme, selected)` draws a cell, `paint_group(painter, box,
    group.data, theme, False)` the column's part of a group line, `paint_head` its head.
    """

    key: str
    head: str = ""
    subhead: str = ""
    width: int = 0
    least: int = 48
    right: bool = False
    unit: bool = False
    dense: bool = False
    pad: int = 9
    paint: CellPainter | None = None
    paint_group: CellPainter | None = None
    paint_head: HeadPainter | None = None


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
