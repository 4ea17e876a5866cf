"""A write-ahead log that another book left beside this one.

A synced folder or a person may put another file in the place of a book whose program was killed:
the log of the old file stays beside the new one. SQLite cannot know, and reads it into the file;
the book is torn, though the file itself is whole (https://www.sqlite.org/howtocorrupt.html, 1.4).
"""

from __future__ import annotations

import logging
import os
import sqlite3
from contextlib import closing, suppress
from datetime import datetime
from pathlib import Path
from urllib.parse import quote

from app.errors import Mendable
from app.records.storage.engine import log_waits
from app.records.storage.lock import WriterLock

log = logging.getLogger("bayledger.records")


def set_aside_if_nobody_writes(path: Path) -> None:
    """Move a log that is another book's aside; where somebody writes the log is theirs."""
    if not path.is_file() or not log_waits(path):
        return
    lock = WriterLock(path)
    try:
        lock.take()
    except Mendable:
        return
    try:
        set_aside(path)
    finally:
        lock.release()


def set_aside(path: Path) -> None:
    """Move a log that is another book's aside, under a name that says so.

    A log's frames are checksummed: a file that is whole without its log is whole with it too. Where
    it is not, the log was never this file's. The caller holds the writer's lock.
    """
    path = path.resolve()
    if not log_waits(path) or _is_whole(path, "mode=ro") or not _is_whole(path, "immutable=1"):
        return
    stray = path.with_name(path.name + "-wal")
    now = f"{datetime.now():%Y-%m-%d %H%M%S}"
    with suppress(OSError):
        os.replace(stray, path.with_name(f"{path.stem} {now} log of another book{path.suffix}-wal"))
        path.with_name(path.name + "-shm").unlink(missing_ok=True)
        log.warning("a log that belongs to another book was moved aside")


def _is_whole(path: Path, how: str) -> bool:
    # A reader that may not write folds no log when it leaves.
    address = f"file:{quote(str(path))}?{how}"
    try:
        with closing(sqlite3.connect(address, uri=True)) as book:
            found = book.execute("PRAGMA integrity_check(1)").fetchone()[0]
    except sqlite3.DatabaseError as trouble:
        name = getattr(trouble, "sqlite_errorname", "")
        return not name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_ERROR"))
    return bool(found == "ok")
