"""The sessions that the book lends: for reading, for a change with images, for founding work."""

from __future__ import annotations

from collections import defaultdict
from typing import Any, NoReturn

from sqlalchemy import Table, event, inspect
from sqlalchemy.engine import Connection
from sqlalchemy.orm import ORMExecuteState, Session, UOWTransaction, object_mapper
from sqlalchemy.sql import TextClause

from app.records import ledgers
from app.records.images import LOG_TABLES, Touched


class LoadSession(Session):
    """For founding work in bulk: nothing is imaged, everything is allowed."""

    def __init__(self, connection: Connection) -> None:
        super().__init__(connection, expire_on_commit=False, autoflush=True)


class ReadingSession(LoadSession):
    """For point reads: it refuses to write."""


class ChangeSession(LoadSession):
    """For one change: it knows every row that it touched.

    A JSON value is saved only when it is set anew (`row.stations = [*row.stations, "jobs"]`);
    changed in place it looks the same to the session and is lost.
    """

    def __init__(self, connection: Connection) -> None:
        super().__init__(connection)
        self.touched = Touched()

    def _past_the_images(self, *_: Any, **__: Any) -> NoReturn:
        raise RuntimeError("bulk work evades undo: use Book.load, or change rows one by one")

    bulk_save_objects = _past_the_images
    bulk_insert_mappings = _past_the_images
    bulk_update_mappings = _past_the_images


@event.listens_for(ReadingSession, "before_flush")
def _refuse_to_write(session: Session, *_: Any) -> None:
    if session.new or session.deleted or any(session.is_modified(row) for row in session.dirty):
        raise RuntimeError("a reading session does not write: use Book.change")


@event.listens_for(ChangeSession, "do_orm_execute")
def _refuse_bulk_statements(state: ORMExecuteState) -> None:
    statement = state.statement
    writes = state.is_insert or state.is_update or state.is_delete
    if writes or isinstance(statement, TextClause):
        raise RuntimeError("bulk work evades undo: use Book.load, or change rows one by one")


@event.listens_for(ChangeSession, "before_flush")
def _keep_before(session: ChangeSession, context: UOWTransaction, instances: Any) -> None:
    """Read the rows about to change or go, once each, and hold final ledger lines as they are."""
    keys: defaultdict[Table, list[Any]] = defaultdict(list)
    for row in (*session.dirty, *session.deleted):
        table, key = _place(row)
        if table.name not in LOG_TABLES:
            keys[table].append(key)
    if not keys:
        return
    connection = session.connection()
    for table, wanted in keys.items():
        session.touched.about_to_change(connection, table, wanted)
    ledgers.hold_final_lines(session, session.touched)


@event.listens_for(ChangeSession, "after_flush")
def _note_new(session: ChangeSession, context: UOWTransaction) -> None:
    for row in session.new:
        mapper = object_mapper(row)
        table = mapper.local_table
        if isinstance(table, Table) and table.name not in LOG_TABLES:
            session.touched.is_new(table, mapper.primary_key_from_instance(row)[0])


def _place(row: object) -> tuple[Table, Any]:
    """A row's table and the key under which it stands in the book."""
    mapper = object_mapper(row)
    table = mapper.local_table
    assert isinstance(table, Table)
    (key,) = inspect(row).identity
    if mapper.primary_key_from_instance(row)[0] != key:
        raise RuntimeError(f"the key of a row of {table.name} never changes")
    return table, key
