"""The rows of a table: which are lines, and which are totals, sections, footers or rules."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from app.documents.reading.columns import Recognised, recognise, seen
from app.documents.reading.dates import looks_dated
from app.documents.reading.grid import Cell, Grid, says_nothing, shown
from app.documents.reading.headings import Heading, heading_unit

_TOTAL = re.compile(
    r"^(?:grand |sub|sub-|sub |running |year |month(?:ly)? |overall |page |"
    r"(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|"
    r"sept?(?:ember)?|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)\.? (?:'?\d{2,4} )?)*"
    r"(?:totals?(?: (?:clients?|customers?|vehicles?|items?|value|cost|amount|hours?|sales|due|qty|"
    r"count|stock|general|of .{1,20}|for .{1,20}|\d{4}))?|sums?|average|avg|mean|count|balance due|"
    r"gesamt(?:summe|betrag)?|summe|zwischensumme|mittelwert|anzahl|suma|promedio|ytd)\s*[:=]?$",
    re.IGNORECASE,
)
# Says of itself that it sums up, whatever stands beside: "Liquids subtotal", "Total: 43 customers".
_SUMS_UP = re.compile(
    r"\b(?:sub-?\s?totals?|zwischensumme|gesamtsumme|grand total|subtotales)\b|"
    r"^(?:carried|brought) (?:forward|down)\W*$|^[cb]/[fd]$|"
    r"^sums? of (?:all |the )?(?:pages?|rows?)\b|"
    r"^(?:totals?|sums?|summe|gesamt|suma)\s*(?:[:=–-]\s*|\s(?=\D?\d))\D{0,3}\d[\d.,' ]*"
    r"(?:\s[^\d]{0,30})?$|"
    r"^\d[\d.,' ]*\s.{0,30}\b(?:in total|in all|altogether|insgesamt|en total)\W*$|"
    r"^(?:number|no\.?|nr\.?|count|anzahl) (?:of |der )?[\w ]{3,30}[:=]\s*\d+$",
    re.IGNORECASE,
)
# May be a name ("Total Car Care"): a total where its numbers are sums, or nothing stands beside it.
_MAY_SUM_UP = re.compile(
    r"^(?:totals?|sums?|summe|gesamt|suma|overall)\b|\b(?:totals?|sums?|summe|gesamt)\s*[:=]?$",
    re.IGNORECASE,
)
_FOOTER = re.compile(
    r"^(?:page \d+|seite \d+|p[aá]gina \d+|printed|exported|generated|report (?:date|run)|"
    r"as of|stand:|"
    r"last updated|end of (?:list|report|file)|\*+|-{3,}|={3,}|©|confidential|continued|"
    r"\d+ (?:records?|rows?|"
    r"customers?|items?|entries)\b)",
    re.IGNORECASE,
)
_SPARSE = 3
_LOOKED_AT = 60  # rows that tell what a column holds


@dataclass(slots=True)
class RawRow:
    """A line of a table: its place in the grid, its cells, the section title above it."""

    index: int
    cells: tuple[Cell, ...]
    section: str = ""


@dataclass(slots=True)
class RawTable:
    """A table found in a grid; columns are given by their place in the grid."""

    title: str
    heading_rows: tuple[int, ...]
    columns: tuple[int, ...]
    headings: tuple[Heading, ...]
    rows: list[RawRow] = field(default_factory=list)
    skipped: list[tuple[int, str]] = field(default_factory=list)
    named: dict[str, float] = field(default_factory=dict)

    def values(self, position: int) -> list[Cell]:
        """The cells of one column."""
        return [row.cells[position] for row in self.rows]

    def recognised(self) -> Recognised:
        """What the table is, by its headings and values."""
        columns = [
            seen(heading, self.values(position)) for position, heading in enumerate(self.headings)
        ]
        return recognise(columns, self.named)


def sort_rows(
    table: RawTable, grid: Grid, rows: Sequence[tuple[int, tuple[Cell, ...]]], left: int
) -> None:
    """Sort rows into lines of the table and what is left out, with the reason.

    `rows` are places in the grid with the cells of the table's columns; `left` is the grid's
    column of the first of them.
    """
    columns = table.columns
    sections = _Sections(grid, left)
    last_full = max(
        (index for index, cells in rows if filled_cells(cells) >= min(2, len(columns))), default=-1
    )
    section = ""
    gap = False
    sums = _Sums(len(columns))
    for index, cells in rows:
        count = filled_cells(cells)
        if count == 0:
            gap = True
            continue
        first = next(shown(cell) for cell in cells if cell is not None)
        if (_TOTAL.match(first.strip()) and (count > 1 or index > last_full)) or (
            isinstance(next(cell for cell in cells if cell is not None), str)
            and _is_total(
                first.strip(), cells, sums, below=index > last_full, odd=_among_values(rows, cells)
            )
        ):
            table.skipped.append((index, "a total"))
            sums.begin_anew()
        elif len(columns) >= 2 and all(
            _FOOTER.match(shown(cell)) for cell in cells if cell is not None
        ):
            table.skipped.append((index, "a note of the program that wrote the list"))
        elif (
            count == 1
            and len(columns) >= _SPARSE
            and index > last_full
            and ((gap and len(first.split()) > 2) or len(first) > 60)
        ):
            table.skipped.append((index, "a note below the table"))
        elif count == 1 and len(columns) >= _SPARSE and sections.is_one(index, first):
            section = first.strip(" :-–—=*")
            table.skipped.append((index, f"a section: {section[:40]}"))
        elif all(cell is None or not re.search(r"\w", shown(cell)) for cell in cells):
            if any(cell is not None and not says_nothing(cell) for cell in cells):
                table.skipped.append((index, "a drawn line"))
            else:
                table.rows.append(RawRow(index, cells, section))
        else:
            table.rows.append(RawRow(index, cells, section))
            sums.add(cells)
        gap = gap and index > last_full  # whatever follows a note below the table is one too
    _drop_sums(table)


class _Sums:
    """What the columns come to, since the last total and in all."""

    def __init__(self, columns: int) -> None:
        self._part, self._whole = [0.0] * columns, [0.0] * columns

    def add(self, cells: Sequence[Cell]) -> None:
        """Count a line in."""
        for column, cell in enumerate(cells):
            if (number := _number(cell)) is not None:
                self._part[column] += number
                self._whole[column] += number

    def begin_anew(self) -> None:
        """A total stood here: what follows is summed by itself."""
        self._part = [0.0] * len(self._part)

    def come_to(self, cells: Sequence[Cell]) -> bool:
        """True when every number in these cells is what its column comes to, and there is one."""
        told = [
            (column, number)
            for column, cell in enumerate(cells)
            if (number := _number(cell)) is not None
        ]
        return bool(told) and all(
            min(abs(self._part[column] - number), abs(self._whole[column] - number)) < 0.006
            for column, number in told
        )


def _number(cell: Cell) -> float | None:
    """The number in a cell, typed as text with a currency sign too."""
    if isinstance(cell, bool):
        return None
    if isinstance(cell, int | float):
        return float(cell)
    if isinstance(cell, str) and re.fullmatch(r"[$€£]?\s?-?\d[\d,]*(?:\.\d+)?\s?[$€£]?", cell):
        return float(re.sub(r"[^\d.-]", "", cell))
    return None


def _among_values(rows: Sequence[tuple[int, tuple[Cell, ...]]], cells: Sequence[Cell]) -> bool:
    """True when a row's first cell stands in a column of days or numbers."""
    column = next(i for i, cell in enumerate(cells) if cell is not None)
    above = [row[column] for _, row in rows[:_LOOKED_AT] if row[column] is not None]
    plain = [
        cell
        for cell in above
        if not isinstance(cell, str) or looks_dated(cell) or re.fullmatch(r"[\d./:, -]+", cell)
    ]
    return len(plain) > len(above) / 2


def _is_total(first: str, cells: Sequence[Cell], sums: _Sums, *, below: bool, odd: bool) -> bool:
    """True for a row that sums up those above it, and tells of nothing itself.

    `odd` says that its word stands where the other lines have days or numbers.
    """
    beside = [cell for cell in cells if cell is not None][1:]
    words = [cell for cell in beside if isinstance(cell, str) and not says_nothing(cell)]
    worded = [cell for cell in words if _number(cell) is None and not heading_unit(cell)]
    if _SUMS_UP.search(first):
        return not worded or len(worded) < len(beside)
    if not _MAY_SUM_UP.search(first) or worded:
        return False
    if all(says_nothing(cell) for cell in beside):
        return below or bool(beside)  # nothing beside it, or formulas that were not saved
    return odd or sums.come_to(cells)


class _Sections:
    """Tells section titles ("WAXES", "March 2024") from lines with one filled cell."""

    def __init__(self, grid: Grid, left: int) -> None:
        self._merged = {
            merge.top
            for merge in grid.merges
            if merge.top == merge.bottom and merge.right - merge.left >= 1
        }
        self._grid = grid
        self._left = left
        self._upper: float | None = None

    def is_one(self, index: int, text: str) -> bool:
        """True when the row is the title of what follows."""
        if index in self._merged or text.rstrip().endswith(":"):
            return True
        if re.fullmatch(r"[A-Za-zäöüé]{3,10}\.?,? '?\d{2,4}|(?:19|20)\d{2}", text.strip()):
            return True
        if len(text) < 40 and looks_dated(text):
            return True
        if re.fullmatch(r"\W*(?:-{2,}|={2,}|\*{2,}).*", text):
            return True
        return text.isupper() and len(text) > 3 and self._upper_share() < 0.3

    def _upper_share(self) -> float:
        if self._upper is None:
            cells = [
                shown(value)
                for row in self._grid.rows[:400]
                for value in row[self._left :][:1]
                if isinstance(value, str) and filled_cells(row) > 1
            ]
            self._upper = sum(text.isupper() for text in cells) / max(len(cells), 1)
        return self._upper


def filled_cells(cells: Sequence[Cell]) -> int:
    """How many cells of a row are not empty."""
    return sum(cell is not None for cell in cells)


def _drop_sums(table: RawTable) -> None:
    """Leave out a last row without words whose numbers are the sums of those above."""
    if len(table.rows) < 3:
        return
    last = table.rows[-1]
    numbers = [(i, c) for i, c in enumerate(last.cells) if isinstance(c, int | float) and c]
    if not numbers or any(isinstance(cell, str) for cell in last.cells):
        return
    agreed = 0
    for position, value in numbers:
        above = [row.cells[position] for row in table.rows[:-1]]
        told = [c for c in above if isinstance(c, int | float) and not isinstance(c, bool)]
        if told and abs(sum(told) - value) > 0.005:
            return
        agreed += bool(told)
    if not agreed:
        return
    table.rows.pop()
    table.skipped.append((last.index, "a total"))
