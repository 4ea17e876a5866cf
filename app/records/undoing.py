"""Undo and redo: one mechanism for every action, from the images of the rows it changed.

Undo puts the images back if the rows still stand as the action left them, else it says plainly what
changed since. A ledger line that is final (its day is closed, its reminder sent) stays; the line
that counters it is written instead, with reason and date.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import inspect, select
from sqlalchemy.orm import Session

from app.errors import Refused
from app.records.images import Values, decoded, image
from app.records.models import Action, DaySheet, Image, Ledger, Record, Reminder

TABLES: dict[str, type[Record]] = {
    mapper.class_.__tablename__: mapper.class_ for mapper in Record.registry.mappers
}
# How a person would call a row of each table.
WORDS = {
    "balances": "the shelf's snapshot",
    "charges": "a charge",
    "customers": "a customer",
    "days": "the day",
    "hours": "hours",
    "job_services": "a job's service",
    "job_steps": "a job's step",
    "jobs": "a job",
    "judgements": "a judgement",
    "layer_events": "a layer",
    "lots": "a lot",
    "movements": "a line of the shelf",
    "order_lines": "an order's line",
    "orders": "an order",
    "owner_links": "an owner link",
    "packs": "a pack",
    "receipts": "a receipt",
    "recipe_lines": "a recipe's line",
    "reminder_events": "a reminder's history",
    "reminder_items": "what a reminder is about",
    "reminders": "a reminder",
    "service_steps": "a service's step",
    "services": "a service",
    "settings": "a setting",
    "suppliers": "a supplier",
    "supplies": "a supply",
    "uses": "a use",
    "vehicles": "a vehicle",
}


@dataclass(frozen=True)
class Undone:
    """What was undone or done again, the kinds of thing changed, how many lines were countered."""

    name: str
    kinds: frozenset[str]
    countered: int = 0


def newest(session: Session, state: str) -> Action | None:
    """The newest action in a state that a person may still undo (done) or do again (undone)."""
    order = Action.id.desc() if state == "done" else Action.id.asc()
    return session.scalars(
        select(Action).where(Action.state == state, Action.of_id.is_(None)).order_by(order).limit(1)
    ).first()


def put_back(session: Session, action: Action, *, today: date, at: datetime, reason: str) -> int:
    """Undo an action within a session; the number of lines that had to be countered.

    Raises `Refused` when a row no longer stands as the action left it.
    """
    countered = 0
    images = _images(session, action)
    for one in reversed(images):
        table = TABLES[one.table_name]
        row = session.get(table, _key(table, one.row_key))
        if one.before is None and row is not None and _is_final(session, row):
            assert isinstance(row, Ledger)
            if not _is_countered(session, row):
                session.add(_counter(row, today, at, reason or f"Undone: {action.name}"))
                countered += 1
            continue
        _same_or_refuse(action, one.table_name, row, one.after)
        _write(session, table, row, one.before)
    return countered


def do_again(session: Session, action: Action) -> None:
    """Redo an undone action within a session.

    Raises `Refused` when a row no longer stands as the undo left it, or when lines were countered:
    those are settled and the thing is better done anew.
    """
    for one in _images(session, action):
        table = TABLES[one.table_name]
        row = session.get(table, _key(table, one.row_key))
        if one.before is None and row is not None:
            raise Refused(
                f"“{action.name}” was taken back by counter-entries and cannot be repeated from "
                "here; please do it again by hand."
            )
        _same_or_refuse(action, one.table_name, row, one.before)
        _write(session, table, row, one.after)


def _images(session: Session, action: Action) -> list[Image]:
    return list(
        session.scalars(select(Image).where(Image.action_id == action.id).order_by(Image.position))
    )


def _key(table: type[Record], row_key: str) -> Any:
    columns = inspect(table).primary_key
    parts = row_key.split("|")
    values = [
        _typed(column.type.python_type, part) for column, part in zip(columns, parts, strict=True)
    ]
    return values[0] if len(values) == 1 else tuple(values)


def _typed(kind: type, text: str) -> Any:
    if kind is int:
        return int(text)
    if kind is date:
        return date.fromisoformat(text[text.index("20") : text.index("20") + 10])
    return text


def _is_final(session: Session, row: Record) -> bool:
    """Whether a ledger line may no longer be taken out."""
    if not isinstance(row, Ledger):
        return False
    sheet = session.get(DaySheet, row.day)  # type: ignore[attr-defined]
    if sheet is not None and sheet.times_closed > 0:
        return True
    reminder_id = getattr(row, "reminder_id", None)
    if reminder_id is not None:
        reminder = session.get(Reminder, reminder_id)
        return reminder is not None and reminder.sent_on is not None and row.kind != "sent"  # type: ignore[attr-defined]
    return False


def _is_countered(session: Session, row: Record) -> bool:
    table: Any = type(row)
    return (
        session.scalars(
            select(table.id).where(table.counters_id == row.id).limit(1)  # type: ignore[attr-defined]
        ).first()
        is not None
    )


def _counter(row: Record, today: date, at: datetime, reason: str) -> Record:
    assert isinstance(row, Ledger)
    return type(
        row
    )(  # type: ignore[return-value]
        **row.counter(),
        day=today,
        at=at,
        counters_id=row.id,
        note=reason[:300],  # type: ignore[attr-defined]
    )


def _same_or_refuse(
    action: Action, table_name: str, row: Record | None, expected: Values | None
) -> None:
    found = None if row is None else image(row)
    if found == expected:
        return
    what = WORDS.get(table_name, "a line")
    if found is None:
        raise Refused(f"“{action.name}” cannot be undone: {what} was removed since.")
    if expected is None:
        raise Refused(f"“{action.name}” cannot be undone: {what} was put back since.")
    changed = ", ".join(
        key.replace("_", " ") for key in expected if found.get(key) != expected[key]
    )
    raise Refused(f"“{action.name}” cannot be undone: {what} has changed since ({changed}).")


def _write(
    session: Session, table: type[Record], row: Record | None, values: Values | None
) -> None:
    if values is None:
        if row is not None:
            session.delete(row)
        return
    plain = {key: decoded(value) for key, value in values.items()}
    if row is None:
        session.add(table(**plain))
        return
    for key, value in plain.items():
        if getattr(row, key) != value:
            setattr(row, key, value)
