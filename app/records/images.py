"""Images of rows: what a row held before and after an action, as plain JSON."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import event, inspect
from sqlalchemy.orm import ORMExecuteState, Session
from sqlalchemy.orm.attributes import History

from app.records.models import Action, Image, Record

# The log itself is not part of what is undone.
UNWATCHED = (Action, Image)
Values = dict[str, Any]


@dataclass
class Trace:
    """The rows a session changed: (table, key) -> [before, after], in order of first change."""

    rows: dict[tuple[str, str], list[Values | None]] = field(default_factory=dict)

    def changed(self) -> list[tuple[str, str, Values | None, Values | None]]:
        """(table, key, before, after) of each row that ends otherwise than it began."""
        return [
            (table, key, before, after)
            for (table, key), (before, after) in self.rows.items()
            if before != after
        ]


def watch(session: Session) -> Trace:
    """Keep the images of every row that the session changes from now on.

    Statements that change many rows at once would slip by unseen, so they are refused.
    """
    trace = Trace()

    @event.listens_for(session, "before_flush")
    def _before(session: Session, _context: Any, _instances: Any) -> None:
        for row in [*session.dirty, *session.deleted]:
            if isinstance(row, Record) and not isinstance(row, UNWATCHED):
                trace.rows.setdefault(identity(row), [_earlier(row), None])

    @event.listens_for(session, "after_flush")
    def _after(session: Session, _context: Any) -> None:
        for row in session.new:
            if isinstance(row, Record) and not isinstance(row, UNWATCHED):
                trace.rows.setdefault(identity(row), [None, None])[1] = image(row)
        for row in session.dirty:
            if isinstance(row, Record) and not isinstance(row, UNWATCHED):
                trace.rows[identity(row)][1] = image(row)
        for row in session.deleted:
            if isinstance(row, Record) and not isinstance(row, UNWATCHED):
                trace.rows[identity(row)][1] = None

    @event.listens_for(session, "do_orm_execute")
    def _refuse_bulk(state: ORMExecuteState) -> None:
        if state.is_insert or state.is_update or state.is_delete:
            raise RuntimeError("change rows one by one, so that undo sees them")

    return trace


def identity(row: Record) -> tuple[str, str]:
    """(table name, primary key as text)."""
    state = inspect(row)
    key = [encoded(value) for value in state.mapper.primary_key_from_instance(row)]
    return row.__tablename__, "|".join(str(part) for part in key)


def image(row: Record) -> Values:
    """The row's columns as JSON values."""
    return {
        attribute.key: encoded(getattr(row, attribute.key))
        for attribute in inspect(row).mapper.column_attrs
    }


def _earlier(row: Record) -> Values:
    """The row's columns as they stood in the database before this flush."""
    state = inspect(row)
    values: Values = {}
    for attribute in state.mapper.column_attrs:
        history: History = state.attrs[attribute.key].history
        old = history.deleted if history.has_changes() and history.deleted else None
        values[attribute.key] = encoded(old[0] if old else getattr(row, attribute.key))
    return values


def encoded(value: Any) -> Any:
    """A column's value as JSON, told apart where JSON has no word for it."""
    if isinstance(value, datetime):
        return {"instant": value.astimezone(UTC).isoformat()}
    if isinstance(value, date):
        return {"day": value.isoformat()}
    return value


def decoded(value: Any) -> Any:
    """The column's value of `encoded`."""
    if isinstance(value, dict) and len(value) == 1:
        if "instant" in value:
            return datetime.fromisoformat(value["instant"])
        if "day" in value:
            return date.fromisoformat(value["day"])
    return value
