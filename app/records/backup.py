"""Backups: whole copies of the book, made while it is open, checked before they count."""

from __future__ import annotations

import os
import re
import sqlite3
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import Engine

from app.errors import BookDamaged, Mendable

FOLDER = "backups"
KEEP_ALL_DAYS = 30
_STAMP = re.compile(r" (\d{4}-\d{2}-\d{2}) (\d{6})(?: [a-z ]+)?\.bayledger$")


def folder_of(book: Path) -> Path:
    """Where a book's backups are kept."""
    return book.resolve().parent / FOLDER


def make(engine: Engine, book: Path, to: Path | None, why: str = "") -> Path:
    """Copy the book as it stands; a copy that is not whole is thrown away.

    Without `to` it goes to the book's own folder of backups, and old ones there are thinned out:
    all of the last 30 days stay, then one a month. A folder as `to` gets a dated name.
    """
    own = to is None
    target = folder_of(book) if to is None else Path(to)
    try:
        if own:
            target.mkdir(exist_ok=True)
        if target.is_dir():
            target = _free_name(target, book.stem, why)
        elif target.exists():
            raise Mendable(f"{target} exists already; choose another name for the backup.")
        elif not target.parent.is_dir():
            raise Mendable(f"There is no folder {target.parent} for the backup; make it first.")
        unfinished = target.with_name(target.name + ".unfinished")
        _copy(engine, unfinished)
        os.replace(unfinished, target)
    except (OSError, sqlite3.OperationalError) as trouble:
        raise Mendable(
            f"The backup could not be written to {target} ({trouble}); check the disk."
        ) from trouble
    if own:
        _thin_out(target.parent, book.stem)
    return target


def restore(backup: Path, book: Path) -> Path | None:
    """Put a backup in a book's place; the book that stood there is moved aside, never lost.

    Returns where the former book now is; None when there was none.
    """
    backup, book = Path(backup), Path(book)
    if not backup.is_file():
        raise Mendable(f"There is no backup at {backup}; check the name.")
    from app.records.lock import WriterLock
    from app.records.migrating import recognize

    recognize(backup)
    _whole_or_refuse(backup)
    if not book.resolve().parent.is_dir():
        raise Mendable(f"There is no folder {book.parent}; make it or choose another place.")
    lock = WriterLock(book)
    lock.take()
    try:
        aside = None
        fresh = book.with_name(book.name + ".unfinished")
        fresh.write_bytes(backup.read_bytes())
        _flush(fresh)
        if book.exists():
            aside = _free_name(book.resolve().parent, book.stem, "before the restore")
            os.replace(book, aside)
            for tail in ("-wal", "-shm"):
                book.with_name(book.name + tail).unlink(missing_ok=True)
        os.replace(fresh, book)
    finally:
        lock.release()
    return aside


def _copy(engine: Engine, to: Path) -> None:
    to.unlink(missing_ok=True)
    with engine.connect() as connection:
        source: Any = connection.connection.dbapi_connection
        copy = sqlite3.connect(to)
        try:
            source.backup(copy)
            # A backup is one file that can be carried away: no log beside it.
            copy.execute("PRAGMA journal_mode = DELETE")
        finally:
            copy.close()
    _whole_or_refuse(to)
    _flush(to)


def _whole_or_refuse(path: Path) -> None:
    try:
        check = sqlite3.connect(f"file:{path.resolve()}?mode=ro", uri=True)
        try:
            found = check.execute("PRAGMA integrity_check").fetchone()[0]
        finally:
            check.close()
    except sqlite3.DatabaseError as trouble:
        found = str(trouble)
    if found != "ok":
        raise BookDamaged(f"{path} is not whole ({found}); use an earlier backup.")


def _flush(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def _free_name(folder: Path, stem: str, why: str) -> Path:
    moment = datetime.now()
    while True:
        words = f" {why}" if why else ""
        target = folder / f"{stem} {moment:%Y-%m-%d %H%M%S}{words}.bayledger"
        if not target.exists():
            return target
        moment += timedelta(seconds=1)


def _thin_out(folder: Path, stem: str) -> None:
    """Keep all of the last 30 days and the last of each month before; touch nothing else."""
    dated = []
    for path in folder.glob(f"{stem} *.bayledger"):
        found = _STAMP.search(path.name)
        if found and path.name[: found.start()] == stem:
            dated.append((found[1], found[2], path))
    dated.sort()
    limit = f"{datetime.now() - timedelta(days=KEEP_ALL_DAYS):%Y-%m-%d}"
    last_of_month = {day[:7]: path for day, _, path in dated}
    for day, _, path in dated:
        if day < limit and last_of_month[day[:7]] != path:
            path.unlink(missing_ok=True)
