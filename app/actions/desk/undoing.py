"""Undo and redo by name, and the history of what was done."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from app.actions.desk.desk import Changed, Desk
from app.calculations.numbers.dates import near


@dataclass(frozen=True)
class Done:
    """A line of the history."""

    name: str
    when_text: str
    day: date | None
    undone: bool
    is_undo: bool


def next_undo(desk: Desk) -> str | None:
    """The name of what undo takes back."""
    return desk.book.next_undo()


def next_redo(desk: Desk) -> str | None:
    """The name of what redo does again."""
    return desk.book.next_redo()


def undo(desk: Desk, reason: str = "") -> Changed:
    """Take the newest action back; `Refused` says what changed since.

    Lines that are final, because their day is closed or they were sent, stay and are taken back by
    counter-entries dated today.
    """
    done = desk.book.undo(today=desk.today, reason=reason, at=desk.clock())
    desk.reload()
    sentence = ""
    if done.countered:
        lines = "one line" if done.countered == 1 else f"{done.countered} lines"
        sentence = f"{lines.capitalize()} taken back by counter-entries."
    return Changed(f"Undone: {done.name}", done.kinds, sentence)


def redo(desk: Desk) -> Changed:
    """Do what was undone last again."""
    done = desk.book.redo(today=desk.today, at=desk.clock())
    desk.reload()
    return Changed(f"Done again: {done.name}", done.kinds)


def history(desk: Desk, limit: int = 50) -> tuple[Done, ...]:
    """What was done, newest first."""
    today = desk.today
    found = []
    for one in desk.book.history(limit):
        day = desk.day_of(one.at)
        when = desk.clock_of(one.at)
        if day != today:
            when = f"{near(day, today)}, {when}"
        found.append(Done(one.name, when, one.day, one.undone, one.of_id is not None))
    return tuple(found)
