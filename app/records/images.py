"""Images of rows: what a row said before and after an action, kept as plain JSON without loss.

Undo rests on them. A change collects which rows it touched from the session's flushes and reads
each row from the book itself before its first and after its last touch, so it does not matter
how the row came to change.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from typing import Any

from sqlalchemy import Column, Date, Table, select
from sqlalchemy.engine import Connection

from app.records.models import Action, Image, Instant, Record

Kept = dict[str, Any]

# The log itself is not imaged.
LOG_TABLES = frozenset({Action.__tablename__, Image.__tablename__})
_AT_ONCE = 400  # keys in one SELECT; far below any database's limit on parameters


@dataclass(frozen=True)
class RowImage:
    """One row before and after: a whole row where it is new or gone, else the changed columns."""

    table: Table
    key: Any
    before: Kept | None
    after: Kept | None


def key_column(table: Table) -> Column[Any]:
    """The one column that names a row of the table."""
    (column,) = table.primary_key.columns
    return column


def table_named(name: str) -> Table:
    """The table of that name."""
    return Record.metadata.tables[name]


@cache
def _kinds(table: Table) -> tuple[tuple[str, str], ...]:
    """Each column's name and how its values are kept: "day", "instant" or "as it is"."""
    kinds = []
    for column in table.columns:
        kind = "as it is"
        if isinstance(column.type, Instant):
            kind = "instant"
        elif isinstance(column.type, Date):
            kind = "day"
        kinds.append((column.name, kind))
    return tuple(kinds)


def as_kept(table: Table, row: Mapping[str, Any]) -> Kept:
    """A row of the book as plain JSON; days and instants as ISO 8601 text."""
    kept: Kept = {}
    for name, kind in _kinds(table):
        value = row[name]
        if kind != "as it is" and value is not None:
            value = value.isoformat()
        kept[name] = value
    return kept


def as_row(table: Table, kept: Kept) -> dict[str, Any]:
    """The values that `as_kept` kept, for those columns that it holds."""
    row: dict[str, Any] = {}
    for name, kind in _kinds(table):
        if name not in kept:
            continue
        value = kept[name]
        if value is not None and kind == "instant":
            value = datetime.fromisoformat(value)
        elif value is not None and kind == "day":
            value = date.fromisoformat(value)
        row[name] = value
    return row


def key_as_text(key: Any) -> str:
    """A row's key as the log keeps it."""
    return key.isoformat() if isinstance(key, date) else str(key)


def key_from_text(table: Table, text: str) -> Any:
    """The key that `key_as_text` wrote."""
    kind = key_column(table).type.python_type
    return date.fromisoformat(text) if kind is date else kind(text)


def rows_now(connection: Connection, table: Table, keys: Iterable[Any]) -> dict[Any, Kept]:
    """The rows with these keys as they stand, by key; those that are not there are left out."""
    found: dict[Any, Kept] = {}
    name = key_column(table).name
    wanted = list(keys)
    for start in range(0, len(wanted), _AT_ONCE):
        part = wanted[start : start + _AT_ONCE]
        rows = connection.execute(select(table).where(key_column(table).in_(part))).mappings()
        for row in rows:
            found[row[name]] = as_kept(table, row)
    return found


class Touched:
    """The rows that a change has touched so far, each as it stood before its first touch."""

    def __init__(self) -> None:
        self._before: dict[Table, dict[Any, Kept | None]] = {}

    def about_to_change(self, connection: Connection, table: Table, keys: Sequence[Any]) -> None:
        """Keep the rows with these keys as they stand; call before the first write to them."""
        seen = self._before.setdefault(table, {})
        fresh = [key for key in keys if key not in seen]
        if not fresh:
            return
        rows = rows_now(connection, table, fresh)
        for key in fresh:
            seen[key] = rows.get(key)

    def is_new(self, table: Table, key: Any) -> None:
        """Note a row that the change has just written and that was not there before."""
        self._before.setdefault(table, {}).setdefault(key, None)

    def holds(self, table: Table, key: Any) -> bool:
        """Whether the change has touched that row."""
        return key in self._before.get(table, {})

    def before(self, table: Table, key: Any) -> Kept | None:
        """A touched row as it stood before the change; none if it is new."""
        return self._before[table][key]

    def images(self, connection: Connection) -> list[RowImage]:
        """The rows that now differ from what they were, in the order of their first touch."""
        images = []
        for table, befores in self._before.items():
            now = rows_now(connection, table, befores)
            for key, before in befores.items():
                image = _image(table, key, before, now.get(key))
                if image is not None:
                    images.append(image)
        return images


def _image(table: Table, key: Any, before: Kept | None, after: Kept | None) -> RowImage | None:
    if before == after:
        return None
    if before is not None and after is not None:
        changed = [name for name in after if before[name] != after[name]]
        before = {name: before[name] for name in changed}
        after = {name: after[name] for name in changed}
    return RowImage(table, key, before, after)
