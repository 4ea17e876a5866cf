"""The writer's lock of a book, watched: who comes to it, and who waits."""

from __future__ import annotations

import threading
from collections.abc import Callable

import pytest

from app.records.book import Book


class WatchedTurn:
    """Tells *coming* before each acquire: (it may wait, it comes from the maker's thread)."""

    def __init__(self, coming: Callable[[bool, bool], object]) -> None:
        self._lock = threading.Lock()
        self._maker = threading.get_ident()
        self._coming = coming

    @property
    def held(self) -> bool:
        return self._lock.locked()

    def acquire(self, timeout: float = -1) -> bool:
        self._coming(timeout < 0, threading.get_ident() == self._maker)
        return self._lock.acquire(timeout=timeout)

    def release(self) -> None:
        self._lock.release()

    def __enter__(self) -> bool:
        return self.acquire()

    def __exit__(self, *_: object) -> None:
        self.release()


def watch_turn(
    book: Book, patch: pytest.MonkeyPatch, coming: Callable[[bool, bool], object]
) -> WatchedTurn:
    """From here on *book* takes its turns by a watched lock."""
    turn = WatchedTurn(coming)
    patch.setattr(book._turn, "_lock", turn)
    return turn


def never_waiting_here(
    book: Book, patch: pytest.MonkeyPatch, elsewhere: Callable[[], object] = lambda: None
) -> list[str]:
    """What the calling thread, the window's, waited for from here on: nothing, if all is well.

    *elsewhere* is called when another thread comes for its turn.
    """
    waited: list[str] = []

    def coming(may_wait: bool, here: bool) -> None:
        if not here:
            elsewhere()
        elif may_wait:
            waited.append("the window's thread waits for a writer")

    watch_turn(book, patch, coming)
    return waited
