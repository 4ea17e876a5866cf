"""Opening a shop's book, beginning a new one, and making the copy of the made-up shop."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

from app.actions.desk.desk import Desk, utc_now
from app.errors import Mendable
from app.records.book import Book

SUFFIX = ".bayledger"


def usual_book() -> Path:
    """Where a first book is put unless another place is chosen."""
    import platformdirs

    return platformdirs.user_documents_path() / "Bayledger" / f"shop{SUFFIX}"


def open_desk(path: Path, clock: Callable[[], datetime] = utc_now) -> Desk:
    """The desk over an existing book; the book's own sentences where it cannot be opened."""
    return _desk(Book.open(path), clock)


def new_desk(path: Path, clock: Callable[[], datetime] = utc_now) -> Desk:
    """The desk over a new, empty book; its folder is made where it is missing."""
    if not path.suffix:
        path = path.with_suffix(SUFFIX)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise Mendable(
            f"The folder {path.parent} cannot be made ({trouble.strerror}); choose another place."
        ) from trouble
    return _desk(Book.create(path), clock)


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


def demo_copy(
    today: date | None = None,
    folder: Path | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Path:
    """A copy of the made-up shop's book that may be written in, made anew each day.

    What was tried in it on the same day stands; older copies are taken away. `progress` is called
    with (days told, days in all); what it raises stops the work.
    """
    import platformdirs

    from app.demo import build_demo

    day = today or datetime.now(UTC).astimezone().date()
    folder = folder or platformdirs.user_cache_path("bayledger") / "demo"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise Mendable(
            f"The folder {folder} cannot be made ({trouble.strerror}), so there is no place for "
            "the made-up shop; build one where you like with “bayledger demo BOOK”."
        ) from trouble
    path = folder / f"demo-{day:%Y-%m-%d}{SUFFIX}"
    if path.exists():
        return path
    for old in folder.glob("demo-*"):
        if old.is_file() and not old.name.startswith(path.name):
            old.unlink(missing_ok=True)
    # Built under another name: a copy half made must not be taken for a whole one.
    building = folder / f"building-{os.getpid()}{SUFFIX}"
    for rest in folder.glob(f"{building.name}*"):
        rest.unlink(missing_ok=True)
    build_demo(building, today=day, progress=progress)
    building.replace(path)
    return path
