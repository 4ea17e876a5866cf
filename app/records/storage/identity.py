"""Whether the path of an open book still leads to the file that was opened.

A synced folder, a file manager or a pulled stick can put another file in a book's place, or take
it away, while it is open. The system then goes on writing into the file that was: each commit
succeeds, and all of it is gone when the program ends. So the open file is compared with what the
path names before a change is begun and after it is written.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from app.errors import BookGone

# How far a file's time may lie from what was seen after our own last change: a network disk tells
# it late. What was put over the file by others within so many seconds of a change is not noticed.
_LATE_SECONDS = 10.0
# Windows tells the time of a file that is held open only when it is closed.
_TIMES_ARE_TOLD = os.name != "nt"


class OpenedFile:
    """What a book's file and its log were when they were opened."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._files = {name: _identity(name) for name in (path, _log_of(path))}
        self._changed_at = 0.0
        self.note_own_change()

    def note_own_change(self) -> None:
        """After a change of ours: is the file still there? And remember the time it bears now."""
        self.must_be_there()
        with suppress(OSError):
            self._changed_at = self._path.stat().st_mtime

    def must_be_ours(self) -> None:
        """Refuse to change a file that others put in this one's place, or wrote over it."""
        self.must_be_there()
        if _TIMES_ARE_TOLD and abs(self._path.stat().st_mtime - self._changed_at) > _LATE_SECONDS:
            raise BookGone(self._path, "was written over by another program")

    def is_elsewhere(self) -> bool:
        """Whether the path leads to another file now, or to none."""
        return _identity(self._path) != self._files[self._path]

    def must_be_there(self) -> None:
        """Refuse, with `BookGone`, to go on with a file that the path does not lead to."""
        for name, opened in self._files.items():
            if opened is not None and _identity(name) != opened:
                raise BookGone(self._path, _what_happened(self._path, name))


def _log_of(path: Path) -> Path:
    return path.with_name(path.name + "-wal")


def _identity(path: Path) -> tuple[int, int] | None:
    """What the system knows a file by; None where there is none, or its disk is gone."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _what_happened(path: Path, name: Path) -> str:
    if name != path:
        return f"has lost {name.name}, which holds what was written last"
    if path.exists():
        return "was replaced by another file"
    if path.parent.exists():
        return "was deleted, moved or renamed"
    return "cannot be reached: its folder or disk is gone"


def stamps(path: Path) -> object:
    """What is another value after every change of a file or its log, for whoever only reads."""
    found = []
    for name in (path, _log_of(path)):
        with suppress(FileNotFoundError):
            seen = name.stat()
            found.append((seen.st_mtime_ns, seen.st_size))
    return tuple(found)
