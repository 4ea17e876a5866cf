"""The book: one shop's whole record in one file, and the one door for changing it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, date, datetime
from pathlib import Path

from sqlalchemy import Engine
from sqlalchemy.exc import IntegrityError, SQLAlchemyError
from sqlalchemy.orm import Session

from app.errors import BookBusy, BookGone, Mendable, Refused
from app.records.models import Action
from app.records.storage import backup, checking, migrating, stray_log
from app.records.storage.engine import (
    damage_in,
    engine_for,
    fold_log,
    fold_log_into_what_was_opened,
    may_write,
    open_file,
    plainly,
    reading_session,
    refuse_a_log_beside,
    write_anew,
    writing_session,
)
from app.records.storage.identity import OpenedFile, stamps
from app.records.storage.lock import WriterLock
from app.records.storage.looking import Looked
from app.records.storage.sealing import Key
from app.records.storage.turn import Turn
from app.records.undo import forgetting, references, undoing
from app.records.undo.action_log import LoggedAction, newest_actions, rows_of, write_action
from app.records.undo.images import RowImage, Trace, watch
from app.records.undo.touched import RowTouched, Touched
from app.records.undo.undoing import Undone, When


class Book:
    """One shop's whole record.

    Reading goes through `reading`, changing through `change`: one transaction that is durable when
    it returns, with the images of every changed row under the action's name.
    """

    def __init__(
        self,
        path: Path,
        engine: Engine,
        lock: WriterLock | None,
        at_opening: str = "",
        looked: Looked | None = None,
    ) -> None:
        self.path = path
        self.at_opening = at_opening  # what was found and done before it was opened, or nothing
        self._looked = looked
        self._at = path if looked is None else looked.copy
        self._engine = engine
        self._lock = lock
        with plainly(path):
            open_file(engine)
        self._file = OpenedFile(self._at)
        self._changes = 0
        self._touched = Touched()
        self._turn = Turn()
        # Called with the day that a change is said to be of; it may refuse the change.
        self.before_change: Callable[[date | None], object] = lambda _day: None
        self.finding_failed = False  # the full text cannot answer, and is to be made anew
        self._here = threading.local()
        self._closed = False

    @classmethod
    def create(cls, path: Path) -> Book:
        """A new, empty book; `Mendable` where one stands already."""
        path = Path(path).expanduser()
        if not path.parent.is_dir():
            raise Mendable(f"There is no folder {path.parent}; make it or choose another place.")
        lock = WriterLock(path)
        lock.take()
        try:
            # Asked only now that nobody else can be founding the same book.
            if path.exists():
                raise Mendable(f"{path} exists already; choose another name or open it.")
            refuse_a_log_beside(path)
            engine = migrating.found(path)
            lock.hold_file()
        except BaseException:
            lock.release()
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
        path = Path(path).expanduser()
        told = stray_log.set_aside_if_nobody_writes(path)
        older = migrating.recognize(path)
        if not write:
            if older:
                migrating.bring_up_for_reading(path)
            return cls(path, engine_for(path, write=False), None, told)
        if not may_write(path):
            raise Mendable(
                f"{path} cannot be written. Ask for the right to it and its folder, or copy the "
                "book to a folder of your own and open it there."
            )
        lock = WriterLock(path)
        lock.take()
        try:
            backup.clear_leftovers(path)
            migrating.bring_up(path)
            engine = engine_for(path, write=True)
        except BaseException:
            lock.release()
            raise
        return cls(path, engine, lock, told)

    @classmethod
    def look(cls, path: Path) -> Book:
        """A book as it stands now, to be read only: nothing is locked, made or written there.

        Raises what `open` raises but that another program has it open, which does not matter.
        """
        path = Path(path).expanduser()
        looked = Looked(path)
        try:
            return cls(path, engine_for(looked.copy, write=False), None, looked.told, looked)
        except BaseException:
            looked.end()
            raise

    def close(self) -> None:
        """Fold the log into the file and let others write; closing twice is closing once."""
        if self._closed:
            return
        self._closed = True
        try:
            # The book is whole without either of these: a full disk, or a reader elsewhere who
            # holds the log, must not stand in the way of leaving.
            if self._lock is not None:
                with suppress(Mendable, SQLAlchemyError):
                    if self._file.is_elsewhere():
                        fold_log_into_what_was_opened(self._engine)
                    self._file.must_be_ours()
                    with self._transaction() as session:
                        forgetting.forget_images(session.connection())
                    with plainly(self.path):
                        fold_log(self._engine)
            self._engine.dispose()
        finally:
            if self._lock is not None:
                self._lock.release()
            if self._looked is not None:
                self._looked.end()

    def __enter__(self) -> Book:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def may_change(self) -> bool:
        """Whether this book is open for writing."""
        return self._lock is not None

    @property
    def is_looked_at(self) -> bool:
        """Whether what is read is a passing copy, and nothing at all is made beside the book."""
        return self._looked is not None

    def lost(self) -> str:
        """Why the book's path does not lead to what is open any more; nothing while it does."""
        if self._closed:
            return ""  # its log went with the close, as it should
        try:
            self._file.must_be_there()
        except BookGone as gone:
            return gone.sentence
        return ""

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session for reading, on one unmoving view of the book; it refuses to write."""
        self._must_be_open()
        with plainly(self.path, ask=self._at), reading_session(self._engine) as session:
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
        """The unit of work: all of it or nothing, durable when it returns, undoable by `name`.

        Where nothing changed, nothing is logged. An error leaves the book as it was. Rows are
        changed one by one, so that each has its image; `Refused` when a final ledger line would
        be changed, or a row taken out that others need.
        """
        from app.records.finding import upkeep  # not before the first picture

        self.before_change(day)
        with self._writing() as session:
            trace = watch(session)
            yield session
            images = self._images_of(session, trace)
            references.refuse_loose_ends(session.connection(), images)
            if images:
                action = Action(
                    name=name[:200],
                    at=at or datetime.now(UTC),
                    day=day,
                    kinds=sorted(set(kinds)),
                    state="done" if undoable else "kept",
                )
                write_action(session, action, images if undoable else [])
                upkeep.follow(session.connection(), images, action.id)

    @contextmanager
    def load(self) -> Iterator[Session]:
        """Founding work in bulk, without images: it cannot be undone. Finding begins anew."""
        from app.records.finding import full_text  # not before the first picture

        with self._writing() as session:
            self._touched.forget(self._changes + 1)
            yield session
            session.flush()
            full_text.clear(session.connection())

    def write_anew(self) -> None:
        """Write the whole file anew, without the bytes of what was deleted or overwritten.

        Raises `BookBusy` where somebody reads in it elsewhere: their view holds the old bytes.
        """
        self._must_be_open()
        with self._turn.taken():
            self._file.must_be_ours()
            with plainly(self.path, ask=self._at):
                done = write_anew(self._engine)
            self._file.note_own_change()
        if not done:
            raise BookBusy(f"{self.path} is being read by another program; close it there first.")

    def mend_finding(self) -> bool:
        """Take some of what is behind into the full text; whether there is more to do.

        Nothing that the book says changes by it. `Unsearchable` where there can be no full text.
        """
        from app.records.finding import upkeep  # not before the first picture

        with self._writing(says_more=False) as session:
            anew, self.finding_failed = self.finding_failed, False
            return upkeep.mend(session.connection(), anew=anew)

    @contextmanager
    def _writing(self, *, says_more: bool = True) -> Iterator[Session]:
        """One transaction of the one writer; a second thread waits for its turn, or is refused."""
        self._must_be_open()
        if self._lock is None:
            raise Mendable(f"{self.path} is open for reading only; nothing was changed.")
        with self._turn.taken(passing=not says_more):
            self._file.must_be_ours()
            with self._transaction() as session:
                yield session
            self._file.note_own_change()
            if says_more:
                self._changes += 1
                self._here.change = (self._changes - 1, self._changes)

    def never_wait_here(self, give_way: Callable[[], bool]) -> None:
        """A change in the calling thread, the window's, does not wait for another writer.

        Where one writes, or `give_way()` says that others come first, it raises `BeingWritten`.
        """
        self._turn.never_wait_here(give_way)

    def await_turn(self) -> None:
        """Wait until nobody writes; never in the window's thread."""
        self._turn.wait()

    @property
    def changed_here(self) -> tuple[int, int] | None:
        """The versions before and after the last change that the calling thread made."""
        found: tuple[int, int] | None = getattr(self._here, "change", None)
        return found

    def touched_since(self, version: object) -> Sequence[RowTouched] | None:
        """The rows that were changed since a version; None where that is not known."""
        return self._touched.between(version, self.version)

    def _images_of(self, session: Session, trace: Trace) -> list[RowImage]:
        from app.records.undo.filed import hold_filed_days  # not before the first picture
        from app.records.undo.invoiced import hold_invoiced_charges

        session.flush()
        images = trace.changed(session.connection())
        hold_invoiced_charges(session.connection(), images)
        hold_filed_days(session.connection(), images)
        self._touched.note(self._changes + 1, images)
        return images

    @contextmanager
    def _transaction(self) -> Iterator[Session]:
        with plainly(self.path, ask=self._at), writing_session(self._engine) as session:
            yield session

    def _must_be_open(self) -> None:
        if self._closed:
            raise RuntimeError(f"{self.path} is closed")

    def undo(self, *, today: date, reason: str = "", at: datetime | None = None) -> Undone:
        """Take the newest action back; `Refused` says what stands in the way."""
        with self._writing() as session:
            action = undoing.newest_done(session)
            if action is None:
                raise Refused("There is nothing to undo.")
            when = When(today, at or datetime.now(UTC), reason or f"Undone: {action.name}")
            return self._take_back(session, action, when, name=action.name, state="kept")

    def redo(self, *, today: date, at: datetime | None = None) -> Undone:
        """Do the action undone last again."""
        with self._writing() as session:
            undo = undoing.newest_undo(session)
            if undo is None:
                raise Refused("There is nothing to do again.")
            when = When(today, at or datetime.now(UTC), f"Done again: {undo.name}")
            return self._take_back(session, undo, when, name=undo.name, state="done")

    def _take_back(
        self, session: Session, action: Action, when: When, *, name: str, state: str
    ) -> Undone:
        """Put an action's images back, and log that as an action of its own."""
        from app.records.finding import upkeep  # not before the first picture

        trace = watch(session, undoing=True)
        try:
            countered = undoing.put_back(session, action, when)
            images = self._images_of(session, trace)
        except IntegrityError:
            raise Refused(
                f"“{name}” cannot be undone: another line of the book now holds its place."
            ) from None
        action.state = "undone"
        back = Action(
            name=name, at=when.at, day=when.today, kinds=action.kinds, state=state, of_id=action.id
        )
        write_action(session, back, images)
        upkeep.follow(session.connection(), images, back.id)
        return Undone(name, frozenset(action.kinds), countered)

    def next_undo(self) -> str | None:
        """The name of what `undo` would take back."""
        with self.reading() as session:
            action = undoing.newest_done(session)
            return action.name if action else None

    def next_redo(self) -> str | None:
        """The name of what `redo` would do again."""
        with self.reading() as session:
            action = undoing.newest_undo(session)
            return action.name if action else None

    def rows_to_undo(self) -> int:
        """How many rows `undo` would put back: what tells a short piece of work from a long one."""
        with self.reading() as session:
            return rows_of(session, undoing.newest_done(session))

    def rows_to_redo(self) -> int:
        """How many rows `redo` would put back."""
        with self.reading() as session:
            return rows_of(session, undoing.newest_undo(session))

    def history(self, limit: int = 50) -> list[LoggedAction]:
        """What was done, the newest first."""
        with self.reading() as session:
            return newest_actions(session, limit)

    @property
    def version(self) -> object:
        """A value that differs after every change of the book, for keeping what was computed.

        The writer counts its own changes, for nobody else can make any; a reader looks at the file.
        """
        if self._lock is not None:
            return self._changes
        return stamps(self._at)

    def check(self) -> list[str]:
        """What is wrong with the book; nothing when it is whole."""
        self._must_be_open()
        with plainly(self.path, ask=self._at):
            from app.records.storage import photos  # as below: not before the first picture

            found = checking.complaints_of(self._engine)
            return found or photos.complaints_of(self._engine, self.path)

    def keep_photo(self, data: bytes, digest: str, form: str) -> None:
        """Keep the file of a photo beside the book, under its hash."""
        from app.records.storage import photos

        self._must_be_open()
        photos.keep(self.path, data, digest, form)

    def photo(self, digest: str, form: str) -> Path:
        """Where a photo's file lies; `Mendable` where it is missing or was altered."""
        from app.records.storage import photos

        if how := photos.stands(self.path, digest, form):
            words = "is missing from" if how == photos.MISSING else "was altered in"
            raise Mendable(
                f"This photo {words} the folder {photos.folder_of(self.path)}; bring it back from "
                "a backup."
            )
        return photos.path_in(photos.folder_of(self.path), digest, form)

    def copy_photos(self, folder: Path) -> None:
        """Copy the photos' files into the `photos` of another folder, beside an export."""
        from app.records.storage import photos

        photos.copy_to(self._engine, self.path, folder)

    def bring_back_photos(self, folder: Path) -> None:
        """Take the photos' files that are not here from the `photos` of another folder."""
        from app.records.storage import photos

        photos.bring_back(self._engine, folder, self.path)

    @contextmanager
    def damage_told(self) -> Iterator[None]:
        """Around work with what was read: an error in it is damage where the book is damaged."""
        with plainly(self.path, ask=self._at):
            yield

    def glance(self) -> str:
        """Look through the file, quicker than `check`; the sentence where it is damaged, or ""."""
        self._must_be_open()
        found = damage_in(self._at, self.path)
        return found.sentence if found else ""

    def newest_backup(self, folder: Path | None = None) -> Path | None:
        """The newest copy in the book's own folder of backups, or in another; None without one."""
        return backup.newest(self.path, folder, self._engine)

    def backup(
        self, to: Path | None = None, key: Key | None = None, turn: int | None = None
    ) -> Path:
        """Copy the whole book while it is open; to its own folder of backups by default.

        Backups that are made one after the other may each look at a part of the indexes: `turn`.
        """
        self._must_be_open()
        if to is None and self.is_looked_at:
            raise Mendable(f"{self.path} is open for reading only; its backup is made elsewhere.")
        self._file.must_be_there()
        return backup.make(self._engine, self.path, to, key=key, turn=turn)

    def save_elsewhere(self, to: Path) -> Path:
        """Copy what is open into a new file, also where the book's own path leads elsewhere now."""
        self._must_be_open()
        return backup.make(self._engine, self.path, to)
