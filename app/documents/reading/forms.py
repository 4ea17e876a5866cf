"""Sheets kept like index cards: a label and its value on each line, one card under the other, or
one record in each column with the labels at the left.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from app.documents.reading.grid import Cell, Grid, shown
from app.documents.reading.headings import heading_like, kinds_named, plain, read_heading
from app.documents.reading.table_rows import RawRow, RawTable, filled_cells

_PAIR = re.compile(r"^([^:\d][^:]{1,40}):\s+(\S.*)$", re.DOTALL)
_LEAST_LABELS = 3
_SURE = 0.97


def find_form(grid: Grid) -> RawTable | None:
    """The sheet as a table when it is kept like cards; None when it is not."""
    labelled = [(index, *pair) for index, row in enumerate(grid.rows) if (pair := _pair(row))]
    filled = sum(1 for row in grid.rows if filled_cells(row))
    labels = list(dict.fromkeys(label for _, label, _ in labelled))
    known = [label for label in labels if read_heading(label).best() >= _SURE]
    if len(known) < _LEAST_LABELS or len(labelled) < 0.6 * filled:
        return None
    across = Counter(len(values) for _, _, values in labelled).most_common(1)[0][0]
    beside = across > 1
    rows = _by_columns(labelled, labels, across) if beside else _by_cards(labelled, labels)
    return RawTable(
        "",
        (),
        tuple(range(len(labels))),
        tuple(read_heading(label) for label in labels),
        rows,
        named=kinds_named(grid.sheet),
    )


def _pair(row: Sequence[Cell]) -> tuple[str, tuple[Cell, ...]] | None:
    """A row's label and the values beside it; None when it has no label."""
    filled = [cell for cell in row if cell is not None]
    if not filled:
        return None
    first = filled[0]
    if len(filled) == 1 and isinstance(first, str):
        match = _PAIR.match(first)
        if match and _is_label(match.group(1)):
            return match.group(1).strip(), (match.group(2).strip(),)
        return None
    if isinstance(first, str) and _is_label(first):
        start = row.index(first)
        return first.strip(" :"), tuple(row[start + 1 :])
    return None


def _is_label(text: str) -> bool:
    if not heading_like(text):
        return False
    return text.rstrip().endswith(":") or read_heading(text.strip(" :")).best() >= _SURE


def _by_cards(
    labelled: Sequence[tuple[int, str, tuple[Cell, ...]]], labels: Sequence[str]
) -> list[RawRow]:
    """One card under the other: a label that is there already begins the next."""
    rows: list[RawRow] = []
    card: dict[str, Cell] = {}
    start = 0
    for index, label, values in labelled:
        if label in card:
            rows.append(RawRow(start, tuple(card.get(name) for name in labels)))
            card = {}
        if not card:
            start = index
        card[label] = next((value for value in values if value is not None), None)
    rows.append(RawRow(start, tuple(card.get(name) for name in labels)))
    return rows


def _by_columns(
    labelled: Sequence[tuple[int, str, tuple[Cell, ...]]], labels: Sequence[str], across: int
) -> list[RawRow]:
    """One record in each column beside the labels."""
    told = {label: values for _, label, values in labelled}
    first = labelled[0][0]
    rows = []
    for column in range(across):
        cells = tuple(
            told[label][column] if column < len(told[label]) else None for label in labels
        )
        if any(shown(cell) for cell in cells) and plain(shown(cells[0])):
            rows.append(RawRow(first, cells))
    return rows
