"""One writer at a time, held by the operating system: it ends with the process."""

from __future__ import annotations

from pathlib import Path

from filelock import FileLock, Timeout

from app.errors import BookBusy, Mendable, reason_of


class WriterLock:
    """The right to write in one book."""

    def __init__(self, book: Path) -> None:
        # The same book by another name (a link) is the same lock. The small file is hidden, for
        # it has to stay: taking away a lock file lets two in at once on some systems.
        self._book = book.resolve()
        name = str(self._book.with_name(f".{self._book.name}.writing"))
        # Not bound to a thread: the window may take it in one and give it back in another.
        self._lock = FileLock(name, thread_local=False)

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
                f"{self._book.parent} cannot be written ({reason_of(trouble)}); "
                "choose a folder of your own."
            ) from trouble

    def release(self) -> None:
        """Let others write."""
        self._lock.release()
