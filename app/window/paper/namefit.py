"""Columns that give way to names: a table shows whole names as long as anything else can yield."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import ceil

from app.window.paper.cells import Cell, Column, GroupRow, TableRow
from app.window.paper.theme import Theme

Rows = list[TableRow | GroupRow]


def fit_names(
    columns: Sequence[Column],
    rows: Sequence[TableRow | GroupRow],
    room: int,
    theme: Theme,
    *,
    widths: Mapping[str, tuple[int, int]],
    yielding: Sequence[str],
) -> tuple[tuple[Column, ...], Rows]:
    """The columns for `room` pixels, and the rows with the cells of just those.

    The columns of `widths` (least and greatest width at scale 1) become as wide as the longest of
    their texts. Where all is too much together, the others shrink to their least, then those of
    `yielding` go, one after the other; names are cut short only at the very last.
    """
    lines = [row for row in rows if isinstance(row, TableRow) and len(row.cells) > 1]
    places = {column.key: at for at, column in enumerate(columns)}
    wide = {
        key: _widest(theme, [row.cells[places[key]] for row in lines], *bounds)
        for key, bounds in widths.items()
    }
    fitted: list[Column] = []
    for tight, gone in [
        (False, 0),
        *((False, number) for number in range(1, len(yielding))),
        *((True, number) for number in range(len(yielding) + 1)),
    ]:
        dropped = set(yielding[:gone])
        fitted = [
            replace(one, width=wide[one.key], least=min(one.least, wide[one.key]))
            if one.key in wide
            else replace(one, width=one.least)
            if tight and one.width
            else one
            for one in columns
            if one.key not in dropped
        ]
        # A column without a width takes what is left: it asks for somewhat more than its least.
        need = sum(
            theme.px(one.width or (one.least if tight else ceil(one.least * 1.5))) for one in fitted
        )
        if need <= room:
            break
    kept = {one.key for one in fitted}
    if len(kept) == len(columns):
        return tuple(fitted), list(rows)
    left = [at for at, column in enumerate(columns) if column.key in kept]
    return tuple(fitted), [
        replace(row, cells=tuple(row.cells[at] for at in left))
        if isinstance(row, TableRow) and len(row.cells) == len(columns)
        else row
        for row in rows
    ]


def _widest(theme: Theme, cells: Sequence[Cell], least: int, most: int) -> int:
    """A column's width at scale 1 for the longest of its texts."""
    texts = {(cell.text, cell.bold) for cell in cells}
    need = max((theme.width("total" if bold else "row", text) for text, bold in texts), default=0)
    return max(least, min(most, ceil(need / theme.scale) + 20))
