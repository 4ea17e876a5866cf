"""Rows on their way into the made-up book: numbered here, written in bulk."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from app.records.founding import blank, insert_rows
from app.records.models import Record
from app.records.queries.settings import Session

BATCH = 4000


class Rows:
    """Collects rows by table and writes them a few thousand at a time.

    A row that may still change is kept by the caller and added when it stands.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self._blanks: dict[type[Record], dict[str, Any]] = {}
        self._waiting: dict[type[Record], list[dict[str, Any]]] = {}
        self._last: dict[type[Record], int] = {}
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
        base = self._blanks.get(table)
        if base is None:
            base = self._blanks[table] = blank(table)
        waiting = self._waiting.setdefault(table, [])
        waiting.append({**base, **columns})
        if len(waiting) >= BATCH:
            self._write(table)

    def finish(self) -> None:
        """Write what still waits."""
        for table in list(self._waiting):
            self._write(table)

    def _write(self, table: type[Record]) -> None:
        rows = self._waiting.pop(table, [])
        insert_rows(self._session, table, rows)
        self.written += len(rows)


class Clock:
    """Moments of the shop's days, as aware UTC instants."""

    def __init__(self, zone: str) -> None:
        self._zone = ZoneInfo(zone)
        self._starts: dict[date, datetime] = {}

    def at(self, day: date, minutes: int) -> datetime:
        """So many minutes after midnight of the shop's day (counted on its clock at noon)."""
        start = self._starts.get(day)
        if start is None:
            noon = datetime.combine(day, time(12), tzinfo=self._zone).astimezone(UTC)
            start = self._starts[day] = noon - timedelta(hours=12)
        return start + timedelta(minutes=minutes)
