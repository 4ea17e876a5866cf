"""One writer at a time, held by the operating system: it ends with the process."""

from __future__ import annotations

import getpass
import tempfile
from contextlib import suppress
from pathlib import Path

from filelock import FileLock, Timeout

from app.errors import BookBusy, Mendable, reason_of


class WriterLock:
    """The right to write in one book.

    Two small files are locked. One lies beside the book, where other machines see it too. The other
    is named after what the file is on this machine, not what it is called: a second name of the
    same file (a hard link) would lead SQLite to a second log, and that tears the book.
    """

    def __init__(self, book: Path) -> None:
        # The same book by another name (a link) is the same lock. The small file is hidden, for
        # it has to stay: taking away a lock file lets two in at once on some systems.
        self._book = book.resolve()
        self._locks = [_lock(self._book.with_name(f".{self._book.name}.writing"))]

    def take(self) -> None:
        """Take it at once or say who must wait."""
        self._acquire(self._locks[0], "is open in another window or command")
        self.hold_file()

    def hold_file(self) -> None:
        """Hold the file itself too, where there is one already."""
        if len(self._locks) > 1 or not self._book.exists():
            return
        found = self._book.stat()
        folder = Path(tempfile.gettempdir()) / f"bayledger-{getpass.getuser()}"
        with suppress(OSError):  # said by the lock, should it fail there
            folder.mkdir(mode=0o700, exist_ok=True)
        lock = _lock(folder / f"{found.st_dev:x}-{found.st_ino:x}.writing")
        try:
            self._acquire(lock, "is open under another name in another window or command")
        except Mendable:
            self.release()
            raise
        self._locks.append(lock)

    def _acquire(self, lock: FileLock, what: str) -> None:
        try:
            lock.acquire(timeout=0)
        except Timeout:
            raise BookBusy(
                f"{self._book.name} {what}; close that first, or look without changing anything."
            ) from None
        except OSError as trouble:
            folder = Path(lock.lock_file).parent
            raise Mendable(
                f"{folder} cannot be written ({reason_of(trouble)}); choose a folder of your own."
            ) from trouble

    def release(self) -> None:
        """Let others write."""
        while len(self._locks) > 1:
            self._locks.pop().release()
        self._locks[0].release()


def _lock(path: Path) -> FileLock:
    # Not bound to a thread: the window may take it in one and give it back in another.
    return FileLock(str(path), thread_local=False)
