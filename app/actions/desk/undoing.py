"""Undo and redo by name."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import TYPED, UNTOUCHED_BY_TYPING
from app.calculations.numbers.wording import words_of

# What a number taken back leaves as it is, whatever day the book lies open at by now.
_LEFT = UNTOUCHED_BY_TYPING - {"elsewhere"}


def undo(desk: Desk, reason: str = "") -> Changed:
    """Take the newest action back; `Refused` says what changed since.

    Lines that are final, because their day is closed or they were sent, stay and are taken back by
    counter-entries dated today.
    """
    with _still_standing(desk):
        done = desk.book.undo(today=desk.today, reason=reason, at=desk.clock())
    desk.reload()
    sentence = f"{done.name}: undone"
    if done.countered:
        lines = words_of(done.countered, "line")
        sentence += f". {lines.capitalize()} taken back by counter-entries."
    return Changed(f"Undone: {done.name}", done.kinds, sentence)


def redo(desk: Desk) -> Changed:
    """Do what was undone last again."""
    with _still_standing(desk):
        done = desk.book.redo(today=desk.today, at=desk.clock())
    desk.reload()
    return Changed(f"Done again: {done.name}", done.kinds, f"{done.name}: done again")


@contextmanager
def as_one(desk: Desk, name: str) -> Iterator[None]:
    """Around several actions that are one deed: they are undone together, by this name."""
    before = _newest(desk)
    try:
        yield
    finally:
        if _newest(desk) > before + 1:
            from app.records.undo.joining import join_since  # not before the first picture

            with desk.book.change(name, undoable=False) as session:
                join_since(session, before, name)


def _newest(desk: Desk) -> int:
    return next((one.id for one in desk.book.history(1)), 0)


@contextmanager
def _still_standing(desk: Desk) -> Iterator[None]:
    """Around what is taken back: what was merely typed on a sheet leaves what its typing left."""
    words: set[str] = set()
    with desk.still_standing(words):
        before = desk.book.version
        yield
        touched = desk.book.touched_since(before)
        if touched is not None and {row.table for row in touched} <= TYPED:
            words |= _LEFT
