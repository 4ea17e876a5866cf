"""The width that each column of a table needs for what it has shown so far."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from app.window.paper.cells import Cell, Column, GroupRow, TableRow

MEASURED = 6  # the longest texts of a column, by letters, that are measured
LONG = 6  # one text in so many may be longer than what is usual in its column


def _letters(cell: Cell) -> int:
    return (
        max(len(cell.text), len(cell.under))
        + len(cell.detail)
        + len(cell.old)
        + len(cell.unit)
        + 3 * bool(cell.mark)
    )


def _is_figure(text: str) -> bool:
    """Whether a text is a number, a day, an hour or a telephone: half of it in digits."""
    return 2 * sum(one.isdigit() for one in text) >= sum(one.isalnum() for one in text) > 0


class ColumnNeeds:
    """Learns from each rows that are shown; `need_of(cell, column, first=…)` measures a cell.

    A need never shrinks while the columns stay, so that nothing jumps while one types. Only the
    longest texts are measured: one with fewer letters is hardly ever wider.
    """

    def __init__(self, need_of: Callable[..., int]) -> None:
        self._need_of = need_of
        self._of: tuple[str, ...] = ()
        self.widths: list[int] = []  # by column
        self.usual: list[int] = []  # by column: most texts are no wider
        self.figures: set[int] = set()  # the columns that are never cut
        self._picked: dict[int, tuple[list[Cell], list[Cell]]] = {}  # what is measured of each
        self._from: tuple[object, object] = None, None  # the columns and rows picked from

    def learn(self, columns: Sequence[Column], rows: Sequence[TableRow | GroupRow]) -> None:
        """Take in what is shown now."""
        named = tuple(column.key for column in columns)
        if named != self._of:
            self._of, self.widths, self.usual = named, [0] * len(columns), [0] * len(columns)
            self.figures = {at for at, column in enumerate(columns) if column.right}
        if columns is not self._from[0] or rows is not self._from[1]:
            self._picked, self._from = _picked(columns, rows), (columns, rows)
        for at, (longest, usual) in self._picked.items():
            column, first = columns[at], at == 0
            found = [self._need_of(cell, column, first=first) for cell in longest]
            self.widths[at] = max(self.widths[at], *found, 0)
            middle = [self._need_of(cell, column, first=first) for cell in usual]
            self.usual[at] = max(self.usual[at], *middle, 0)
            if found and all(_is_figure(cell.text) for cell in longest if cell.text):
                self.figures.add(at)


def _picked(
    columns: Sequence[Column], rows: Sequence[TableRow | GroupRow]
) -> dict[int, tuple[list[Cell], list[Cell]]]:
    """By column the longest cells, and the one as long as is usual if there is any; by letters."""
    lines = [row.cells for row in rows if isinstance(row, TableRow)]
    picked = {}
    for at, column in enumerate(columns):
        if column.paint is None:
            some = [cells[at] for cells in lines if at < len(cells) and len(cells) > 1]
            by_length = sorted(filter(_letters, some), key=_letters, reverse=True)
            # Of a few texts the longest yields too, where its column does.
            few = -(-len(by_length) // column.yields) if column.yields else 0
            usual = min(few or len(by_length) // LONG, max(len(by_length) - 1, 0))
            picked[at] = by_length[:MEASURED], by_length[usual : usual + 1]
    return picked
