"""The days, the settings, and the log of actions that makes undo possible."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from app.records.models.base import LATE, Record


class DaySheet(Record):
    """One working day; open, then closed. It may be reopened and closed again."""

    __tablename__ = "days"

    day: Mapped[date] = mapped_column(primary_key=True)
    page: Mapped[int]
    state: Mapped[str] = mapped_column(String(10), default="open")  # open, closed
    # Stations that were said to be right: "jobs", "supplies", "money", "orders", "reminders".
    stations: Mapped[list[str]] = mapped_column(default=list)
    opened_at: Mapped[datetime | None]
    closed_at: Mapped[datetime | None]
    seconds: Mapped[int] = mapped_column(default=0)  # what the close took, at the desk
    times_closed: Mapped[int] = mapped_column(default=0)
    summary: Mapped[str] = mapped_column(Text, default="")
    # What lay in the till at the day's end, minor units; empty where nobody counted.
    cash_counted: Mapped[int | None]
    driven: Mapped[int] = mapped_column(default=0)  # for the shop, metres


class Weather(Record):
    """What somebody noted of a day's weather."""

    __tablename__ = "weather"

    day: Mapped[date] = mapped_column(primary_key=True)
    holds_outside: Mapped[bool] = mapped_column(default=False)  # no work outside on that day
    low: Mapped[int | None]  # of the night after it, tenths of a degree C; empty: nobody said
    note: Mapped[str] = mapped_column(String(200), default="")


class Setting(Record):
    """One setting of the shop."""

    __tablename__ = "settings"

    name: Mapped[str] = mapped_column(String(60), primary_key=True)
    value: Mapped[Any] = mapped_column(JSON)


class Action(Record):
    """One thing a person did, by name, with the moment and whether it was undone."""

    __tablename__ = "actions"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    at: Mapped[datetime]
    day: Mapped[date | None]
    kinds: Mapped[list[str]] = mapped_column(default=list)  # which kinds of thing it changed
    state: Mapped[str] = mapped_column(String(10), default="done")  # done, undone, kept
    # The action that this one takes back or does again.
    of_id: Mapped[int | None] = mapped_column(ForeignKey("actions.id", **LATE))


class Image(Record):
    """A row before and after an action; before is empty for a new row, after for a removed one."""

    __tablename__ = "images"

    id: Mapped[int] = mapped_column(primary_key=True)
    action_id: Mapped[int] = mapped_column(ForeignKey("actions.id", **LATE), index=True)
    position: Mapped[int]
    table_name: Mapped[str] = mapped_column(String(40))
    row_key: Mapped[str] = mapped_column(String(80))
    before: Mapped[dict[str, Any] | None] = mapped_column(JSON)
    after: Mapped[dict[str, Any] | None] = mapped_column(JSON)
