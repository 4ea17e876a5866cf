"""Images of rows: what a row held before and after an action, as plain JSON."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from typing import Any

from sqlalchemy import Column, Date, RowMapping, Table, event, inspect, select
from sqlalchemy.engine import Connection
from sqlalchemy.orm import ORMExecuteState, Session
from sqlalchemy.sql import TextClause

from app.records.asking import in_parts
from app.records.models import Action, Image, Instant, Record
from app.records.undo import ledgers

# The log itself is not part of what is undone.
UNWATCHED = (Action, Image)
Values = dict[str, Any]


@dataclass(frozen=True)
class RowImage:
    """One row before and after: all of it where it is new or gone, else the changed columns."""

    table: Table
    key: Any
    before: Values | None
    after: Values | None


class Trace:
    """The rows that a session changed, each as it stood before its first change.

    Before and after are both read from the book itself, so it does not matter how a row came to
    change, in how many steps, or what the session believes.
    """

    def __init__(self) -> None:
        self._before: dict[Table, dict[Any, Values | None]] = {}

    def about_to_change(self, connection: Connection, table: Table, keys: Collection[Any]) -> None:
        """Keep the rows with these keys as they stand, unless they were kept already."""
        seen = self._before.setdefault(table, {})
        fresh = [key for key in keys if key not in seen]
        rows = rows_now(connection, table, fresh)
        seen.update({key: rows.get(key) for key in fresh})

    def is_new(self, table: Table, key: Any) -> None:
        """Note a row that was written and was not there before."""
        self._before.setdefault(table, {}).setdefault(key, None)

    def holds(self, table: Table, key: Any) -> bool:
        """Whether that row was touched."""
        return key in self._before.get(table, {})

    def before(self, table: Table, key: Any) -> Values | None:
        """A touched row as it stood before; none where it is new."""
        return self._before[table][key]

    def changed(self, connection: Connection) -> list[RowImage]:
        """The rows that now differ from what they were, in the order of their first touch."""
        images = []
        for table, befores in self._before.items():
            now = rows_now(connection, table, befores)
            for key, before in befores.items():
                after = now.get(key)
                if before != after:
                    images.append(RowImage(table, key, *differing(before, after)))
        return images


def differing(before: Values | None, after: Values | None) -> tuple[Values | None, Values | None]:
    """A row before and after; only the columns that differ where it is neither new nor gone."""
    if before is None or after is None:
        return before, after
    names = [name for name in after if before[name] != after[name]]
    return {name: before[name] for name in names}, {name: after[name] for name in names}


def watch(session: Session, *, undoing: bool = False) -> Trace:
    """Keep the images of every row that the session changes from now on.

    Statements that change many rows at once would slip by unseen, so they are refused; and, but
    for undo itself, so is changing what a final ledger line says.

    A JSON value is saved only when it is set anew (`row.stations = [*row.stations, "jobs"]`):
    changed in place, the session does not see it.
    """
    trace = Trace()

    @event.listens_for(session, "before_flush")
    def _before(session: Session, _context: Any, _instances: Any) -> None:
        keys: dict[Table, list[Any]] = {}
        for row in [*session.dirty, *session.deleted]:
            if not isinstance(row, UNWATCHED):
                table, key = _place(row)
                keys.setdefault(table, []).append(key)
        for table, some in keys.items():
            trace.about_to_change(session.connection(), table, some)
        if keys and not undoing:
            ledgers.hold_final_lines(session, trace)
        if not undoing:
            from app.records.undo.given_versions import hold_given_versions  # not at the start

            hold_given_versions(session, trace)

    @event.listens_for(session, "after_flush")
    def _after(session: Session, _context: Any) -> None:
        for row in session.new:
            if not isinstance(row, UNWATCHED):
                mapper = inspect(row).mapper
                trace.is_new(mapper.local_table, mapper.primary_key_from_instance(row)[0])

    @event.listens_for(session, "do_orm_execute")
    def _refuse_bulk(state: ORMExecuteState) -> None:
        many = state.is_insert or state.is_update or state.is_delete
        if many or isinstance(state.statement, TextClause):
            raise RuntimeError("change rows one by one, so that undo sees them")

    return trace


def _place(row: Any) -> tuple[Table, Any]:
    """A row's table, and the key under which it stands in the book."""
    state = inspect(row)
    (key,) = state.identity
    if state.mapper.primary_key_from_instance(row)[0] != key:
        raise RuntimeError(f"the key of a row of {state.mapper.local_table.name} never changes")
    return state.mapper.local_table, key


def key_column(table: Table) -> Column[Any]:
    """The one column that names a row of the table."""
    (column,) = table.primary_key.columns
    return column


def table_named(name: str) -> Table:
    """The table of that name."""
    return Record.metadata.tables[name]


def rows_now(connection: Connection, table: Table, keys: Collection[Any]) -> dict[Any, Values]:
    """The rows with these keys as they stand, by key; those that are not there are left out."""
    found: dict[Any, Values] = {}
    column = key_column(table)
    for part in in_parts(keys):
        query = select(table).where(column.in_(part))
        for row in connection.execute(query).mappings():
            found[row[column.name]] = image(table, row)
    return found


@cache
def _kinds(table: Table) -> tuple[tuple[str, type | None], ...]:
    """Each column's name with `date` or `datetime` where JSON has no word for its values."""
    kinds: list[tuple[str, type | None]] = []
    for column in table.columns:
        kind: type | None = None
        if isinstance(column.type, Instant):
            kind = datetime
        elif isinstance(column.type, Date):
            kind = date
        kinds.append((column.name, kind))
    return tuple(kinds)


def image(table: Table, row: RowMapping) -> Values:
    """A row as JSON values; days and instants as ISO 8601 text."""
    return {
        name: row[name].isoformat() if kind is not None and row[name] is not None else row[name]
        for name, kind in _kinds(table)
    }


def decoded(table: Table, values: Values) -> Values:
    """The columns' values of an `image`, or of a part of one."""
    return {
        name: kind.fromisoformat(values[name])  # type: ignore[attr-defined]
        if kind is not None and values[name] is not None
        else values[name]
        for name, kind in _kinds(table)
        if name in values
    }


def key_as_text(key: Any) -> str:
    """A row's key as the log keeps it."""
    return key.isoformat() if isinstance(key, date) else str(key)


def key_from_text(table: Table, text: str) -> Any:
    """The key that `key_as_text` wrote."""
    kind = key_column(table).type.python_type
    return date.fromisoformat(text) if kind is date else kind(text)
