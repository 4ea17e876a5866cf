"""Undo and redo by name."""

from __future__ import annotations

from app.actions.desk.desk import Changed, Desk
from app.calculations.numbers.wording import words_of


def undo(desk: Desk, reason: str = "") -> Changed:
    """Take the newest action back; `Refused` says what changed since.

    Lines that are final, because their day is closed or they were sent, stay and are taken back by
    counter-entries dated today.
    """
    done = desk.book.undo(today=desk.today, reason=reason, at=desk.clock())
    desk.reload()
    sentence = f"{done.name}: undone"
    if done.countered:
        lines = words_of(done.countered, "line")
        sentence += f". {lines.capitalize()} taken back by counter-entries."
    return Changed(f"Undone: {done.name}", done.kinds, sentence)


def redo(desk: Desk) -> Changed:
    """Do what was undone last again."""
    done = desk.book.redo(today=desk.today, at=desk.clock())
    desk.reload()
    return Changed(f"Done again: {done.name}", done.kinds, f"{done.name}: done again")
