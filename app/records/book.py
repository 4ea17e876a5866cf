"""The book: one shop's whole record in one file, and the one door through which it changes."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, date, datetime
from pathlib import Path
from types import TracebackType

from sqlalchemy.engine import Connection
from sqlalchemy.orm import Session

from app.errors import Mendable
from app.records import backup, log, migrating, sqlite
from app.records.lock import WriterLock
from app.records.session import ChangeSession, LoadSession, ReadingSession


class Book:
    """One shop's whole record: one SQLite file.

    Made by `Book.create` or `Book.open`; close it, or use it as a context manager.
    """

    def __init__(self, path: Path, lock: WriterLock | None) -> None:
        self.path = path
        self._lock = lock
        self._reads = sqlite.reading_engine(path)
        self._writes = sqlite.writing_engine(path) if lock else None
        self._turn = threading.Lock()
        self._writer: int | None = None
        self._commits = 0
        self._closed = False

    @classmethod
    def create(cls, path: Path) -> Book:
        """Make a new, empty book and open it for writing.

        Raises:
            Mendable: something is there already, or the place cannot be written.
        """
        path = _place(path)
        if not path.parent.is_dir():
            raise Mendable(f"There is no folder {path.parent}. Make it, or choose another place.")
        lock = WriterLock(path)
        lock.take()
        try:
            if path.exists():
                raise Mendable(f"{path} is there already. Open it, or choose another name.")
            engine = sqlite.writing_engine(path, new=True)
            try:
                with sqlite.plainly(path), engine.begin() as connection:
                    migrating.found(connection)
            except BaseException:
                engine.dispose()
                for ending in ("", "-wal", "-shm", "-journal"):
                    with suppress(OSError):
                        path.with_name(path.name + ending).unlink(missing_ok=True)
                raise
            engine.dispose()
            sqlite.flush_to_disk(path)
            return cls(path, lock)
        except BaseException:
            lock.give_back()
            raise

    @classmethod
    def open(cls, path: Path, *, write: bool = True) -> Book:
        """Open a book; an old one is first carried forward, after a backup.

        Args:
            path: the book's file.
            write: whether to write in it; only one window or command at a time may. Reading is
                always possible.

        Raises:
            BookBusy: another window or command is writing in it.
            BookTooNew: a newer Bayledger wrote it.
            BookDamaged: the file is not a whole book.
            Mendable: it is missing, or may not be read or written.
        """
        path = _place(path)
        facts = sqlite.examine(path)
        current = migrating.is_current(path, facts)
        if not write:
            if not current:
                migrating.carry_forward_alone(path, facts.version)
            return cls(path, None)
        if not sqlite.may_write(path):
            raise Mendable(
                f"{path} or its folder cannot be written. Ask for the right to it, or copy the "
                "book to a folder of your own and open it there."
            )
        lock = WriterLock(path)
        lock.take()
        try:
            # Read again under the lock: another may have carried it forward just now.
            facts = sqlite.examine(path)
            if not migrating.is_current(path, facts):
                migrating.carry_forward(path, facts.version)
            return cls(path, lock)
        except BaseException:
            lock.give_back()
            raise

    def __enter__(self) -> Book:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @property
    def writable(self) -> bool:
        """Whether this book was opened for writing."""
        return self._lock is not None

    @property
    def version(self) -> int:
        """Grows with every commit made through this book; what was computed before is then old."""
        return self._commits

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Lend a session that only reads, on one unmoving view of the book."""
        self._must_be_open()
        with (
            sqlite.plainly(self.path),
            self._reads.connect() as connection,
            ReadingSession(connection) as session,
        ):
            yield session

    @contextmanager
    def change(
        self,
        name: str,
        *,
        day: date | None = None,
        kinds: Iterable[str] = (),
        at: datetime | None = None,
        undoable: bool = True,
    ) -> Iterator[Session]:
        """Change the book as one action: all of it or nothing, durable once this returns.

        On leaving, the image before and after of every row that changed is kept under the
        action's name in the same transaction. Where nothing changed, no action is noted. Rows are
        changed through the session one by one; bulk statements are refused, for they would evade
        the images.

        Args:
            name: what the person did, as it will be offered for undo: "Hours of job 12".
            day: the shop's day that it belongs to.
            kinds: which kinds of thing it changes, for whoever shows them.
            at: the moment, aware; none for now.
            undoable: false for what nobody would undo by name, such as a remembered view.
        """
        with self._writing() as connection, ChangeSession(connection) as session:
            yield session
            session.flush()
            images = session.touched.images(connection)
            if images:
                log.note_action(
                    connection,
                    name=name,
                    at=at or datetime.now(UTC),
                    day=day,
                    kinds=kinds,
                    state="done" if undoable else "kept",
                    images=images if undoable else (),
                )

    @contextmanager
    def load(self) -> Iterator[Session]:
        """Lend a session for founding work in bulk: one transaction, no images, no undo."""
        with self._writing() as connection, LoadSession(connection) as session:
            yield session
            session.flush()

    def close(self) -> None:
        """Close the book, fold its log into the one file and let the next writer in."""
        if self._closed:
            return
        self._closed = True
        try:
            self._reads.dispose()
            if self._writes is not None:
                self._writes.dispose()
                with suppress(Mendable):  # a reader elsewhere may hold the log; nothing is lost
                    sqlite.fold_log(self.path)
        finally:
            if self._lock is not None:
                self._lock.give_back()

    def backup(self, to: Path | None = None) -> Path:
        """Copy the book as it stands; see `app.records.backup.backup`."""
        return backup.backup(self.path, to)

    @staticmethod
    def restore(source: Path, book_path: Path) -> Path | None:
        """Put a backup in a book's place; see `app.records.backup.restore`."""
        return backup.restore(source, book_path)

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        """One writing transaction; a second thread waits for its turn."""
        self._must_be_open()
        if self._writes is None:
            raise Mendable(f"{self.path.name} was opened for reading only. Open it for writing.")
        if self._writer == threading.get_ident():
            raise RuntimeError("a change within a change: end the first one before the next")
        with self._turn:
            self._writer = threading.get_ident()
            try:
                with sqlite.plainly(self.path), self._writes.begin() as connection:
                    yield connection
            finally:
                self._writer = None
            self._commits += 1

    def _must_be_open(self) -> None:
        if self._closed:
            raise RuntimeError(f"{self.path} is closed")


def _place(path: Path) -> Path:
    return Path(path).expanduser().resolve()
