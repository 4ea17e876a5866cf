"""Backups: whole copies of the book, made while it is open, checked before they count."""

from __future__ import annotations

import glob
import os
import re
import time
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path

from sqlalchemy import Engine

from app.errors import Mendable, reason_of
from app.paths import flush_to_disk
from app.records.storage.engine import (
    carries_mark,
    copy_whole,
    engine_for,
    fold_log,
    plainly,
    whole_or_refuse,
)

FOLDER = "backups"
KEEP_ALL_DAYS = 30
# A daily copy's name after the book's own; one made before something (with words) is not thinned.
_UNFINISHED = ".unfinished"
_STILL_WRITTEN = 60  # seconds
_LEFT = r" \d{4}-\d{2}-\d{2} \d{6}( [^\d].*)?\.bayledger\.unfinished$"
_STAMP = re.compile(r" (\d{4}-\d{2}-\d{2}) (\d{6})\.bayledger$")


def folder_of(book: Path) -> Path:
    """Where a book's backups are kept."""
    return book.resolve().parent / FOLDER


def newest(book: Path, folder: Path | None = None) -> Path | None:
    """The newest dated copy of a book in its own folder of backups, or in another."""
    place = folder_of(book) if folder is None else Path(folder).expanduser()
    found = [
        path
        for path in place.glob(f"{glob.escape(book.stem)} *")
        if _STAMP.search(path.name) and _STAMP.sub("", path.name) == book.stem
    ]
    return max(found, key=lambda path: path.name, default=None)


def make(engine: Engine, book: Path, to: Path | None, why: str = "") -> Path:
    """Copy the book as it stands; a copy that is not whole is thrown away.

    Without `to` it goes to the book's own folder of backups, and old ones there are thinned out:
    all of the last 30 days stay, then one a month. A folder as `to` gets a dated name.
    """
    own = to is None
    target = folder_of(book) if to is None else Path(to).expanduser()
    try:
        if own:
            target.mkdir(exist_ok=True)
        if target.is_dir():
            target = _free_name(target, book.stem, why)
        elif target.exists():
            raise Mendable(f"{target} exists already; choose another name for the backup.")
        elif not target.parent.is_dir():
            raise Mendable(f"There is no folder {target.parent} for the backup; make it first.")
        # Under a passing name first: a backup is there whole or not at all.
        unfinished = target.with_name(target.name + _UNFINISHED)
        try:
            unfinished.unlink(missing_ok=True)
            with plainly(target):
                copy_whole(engine, unfinished)
            os.replace(unfinished, target)
            flush_to_disk(target)
        finally:
            with suppress(OSError):
                unfinished.unlink(missing_ok=True)
    except OSError as trouble:
        raise Mendable(
            f"The backup could not be written to {target} ({reason_of(trouble)}); check the disk."
        ) from trouble
    if own:
        thin_out(target.parent, book.stem)
    return target


def restore(backup: Path, book: Path) -> Path | None:
    """Put a backup in a book's place; the book that stood there is moved aside, never lost.

    Returns where the former book now is; None when there was none.
    """
    backup, book = Path(backup).expanduser(), Path(book).expanduser().resolve()
    if not backup.is_file():
        raise Mendable(f"There is no backup at {backup}; check the name.")
    if backup.resolve() == book:
        raise Mendable(f"{backup} is the book itself; name the backup first, then the book.")
    from app.records.storage.lock import WriterLock
    from app.records.storage.migrating import recognize

    recognize(backup)
    whole_or_refuse(backup)
    if book.is_dir():
        raise Mendable(f"{book} is a folder; name the book's file in it.")
    if book.exists() and not book.is_file():
        raise Mendable(f"{book} is a device or pipe, no file; name the book's own file.")
    if not book.parent.is_dir():
        raise Mendable(f"There is no folder {book.parent}; make it or choose another place.")
    lock = WriterLock(book)
    lock.take()
    fresh = book.with_name(book.name + _UNFINISHED)
    try:
        fresh.unlink(missing_ok=True)
        source = engine_for(backup, write=False)
        try:
            with plainly(book):
                copy_whole(source, fresh)
        finally:
            source.dispose()
        aside = _move_aside(book) if book.exists() else None
        try:
            os.replace(fresh, book)
        except OSError:
            if aside is not None:
                os.replace(aside, book)
            raise
        flush_to_disk(book)
    except OSError as trouble:
        raise Mendable(
            f"The backup could not be put in {book.parent} ({reason_of(trouble)}); check the disk. "
            "The book there is as it was."
        ) from trouble
    finally:
        with suppress(OSError):
            fresh.unlink(missing_ok=True)
        lock.release()
    return aside


def _move_aside(book: Path) -> Path:
    """Rename the book together with what its log still holds; returns its new place."""
    from app.records.storage.stray_log import set_aside

    set_aside(book)
    with suppress(Mendable), plainly(book):  # a damaged book keeps its log beside it instead
        engine = engine_for(book, write=True)
        try:
            fold_log(engine)
        finally:
            engine.dispose()
    aside = _free_name(book.parent, book.stem, "before the restore")
    os.replace(book, aside)
    for tail in ("-wal", "-shm"):
        side = book.with_name(book.name + tail)
        if side.exists():
            os.replace(side, aside.with_name(aside.name + tail))
    return aside


def _free_name(folder: Path, stem: str, why: str) -> Path:
    moment = datetime.now()
    while True:
        words = f" {why}" if why else ""
        target = folder / f"{stem} {moment:%Y-%m-%d %H%M%S}{words}.bayledger"
        if not target.exists():
            return target
        moment += timedelta(seconds=1)


def thin_out(folder: Path, stem: str, now: datetime | None = None) -> None:
    """Keep all of the last 30 days and the last of each month before; touch nothing else.

    Only copies of this book that bear a date as we write it, and whose inside says that they are
    a book, are ours to take away.
    """
    dated = []
    for path in folder.iterdir():
        found = _STAMP.search(path.name)
        if found and path.name[: found.start()] == stem and _is_ours(path):
            dated.append((found[1], found[2], path))
    dated.sort()
    limit = f"{(now or datetime.now()) - timedelta(days=KEEP_ALL_DAYS):%Y-%m-%d}"
    last_of_month = {day[:7]: path for day, _, path in dated}
    for day, _, path in dated:
        if day < limit and last_of_month[day[:7]] != path:
            with suppress(OSError):  # one that cannot go stays; the new backup was made
                path.unlink(missing_ok=True)


def clear_leftovers(book: Path) -> None:
    """Take away what a backup or restore of this book left behind when it was killed.

    The caller holds the writer's lock, so no restore is going on; a backup needs none, so what was
    written in the last minute is left alone.
    """
    book, folder = book.resolve(), folder_of(book)
    found = [book.with_name(book.name + _UNFINISHED)]
    for path in folder.glob(f"{glob.escape(book.stem)} *{_UNFINISHED}"):
        if re.match(_LEFT, path.name[len(book.stem) :]):
            found.append(path)
    for path in found:
        with suppress(OSError):
            if path.is_file() and time.time() - path.stat().st_mtime > _STILL_WRITTEN:
                for tail in ("", "-journal", "-wal", "-shm"):
                    path.with_name(path.name + tail).unlink(missing_ok=True)


def _is_ours(path: Path) -> bool:
    try:
        return path.is_file() and carries_mark(path)
    except OSError:
        return False
