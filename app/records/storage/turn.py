"""Whose turn it is to write in a book: one thread's at a time; the window's never waits long."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from app.errors import BeingWritten

# Seconds in which a few milliseconds of work are on the disk, also on a slow one.
PASSING = 0.25


class Turn:
    """Taken around each change; a second thread waits for its turn, or is refused."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._writer: int | None = None
        self._passing = False  # who writes is done in a few milliseconds
        self._unwaiting: int | None = None
        self._give_way: Callable[[], bool] = lambda: False

    @contextmanager
    def taken(self, *, passing: bool = False) -> Iterator[None]:
        """Around what is written; `passing` where that is done in a few milliseconds."""
        if self._writer == threading.get_ident():
            raise RuntimeError("a change within a change: end the first before the next")
        self._take()
        self._writer, self._passing = threading.get_ident(), passing
        try:
            yield
        finally:
            self._writer, self._passing = None, False
            self._lock.release()

    def _take(self) -> None:
        if threading.get_ident() != self._unwaiting:
            self._lock.acquire()
        elif self._give_way() or not self._lock.acquire(timeout=PASSING if self._passing else 0):
            raise BeingWritten(
                "The book is being written in the background; nothing was changed. "
                "Try again when that is done."
            )

    def never_wait_here(self, give_way: Callable[[], bool]) -> None:
        """The calling thread is refused where another writes, or `give_way()` says that others
        come first; only for what is passing it waits."""
        self._unwaiting, self._give_way = threading.get_ident(), give_way

    def wait(self) -> None:
        """Wait until nobody writes; never in the window's thread."""
        if threading.get_ident() == self._unwaiting:
            raise RuntimeError("the window's thread waits for no writer")
        with self._lock:
            pass
