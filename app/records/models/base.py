"""What every table of the book shares: the declarative base and the column types."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, ClassVar

from sqlalchemy import JSON, DateTime, MetaData
from sqlalchemy.engine import Dialect
from sqlalchemy.orm import DeclarativeBase
from sqlalchemy.types import TypeDecorator

# Named constraints, so that a later migration can drop or change them on any database.
NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}

# What a person said, or what was filled in and booked without a word: of hours and of receipts.
CONFIRMED, EXPECTED = "confirmed", "expected"

# Foreign keys are checked when the transaction ends, so that undo may put rows back in any order.
LATE: dict[str, Any] = {"deferrable": True, "initially": "DEFERRED"}

# The id of a row that was taken out is not given to another: final lines may still name it, and a
# ledger line that undo took out comes back under its own number when it is done again.
# (SQLite's own word for it; other databases never give an id twice.)
KEEPS_NUMBERS: dict[str, Any] = {"sqlite_autoincrement": True}


class Instant(TypeDecorator[datetime]):
    """A moment in UTC: aware in Python, stored without zone; a naive datetime is refused."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Turn an aware moment into naive UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("an instant needs its time zone")
        return value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Give the stored moment its zone back."""
        return None if value is None else value.replace(tzinfo=UTC)


class Record(DeclarativeBase):
    """A row of the book."""

    metadata = MetaData(naming_convention=NAMES)
    type_annotation_map = {  # noqa: RUF012 (SQLAlchemy reads it as it stands)
        datetime: Instant,
        dict[str, Any]: JSON,
        list[str]: JSON,
        list[int]: JSON,
    }


class Ledger:
    """A line that is only ever added: once final it is countered, never changed or removed.

    A ledger table has `day` (the day it belongs to) and `counters_id` (the line it takes back).
    """

    # Of the line that takes it back: what it says alike, and what it says the other way.
    alike: ClassVar[tuple[str, ...]] = ()
    other_way: ClassVar[tuple[str, ...]] = ()

    def counter(self) -> dict[str, Any]:
        """The columns of the line that takes this one back; day, note and id are the caller's."""
        alike = {name: getattr(self, name) for name in self.alike}
        other_way = {name: -getattr(self, name) for name in self.other_way}
        return alike | other_way | {"kind": "reversed"}
