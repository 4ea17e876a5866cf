"""Finding the tables inside a sheet: where a heading stands, which rows are its lines.

A sheet may carry a title above the heading, blank lines and columns, a heading over two rows, the
heading again on every printed page, totals below, and several tables under or beside each other.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from app.documents.reading.forms import find_form
from app.documents.reading.grid import Cell, Grid, shown
from app.documents.reading.headings import (
    Heading,
    heading_like,
    heading_unit,
    index_of_words,
    kind_index,
    kinds_named,
    plain,
    read_heading,
)
from app.documents.reading.looks import Looks, looks_of
from app.documents.reading.meanings import BESIDE
from app.documents.reading.table_rows import RawTable, filled_cells, sort_rows

# How sure a row must be of its words, beside how many there are; tried on the lists in
# tests/documents, common practice, no source.
_KNOWN = 0.6  # from here a cell counts as a heading that is known
_MOST_CELLS = 0.6  # of a row must look like headings, or be units
_ENOUGH, _LITTLE = 0.5, 0.34  # sureness a cell, of two known cells, of three and more
_CLEARLY, _NEARLY = 0.2, 0.3  # one reading is better, or hardly worse, by so much
_SURE = 0.95  # a known word as it stands
_LINES = 8  # so many lines beside a heading tell what its columns hold
# A heading that goes on in the row below: "Date of", "Phone /".
_UNFINISHED = re.compile(
    r"(?:\b(?:of|the|per|and|und|de|del|der|for|no)|[-/&+,])\s*$", re.IGNORECASE
)
_NEAR = 5  # rows within which a sure heading outdoes an unsure one above it
_EARLY = 60  # rows in which a heading may be misspelt; later ones must be known words


def find_tables(grid: Grid) -> list[RawTable]:
    """The tables of a sheet, in reading order."""
    if not grid.rows:
        return []
    whole = _Block(grid, 0, grid.width())
    blocks = _blocks(grid)
    if len(blocks) > 1 and _stand_alone(blocks, whole):
        return [table for block in blocks for table in block.tables()]
    if not any(len(table.rows) > 1 for table in whole.tables()):
        form = find_form(grid)
        if form is not None and form.recognised().score >= 1.0:
            return [form]
    return whole.tables()


def _blocks(grid: Grid) -> list[_Block]:
    """The sheet cut at columns that are empty in every row that holds more than one cell."""
    used = [False] * grid.width()
    for row in grid.rows:
        filled = [i for i, value in enumerate(row) if value is not None]
        if len(filled) > 1:
            for i in filled:
                used[i] = True
    blocks: list[_Block] = []
    start = None
    for column in range(len(used) + 1):
        full = column < len(used) and used[column]
        if full and start is None:
            start = column
        elif not full and start is not None:
            blocks.append(_Block(grid, start, column))
            start = None
    return blocks


def _stand_alone(blocks: Sequence[_Block], whole: _Block) -> bool:
    """True when the blocks are tables of their own and not one table with an empty column."""
    found = [block.tables() for block in blocks]
    if any(not tables for tables in found):
        return False
    firsts = [tables[0] for tables in found]
    if len({table.heading_rows for table in firsts}) > 1:
        return True
    words = [{h.words for h in table.headings if h.words} for table in firsts]
    if any(len(a & b) >= 2 or (a and a <= b) for a, b in pairwise(words)):
        return True
    kinds = [table.recognised() for table in firsts]
    if any(kind.score < 1.2 or not kind.kind for kind in kinds):
        return False
    together = whole.tables()
    main = together[0].recognised().kind if together else ""
    return any(kind.kind not in BESIDE.get(main, ()) for kind in kinds)


class _Block:
    """A range of columns of a sheet, searched for tables."""

    def __init__(self, grid: Grid, left: int, right: int) -> None:
        self.grid = grid
        self.left, self.right = left, right
        self._tables: list[RawTable] | None = None
        self._most: int | None = None

    def tables(self) -> list[RawTable]:
        """The tables below each other in this block."""
        if self._tables is None:
            self._tables = self._find()
        return self._tables

    def row(self, index: int) -> tuple[Cell, ...]:
        """The cells of a row within the block, padded to its width."""
        cells = self.grid.rows[index][self.left : self.right]
        return cells + (None,) * (self.right - self.left - len(cells))

    def _find(self) -> list[RawTable]:
        heads = self._heading_rows()
        if not heads:
            table = self._without_heading()
            return [table] if table else []
        tables = []
        for position, head in enumerate(heads):
            end = heads[position + 1].first if position + 1 < len(heads) else len(self.grid.rows)
            begin = heads[position - 1].last + 1 if position else 0
            tables.extend(self._table(head, begin, end))
        # One that holds neither lines nor a heading says nothing.
        return [table for table in tables if table.columns]

    def _heading_rows(self) -> list[_Head]:
        heads: list[_Head] = []
        index = 0
        while index < len(self.grid.rows):
            head = self._head_at(index)
            if head is None:
                index += 1
                continue
            if heads and head.same_as(heads[-1]):
                # The heading of the page before, printed again.
                heads[-1].repeats.append((head.first, head.last))
            elif not heads or (head.sure() and self._stands_off(head, heads[-1])):
                if heads and not heads[-1].sure() and head.first - heads[-1].last <= _NEAR:
                    heads.pop()  # what stood above looked like a heading, but this one is
                heads.append(head)
            else:
                # Below a heading a line must not become one because it holds a word that could.
                index += 1
                continue
            index = head.last + 1
        return _with_lines(heads)

    def _stands_off(self, head: _Head, before: _Head) -> bool:
        """True when a second heading is plainly one, and no line that holds heading words.

        Below a gap known words only, or words where the lines hold numbers or days; without a gap
        both.
        """
        filled = [heading for heading in head.headings if heading.text]
        known = all(heading.best() >= _SURE for heading in filled)
        above = range(max(before.last + 1, head.first - _LINES), head.first)
        below = range(head.last + 1, head.last + 1 + _LINES)
        unlike = self._unlike(head.first, above) or self._unlike(head.first, below)
        if head.first == before.last + 1:
            return not before.sure()
        if filled_cells(self.row(head.first - 1)) <= 1:
            return unlike or known
        return unlike and known and len(filled) >= 3

    def _unlike(self, index: int, others: Iterable[int]) -> bool:
        """True when a row has words where those rows hold numbers, days or the like."""
        rows = [self.row(i) for i in others if 0 <= i < len(self.grid.rows)]
        for column, cell in enumerate(self.row(index)):
            if heading_like(cell) and not _is_value(looks_of([cell])):
                looks = looks_of([row[column] for row in rows])
                if looks.filled and _is_value(looks):
                    return True
        return False

    def _head_at(self, index: int) -> _Head | None:
        """The heading that begins at this row, over one row or two; None when none does."""
        one = self._score(index)
        if one is None:
            return None
        if one.filled == 1 and self._widest() > 1:
            return None  # a title, or a section
        two = self._score(index + 1) if index + 1 < len(self.grid.rows) else None
        if two is not None and self._no_data(index + 1):
            joined = self._joined_headings(index)
            over_two = _Head(index, index + 1, joined)
            grouped = all(
                plain(shown(cell)) in kind_index() for cell in self.row(index) if cell is not None
            ) and (two.filled > one.filled or two.known == two.filled)
            total = sum(heading.best() for heading in joined)
            units = _units_only(self.row(index + 1))
            if units and one.good():
                return over_two
            if grouped and two.good() and total >= two.total - _NEARLY * two.filled:
                return over_two
            if one.good() and (
                one.alone(two) or not self._unlike(index + 1, range(index + 2, index + 2 + _LINES))
            ):
                return _Head(index, index, one.headings)
            both = one.good() and two.good() and one.words() != two.words()
            if both and total >= max(one.total, two.total) - _CLEARLY:
                return over_two
            if total > max(one.total, two.total) + _CLEARLY and total >= _ENOUGH * two.filled:
                return over_two
            if two.good() and two.total > one.total + _ENOUGH and two.filled > one.filled:
                return _Head(index + 1, index + 1, two.headings)
        return _Head(index, index, one.headings) if one.good() else None

    def _score(self, index: int) -> _Score | None:
        cells = self.row(index)
        filled = [cell for cell in cells if cell is not None]
        if not filled or not any(heading_like(cell) for cell in filled):
            return None
        if sum(heading_like(cell) for cell in filled) < _MOST_CELLS * len(filled):
            return None
        if index > _EARLY and not _known(filled):
            return None
        headings = tuple(
            read_heading(cell) if heading_like(cell) and isinstance(cell, str) else read_heading("")
            for cell in cells
        )
        return _Score(
            headings,
            len(filled),
            sum(heading.best() for heading in headings),
            sum(1 for heading in headings if heading.best() >= _KNOWN),
        )

    def _widest(self) -> int:
        """The most cells that a row of the block fills."""
        if self._most is None:
            self._most = max(filled_cells(self.row(i)) for i in range(len(self.grid.rows)))
        return self._most

    def _no_data(self, index: int) -> bool:
        looks = looks_of(self.row(index))
        return looks.mail == looks.phone == looks.day == looks.money == 0 and looks.number < 0.3

    def _joined_headings(self, index: int) -> tuple[Heading, ...]:
        """The words of two rows taken together; a group's word goes on to the right."""
        top, below = self.row(index), self.row(index + 1)
        group = ""
        joined = []
        for upper, lower in zip(top, below, strict=True):
            if upper is not None:
                group = shown(upper)
            elif lower is None:
                group = ""
            low = shown(lower)
            options = [f"{group} {low}".strip(), low or group, shown(upper)]
            if upper is not None and heading_unit(low.strip("()[] .")):
                options = [f"{shown(upper)} ({low.strip('()[] ')})"]
            readings = [read_heading(text) for text in options if text]
            joined.append(max(readings, key=lambda h: h.best(), default=read_heading("")))
        return tuple(joined)

    def _table(self, head: _Head, begin: int, end: int) -> list[RawTable]:
        title = self._title(begin, head.first)
        body = [index for index in range(head.last + 1, end) if not head.repeated(index)]
        body = self._cut_end(body, end < len(self.grid.rows), head)
        columns = self._columns(head, body)
        named = kinds_named(self.grid.sheet)
        for kind, weight in kinds_named(title).items():
            named[kind] = max(named.get(kind, 0.0), weight)
        tables = []
        for part in _repeated_beside(columns, head):
            table = RawTable(
                title,
                tuple(range(head.first, head.last + 1)),
                tuple(self.left + column for column in part),
                tuple(head.headings[column] for column in part),
                named=named,
            )
            self._fill(table, part, body)
            table.skipped.extend(
                (index, "the heading again")
                for first, last in head.repeats
                for index in range(first, last + 1)
            )
            table.skipped.sort()
            tables.append(table)
        return tables

    def _title(self, begin: int, heading: int) -> str:
        """The title above a heading: the nearest rows that hold one cell."""
        for index in range(heading - 1, max(begin, heading - 6) - 1, -1):
            filled = [cell for cell in self.row(index) if cell is not None]
            if len(filled) == 1 and isinstance(filled[0], str):
                return filled[0][:120]
            if len(filled) > 2:
                break
        return ""

    def _cut_end(self, body: list[int], before_another: bool, head: _Head) -> list[int]:
        """The body without the title of the next table and what stands between."""
        while body and all(cell is None for cell in self.row(body[-1])):
            body.pop()
        if not before_another:
            return body
        while body:
            filled = [cell for cell in self.row(body[-1]) if cell is not None]
            gap = len(body) > 1 and all(cell is None for cell in self.row(body[-1] - 1))
            if len(filled) <= 1 and (gap or not filled or kinds_named(shown(filled[0]))):
                body.pop()
            else:
                break
        return body

    def _columns(self, head: _Head, body: Sequence[int]) -> list[int]:
        """The columns of the table: headed ones, and those with values under no heading."""
        named = [i for i, heading in enumerate(head.headings) if heading.text]
        if not named:
            return []
        filled = [0] * (self.right - self.left)
        for index in body:
            for column, cell in enumerate(self.row(index)):
                filled[column] += cell is not None
        least = max(2, len(body) // 20)
        return [
            column
            for column in range(max(named[0] - 1, 0), min(named[-1] + 2, len(filled)))
            if head.headings[column].text or filled[column] >= least
        ]

    def _fill(self, table: RawTable, columns: Sequence[int], body: Iterable[int]) -> None:
        rows = [(index, tuple(self.row(index)[column] for column in columns)) for index in body]
        sort_rows(table, self.grid, rows, self.left + columns[0])

    def _without_heading(self) -> RawTable | None:
        """A table that has no heading at all, when its values tell what it is."""
        rows = [index for index in range(len(self.grid.rows)) if any(self.row(index))]
        wide = [index for index in rows if filled_cells(self.row(index)) >= 2]
        if not wide:
            return None
        first = wide[0]
        blank = read_heading("")
        columns = [
            column
            for column in range(self.right - self.left)
            if any(self.row(index)[column] is not None for index in wide[:200])
        ]
        table = RawTable(
            self._title(0, first),
            (),
            tuple(self.left + column for column in columns),
            (blank,) * len(columns),
            named=kinds_named(self.grid.sheet),
        )
        self._fill(table, columns, range(first, len(self.grid.rows)))
        return table if table.recognised().score >= 1.0 else None


def _with_lines(heads: list[_Head]) -> list[_Head]:
    """Headings that have room for lines below: a run of such rows is a list of words, no table."""
    kept: list[_Head] = []
    run: list[_Head] = []
    for head in heads:
        if run and head.first != run[-1].last + 1:
            kept.extend(run[-1:] if len(run) < 3 else [])
            run = []
        run.append(head)
    kept.extend(run[-1:] if len(run) < 3 else [])
    return kept


@dataclass(slots=True)
class _Score:
    headings: tuple[Heading, ...]
    filled: int
    total: float
    known: int

    def words(self) -> list[str]:
        """The words of each cell, as compared."""
        return [heading.words for heading in self.headings]

    def alone(self, below: _Score) -> bool:
        """True when the row is understood without the one below: each of its columns is known."""
        filled = [heading for heading in self.headings if heading.text]
        return self.known == self.filled >= below.filled and not any(
            _UNFINISHED.search(heading.text) for heading in filled
        )

    def good(self) -> bool:
        """True when so many cells are known that the row is a heading."""
        if self.known >= 2 and self.total >= _ENOUGH * self.filled:
            return True
        if self.known >= 3 and self.total >= _LITTLE * self.filled:
            return True
        return self.known == 1 and self.filled == 1 and self.total >= 1.0


@dataclass(slots=True)
class _Head:
    first: int
    last: int
    headings: tuple[Heading, ...]
    repeats: list[tuple[int, int]] = field(default_factory=list)

    def sure(self) -> bool:
        """True when most of its cells are headings as they are known."""
        filled = [heading for heading in self.headings if heading.text]
        return sum(heading.best() >= _SURE for heading in filled) >= max(2, 0.6 * len(filled))

    def same_as(self, other: _Head) -> bool:
        """True when it says the same words in the same columns."""
        return [h.words for h in self.headings] == [h.words for h in other.headings]

    def repeated(self, index: int) -> bool:
        """True for a row that only says the heading again."""
        return any(first <= index <= last for first, last in self.repeats)


def _known(filled: Sequence[Cell]) -> bool:
    """Far down a sheet a heading must consist of words that are known as they stand."""
    index = index_of_words()
    known = sum(isinstance(cell, str) and plain(cell) in index for cell in filled)
    return known >= max(2, 0.6 * len(filled))


def _is_value(looks: Looks) -> bool:
    """True when cells look like anything but words."""
    shapes = (looks.number, looks.day, looks.money, looks.phone, looks.mail, looks.amount)
    return max(shapes) > _MOST_CELLS


def _units_only(cells: Sequence[Cell]) -> bool:
    texts = [shown(cell).strip("()[] .") for cell in cells if cell is not None]
    return bool(texts) and sum(bool(heading_unit(text)) for text in texts) >= _MOST_CELLS * len(
        texts
    )


def _repeated_beside(columns: list[int], head: _Head) -> list[list[int]]:
    """The columns cut where the same headings begin again to the right."""
    words = [head.headings[column].words for column in columns]
    for size in range(2, len(words) // 2 + 1):
        if words[:size] == words[size : 2 * size] and all(words[:size]):
            return [columns[start : start + size] for start in range(0, len(columns), size)]
    return [columns] if columns else []
