"""What points to what: rows that name a row which is about to go."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Column, Table, or_, select
from sqlalchemy.engine import Connection
from sqlalchemy.orm import Session

from app.errors import Refused
from app.records.asking import in_parts
from app.records.models import Balance, Ledger, Record
from app.records.undo import ledgers
from app.records.undo.images import RowImage, key_column, table_named
from app.records.undo.naming import spoken

MODELS: dict[str, type[Any]] = {
    mapper.class_.__tablename__: mapper.class_ for mapper in Record.registry.mappers
}


@dataclass(frozen=True)
class Pointer:
    """A row that names another, and through which column."""

    column: Column[Any]
    key: Any
    target: Any

    @property
    def table(self) -> Table:
        """The table of the row that points."""
        return table_named(self.column.table.name)


def pointers_to(connection: Connection, table: Table, keys: Collection[Any]) -> list[Pointer]:
    """The rows that are bound to one of these rows, which need not be there any more."""
    found = []
    for other in Record.metadata.sorted_tables:
        for reference in other.foreign_keys:
            if reference.column.table is not table:
                continue
            column = reference.parent
            for part in in_parts(keys):
                query = select(key_column(other), column).where(column.in_(part))
                found += [Pointer(column, *row) for row in connection.execute(query)]
    return found


def refuse_loose_ends(connection: Connection, images: Iterable[RowImage]) -> None:
    """Refuse a change that took out rows which others are bound to.

    Raises `Refused`: says which row is still needed, and by what.
    """
    gone: dict[Table, list[RowImage]] = {}
    for image in images:
        if image.after is None:
            gone.setdefault(image.table, []).append(image)
    for table, removed in gone.items():
        pointers = pointers_to(connection, table, [image.key for image in removed])
        for pointer in pointers[:1]:
            was = next(image.before for image in removed if image.key == pointer.target)
            raise Refused(_still_needed(connection, pointer, table, was))


def _still_needed(connection: Connection, pointer: Pointer, table: Table, was: Any) -> str:
    thing = spoken(connection, table, pointer.target, was)
    other = spoken(connection, pointer.table, pointer.key)
    return f"{thing[0].upper()}{thing[1:]} cannot be removed: {other} still needs it."


def release(session: Session, removed: Iterable[RowImage]) -> None:
    """Let go of rows that an undo has just taken out and that settled lines are bound to.

    A ledger line and its counter-line say nothing together any more, but they are history: where
    they can do without the link, it is blanked; where they cannot (a movement without its supply),
    both go with the thing that they were about. A shelf snapshot is only a sum and goes too.

    Raises `Refused` when a row that still says something is bound to what went.
    """
    connection = session.connection()
    waiting: dict[Table, dict[Any, Any]] = {}
    for image in removed:
        waiting.setdefault(image.table, {})[image.key] = image.after
    while waiting:
        table, gone = waiting.popitem()
        for pointer in pointers_to(connection, table, gone):
            row = session.get(MODELS[pointer.table.name], pointer.key)
            if row is None:
                continue  # it went with the other line of its pair
            going = [row]
            if not isinstance(row, Balance):
                going = _pair(session, row) if _may_go(pointer, row) else []
                if len(going) < 2:
                    raise Refused(_still_needed(connection, pointer, table, gone[pointer.target]))
                if pointer.column.nullable:
                    setattr(row, pointer.column.name, None)
                    continue
            for one in going:
                session.delete(one)
                waiting.setdefault(table_named(one.__tablename__), {})[one.id] = None
            session.flush()
        session.flush()


def _may_go(pointer: Pointer, row: Any) -> bool:
    return isinstance(row, Ledger) and pointer.column.name != "counters_id"


def _pair(session: Session, row: Any) -> list[Any]:
    """A ledger line with its counter-line; the line alone where it stands."""
    kind = ledgers.LEDGERS[row.__tablename__]
    first = row.counters_id or row.id
    query = select(kind).where(or_(kind.id == first, kind.counters_id == first))
    return list(session.scalars(query))
