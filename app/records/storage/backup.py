"""Backups: whole copies of the book, made while it is open, checked before they count."""

from __future__ import annotations

import glob
import os
import re
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import quote

from sqlalchemy import Engine, func, select
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from app.errors import Mendable, reason_of
from app.paths import flush_to_disk
from app.records.models import Customer, Job
from app.records.storage import sealing
from app.records.storage.engine import (
    carries_mark,
    copy_whole,
    engine_for,
    fold_log,
    plainly,
    refuse_a_log_beside,
    whole_or_refuse,
)
from app.records.undo.action_log import first_action_at

FOLDER = "backups"
KEEP_ALL_DAYS = 30
KEEP_WEEKS = 12  # of each week the last one; then of each month, for good
_UNFINISHED = ".unfinished"
_STILL_WRITTEN = 60  # seconds
_LEFT = r" \d{4}-\d{2}-\d{2} \d{6}( [^\d].*)?\.bayledger(\.sealed)?\.unfinished$"
# A daily copy's name after the book's own; one made before something (with words) is not thinned.
_STAMP = re.compile(r" (\d{4}-\d{2}-\d{2}) (\d{6})\.bayledger(\.sealed)?$")
_NAMED = re.compile(r" (\d{4}-\d{2}-\d{2} \d{6})( [^\d].*)?\.bayledger(\.sealed)?$")


@dataclass(frozen=True)
class Copy:
    """A backup that lies in a folder: when it was made by its name, what for, how many bytes."""

    path: Path
    made: datetime  # on the clock of the computer that made it
    why: str
    size: int

    @property
    def sealed(self) -> bool:
        """Whether only a passphrase opens it."""
        return self.path.suffix == sealing.SUFFIX


def folder_of(book: Path) -> Path:
    """Where a book's backups are kept."""
    return book.resolve().parent / FOLDER


def copies(book: Path, folder: Path | None = None) -> list[Copy]:
    """The copies of a book in its own folder of backups, or in another; the newest first."""
    place = folder_of(book) if folder is None else Path(folder).expanduser()
    found = []
    for path in place.glob(f"{glob.escape(book.stem)} *"):
        name = _NAMED.fullmatch(path.name[len(book.stem) :])
        if name is None:
            continue
        with suppress(ValueError, OSError):  # no day that there is, or gone meanwhile
            made = datetime.strptime(name[1], "%Y-%m-%d %H%M%S")
            found.append(Copy(path, made, (name[2] or "").strip(), path.stat().st_size))
    return sorted(found, key=lambda copy: (copy.made, copy.path.name), reverse=True)


def newest(book: Path, folder: Path | None = None, engine: Engine | None = None) -> Path | None:
    """The newest dated copy of a book in its own folder of backups, or in another.

    Where the book is open, its engine tells: none that is plain and another book's of this name.
    """
    whose = ""
    if engine is not None:
        with Session(engine) as session:
            whose = first_action_at(session)
    dated = (copy.path for copy in copies(book, folder) if not copy.why)
    return next((path for path in dated if not is_anothers(path, whose)), None)


def is_anothers(copy: Path, whose: str) -> bool:
    """Whether a plain copy is of another book; a sealed one does not say."""
    return bool(whose) and first_action_in(copy) not in ("", whose)


def first_action_in(copy: Path) -> str:
    """When the first action in a plain copy was done (`first_action_at`); nothing where there is
    none, or it is sealed or does not open.
    """
    if sealing.is_sealed(copy):
        return ""
    try:
        with closing(sqlite3.connect(f"file:{quote(str(copy))}?immutable=1", uri=True)) as file:
            found = file.execute("SELECT at FROM actions ORDER BY id LIMIT 1").fetchone()
    except sqlite3.Error:
        return ""
    return str(found[0]) if found else ""


def jobs_in(copy: Path) -> int:
    """How many jobs a copy holds, read from it; a sealed one says so of itself."""
    if sealing.is_sealed(copy):
        return sealing.read_head(copy).jobs
    engine = engine_for(copy, write=False)
    try:
        with plainly(copy), engine.connect() as connection:
            return connection.scalar(select(func.count()).select_from(Job)) or 0
    finally:
        engine.dispose()


def customers_in(copy: Path) -> dict[int, str]:
    """The customers' names by number, in order of name; none where the file cannot be read."""
    engine = engine_for(copy, write=False)
    try:
        with engine.connect() as connection:
            rows = connection.execute(select(Customer.id, Customer.name).order_by(Customer.name))
            return {key: name for key, name in rows}
    except (SQLAlchemyError, UnicodeDecodeError):
        return {}
    finally:
        engine.dispose()


@contextmanager
def opened(copy: Path, key: sealing.Key | None = None) -> Iterator[Path]:
    """A copy as a file that can be read as a book; of a sealed one a passing file, while it is
    needed. `Mendable` where it is sealed and the key is missing or does not fit.
    """
    if not sealing.is_sealed(copy):
        yield copy
        return
    if key is None:
        raise Mendable(f"{copy.name} is sealed; it takes its passphrase.")
    with TemporaryDirectory(prefix="bayledger-") as folder:
        plain = Path(folder) / copy.name.removesuffix(sealing.SUFFIX)
        sealing.unseal(copy, plain, key)
        yield plain


def make(
    engine: Engine,
    book: Path,
    to: Path | None,
    why: str = "",
    key: sealing.Key | None = None,
    turn: int | None = None,
) -> Path:
    """Copy the book as it stands; a copy that is not whole, or cannot be counted, is thrown away.

    With a `turn` a part of its indexes is looked at (`whole_or_refuse`).

    Without `to` it goes to the book's own folder of backups, and old ones there are thinned out.
    A folder as `to` gets a dated name. With a `key` the copy is sealed.
    """
    own = to is None
    target = folder_of(book) if to is None else Path(to).expanduser()
    try:
        if own and target.exists() and not target.is_dir():
            raise Mendable(
                f"{target} is a file, where the folder with the backups belongs; rename it or move "
                "it away."
            )
        if own:
            target.mkdir(exist_ok=True)
        dated = target.is_dir()
        if dated:
            target = _free_name(target, book.stem, why, sealing.SUFFIX if key else "")
        elif target.exists():
            raise Mendable(f"{target} exists already; choose another name for the backup.")
        elif not target.parent.is_dir():
            raise Mendable(f"There is no folder {target.parent} for the backup; make it first.")
        else:
            refuse_a_log_beside(target)
        # Under a passing name first: a backup is there whole or not at all.
        unfinished = target.with_name(target.name + _UNFINISHED)
        try:
            unfinished.unlink(missing_ok=True)
            with plainly(target):
                _copy(engine, unfinished, key, turn)
            while dated and target.exists():  # another book of this name was as quick
                target = _free_name(target.parent, book.stem, why, sealing.SUFFIX if key else "")
            os.replace(unfinished, target)
            flush_to_disk(target)
        finally:
            _take_away(unfinished)
    except OSError as trouble:
        raise Mendable(
            f"The backup could not be written to {target} ({reason_of(trouble)}); check the disk."
        ) from trouble
    if own:
        thin_out(target.parent, book.stem)
    from app.records.storage import photos  # not before the first picture

    photos.copy_to(engine, book, target.parent, key)
    return target


def _copy(engine: Engine, to: Path, key: sealing.Key | None, turn: int | None) -> None:
    """Write a copy that was read through and counted; where it is sealed, no plain one there."""
    if key is None:
        copy_whole(engine, to, turn)
        jobs_in(to)
        return
    with TemporaryDirectory(prefix="bayledger-") as folder:
        plain = Path(folder) / "copy"
        copy_whole(engine, plain, turn)
        sealing.seal(plain, to, key, jobs_in(plain))


def restore(backup: Path, book: Path, key: sealing.Key | None = None) -> Path | None:
    """Put a backup in a book's place; the book that stood there is moved aside, never lost.

    A sealed backup takes its key. Returns where the former book now is; None when there was none.
    """
    backup, book = Path(backup).expanduser(), Path(book).expanduser().resolve()
    if not backup.is_file():
        raise Mendable(f"There is no backup at {backup}; check the name.")
    if backup.resolve() == book:
        raise Mendable(f"{backup} is the book itself; name the backup first, then the book.")
    from app.records.storage import photos

    with opened(backup, key) as plain:
        aside = _put(plain, book)
    engine = engine_for(book, write=False)
    try:
        photos.bring_back(engine, backup.parent, book, key)
    finally:
        engine.dispose()
    return aside


def _put(backup: Path, book: Path) -> Path | None:
    from app.records.storage.lock import WriterLock
    from app.records.storage.migrating import recognize

    recognize(backup)
    whole_or_refuse(backup)
    if book.is_dir():
        raise Mendable(f"{book} is a folder; name the book's file in it.")
    if book.exists() and not book.is_file():
        raise Mendable(f"{book} is a device or pipe, no file; name the book's own file.")
    if not book.parent.is_dir():
        raise Mendable(f"There is no folder {book.parent}; make it or choose another place.")
    lock = WriterLock(book)
    lock.take()
    fresh = book.with_name(book.name + _UNFINISHED)
    try:
        fresh.unlink(missing_ok=True)
        source = engine_for(backup, write=False)
        try:
            with plainly(book):
                copy_whole(source, fresh)
        finally:
            source.dispose()
        aside = _move_aside(book) if book.exists() else None
        try:
            os.replace(fresh, book)
        except OSError:
            if aside is not None:
                os.replace(aside, book)
            raise
        flush_to_disk(book)
    except OSError as trouble:
        raise Mendable(
            f"The backup could not be put in {book.parent} ({reason_of(trouble)}); check the disk. "
            "The book there is as it was."
        ) from trouble
    finally:
        _take_away(fresh)
        lock.release()
    return aside


def _move_aside(book: Path) -> Path:
    """Rename the book together with what its log still holds; returns its new place."""
    from app.records.storage.stray_log import set_aside

    set_aside(book)
    with suppress(Mendable), plainly(book):  # a damaged book keeps its log beside it instead
        engine = engine_for(book, write=True)
        try:
            fold_log(engine)
        finally:
            engine.dispose()
    aside = _free_name(book.parent, book.stem, "before the restore")
    os.replace(book, aside)
    for tail in ("-wal", "-shm"):
        side = book.with_name(book.name + tail)
        if side.exists():
            os.replace(side, aside.with_name(aside.name + tail))
    return aside


def _free_name(folder: Path, stem: str, why: str, tail: str = "") -> Path:
    moment = datetime.now()
    while True:
        words = f" {why}" if why else ""
        target = folder / f"{stem} {moment:%Y-%m-%d %H%M%S}{words}.bayledger{tail}"
        if not target.exists():
            return target
        moment += timedelta(seconds=1)


def thin_out(folder: Path, stem: str, now: datetime | None = None) -> None:
    """Keep all of the last 30 days, the last of each of 12 weeks and, for good, of each month.

    Only copies of this book that bear a date as we write it, and whose inside says that they are
    a book or a sealed one, are ours to take away. Plain ones of each book, and sealed ones of each
    passphrase, are kept apart: one does not stand in for the other, and another book of the same
    name whose copies are sealed has another.
    """
    dated = []
    for path in folder.iterdir():
        found = _STAMP.search(path.name)
        if found and path.name[: found.start()] == stem and _is_ours(path):
            with suppress(ValueError):  # no day that there is, so not written by us
                day = datetime.strptime(found[1], "%Y-%m-%d").date()
                dated.append((day, found[2], _kind(path), path))
    dated.sort()
    today = (now or datetime.now()).date()
    last: dict[tuple[object, ...], Path] = {}
    for day, _, sealed, path in dated:
        last[sealed, day.year, day.month] = path
        if today - day <= timedelta(weeks=KEEP_WEEKS):
            last[sealed, "week", *day.isocalendar()[:2]] = path
    kept = set(last.values())
    for day, _, _, path in dated:
        if today - day > timedelta(days=KEEP_ALL_DAYS) and path not in kept:
            with suppress(OSError):  # one that cannot go stays; the new backup was made
                path.unlink(missing_ok=True)


def _kind(copy: Path) -> bytes:
    """What the plain copies of one book, or the sealed ones of one passphrase, have in common, and
    those of another have not.
    """
    if not sealing.is_sealed(copy):
        return first_action_in(copy).encode()
    try:
        return sealing.read_head(copy).salt
    except (Mendable, OSError):
        return copy.name.encode()  # stands for itself, so it stays


def clear_leftovers(book: Path) -> None:
    """Take away what a backup or restore of this book left behind when it was killed.

    The caller holds the writer's lock, so no restore is going on; a backup needs none, so what was
    written in the last minute is left alone.
    """
    book, folder = book.resolve(), folder_of(book)
    found = [book.with_name(book.name + _UNFINISHED)]
    for path in folder.glob(f"{glob.escape(book.stem)} *{_UNFINISHED}"):
        if re.match(_LEFT, path.name[len(book.stem) :]):
            found.append(path)
    for path in found:
        with suppress(OSError):
            if path.is_file() and time.time() - path.stat().st_mtime > _STILL_WRITTEN:
                _take_away(path)


def _take_away(unfinished: Path) -> None:
    """Take an unfinished copy away, and what SQLite left beside it."""
    for tail in ("", "-journal", "-wal", "-shm"):
        with suppress(OSError):
            unfinished.with_name(unfinished.name + tail).unlink(missing_ok=True)


def _is_ours(path: Path) -> bool:
    try:
        return path.is_file() and (carries_mark(path) or sealing.is_sealed(path))
    except OSError:
        return False
