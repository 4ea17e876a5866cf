"""A new, whole book made of what can be got out of a damaged one, which is only read."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, create_engine, func, select
from sqlalchemy.orm import Session

from app.errors import BookDamaged, BookTooNew, Mendable, reason_of
from app.paths import flush_to_disk
from app.records.models import Balance, Image, Record, Supply
from app.records.salvage.getting_out import DamagedFile, Found, columns_by_table
from app.records.salvage.mending import Mended, mend
from app.records.salvage.pages import page_sizes, with_journal, with_log
from app.records.salvage.values import mended
from app.records.storage import migrating, photos
from app.records.storage.checking import complaints_of
from app.records.storage.engine import (
    copy_whole,
    engine_for,
    mark_as_book,
    may_write,
    plainly,
    refuse_a_log_beside,
)
from app.records.storage.lineage import follows
from app.records.storage.lock import WriterLock

_VERSIONS = "alembic_version"
# Not told of: what is made anew in any case, and the file's own bookkeeping.
_NOT_TOLD = frozenset({Balance.__tablename__, Image.__tablename__, _VERSIONS})


_SPOKEN = {
    "actions": "what was done",
    "days": "day sheets",
    "layer_events": "lines of the layers",
    "movements": "lines of the stock ledger",
    "owner_links": "who held which vehicle",
    "pool_events": "lines of the pools",
    "reminder_events": "lines of the reminders",
    "reminder_items": "layers in reminders",
    "uses": "uses of supplies",
}


@dataclass(frozen=True)
class Salvaged:
    """What came of it; by table: rows that are in the new book, and rows that are lost.

    `unknown` are the tables of which nobody can say how much is lost.
    """

    path: Path
    got: Mapping[str, int]
    lost: Mapping[str, int]
    unknown: tuple[str, ...]
    damaged_values: int
    restored: Mapping[str, int]
    stood_in: Mapping[str, int]
    supplies: tuple[str, ...]  # to be counted
    days: tuple[date, ...]  # to be looked at
    strange_log: bool = False  # one that another book left beside this was not read
    log: str = ""  # the name of the log that was laid over the book

    @property
    def share(self) -> float:
        """The share of the rows that were got out, 0 to 1, as far as it is known."""
        got = sum(self.got.values())
        return got / max(1, got + sum(self.lost.values()))

    def sentences(self) -> list[str]:
        """What a person has to know: what is lost, what stands in for it, what to look at."""
        got, lost = sum(self.got.values()), sum(self.lost.values())
        most = "at least " if self.unknown else ""
        said = [f"{got:,} lines were got out; {most}{lost:,} are lost ({self.share:.1%} got out)."]
        said += [f"Lost of {_spoken(name)}: {many:,}." for name, many in sorted(self.lost.items())]
        said += [
            f"How much of {_spoken(name)} is lost cannot be said; {self.got[name]:,} are there."
            for name in self.unknown
        ]
        if self.log:
            said.append(f"Where {self.log} and the book differ, this has what the log says.")
        if self.strange_log:
            said.append("The log beside it is another book's and was not read.")
        if self.damaged_values:
            said.append(f"Single values that could not be read: {self.damaged_values:,}.")
        for name, many in sorted(self.restored.items()):
            said.append(f"Of {_spoken(name)} taken from what undo had kept: {many:,}.")
        for name, many in sorted(self.stood_in.items()):
            said.append(f"Of {_spoken(name)} named “… (lost)”, to be named anew: {many:,}.")
        if self.supplies:
            said.append(f"Count these supplies: {', '.join(self.supplies)}.")
        if self.days:
            said.append(f"Look at these days: {_spans(self.days)}.")
        said.append("What was done before cannot be undone any more.")
        return said


@dataclass
class _Rows:
    """The rows to write by table, and what was lost on the way."""

    version: str
    found: dict[str, Found]
    rows: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    lost: dict[str, dict[int, dict[str, Any]]] = field(default_factory=dict)
    damaged_values: int = 0
    strange_log: bool = False
    log: str = ""


def salvage(book: Path, new: Path, log: Path | None = None) -> Salvaged:
    """Write a new book of what can be read in another; the other is never written.

    A `log` that was moved aside is laid over what can be read: what it was the log of is best, an
    older copy of that serves too.

    Raises
    ------
    Mendable
        There is no such book, something stands in the new one's place, it cannot be written there,
        or nothing in the old one can be read.
    BookBusy
        Another window or command is writing in it.
    """
    book, new = Path(book).expanduser(), Path(new).expanduser()
    if not book.is_file():
        raise Mendable(f"There is no book at {book}; check the name.")
    if log is not None and not log.is_file():
        raise Mendable(f"There is no log at {log}; check the name.")
    if not new.parent.is_dir():
        raise Mendable(f"There is no folder {new.parent}; make it or choose another place.")
    if new.exists():
        raise Mendable(f"{new} exists already; choose another name for the new book.")
    refuse_a_log_beside(new)
    try:
        with _nobody_writing(book):
            strange_log = follows(book.resolve()) is False
            data = with_journal(_bytes_of(book), _bytes_of(book.with_name(book.name + "-journal")))
            if not strange_log:
                data = with_log(data, _bytes_of(book.with_name(book.name + "-wal")))
            if log is not None:
                data = with_log(data, _bytes_of(log))
    except OSError as trouble:
        raise Mendable(f"{book} cannot be read ({reason_of(trouble)}).") from trouble
    rows = _read(data, book)
    rows.strange_log, rows.log = strange_log, log.name if log is not None else ""
    unfinished = new.with_name(new.name + ".unfinished")
    with _cleared(unfinished):
        try:
            told = _write(rows, unfinished, book)
            os.rename(unfinished, new)
            flush_to_disk(new)
        except OSError as trouble:
            raise Mendable(
                f"{new} cannot be written ({reason_of(trouble)}); check the disk."
            ) from trouble
    engine = engine_for(new, write=False)
    try:
        photos.bring_back(engine, book.resolve().parent, new)
    finally:
        engine.dispose()
    return told


@contextmanager
def _nobody_writing(book: Path) -> Iterator[None]:
    if not may_write(book):
        yield  # nor can anybody else, or not from here
        return
    lock = WriterLock(book)
    lock.take()
    try:
        yield
    finally:
        lock.release()


@contextmanager
def _cleared(unfinished: Path) -> Iterator[None]:
    def clear() -> None:
        for tail in ("", "-wal", "-shm", "-journal", ".copy"):
            with suppress(OSError):
                unfinished.with_name(unfinished.name + tail).unlink(missing_ok=True)

    clear()
    try:
        yield
    finally:
        clear()


def _bytes_of(path: Path) -> bytes:
    """A file's bytes; zeros in place of what the disk does not give out any more."""
    if not path.exists():
        return b""
    found = bytearray()
    with path.open("rb", buffering=0) as file:
        size = os.fstat(file.fileno()).st_size
        while len(found) < size:
            file.seek(len(found))
            try:
                part = file.read(min(4096, size - len(found)))
            except OSError:
                part = bytes(min(4096, size - len(found)))
            if not part:
                break
            found += part
    return bytes(found)


# reading ------------------------------------------------------------------------------------
def _read(data: bytes, book: Path) -> _Rows:
    """What can be read, by the size of page with which the most can."""
    read = [_read_by(size, data, book) for size in page_sizes(data)]
    rows = max(read, key=_many)
    if not _many(rows):
        raise BookDamaged(
            f"Nothing in {book} can be read as a book any more; restore the newest backup "
            "(bayledger restore BACKUP BOOK)."
        )
    return rows


def _many(rows: _Rows) -> int:
    return sum(len(kept) for name, kept in rows.rows.items() if name != _VERSIONS)


def _read_by(size: int, data: bytes, book: Path) -> _Rows:
    version = _version_of(size, data, book)
    rows = _Rows(version, DamagedFile(data, size).tables(_words_of(version)))
    for name, table in rows.found.items():
        kept = rows.rows[name] = []
        lost = rows.lost[name] = dict(table.lost)
        for number, values in table.rows.items():
            row, damaged = mended(name, table.columns, values)
            rows.damaged_values += damaged
            if row is None:
                lost[number] = values
            else:
                kept.append(row)
    return rows


def _version_of(size: int, data: bytes, book: Path) -> str:
    """The version of the tables: as the file says it, else that whose tables they are."""
    versions = DamagedFile(data, size).tables({_VERSIONS: _words_of(migrating.CURRENT)[_VERSIONS]})
    for row in versions[_VERSIONS].rows.values():
        said = str(row["version_num"])
        if said.isdigit() and len(said) == len(migrating.CURRENT):
            if said > migrating.CURRENT:
                raise BookTooNew(
                    f"{book} was written by a newer Bayledger: its tables are version {int(said)}; "
                    "salvage it with that."
                )
            return said
    words = DamagedFile(data, size).words
    theirs = columns_by_table(
        {name: made for name, made in words.items() if not name.startswith("finding_")}
    )
    known = sorted(path.name[:4] for path in (migrating.HERE / "versions").glob("[0-9]*.py"))
    for version in reversed(known):
        ours = columns_by_table(_words_of(version))
        if all(ours.get(name) == columns for name, columns in theirs.items()):
            return version
    return migrating.CURRENT


@cache
def _words_of(version: str) -> dict[str, str]:
    """What makes each table of a version."""
    engine = create_engine("sqlite://")
    with engine.connect() as connection, connection.begin():
        _make_tables(connection, version)
        rows = connection.exec_driver_sql(
            "SELECT name, sql FROM sqlite_master WHERE type = 'table'"
        )
        found = {name: words for name, words in rows if not name.startswith("sqlite_")}
    engine.dispose()
    return found


def _make_tables(connection: Connection, version: str) -> None:
    if version == migrating.CURRENT:
        migrating.make_tables(connection)
    else:
        migrating.upgrade(connection, version)


# writing ------------------------------------------------------------------------------------
def _write(rows: _Rows, path: Path, book: Path) -> Salvaged:
    """The new book under a passing name, whole and in one file."""
    copy = path.with_name(path.name + ".copy")
    engine = engine_for(path, write=True, new=True, foreign_keys=False)
    try:
        with plainly(path), engine.connect() as connection, connection.begin():
            _make_tables(connection, rows.version)
            mark_as_book(connection)
            doubled = _insert(connection, rows)
            if rows.version != migrating.CURRENT:
                migrating.upgrade(connection, migrating.CURRENT)
            told = Mended()
            with Session(connection, join_transaction_mode="create_savepoint") as session:
                mend(session, _lost_numbers(rows), _lost_days(rows), told)
                session.commit()
            summary = _told(connection, path, rows, told, doubled)
        found = complaints_of(engine)
        if found:
            raise Mendable(
                f"What could be read in {book} does not fit together ({found[0]}); restore the "
                "newest backup instead (bayledger restore BACKUP BOOK)."
            )
        with plainly(path):
            copy_whole(engine, copy)
    finally:
        engine.dispose()
    os.replace(copy, path)
    return summary


def _insert(connection: Connection, rows: _Rows) -> Counter[str]:
    """Write the rows; how many of each table another row of the same number or name kept out."""
    doubled: Counter[str] = Counter()
    for name, kept in rows.rows.items():
        if name == _VERSIONS or not kept:
            continue
        columns = [column.name for column in rows.found[name].columns]
        listed = ", ".join(f'"{column}"' for column in columns)
        places = ", ".join("?" * len(columns))
        wrote = connection.exec_driver_sql(
            f'INSERT OR IGNORE INTO "{name}" ({listed}) VALUES ({places})',
            [tuple(row[column] for column in columns) for row in kept],
        ).rowcount
        if wrote < len(kept):
            doubled[name] = len(kept) - wrote
    return doubled


def _lost_numbers(rows: _Rows) -> dict[str, set[Any]]:
    return {name: set(lost) for name, lost in rows.lost.items() if lost or name in _unknown(rows)}


def _unknown(rows: _Rows) -> tuple[str, ...]:
    """Tables that a book always has, without a page of theirs that can be read."""
    return tuple(name for name, table in rows.found.items() if table.cut and name not in _NOT_TOLD)


def _days_of(lost: Mapping[int, dict[str, Any]]) -> Iterator[date]:
    for values in lost.values():
        with suppress(ValueError, TypeError):
            yield date.fromisoformat(values.get("day"))  # type: ignore[arg-type]


def _lost_days(rows: _Rows) -> set[date]:
    return set(_days_of(rows.lost["days"]))


def _told(
    connection: Connection, path: Path, rows: _Rows, told: Mended, doubled: Counter[str]
) -> Salvaged:
    names = {n: name for n, name in connection.execute(select(Supply.id, Supply.name))}
    days, supplies = set(told.days), set(told.supplies)
    for name in ("movements", "uses", "pool_events"):
        days.update(_days_of(rows.lost[name]))
        told_of = [values.get("supply_id") for values in rows.lost[name].values()]
        supplies.update(one for one in told_of if isinstance(one, int))
        if rows.found[name].cut or any(not isinstance(one, int) for one in told_of):
            supplies.update(names)
    for name in ("hours", "receipts", "layer_events", "days"):
        days.update(_days_of(rows.lost[name]))
    counted = {
        table.name: connection.scalar(select(func.count()).select_from(table)) or 0
        for table in Record.metadata.sorted_tables
        if table.name not in _NOT_TOLD
    }
    lost = Counter({name: len(gone) for name, gone in rows.lost.items()}) + doubled
    lost += told.taken_out
    lost -= told.restored
    for name in _NOT_TOLD:
        lost.pop(name, None)
    return Salvaged(
        path=path.with_name(path.name.removesuffix(".unfinished")),
        got={name: many - told.stood_in[name] for name, many in counted.items()},
        lost=dict(lost),
        unknown=_unknown(rows),
        damaged_values=rows.damaged_values,
        strange_log=rows.strange_log,
        log=rows.log,
        restored=dict(told.restored),
        stood_in=dict(told.stood_in),
        supplies=tuple(sorted(names[one] for one in supplies if one in names)),
        days=tuple(sorted(days)),
    )


def _spoken(table: str) -> str:
    return _SPOKEN.get(table, table.replace("_", " "))


def _spans(days: Sequence[date]) -> str:
    """Days in order, those that follow each other closely as one span."""
    spans: list[list[date]] = []
    for day in days:
        if spans and (day - spans[-1][1]).days <= 4:
            spans[-1][1] = day
        else:
            spans.append([day, day])
    return ", ".join(f"{a}" if a == b else f"{a} to {b}" for a, b in spans)
