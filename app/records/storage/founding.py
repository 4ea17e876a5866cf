"""Writing many rows at once when a book is founded: a made-up shop, a first import.

Undo knows nothing of rows written here, so this is for `Book.load` only.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Table, insert, update
from sqlalchemy.orm import Session

from app.records.models import Record


def blank(model: type[Record]) -> dict[str, Any]:
    """A row of a table with every column at its default, None where it has none."""
    return {
        column.name: None if column.default is None else _default(column.default)
        for column in _table(model).columns
    }


def insert_rows(session: Session, model: type[Record], rows: Sequence[dict[str, Any]]) -> None:
    """Write rows in bulk; each has a value for the same columns, as `blank` gives them."""
    if rows:
        session.execute(insert(_table(model)), list(rows))


def update_rows(session: Session, model: type[Record], rows: Sequence[dict[str, Any]]) -> None:
    """Change rows in bulk by their `id`; each names the same columns."""
    if rows:
        session.execute(update(model), list(rows))


def _table(model: type[Record]) -> Table:
    table = model.__table__
    assert isinstance(table, Table)
    return table


def _default(default: Any) -> Any:
    return default.arg(None) if default.is_callable else default.arg
