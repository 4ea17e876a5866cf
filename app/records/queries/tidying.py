"""Putting two rows of a kind together, and taking out one that has no history."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from sqlalchemy.orm import Session

from app.records.models import Movement
from app.records.undo import ledgers
from app.records.undo.images import table_named
from app.records.undo.references import MODELS, pointers_to


def pointing(session: Session, model: type[Any], key: int) -> list[tuple[Any, str]]:
    """The rows that name this one, each with the column that does."""
    session.flush()
    found = pointers_to(session.connection(), table_named(model.__tablename__), [key])
    return [
        (session.get_one(MODELS[pointer.table.name], pointer.key), pointer.column.name)
        for pointer in found
    ]


def repoint(session: Session, rows: Collection[tuple[Any, str]], key: int) -> None:
    """Let these rows name another one."""
    for row, column in rows:
        setattr(row, column, key)
    session.flush()


def has_history(session: Session, model: type[Any], key: int, along: Collection[str]) -> bool:
    """True when anything but the kinds in `along` rests on a row.

    Of movements only those count that are final, or more than the stock that was opened with.
    """
    for row, _ in pointing(session, model, key):
        if row.__tablename__ not in along:
            return True
        if isinstance(row, Movement) and (row.kind != "counted" or row.physical or final(row)):
            return True
        if row.__tablename__ != Movement.__tablename__ and has_history(
            session, type(row), row.id, along
        ):
            return True
    return False


def final(line: Any) -> bool:
    """True when a line of a ledger may be taken back only by a counter-line."""
    session = Session.object_session(line)
    assert session is not None
    table = table_named(line.__tablename__)
    return bool(ledgers.final_keys(session.connection(), table, [line.id]))


def take_out(session: Session, model: type[Any], key: int) -> None:
    """Remove a row and all that rests on it."""
    for row, _ in pointing(session, model, key):
        take_out(session, type(row), row.id)
    session.delete(session.get_one(model, key))
    session.flush()
