"""Which write-ahead log follows which file.

A log's frames say nothing of the file they are for: laid over another book of the same shop, an
older copy or one from a second PC, they mix two books into one without any page looking torn. So
each transaction writes two numbers into the header of the first page, as SQLite's `user_version`:
16 bits drawn by chance, and above them those of the transaction before. A log follows a file whose
numbers are in the log, or stand before the first of it.

https://www.sqlite.org/fileformat2.html, sections 1.3.13 (user version) and 4.1 (log).
"""

from __future__ import annotations

import secrets
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from urllib.parse import quote

_LOG_HEAD, _FRAME_HEAD = 32, 24
_AT = 60  # where the first page holds the user version, four bytes big-endian
_BITS = 16
_OWN, _ALL = (1 << _BITS) - 1, (1 << 2 * _BITS) - 1


def draw_next(connection: sqlite3.Connection) -> None:
    """Have the transaction that the connection is in follow the one before."""
    _write(connection, (_read(connection) & _OWN) << _BITS | secrets.randbelow(_OWN) + 1)


def turn_away(connection: sqlite3.Connection) -> None:
    """Have a copy follow nothing, alike for alike copies: no log of what it was made of is for it.

    The numbers go one step on in a row that comes back to where it was only after 2^32 steps
    (Knuth, The Art of Computer Programming 2, 3.2.1.2, theorem A).
    """
    _write(connection, _read(connection) * 2_654_435_761 + 2_654_435_769 & _ALL)


def _read(connection: sqlite3.Connection) -> int:
    found: int = connection.execute("PRAGMA user_version").fetchone()[0]
    return found & _ALL


def _write(connection: sqlite3.Connection, mark: int) -> None:
    connection.execute(f"PRAGMA user_version = {mark - (mark >> 31 << 32)}")


def follows(path: Path) -> bool | None:
    """Whether the log beside a file is that file's; None where it does not say, or there is none.

    A program from before these numbers leaves a file and a log that say nothing.
    """
    in_file = _mark_of(path)
    marks = list(_marks_in(path.with_name(path.name + "-wal")))
    if not in_file or not marks or not marks[0]:  # 0: a program wrote that draws none
        return None
    return in_file in marks or in_file & _OWN == marks[0] >> _BITS


def _mark_of(path: Path) -> int | None:
    # Through SQLite: a file that this process opened and closed by itself would lose the locks
    # that SQLite may hold on it.
    try:
        with closing(sqlite3.connect(f"file:{quote(str(path))}?immutable=1", uri=True)) as file:
            return _read(file)
    except sqlite3.Error:
        return None


def _marks_in(log: Path) -> Iterator[int | None]:
    """The numbers of each transaction that the log holds whole; None for one without."""
    try:
        with log.open("rb") as frames:
            head = frames.read(_LOG_HEAD)
            size, salts = int.from_bytes(head[8:12], "big"), head[16:24]
            mark: int | None = None
            while len(frame := frames.read(_FRAME_HEAD)) == _FRAME_HEAD and frame[8:16] == salts:
                page = frames.read(size)
                if len(page) < size:
                    return
                if frame[:4] == b"\0\0\0\1":
                    mark = int.from_bytes(page[_AT : _AT + 4], "big")
                if frame[4:8] != bytes(4):  # the last frame of a transaction
                    yield mark
                    mark = None
    except OSError:
        return
