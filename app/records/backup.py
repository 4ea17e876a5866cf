"""Backups: a whole copy of the book beside it, old copies thinned out, and bringing one back."""

from __future__ import annotations

import re
from contextlib import suppress
from datetime import date, datetime, timedelta
from pathlib import Path

from app.errors import BookDamaged, Mendable
from app.records import sqlite
from app.records.lock import WriterLock

FOLDER = "backups"
KEEP_ALL_DAYS = 30
_STAMP = r"(\d{4}-\d\d-\d\d) \d\d\.\d\d\.\d\d"


def backup(book: Path, to: Path | None = None, *, now: datetime | None = None) -> Path:
    """Copy the book, also while it is open and written in.

    Args:
        book: the book's file.
        to: a new file, or a folder to put a dated copy in; none: the backups folder beside the
            book, where old copies are then thinned out.
        now: the local time to write in the name; none for this moment.

    Returns:
        The backup's path.

    Raises:
        Mendable: the file is there already, or the place cannot be written or is full.
    """
    now = now or datetime.now()
    if to is None:
        folder = book.parent / FOLDER
        made = _copy_into(book, _free(folder, _dated(book, now)))
        thin_out(book, now.date())
        return made
    to = to.expanduser()
    if to.is_dir():
        return _copy_into(book, _free(to, _dated(book, now)))
    if to.exists():
        raise Mendable(f"{to} is there already. Name a new file or a folder for the backup.")
    return _copy_into(book, to)


def backup_before(book: Path, what: str, *, now: datetime | None = None) -> Path:
    """Copy the book under a name that says before what; such copies are never thinned out."""
    name = _dated(book, now or datetime.now())
    stem, suffix = name.rsplit(book.suffix, 1)[0] if book.suffix else name, book.suffix
    return _copy_into(book, _free(book.parent / FOLDER, f"{stem} {what}{suffix}"))


def _dated(book: Path, now: datetime) -> str:
    return f"{book.stem} {now:%Y-%m-%d %H.%M.%S}{book.suffix}"


def _free(folder: Path, name: str) -> Path:
    """A path in the folder that is not taken: two backups within a second get two files."""
    path = folder / name
    number = 2
    while path.exists():
        path = folder / f"{Path(name).stem} ({number}){Path(name).suffix}"
        number += 1
    return path


def _copy_into(book: Path, target: Path) -> Path:
    """Copy under a passing name first, so that a backup is there whole or not at all."""
    passing = target.with_name(f".{target.name}.part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        passing.unlink(missing_ok=True)
        with sqlite.plainly(target):
            sqlite.copy(book, passing)
        passing.replace(target)
        sqlite.flush_to_disk(target)
    except OSError as error:
        raise Mendable(
            f"The backup could not be written to {target.parent} ({error.strerror}). "
            "Choose another place; the book itself is whole."
        ) from error
    finally:
        with suppress(OSError):
            passing.unlink(missing_ok=True)
    return target


def thin_out(book: Path, today: date) -> list[Path]:
    """Remove old dated copies of this book: all of the last 30 days stay, of each month before
    the last one. Only files that we made and named ourselves are looked at.

    Returns:
        The copies removed.
    """
    made_by_us = re.compile(
        rf"{re.escape(book.stem)} {_STAMP}(?: \(\d+\))?{re.escape(book.suffix)}"
    )
    old: dict[str, list[Path]] = {}
    for path in (book.parent / FOLDER).glob("*"):
        match = made_by_us.fullmatch(path.name)
        if match is None or not _is_ours(path):
            continue
        try:
            day = date.fromisoformat(match[1])
        except ValueError:
            continue
        if day < today - timedelta(days=KEEP_ALL_DAYS):
            old.setdefault(match[1][:7], []).append(path)
    removed = []
    for copies in old.values():
        for path in sorted(copies, key=lambda copy: copy.name)[:-1]:
            with suppress(OSError):  # a copy that cannot go stays; the backup itself was made
                path.unlink()
                removed.append(path)
    return removed


def _is_ours(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            return path.is_file() and sqlite.carries_mark(file.read(100))
    except OSError:
        return False


def restore(backup: Path, book: Path, *, now: datetime | None = None) -> Path | None:
    """Put a backup in the book's place; a book that is there is moved aside, never lost.

    Returns:
        Where the book that was there is now; none if there was none.

    Raises:
        BookBusy: the book is open elsewhere.
        BookDamaged, BookTooNew: the backup is not a whole book of a version that we know.
        Mendable: the place cannot be written, or both are the same file.
    """
    from app.records.migrating import is_current

    backup, book = backup.expanduser().resolve(), book.expanduser().resolve()
    if backup == book:
        raise Mendable(f"{backup} is the book itself. Name the backup first, then the book.")
    is_current(backup, sqlite.examine(backup))
    if not book.parent.is_dir():
        raise Mendable(f"There is no folder {book.parent}. Make it, or choose another place.")
    if book.is_dir():
        raise Mendable(f"{book} is a folder. Name the book's file.")
    lock = WriterLock(book)
    lock.take()
    passing = book.with_name(f".{book.name}.restored")
    try:
        passing.unlink(missing_ok=True)
        with sqlite.plainly(book):
            sqlite.copy(backup, passing)
        sqlite.verify(passing)
        aside = _move_aside(book, now or datetime.now()) if book.exists() else None
        try:
            passing.replace(book)
        except OSError:
            if aside is not None:
                aside.replace(book)
            raise
        sqlite.flush_to_disk(book)
        return aside
    except OSError as error:
        raise Mendable(
            f"The backup could not be put in {book.parent} ({error.strerror}). "
            "The book there is as it was."
        ) from error
    finally:
        with suppress(OSError):
            passing.unlink(missing_ok=True)
        lock.give_back()


def _move_aside(book: Path, now: datetime) -> Path:
    """Rename the book, and what its log still holds, out of the way."""
    with suppress(BookDamaged, Mendable):  # a damaged book keeps its log beside it
        sqlite.fold_log(book)
    aside = _free(book.parent, f"{book.stem} replaced {now:%Y-%m-%d %H.%M.%S}{book.suffix}")
    book.replace(aside)
    for ending in ("-wal", "-shm"):
        side = book.with_name(book.name + ending)
        if side.exists():
            side.replace(aside.with_name(aside.name + ending))
    return aside
