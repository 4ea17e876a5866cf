"""The one place that knows that a book is an SQLite file: connections, marks, backup, errors.

Everything else in the records speaks SQLAlchemy, so that the same code can later stand on a
database server; what this module does has its twin there (a server keeps, locks and backs up by
its own means).
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event
from sqlalchemy.engine import Connection
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import QueuePool

from app.errors import BookBusy, BookDamaged, Mendable

# Written into the file's header (SQLite's application id, bytes 68 to 71), so that a book is told
# from any other database. The letters "BAYB".
MARK = 0x42415942
_HEADER = b"SQLite format 3\x00"
_MARK_AT = 68
_WAIT_SECONDS = 10.0


@dataclass(frozen=True)
class FileFacts:
    """What a file says of itself before anything is trusted: tables, schema version."""

    tables: frozenset[str]
    version: str


def connect(path: Path, mode: str = "rw") -> sqlite3.Connection:
    """Open the file; `mode` is "rw" (must exist), "rwc" (may be made) or "ro".

    Where reading is all that the disk allows (a locked folder, a write-protected stick), SQLite
    cannot make the side files of its write-ahead log: then, and only when no log is waiting, the
    file is read as one that nobody changes.
    """
    if mode == "ro" and not _log_waits(path) and not os.access(path.parent, os.W_OK):
        mode = "ro&immutable=1"
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        uri=True,
        timeout=_WAIT_SECONDS,
        isolation_level=None,  # transactions are begun and ended by us, in one place
        check_same_thread=False,  # a connection is lent to one thread at a time by the pool
    )
    connection.execute("PRAGMA foreign_keys = ON")
    return connection


def _log_waits(path: Path) -> bool:
    """Whether an unfolded write-ahead log lies beside the file."""
    log = path.with_name(path.name + "-wal")
    return log.exists() and log.stat().st_size > 0


def may_write(path: Path) -> bool:
    """Whether this person may write the file and beside it."""
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def writing_engine(path: Path, *, new: bool = False, foreign_keys: bool = True) -> Engine:
    """An engine whose transactions write: begun at once, durable when committed.

    A write-ahead log lets readers go on while a line is saved. Synchronous EXTRA is FULL in that
    mode (the log is on the disk before a commit returns), and where a disk refuses the log and
    SQLite keeps its rollback journal, it also makes the journal's end durable.
    """

    def maker() -> sqlite3.Connection:
        connection = connect(path, "rwc" if new else "rw")
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = EXTRA")
        if not foreign_keys:
            connection.execute("PRAGMA foreign_keys = OFF")
        return connection

    return _engine(maker, "BEGIN IMMEDIATE")


def reading_engine(path: Path) -> Engine:
    """An engine that only reads, each transaction one unmoving view of the book."""
    mode = "rw" if may_write(path) else "ro"

    def maker() -> sqlite3.Connection:
        connection = connect(path, mode)
        connection.execute("PRAGMA query_only = ON")
        return connection

    return _engine(maker, "BEGIN")


def _engine(maker: Any, begin: str) -> Engine:
    engine = create_engine("sqlite://", creator=maker, poolclass=QueuePool, pool_size=4)

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql(begin)

    return engine


def mark(connection: Connection) -> None:
    """Write the mark of a book into the file's header."""
    connection.exec_driver_sql(f"PRAGMA application_id = {MARK}")


def examine(path: Path) -> FileFacts:
    """Read what the file says of itself.

    Raises:
        Mendable: it is missing, a folder, or may not be read.
        BookDamaged: it is not a book, or not a whole one.
    """
    if not path.exists():
        raise Mendable(f"There is no book at {path}. Check the place, or make a new book there.")
    if path.is_dir():
        raise Mendable(f"{path} is a folder, not a book. Name the book's file.")
    try:
        with path.open("rb") as file:
            head = file.read(100)
    except OSError as error:
        raise Mendable(f"{path} cannot be read ({error.strerror}). Ask for the right to it.") from (
            error
        )
    if not head:
        raise BookDamaged(f"{path} is empty, so it is not a book. Bring back a backup.")
    if head[:16] != _HEADER:
        raise BookDamaged(f"{path} is not a book. Choose another file, or bring back a backup.")
    if not _log_waits(path) and not carries_mark(head):
        raise BookDamaged(f"{path} is a database of something else. Choose another file.")
    with plainly(path), closing(connect(path, "rw" if may_write(path) else "ro")) as connection:
        (found,) = connection.execute("PRAGMA application_id").fetchone()
        if found != MARK:
            raise BookDamaged(f"{path} is a database of something else. Choose another file.")
        (pages,) = connection.execute("PRAGMA page_count").fetchone()
        (size,) = connection.execute("PRAGMA page_size").fetchone()
        if not _log_waits(path) and path.stat().st_size < pages * size:
            raise _damaged(path)
        names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        tables = frozenset(name for (name,) in names)
        version = ""
        if "alembic_version" in tables:
            row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
            version = row[0] if row else ""
    return FileFacts(tables, version)


def carries_mark(head: bytes) -> bool:
    """Whether the first 100 bytes of a file are those of a book."""
    return (
        head[:16] == _HEADER
        and int.from_bytes(head[_MARK_AT : _MARK_AT + 4], "big", signed=False) == MARK
    )


def copy(source: Path, target: Path) -> None:
    """Copy a book, also one in use, into a new file that is whole and on the disk when we return.

    Uses SQLite's online backup; the copy keeps no write-ahead log, so it is one file.
    """
    opened = connect(source, "rw" if may_write(source) else "ro")
    with closing(opened), closing(connect(target, "rwc")) as made:
        opened.backup(made)
        made.execute("PRAGMA journal_mode = DELETE")
        (verdict,) = made.execute("PRAGMA quick_check(1)").fetchone()
        if verdict != "ok":
            raise _damaged(source)
    flush_to_disk(target)


def flush_to_disk(path: Path) -> None:
    """Make a file, and its name in its folder, survive a power cut."""
    for place in (path, path.parent):
        try:
            handle = os.open(place, os.O_RDWR if place.is_file() else os.O_RDONLY)
        except OSError:
            continue  # some systems do not open folders; the file itself was done first
        try:
            os.fsync(handle)
        except OSError:
            if place.is_file():
                raise
        finally:
            os.close(handle)


def fold_log(path: Path) -> None:
    """Bring the write-ahead log into the file, so that the file alone is the book."""
    with plainly(path), closing(connect(path)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def faults(connection: Connection) -> list[str]:
    """What SQLite itself finds wrong in the file, with references that lead nowhere."""
    found = []
    for (line,) in connection.exec_driver_sql("PRAGMA integrity_check(20)").fetchall():
        if line != "ok":
            found.append(f"The file is damaged: {line}.")
    for row in connection.exec_driver_sql("PRAGMA foreign_key_check").fetchmany(20):
        found.append(f"Row {row[1]} of {row[0]} points to a row of {row[2]} that is not there.")
    return found


@contextmanager
def plainly(path: Path) -> Iterator[None]:
    """Say in plain words what the disk, the rights or the file did wrong; pass on what is ours."""
    try:
        yield
    except DBAPIError as error:
        plain = _explained(error.orig, path)
        if plain is None:
            raise
        raise plain from error
    except sqlite3.Error as error:
        plain = _explained(error, path)
        if plain is None:
            raise
        raise plain from error
    except (OverflowError, UnicodeEncodeError) as error:
        raise Mendable(_unkeepable(error)) from error


def _unkeepable(error: Exception) -> str:
    if isinstance(error, OverflowError):
        return "A number is too large to be kept in the book. Nothing was saved; check the entry."
    return "A text holds characters that cannot be kept. Nothing was saved; type it again."


def _damaged(path: Path) -> BookDamaged:
    return BookDamaged(f"{path} is damaged. Keep it as it is and bring back a backup.")


def _explained(error: BaseException | None, path: Path) -> Mendable | None:
    name = getattr(error, "sqlite_errorname", "") or ""
    if name.startswith("SQLITE_FULL"):
        return Mendable(f"The disk that holds {path} is full. Nothing was saved; make room first.")
    if name.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_AUTH")):
        return Mendable(f"{path} cannot be written. Nothing was saved; check the rights to it.")
    if name.startswith("SQLITE_IOERR"):
        return Mendable(f"The disk that holds {path} failed. Nothing was saved; check the disk.")
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return BookBusy(f"{path} is in use by another program. Close it there and try again.")
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        return _damaged(path)
    return None


def verify(path: Path) -> None:
    """Read the whole file through.

    Raises:
        BookDamaged: it does not read as a whole database.
    """
    with plainly(path), closing(connect(path, "ro")) as connection:
        (verdict,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
        if verdict != "ok":
            raise _damaged(path)
