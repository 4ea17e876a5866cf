"""What all commands share: the open book, what is said, and days that are meant."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from app.errors import Mendable

if TYPE_CHECKING:
    from app.actions.desk.desk import Desk

DONE, MENDABLE = 0, 1


@contextmanager
def open_book(path: Path, *, write: bool) -> Iterator[Desk]:
    """The desk over a book while a command works; what was found at opening is said."""
    from app.actions.desk.desk import Desk
    from app.records.book import Book

    with Book.open(path, write=write) as book, book.damage_told():
        if book.at_opening:
            print(book.at_opening, file=sys.stderr)
        yield Desk(book)


def progress(word: str) -> Callable[[int, int], bool]:
    """Progress on the terminal's own line; nothing where no person watches."""
    watched = sys.stderr.isatty()

    def say(done: int, total: int) -> bool:
        if watched:
            end = "\n" if done >= total else ""
            print(f"\r{done:,} of {total:,} {word}", end=end, file=sys.stderr, flush=True)
        return True

    return say


def say_mendable(sentence: str) -> int:
    """One line on the error output; the exit code of what a person can mend."""
    print(" ".join(sentence.split()), file=sys.stderr)
    return MENDABLE


def say_aside(aside: Path) -> None:
    """Say where a file is now that had to make room."""
    print(f"What stood there before is {aside}.")


def must_be_meant(desk: Desk, day: date, *, yes: bool, undone: str) -> None:
    """Refuse to write on a day that is hardly meant, unless it was said to be."""
    from app.actions.day.closing import far_from_all
    from app.actions.desk.meant_days import why_doubted

    if yes:
        desk.meant.add(day)
    why = "" if yes else far_from_all(desk, day) or why_doubted(desk, day)
    if why:
        raise Mendable(f"{why}; add --yes if this day is meant. Nothing was {undone}.")
