"""One writer at a time: a lock of the operating system beside the book.

The system frees it when its holder ends, however it ends, so a crash leaves no stale lock. The
small hidden file stays behind where the system needs its name to be the same for everyone.
"""

from __future__ import annotations

from pathlib import Path

from filelock import FileLock, Timeout

from app.errors import BookBusy, Mendable


class WriterLock:
    """The right to write in one book; taken once, given back once."""

    def __init__(self, book: Path) -> None:
        self.book = book
        self.path = book.with_name(f".{book.name}.lock")
        self._lock = FileLock(str(self.path), timeout=0, thread_local=False)

    def take(self) -> None:
        """Take the lock now.

        Raises:
            BookBusy: another window or command holds it.
            Mendable: the folder does not let us write beside the book.
        """
        try:
            self._lock.acquire()
        except Timeout:
            raise BookBusy(
                f"{self.book.name} is open in another window or command of Bayledger. "
                "Close it there, then try again."
            ) from None
        except OSError as error:
            raise Mendable(
                f"The folder {self.book.parent} cannot be written ({error.strerror}). "
                "Move the book to a folder of your own, or ask for the right to this one."
            ) from error

    def give_back(self) -> None:
        """Let the next writer in."""
        self._lock.release()

    @property
    def held(self) -> bool:
        """Whether we hold it."""
        return bool(self._lock.is_locked)
