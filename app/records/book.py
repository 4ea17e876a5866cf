"""The book: one shop's whole record in one file, and the one door for changing it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from sqlalchemy import Engine, select
from sqlalchemy.exc import IntegrityError, OperationalError
from sqlalchemy.orm import Session

from app.errors import BookBusy, Mendable
from app.records import backup, checking, migrating, undoing
from app.records.engine import engine_for, fold_log
from app.records.images import watch
from app.records.lock import WriterLock
from app.records.models import Action, Image
from app.records.undoing import Undone


@dataclass(frozen=True)
class LoggedAction:
    """A line of the book's history."""

    id: int
    name: str
    at: datetime
    day: date | None
    undone: bool


class Book:
    """One shop's whole record.

    Reading goes through `reading`, changing through `change`: one transaction that is durable when
    it returns, with the images of every changed row under the action's name.
    """

    def __init__(self, path: Path, engine: Engine, lock: WriterLock | None) -> None:
        self.path = path
        self._engine = engine
        self._lock = lock
        self._changes = 0

    @classmethod
    def create(cls, path: Path) -> Book:
        """A new, empty book; `Mendable` where one stands already."""
        path = Path(path)
        if path.exists():
            raise Mendable(f"{path} exists already; choose another name or open it.")
        if not path.parent.is_dir():
            raise Mendable(f"There is no folder {path.parent}; make it or choose another place.")
        lock = WriterLock(path)
        lock.take()
        try:
            engine = migrating.found(path)
        except BaseException:
            lock.release()
            path.unlink(missing_ok=True)
            raise
        return cls(path, engine, lock)

    @classmethod
    def open(cls, path: Path, *, write: bool = True) -> Book:
        """An existing book, brought to this version's tables after a backup.

        Raises
        ------
        Mendable
            There is no such file, or it may not be read.
        BookBusy
            Another window or command is writing in it.
        BookTooNew, BookDamaged
            It was written by a newer version, or is no whole book.
        """
        path = Path(path)
        migrating.recognize(path)
        if not write:
            migrating.refuse_older(path)
            return cls(path, engine_for(path, write=False), None)
        lock = WriterLock(path)
        lock.take()
        try:
            migrating.bring_up(path)
            engine = engine_for(path, write=True)
        except BaseException:
            lock.release()
            raise
        return cls(path, engine, lock)

    def close(self) -> None:
        """Fold the log into the file and let others write."""
        if self._lock is not None:
            fold_log(self._engine)
        self._engine.dispose()
        if self._lock is not None:
            self._lock.release()

    def __enter__(self) -> Book:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session for reading; what it would change is thrown away."""
        with Session(self._engine, autoflush=False) as session:
            try:
                yield session
            finally:
                session.rollback()

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
        """The unit of work: all of it or nothing, durable when it returns, undoable by `name`.

        Where nothing changed, nothing is logged. An error leaves the book as it was.
        """
        with self._writing() as session:
            trace = watch(session)
            yield session
            session.flush()
            changed = trace.changed()
            if changed:
                self._forget_undone(session)
                action = Action(
                    name=name[:200],
                    at=at or datetime.now(UTC),
                    day=day,
                    kinds=sorted(set(kinds)),
                    state="done" if undoable else "kept",
                )
                session.add(action)
                session.flush()
                session.add_all(
                    Image(
                        action_id=action.id,
                        position=position,
                        table_name=table,
                        row_key=key,
                        before=before,
                        after=after,
                    )
                    for position, (table, key, before, after) in enumerate(changed)
                )
            session.commit()

    @contextmanager
    def load(self) -> Iterator[Session]:
        """Founding work in bulk, without images: it cannot be undone."""
        with self._writing() as session:
            yield session
            session.commit()

    @contextmanager
    def _writing(self) -> Iterator[Session]:
        if self._lock is None:
            raise Mendable(f"{self.path} is open for reading only; nothing was changed.")
        engine = self._engine.execution_options(bayledger_writing=True)
        session = Session(engine, expire_on_commit=False)
        try:
            yield session
            self._changes += 1
        except OperationalError as trouble:
            session.rollback()
            if "locked" in str(trouble.orig) or "busy" in str(trouble.orig):
                raise BookBusy(
                    f"{self.path} is being written by another program; try again."
                ) from trouble
            if "full" in str(trouble.orig):
                raise Mendable(
                    f"The disk with {self.path} is full; nothing was changed. "
                    "Make room and try again."
                ) from trouble
            raise
        except BaseException:
            session.rollback()
            raise
        finally:
            session.close()

    @staticmethod
    def _forget_undone(session: Session) -> None:
        """A new action ends what could be done again."""
        for action in session.scalars(select(Action).where(Action.state == "undone")):
            action.state = "gone"

    def undo(self, *, today: date, reason: str = "", at: datetime | None = None) -> Undone:
        """Take the newest action back; `Refused` says what stands in the way."""
        with self._writing() as session:
            action = undoing.newest(session, "done")
            if action is None:
                raise undoing.Refused("There is nothing to undo.")
            countered = undoing.put_back(
                session, action, today=today, at=at or datetime.now(UTC), reason=reason
            )
            action.state = "undone" if not countered else "countered"
            done = Undone(action.name, frozenset(action.kinds), countered)
            try:
                session.commit()
            except IntegrityError:
                raise undoing.Refused(
                    f"“{action.name}” cannot be undone: other lines of the book still need it."
                ) from None
        return done

    def redo(self, *, today: date) -> Undone:
        """Do the action undone last again."""
        with self._writing() as session:
            action = undoing.newest(session, "undone")
            if action is None:
                raise undoing.Refused("There is nothing to do again.")
            undoing.do_again(session, action)
            action.state = "done"
            done = Undone(action.name, frozenset(action.kinds))
            session.commit()
        return done

    def next_undo(self) -> str | None:
        """The name of what `undo` would take back."""
        with self.reading() as session:
            action = undoing.newest(session, "done")
            return action.name if action else None

    def next_redo(self) -> str | None:
        """The name of what `redo` would do again."""
        with self.reading() as session:
            action = undoing.newest(session, "undone")
            return action.name if action else None

    def history(self, limit: int = 50) -> list[LoggedAction]:
        """What was done, the newest first."""
        with self.reading() as session:
            rows = session.scalars(select(Action).order_by(Action.id.desc()).limit(limit))
            return [LoggedAction(a.id, a.name, a.at, a.day, a.state != "done") for a in rows]

    @property
    def version(self) -> object:
        """A value that differs after every change of the book, for keeping what was computed.

        The writer counts its own changes, for nobody else can make any; a reader looks at the file.
        """
        if self._lock is not None:
            return self._changes
        stamps = []
        for name in (self.path, self.path.with_name(self.path.name + "-wal")):
            try:
                found = name.stat()
            except FileNotFoundError:
                continue
            stamps.append((found.st_mtime_ns, found.st_size))
        return tuple(stamps)

    def check(self) -> list[str]:
        """What is wrong with the book; nothing when it is whole."""
        return checking.complaints_of(self._engine)

    def backup(self, to: Path | None = None) -> Path:
        """Copy the whole book while it is open; to its own folder of backups by default."""
        return backup.make(self._engine, self.path, to)
