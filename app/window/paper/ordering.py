"""Which rows of a table stand there, and in what order: narrowed by words, sorted by a column."""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Sequence
from datetime import date

from app.window.paper.cells import Cell, GroupRow, TableRow

Rows = Sequence[TableRow | GroupRow]
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAY = re.compile(r"(?:[A-Z][a-z]+,? )?(\d{1,2}) ([A-Z][a-z]{2})[a-z]*(?: (\d{4}))?$")
_HOURS = re.compile(r"(?:(\d+)[ \u2009]?h)?\s*(?:(\d+)(?:[ \u2009]?min)?)?$")
_NUMBER = re.compile(r"(?:≈|about )?\s*([−-]?)\s*[^\w\s.,]?(\d[\d,]*(?:\.\d+)?)\s*(%|\D*)$")
_TIMES = {"kg": 1000.0, "l": 1000.0}  # of what stands beside g and mL in the same column


def narrowed(rows: Rows, text: str) -> list[TableRow | GroupRow]:
    """The rows that hold all words of a text, and the groups that still have rows.

    A row to write a further line in stays.
    """
    words = text.casefold().split()
    if not words:
        return list(rows)
    kept: list[TableRow | GroupRow] = []
    group: GroupRow | None = None
    for row in rows:
        if isinstance(row, GroupRow):
            group = row
            continue
        said = " ".join(f"{cell.text} {cell.detail} {cell.tip}" for cell in row.cells).casefold()
        if row.last or all(word in said for word in words):
            if group is not None:
                kept.append(group)
                group = None
            kept.append(row)
    return kept


def ordered(rows: Rows, at: int, *, falling: bool) -> list[TableRow | GroupRow]:
    """The rows by their column `at`, group by group: numbers as numbers, days as days.

    What is empty in that column comes last either way, and after it what has no such column.
    """
    lines = [row for row in rows if isinstance(row, TableRow) and _sorts(row, at)]
    read = _reader([row.cells[at] for row in lines])
    values = {row.key: read(row.cells[at]) for row in lines}
    made: list[TableRow | GroupRow] = []
    part: list[TableRow] = []

    def end() -> None:
        known = [row for row in part if values.get(row.key) is not None]
        known.sort(key=lambda row: values[row.key], reverse=falling)  # type: ignore[arg-type, return-value]
        blank = [row for row in part if values.get(row.key) is None]
        made.extend((*known, *sorted(blank, key=lambda row: not _sorts(row, at))))
        part.clear()

    for row in rows:
        if isinstance(row, GroupRow):
            end()
            made.append(row)
        else:
            part.append(row)
    end()
    return made


def as_before(rows: Rows, keys: Sequence[Hashable]) -> list[TableRow | GroupRow] | None:
    """The rows in an order that stood before; None where they are not the same ones.

    So nothing jumps while one writes in the column that the table is sorted by.
    """
    by_key = {row.key: row for row in rows}
    if len(by_key) != len(keys) or any(key not in by_key for key in keys):
        return None
    return [by_key[key] for key in keys]


def _sorts(row: TableRow, at: int) -> bool:
    return at < len(row.cells) and len(row.cells) > 1 and not row.last


def _reader(cells: Sequence[Cell]) -> Callable[[Cell], object]:
    """How the cells of a column are read: by what they say of their order, else by their texts."""
    if any(cell.order is not None for cell in cells):
        return lambda cell: cell.order
    said = [cell for cell in cells if cell.text]
    for read in (_day, _hours, _number):
        if said and all(read(cell) is not None for cell in said):
            return read
    return _words


def _day(cell: Cell) -> date | None:
    found = _DAY.match(cell.text)
    if found is None or found[2].lower() not in _MONTHS:
        return None
    day, month = int(found[1]), _MONTHS.index(found[2].lower()) + 1
    today = date.today()
    years = [int(found[3])] if found[3] else range(today.year - 1, today.year + 2)
    days = []
    for year in years:
        try:
            days.append(date(year, month, day))
        except ValueError:
            continue
    return min(days, key=lambda one: abs((one - today).days), default=None)


def _hours(cell: Cell) -> int | None:
    """Minutes, of `2 h`, `1 h 30` or `45 min`."""
    found = _HOURS.match(cell.text)
    if found is None or not (found[1] or "min" in cell.text):
        return None
    return 60 * int(found[1] or 0) + int(found[2] or 0)


def _number(cell: Cell) -> float | None:
    found = _NUMBER.match(cell.text)
    if found is None:
        return None
    unit = (cell.unit or found[3]).strip().lower()
    value = float(found[2].replace(",", "")) * _TIMES.get(unit, 1.0)
    return -value if found[1] else value


def _words(cell: Cell) -> tuple[tuple[int, int, str], ...] | None:
    """A text by its letters, whatever their case, with the numbers in it as numbers."""
    parts = re.findall(r"\d+|\D+", cell.text.casefold().strip())
    return tuple((0, int(one), "") if one.isdecimal() else (1, 0, one) for one in parts) or None
