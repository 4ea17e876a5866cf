"""Every record of the book, kind by kind, as plain rows: for export and for bringing in.

A kind is a table's name; a row is a plain dict by column, its key always under "id" (a day's or a
setting's own key as well under its name).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice
from typing import Any

from sqlalchemy import UniqueConstraint, func, insert, select, update
from sqlalchemy.orm import Session

from app.records.models import Action, Image, Record
from app.records.undo.images import key_column, table_named
from app.records.undo.references import MODELS

Row = dict[str, Any]

# The log of actions is the book's own memory, not something that the shop says.
_LOG = (Action.__tablename__, Image.__tablename__)

# What makes a book a book; settings and days alone do not.
_SUBSTANCE = ("customers", "vehicles", "suppliers", "supplies", "services", "jobs", "receipts")
_AT_ONCE = 2000


def kinds() -> tuple[str, ...]:
    """Every kind of record, in an order in which rows only point backwards (or to their own)."""
    return tuple(t.name for t in Record.metadata.sorted_tables if t.name not in _LOG)


def columns(kind: str) -> tuple[str, ...]:
    """The columns of a kind without its number."""
    return tuple(column.name for column in table_named(kind).columns if column.name != "id")


def empty_allowed(kind: str) -> frozenset[str]:
    """The columns of a kind that may be empty."""
    return frozenset(c.name for c in table_named(kind).columns if c.nullable)


def required(kind: str) -> frozenset[str]:
    """The columns of a kind that a new row must say, for they have no default."""
    return frozenset(
        c.name
        for c in table_named(kind).columns
        if c.name != "id" and not c.nullable and c.default is None
    )


def bound(kind: str) -> frozenset[str]:
    """The columns of a kind that must point to a row that is there; others may point nowhere."""
    return frozenset(c.name for c in table_named(kind).columns if c.foreign_keys)


def unique(kind: str) -> frozenset[str]:
    """The columns of a kind of which no two rows may say the same."""
    table = table_named(kind)
    alone = {c.name for c in table.columns if c.unique}
    for constraint in table.constraints:
        if isinstance(constraint, UniqueConstraint) and len(constraint.columns) == 1:
            alone.update(c.name for c in constraint.columns)
    for index in table.indexes:
        if index.unique and len(index.columns) == 1:
            alone.update(c.name for c in index.columns)
    return frozenset(alone)


def count(session: Session, kind: str) -> int:
    """How many rows there are of a kind."""
    return session.scalar(select(func.count()).select_from(table_named(kind))) or 0


def rows(session: Session, kind: str) -> Iterator[Row]:
    """The rows of a kind in the order of their keys."""
    table = table_named(kind)
    key = key_column(table)
    found = session.connection().execute(
        select(table).order_by(key), execution_options={"yield_per": _AT_ONCE}
    )
    names = tuple(found.keys())
    for row in found:
        plain = dict(zip(names, row, strict=True))
        plain["id"] = plain[key.name]
        yield plain


def holds_nothing(session: Session) -> bool:
    """True for a book in which nothing was entered yet."""
    return all(
        session.execute(select(key_column(table_named(kind))).limit(1)).first() is None
        for kind in _SUBSTANCE
    )


def blank(kind: str) -> Row:
    """A row of a kind with every column at its default, None where it has none."""
    return {
        column.name: None if column.default is None else _default(column.default)
        for column in table_named(kind).columns
    }


def _default(default: Any) -> Any:
    return default.arg(None) if default.is_callable else default.arg


def insert_rows(session: Session, kind: str, new: Iterable[Mapping[str, Any]]) -> int:
    """Write rows in bulk with the keys they bring, the columns that they do not name at their
    defaults; only within `Book.load`, for undo knows nothing of them. Returns how many."""
    query, base, total = insert(table_named(kind)), blank(kind), 0
    rest = iter(new)
    while part := list(islice(rest, _AT_ONCE)):
        rows = [base | {name: row[name] for name in row if name in base} for row in part]
        session.connection().execute(query, rows)
        total += len(rows)
    return total


def update_rows(session: Session, kind: str, rows: Sequence[Row]) -> None:
    """Change rows in bulk by their `id`, within `Book.load`; each names the same columns."""
    if rows:
        session.execute(update(MODELS[kind]), list(rows))


def add(session: Session, kind: str, new: Sequence[Mapping[str, Any]]) -> list[Any]:
    """Add rows one by one as a change does, and give their keys, in order."""
    model = MODELS[kind]
    made = [model(**row) for row in new]
    session.add_all(made)
    session.flush()
    name = key_column(table_named(kind)).name
    return [getattr(one, name) for one in made]


def change(session: Session, kind: str, key: Any, values: Mapping[str, Any]) -> None:
    """Set columns of a row that is there."""
    row = session.get(MODELS[kind], key)
    if row is None:
        raise LookupError(f"no row {key} in {kind}")
    for name, value in values.items():
        setattr(row, name, value)
