"""Sheets as plain grids of cells, whatever file they came from, and what an empty cell is."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any

# What a cell may hold: text, a number, yes/no, a date or moment, a time of day or span, nothing.
Cell = str | int | float | bool | date | datetime | time | timedelta | None

MOST_TEXT = 10_000  # characters kept of one cell
MOST_COLUMNS = 256
MOST_ROWS = 1_048_576  # of a sheet; no spreadsheet holds more

_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x84\x86-\x9f\u200b-\u200f\u2028-\u202e\ufeff]")
_SPACES = re.compile(r"[ \t\u00a0\u2002-\u200a\u202f\u3000]+")
_LINES = re.compile(r" *(?:\r\n|\r|\n|\x85)\s*")
_EMPTY = frozenset(
    """
    n/a|na|n.a|n.a.|n\\a|none|null|nil|nan|-|--|---|–|—|.|..|...|?|??|???|tbd|tba|unknown|unk|blank|
    (none)|(blank)|(unknown)|no data|not known|not given|not provided|k.a.|k. a.|keine|unbekannt|
    leer|ninguno|ninguna|desconocido|s/d|x/x|#n/a|#nv|#n/d|_|*|'
    """.replace("\n", "")
    .replace("    ", "")
    .split("|")
)
_ERRORS = re.compile(r"#(?:REF!|VALUE!|DIV/0!|NAME\?|NUM!|NULL!|WERT!|BEZUG!|CALC!|SPILL!|#+)$")


class Trouble(str):
    """The text of a cell that holds no value, only a reason why: an error, an unsaved formula."""


UNSAVED = "a formula whose result was not saved; open the file in a spreadsheet, save it, try again"
BROKEN = "damaged and cannot be read; type it anew in the spreadsheet"
FAILED = "a formula that shows an error; mend it in the spreadsheet or type the value"


def clean_text(text: str) -> str:
    """Text without control characters, odd spaces and lone surrogates; lines stay lines."""
    if text.isascii() and text.isprintable():
        return text.strip()[:MOST_TEXT]
    text = text[: 4 * MOST_TEXT].encode("utf-8", "ignore").decode("utf-8")
    text = _LINES.sub("\n", text)
    text = _SPACES.sub(" ", _CONTROL.sub("", text))
    return text.strip()[:MOST_TEXT]


def clean(value: Any) -> Cell:
    """A cell as the rest of the reading wants it: None when it says nothing."""
    if value is None or isinstance(value, Trouble):
        return value
    if isinstance(value, str):
        text = clean_text(value)
        if not text or text.lower() in _EMPTY:
            return None
        if text.startswith("#") and _ERRORS.match(text):
            return Trouble(FAILED)
        return text
    if isinstance(value, bool | int | datetime | date | time | timedelta):
        return value
    if isinstance(value, float):
        if value != value or value in (float("inf"), float("-inf")):
            return None
        return int(value) if value.is_integer() and abs(value) < 1e15 else value
    return clean_text(str(value)) or None


def says_nothing(value: Cell) -> bool:
    """True for an empty cell and for one that holds only trouble."""
    return value is None or isinstance(value, Trouble)


def shown(value: Cell) -> str:
    """A cell as text, as a person would read it aloud."""
    if says_nothing(value):
        return ""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, float):
        return f"{value:.10g}"
    return str(value)


def letter(column: int) -> str:
    """The letters of a column counted from 0: 0 is A, 26 is AA."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


@dataclass(frozen=True, slots=True)
class Merge:
    """A merged range, counted from 0, all ends included."""

    top: int
    left: int
    bottom: int
    right: int


@dataclass(slots=True)
class Grid:
    """One sheet: rows without trailing empty cells, and what stands beside them.

    `rows[i]` is the row that the person sees as number `i + 1`.
    """

    sheet: str
    rows: list[tuple[Cell, ...]]
    merges: list[Merge] = field(default_factory=list)
    hidden: bool = False
    notes: list[str] = field(default_factory=list)

    def width(self) -> int:
        """The number of columns of the widest row."""
        return max((len(row) for row in self.rows), default=0)

    def cell(self, row: int, column: int) -> Cell:
        """The cell at a place counted from 0; None outside."""
        if 0 <= row < len(self.rows) and 0 <= column < len(self.rows[row]):
            return self.rows[row][column]
        return None


def trimmed(values: Iterable[Cell]) -> tuple[Cell, ...]:
    """A row without the empty cells at its end."""
    row = list(values)
    while row and row[-1] is None:
        row.pop()
    return tuple(row)


def fill_down(grid: Grid) -> None:
    """Give the rows of a cell merged downwards the value that it shows for all of them.

    A cell merged to the side keeps its value in its first column only: the others are not said
    again. Ranges of more than 2,000 rows are decoration, not data.
    """
    for merge in grid.merges:
        if merge.bottom <= merge.top or merge.bottom - merge.top > 2000:
            continue
        value = grid.cell(merge.top, merge.left)
        if value is None:
            continue
        for row in range(merge.top + 1, min(merge.bottom + 1, len(grid.rows))):
            values = list(grid.rows[row])
            if merge.left < len(values):
                if values[merge.left] is not None:
                    continue
            else:
                values.extend([None] * (merge.left + 1 - len(values)))
            values[merge.left] = value
            grid.rows[row] = tuple(values)
