"""The book's content, free of how it came to be stored: for comparing two books, or then and now.

Rows are named by what they say instead of by their number, a ledger's line that was taken back
is left out together with its counter-line, and the log of actions does not count.
"""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING, Any

from sqlalchemy import Table, select
from sqlalchemy.engine import Connection

from app.records import stock
from app.records.models import Balance, Record
from app.records.undo import ledgers
from app.records.undo.images import UNWATCHED, Values, image, key_column

if TYPE_CHECKING:
    from app.records.book import Book

# The log is how the book came about, snapshots are sums of what is there anyway.
_LEFT_OUT = frozenset({*(model.__tablename__ for model in UNWATCHED), Balance.__tablename__})
_NAMED_BY = ("name", "number", "description", "label", "text", "day")
_Labels = dict[str, dict[Any, str]]


def contents(book: Book) -> dict[str, list[tuple[Any, ...]]]:
    """Everything that the book says, by table, in an order of its own.

    Returns:
        For each table its rows as sorted tuples of (column, value) pairs: numbers and texts as
        they are, days and instants as ISO 8601 text, lists as JSON text, and in place of a
        row's number its name with a short digest of what it says. Under "shelf" what stands
        there: supply, quantity, value.
    """
    with book.reading() as session:
        connection = session.connection()
        labels: _Labels = {}
        found: dict[str, list[tuple[Any, ...]]] = {}
        for table in Record.metadata.sorted_tables:
            if table.name in _LEFT_OUT:
                continue
            rows = _rows(connection, table)
            labels[table.name] = _labelled(table, rows, labels)
            found[table.name] = sorted(
                (_values(table, row, labels) for row in rows), key=lambda values: repr(values)
            )
        shelf = stock.balances(session)
        found["shelf"] = sorted(
            (labels["supplies"][supply], quantity, value)
            for supply, (quantity, value) in shelf.items()
            if quantity or value
        )
    return found


def _rows(connection: Connection, table: Table) -> list[Values]:
    rows = [image(table, row) for row in connection.execute(select(table)).mappings()]
    if table.name not in ledgers.LEDGERS:
        return rows
    taken_back = {row["counters_id"] for row in rows}
    return [row for row in rows if row["counters_id"] is None and row["id"] not in taken_back]


def _labelled(table: Table, rows: list[Values], labels: _Labels) -> dict[Any, str]:
    """A name for each row that follows from what it says alone.

    A table that points to itself (who sent whom) is named in two steps: first without that link.
    """
    key = key_column(table).name
    first = {row[key]: _label(table, row, labels) for row in rows}
    if not any(reference.column.table is table for reference in table.foreign_keys):
        return first
    return {row[key]: _label(table, row, labels | {table.name: first}) for row in rows}


def _label(table: Table, row: Values, labels: _Labels) -> str:
    values = json.dumps(_values(table, row, labels), sort_keys=True)
    digest = hashlib.sha256(values.encode()).hexdigest()[:12]
    name = next((str(row[column]) for column in _NAMED_BY if row.get(column)), "")
    return f"{name}#{digest}"


def _values(table: Table, row: Values, labels: _Labels) -> tuple[tuple[str, Any], ...]:
    values = []
    for column in table.columns:
        value = row[column.name]
        if column.name in ("id", "counters_id"):
            continue
        if column.foreign_keys and value is not None:
            (reference,) = column.foreign_keys
            value = labels.get(reference.column.table.name, {}).get(value, "")
        elif isinstance(value, list | dict):
            value = json.dumps(value, sort_keys=True)
        values.append((column.name, value))
    return tuple(values)
