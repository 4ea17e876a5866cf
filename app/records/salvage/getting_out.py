"""What can be got out of a damaged book: each table's rows, and what its indexes know of the rest.

An index holds some values of every row and its number, on pages of its own. So it says how many
rows there were, which are lost, and of which day and supply they were; and a page of rows that no
tree leads to any more is known again by it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from contextlib import closing, suppress
from dataclasses import dataclass, field
from typing import Any

from app.records.salvage.pages import Cell, Pages
from app.records.salvage.values import Column, Row, fits

_SCHEMA_COLUMNS = 5  # kind, name, table, root, words


@dataclass
class Found:
    """A table's rows by their number, and what indexes say of those that are not there."""

    columns: list[Column]
    rows: dict[int, Row] = field(default_factory=dict)
    lost: dict[int, dict[str, Any]] = field(default_factory=dict)
    cut: bool = False  # a page was missed, and no index says which rows stood on it


class DamagedFile:
    """The tables of a damaged file, by pages of `size` bytes.

    `usual` are the words that made those of some version, for tables whose own are lost.
    """

    def __init__(self, data: bytes, size: int) -> None:
        self._pages = Pages(data, size)
        entries = [cell.values for cell in self._pages.table(1, _SCHEMA_COLUMNS)]
        if not entries:  # page 1 is gone; the others of the same tree may be there
            for cells in self._pages.astray():
                entries += [cell.values for cell in cells if _is_schema(cell.values)]
        self._entries = [values for values in entries if _is_schema(values)]

    @property
    def words(self) -> dict[str, str]:
        """What made each table whose words are there."""
        return {
            str(name): str(words)
            for kind, name, _, _, words in self._entries
            if kind == "table" and not str(name).startswith("sqlite_")
        }

    def tables(self, usual: dict[str, str]) -> dict[str, Found]:
        """Every table's rows."""
        words = {**usual, **{k: v for k, v in self.words.items() if k in usual}}
        roots = {name: root for kind, name, _, root, _ in self._entries if kind == "table"}
        found: dict[str, Found] = {}
        with closing(sqlite3.connect(":memory:")) as scratch:
            for name in words:
                columns = _columns(scratch, name, words[name], usual[name])
                found[name] = Found(columns)
                missed = self._pages.missed
                root = roots.get(name)
                for cell in self._pages.table(root if isinstance(root, int) else 0, len(columns)):
                    found[name].rows.setdefault(cell.rowid, _row(cell, columns))
                found[name].cut = self._pages.missed > missed
            self._ask_indexes(scratch, found)
        for kind, other, _, root, _ in self._entries:
            if kind == "table" and other not in found and isinstance(root, int):
                list(self._pages.table(root, _SCHEMA_COLUMNS))  # nobody else's: finding's own
        for cells in self._pages.astray():
            if all(cell.values and cell.values[0] in found for cell in cells):
                continue  # SQLite's own list of the last number of each table
            name = _whose(cells, found)
            if name:
                for cell in cells:
                    found[name].rows.setdefault(cell.rowid, _row(cell, found[name].columns))
        for table in found.values():
            table.lost = {at: row for at, row in table.lost.items() if at not in table.rows}
        return found

    def _ask_indexes(self, scratch: sqlite3.Connection, found: dict[str, Found]) -> None:
        for kind, name, table, root, words in self._entries:
            if kind != "index" or table not in found or not isinstance(root, int):
                continue
            try:
                if isinstance(words, str):
                    scratch.execute(words)
                of = [row[2] for row in scratch.execute(f'PRAGMA index_info("{name}")')]
                partial = [
                    row[1] for row in scratch.execute(f'PRAGMA index_list("{table}")') if row[4]
                ]
            except sqlite3.Error:
                continue
            missed = self._pages.missed
            for cell in self._pages.index(root):
                if not cell.values:
                    continue
                *values, number = cell.values
                if len(values) == len(of) and isinstance(number, int) and number > 0:
                    known = found[str(table)].lost.setdefault(number, {})
                    known.update(zip(of, values, strict=True))
            if self._pages.missed == missed and name not in partial:
                found[str(table)].cut = False  # this one knows every row


def columns_by_table(words: dict[str, str]) -> dict[str, set[str]]:
    """The names of the columns that these words make, by table; without those that make none."""
    found = {name: set(_order(made_by)) for name, made_by in words.items()}
    return {name: columns for name, columns in found.items() if columns}


def _is_schema(values: tuple[object, ...]) -> bool:
    return (
        len(values) == _SCHEMA_COLUMNS
        and values[0] in ("table", "index")
        and all(isinstance(value, str) for value in values[1:3])
        and (values[4] is None or str(values[4]).startswith("CREATE "))
    )


def _columns(scratch: sqlite3.Connection, name: str, words: str, usual: str) -> list[Column]:
    """A table's columns in the order that its own words say, each of the kind that is usual.

    A column whose name is damaged is the one that no other is.
    """
    scratch.execute(usual)
    known = {
        str(column): Column(
            str(column),
            str(kind),
            needed=bool(needed or key),
            default=scratch.execute(f"SELECT {default}").fetchone()[0] if default else None,
            is_number=bool(key) and str(kind).upper() == "INTEGER",
        )
        for _, column, kind, needed, default, key in scratch.execute(f'PRAGMA table_info("{name}")')
    }
    order = _order(words)
    if len(order) != len(known):
        return list(known.values())
    missing = [column for column in known if column not in order]
    return [known[column if column in known else missing.pop(0)] for column in order]


def _order(words: str) -> list[str]:
    """The names of the columns of the table that these words make; none where they make none."""
    with closing(sqlite3.connect(":memory:")) as scratch, suppress(sqlite3.Error):
        scratch.execute(words)
        made = "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY rowid LIMIT 1"
        (name,) = scratch.execute(made).fetchone()
        return [str(row[1]) for row in scratch.execute(f'PRAGMA table_info("{name}")')]
    return []


def _row(cell: Cell, columns: list[Column]) -> Row:
    """A row's values by column; those added to the table after it was written are the usual."""
    row = {column.name: column.default for column in columns}
    row.update(zip((column.name for column in columns), cell.values, strict=False))
    for column in columns:
        if column.is_number:
            row[column.name] = cell.rowid
    return row


def _whose(cells: Iterable[Cell], found: dict[str, Found]) -> str:
    """The table that a page of rows belongs to: the one whose indexes know them, else the only one
    without indexes whose columns fit; "" where that cannot be said."""
    cells = list(cells)
    fitting = []
    for name, table in found.items():
        rows = [(cell, _row(cell, table.columns)) for cell in cells]
        if any(len(cell.values) > len(table.columns) for cell in cells):
            continue
        if table.lost:
            known = [
                all(row.get(name) == value for name, value in table.lost[cell.rowid].items())
                for cell, row in rows
                if cell.rowid in table.lost
            ]
            if sum(known) > len(cells) / 2:
                return name
        elif all(
            len(cell.values) == len(table.columns)
            and cell.rowid not in table.rows
            and all(fits(column, row[column.name]) for column in table.columns)
            for cell, row in rows
        ):
            fitting.append(name)
    return fitting[0] if len(fitting) == 1 else ""
