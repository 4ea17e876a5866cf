"""Opening a shop's book, or beginning a new one."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from zoneinfo import available_timezones

from app.actions.desk.desk import Desk, utc_now
from app.errors import Mendable, reason_of
from app.records.book import Book
from app.records.queries import settings

SUFFIX = ".bayledger"


def usual_book() -> Path:
    """Where a first book is put unless another place is chosen."""
    import platformdirs

    return platformdirs.user_documents_path() / "Bayledger" / f"shop{SUFFIX}"


def open_desk(path: Path, clock: Callable[[], datetime] = utc_now) -> Desk:
    """The desk over an existing book; the book's own sentences where it cannot be opened."""
    return _desk(Book.open(path), clock)


def look_desk(path: Path, clock: Callable[[], datetime] = utc_now) -> Desk:
    """The desk over a book as it stands now, to be read only; nothing is done to it."""
    return _desk(Book.look(path), clock)


def new_desk(path: Path, clock: Callable[[], datetime] = utc_now) -> Desk:
    """The desk over a new, empty book; its folder is made where it is missing."""
    if not path.suffix:
        path = path.with_suffix(SUFFIX)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise Mendable(
            f"The folder {path.parent} cannot be made ({reason_of(trouble)}); choose another place."
        ) from trouble
    book = Book.create(path)
    found_zone(book)
    return _desk(book, clock)


def found_zone(book: Book) -> None:
    """Give a new book the time zone of this computer, where it has one with a name."""
    zone = computer_zone()
    if zone:
        with book.load() as session:
            settings.write(session, {"zone": zone})


def computer_zone() -> str:
    """The name of this computer's time zone, such as `Pacific/Auckland`; "" where it has none."""
    import tzlocal

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # that nothing is set up: then it runs on UTC
        try:
            tzlocal.reload_localzone()
            zone = tzlocal.get_localzone_name()
        except (LookupError, ValueError, OSError):
            return ""
    return zone if zone in available_timezones() else ""


def _desk(book: Book, clock: Callable[[], datetime]) -> Desk:
    try:
        return Desk(book, clock=clock)
    except BaseException:
        book.close()
        raise


def free_path(wanted: Path) -> Path:
    """The path itself, or with a number behind its name where that is taken."""
    path, number = wanted, 2
    while path.exists():
        path = wanted.with_name(f"{wanted.stem} {number}{wanted.suffix}")
        number += 1
    return path
