"""One writer at a time, held by the operating system: it ends with the process."""

from __future__ import annotations

from pathlib import Path

from filelock import FileLock, Timeout

from app.errors import BookBusy, Mendable


class WriterLock:
    """The right to write in one book."""

    def __init__(self, book: Path) -> None:
        self._book = book
        self._lock = FileLock(str(book) + ".writing")

    def take(self) -> None:
        """Take it at once or say who must wait."""
        try:
            self._lock.acquire(timeout=0)
        except Timeout:
            raise BookBusy(
                f"{self._book.name} is open in another window or command; close that first, "
                "or look without changing anything."
            ) from None
        except OSError as trouble:
            raise Mendable(
                f"{self._book.parent} cannot be written ({trouble.strerror}); "
                "choose a folder of your own."
            ) from trouble

    def release(self) -> None:
        """Let others write."""
        self._lock.release()
