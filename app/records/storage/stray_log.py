"""A write-ahead log that another book left beside this one.

A synced folder or a person may put another file in the place of a book whose program was killed:
the log of the old file stays beside the new one. SQLite cannot know, and reads it into the file;
the book is torn or mixed (https://www.sqlite.org/howtocorrupt.html, 1.4).
"""

from __future__ import annotations

import logging
import os
import sqlite3
import time
from contextlib import closing, suppress
from datetime import datetime
from pathlib import Path
from urllib.parse import quote

from app.errors import BookBusy, Mendable
from app.records.storage.engine import log_waits
from app.records.storage.lineage import follows
from app.records.storage.lock import WriterLock

log = logging.getLogger("bayledger.records")
_LOOKS = 3  # where somebody writes meanwhile: the file and its log are not seen at one moment


def moved_aside(path: Path) -> list[Path]:
    """The logs that were moved aside beside a book, the newest first."""
    tail = f" log of another book{path.suffix}-wal"
    found = (one for one in path.resolve().parent.iterdir() if one.name.endswith(tail))
    return sorted((one for one in found if one.name.startswith(f"{path.stem} ")), reverse=True)


def set_aside_if_nobody_writes(path: Path) -> str:
    """Move a log that is another book's aside; the sentence that says so, or "".

    Raises `BookBusy` where it is the log of a book that somebody has open, in whose place another
    file lies now.
    """
    if not path.is_file() or not log_waits(path):
        return ""
    lock = WriterLock(path)
    try:
        lock.take()
    except Mendable:
        _refuse_anothers(path.resolve())
        return ""
    try:
        return set_aside(path)
    finally:
        lock.release()


def set_aside(path: Path) -> str:
    """Move a log that is another book's aside, under a name that says so; the sentence for it.

    Where a log does not say whose it is, the file is asked: frames are checksummed, so a file that
    is whole without its log is whole with it too. The caller holds the writer's lock.
    """
    path = path.resolve()
    if not log_waits(path) or is_its_own(path):
        return ""
    now = f"{datetime.now():%Y-%m-%d %H%M%S}"
    aside = path.with_name(f"{path.stem} {now} log of another book{path.suffix}-wal")
    try:
        os.replace(path.with_name(path.name + "-wal"), aside)
        path.with_name(path.name + "-shm").unlink(missing_ok=True)
    except OSError as trouble:
        raise Mendable(
            f"{path.name}-wal is the log of another book and cannot be moved away from {path}; "
            "ask for the right to that folder. Nothing was read or changed."
        ) from trouble
    log.warning("a log that belongs to another book was moved aside")
    return (
        f"Another file was put in the place of {path.name} since it was last written; what that "
        f"had not folded in yet is not in this one, and lies beside it as {aside.name}. To look at "
        "it: Ctrl K, Bring back a log; or bayledger salvage BOOK NEW --log LOG."
    )


def is_its_own(path: Path) -> bool:
    """Whether the log beside a file is that file's, as far as can be known."""
    known = follows(path)
    if known is not None:
        return known
    return _is_whole(path, "mode=ro") or not _is_whole(path, "immutable=1")


def _refuse_anothers(path: Path) -> None:
    for look in range(_LOOKS):
        if follows(path) is not False:
            return
        time.sleep(0.05 * look)
    raise BookBusy(
        f"Another file was put in the place of {path.name} while it was open in another window or "
        "command; close that first. Nothing was read or changed."
    )


def _is_whole(path: Path, how: str) -> bool:
    # A reader that may not write folds no log when it leaves.
    address = f"file:{quote(str(path))}?{how}"
    with suppress(UnicodeDecodeError):  # SQLite's complaint quotes what is no text
        try:
            with closing(sqlite3.connect(address, uri=True)) as book:
                return bool(book.execute("PRAGMA integrity_check(1)").fetchone()[0] == "ok")
        except sqlite3.DatabaseError as trouble:
            name = getattr(trouble, "sqlite_errorname", "")
            return not name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_ERROR"))
    return False
