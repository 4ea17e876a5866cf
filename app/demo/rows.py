"""Rows on their way into the made-up book: numbered here, written in bulk."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

from app.calculations.numbers.instants import instant
from app.records.models import (
    Customer,
    Estimate,
    Invoice,
    InvoiceLine,
    Job,
    LayerEvent,
    Lot,
    Order,
    OrderLine,
    Pack,
    Record,
    Reminder,
    Service,
    Supplier,
    Supply,
    Vehicle,
)
from app.records.queries.everything import Session, insert_rows, update_rows

BATCH = 4000
# Written before all others, in this order: a row that comes before what it points to would make
# the database search through everything for each row that others point to.
PARENTS: tuple[type[Record], ...] = (
    Supplier, Supply, Pack, Service, Customer, Vehicle, Lot, Order, OrderLine, Job, LayerEvent,
    Reminder, Estimate, Invoice, InvoiceLine,
)  # fmt: skip


class Rows:
    """Collects rows by table and writes them a few thousand at a time.

    A row that others point to is added before them, for the database then has nothing to search
    for; what changes in it later is told with `change`. Other rows are added when they stand.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self._waiting: dict[type[Record], list[dict[str, Any]]] = {}
        self._last: dict[type[Record], int] = {}
        self._changes: dict[type[Record], list[dict[str, Any]]] = {}
        self.written = 0

    def number(self, table: type[Record]) -> int:
        """The next id of a table."""
        self._last[table] = self._last.get(table, 0) + 1
        return self._last[table]

    def last(self, table: type[Record]) -> int:
        """The id given last, 0 before the first."""
        return self._last.get(table, 0)

    def add(self, table: type[Record], **columns: Any) -> int:
        """A row with its next id, unless it brings one; the id."""
        if "id" not in columns:
            columns["id"] = self.number(table)
        self.put(table, columns)
        found: int = columns["id"]
        return found

    def put(self, table: type[Record], columns: dict[str, Any]) -> None:
        """A row as it is; columns that it does not name stand at their defaults."""
        waiting = self._waiting.setdefault(table, [])
        waiting.append(columns)
        if len(waiting) >= BATCH:
            self._write_parents()
            self._write(table)

    def change(self, table: type[Record], number: int, **columns: Any) -> None:
        """Columns of a row that was added before; each row of a table changes the same ones."""
        self._changes.setdefault(table, []).append({"id": number, **columns})

    def finish(self) -> None:
        """Write what still waits."""
        self._write_parents()
        for table in list(self._waiting):
            self._write(table)
        for table, rows in self._changes.items():
            for start in range(0, len(rows), BATCH):
                update_rows(self._session, table.__tablename__, rows[start : start + BATCH])
        self._changes.clear()

    def _write_parents(self) -> None:
        for table in PARENTS:
            self._write(table)

    def _write(self, table: type[Record]) -> None:
        rows = self._waiting.pop(table, [])
        self.written += insert_rows(self._session, table.__tablename__, rows)


class Clock:
    """Moments of the shop's days, as aware UTC instants."""

    def __init__(self, zone: str) -> None:
        self._zone = zone
        self._starts: dict[date, datetime] = {}

    def at(self, day: date, minutes: int) -> datetime:
        """So many minutes after midnight of the shop's day (counted on its clock at noon)."""
        start = self._starts.get(day)
        if start is None:
            noon = instant(day, time(12), self._zone)
            start = self._starts[day] = noon - timedelta(hours=12)
        return start + timedelta(minutes=minutes)
