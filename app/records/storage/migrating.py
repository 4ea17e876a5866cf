"""The book's tables: founding a new one, recognizing a file, bringing an older book forward.

A migration runs in one transaction after a backup; when it fails, the book is what it was.
Alembic is imported only for a migration: opening a book of today must not wait for it.
"""

from __future__ import annotations

import logging
import os
from pathlib import Path

from sqlalchemy import Column, Connection, Engine, MetaData, String, Table, inspect, select
from sqlalchemy.exc import DatabaseError

from app.errors import BookBusy, BookDamaged, BookTooNew, Mendable
from app.paths import flush_to_disk
from app.records.models import Record
from app.records.storage import backup
from app.records.storage.engine import (
    damaged,
    engine_for,
    is_cut_off,
    is_marked,
    loose_ends,
    mark_as_book,
    may_write,
    plainly,
)
from app.records.storage.lock import WriterLock

log = logging.getLogger("bayledger.records")
BEFORE_CHANGE = "before the change of its tables"
HERE = Path(__file__).resolve().parents[1] / "migrations"
# The version of the tables that this program writes: the newest in `migrations/versions`, where
# they are numbered from 0001 on.
CURRENT = max(path.name[:4] for path in (HERE / "versions").glob("[0-9]*.py"))

# Alembic's own table, written down here so that founding and opening need no Alembic.
_VERSION = Table(
    "alembic_version",
    MetaData(),
    Column("version_num", String(32), primary_key=True, nullable=False),
)


def found(path: Path) -> Engine:
    """Write a new book's tables and mark, all or nothing; the engine on it."""
    engine = engine_for(path, write=True, new=True)
    try:
        with plainly(path), _writing(engine) as connection, connection.begin():
            make_tables(connection)
            mark_as_book(connection)
    except BaseException:
        engine.dispose()
        for tail in ("", "-wal", "-shm", "-journal"):
            path.with_name(path.name + tail).unlink(missing_ok=True)
        raise
    # Let go of the file before it is flushed: a file that a process opens and closes itself loses
    # the locks that SQLite holds on it, and the next reader to leave takes our log away.
    engine.dispose()
    flush_to_disk(path)
    return engine_for(path, write=True)


def make_tables(connection: Connection) -> None:
    """Make the tables of today's version."""
    Record.metadata.create_all(connection)
    _VERSION.create(connection)
    connection.execute(_VERSION.insert().values(version_num=CURRENT))


def recognize(path: Path) -> bool:
    """Refuse what is not there, may not be read, or is no book; whether its tables are older."""
    if not path.exists():
        raise Mendable(f"There is no book at {path}; check the name, or begin a new one.")
    if path.is_dir():
        raise Mendable(f"{path} is a folder; name the book's file in it.")
    if not os.access(path, os.R_OK):
        raise Mendable(f"{path} may not be read (you have no right to it); ask whoever owns it.")
    # Looked at through SQLite alone: should this very process hold the book open, then a file
    # opened and closed here would take away the locks that SQLite holds on it.
    version = _look(path)
    if version > CURRENT:
        raise too_new(path, version)
    return version < CURRENT


def too_new(path: Path, version: str) -> BookTooNew:
    """What to say of a book or backup that this version does not know, and what to do."""
    return BookTooNew(
        f"{path} was written by a newer Bayledger: its tables are version {int(version)}, and this "
        f"one knows up to version {int(CURRENT)}. Update Bayledger here, or use a backup from "
        f"before the newer one (its name says “{BEFORE_CHANGE}”); nothing was changed."
    )


def bring_up_for_reading(path: Path) -> None:
    """Bring an older book forward for someone who only wants to read in it.

    Raises `Mendable` where that cannot be: the file may not be written, or someone writes in it.
    """
    lock = WriterLock(path)
    try:
        if not may_write(path):
            raise BookBusy
        lock.take()
    except BookBusy:
        raise Mendable(
            f"{path} comes from an older Bayledger. Close it elsewhere, and open it once where it "
            "may be written, to bring it forward."
        ) from None
    try:
        bring_up(path)
    finally:
        lock.release()


def bring_up(path: Path, *, to: str | None = None, versions: Path = HERE) -> Path | None:
    """Bring an older book to this version's tables, or to those of version `to`.

    The caller holds the writer's lock. Returns the backup made before; none where nothing was to
    do. Raises `Mendable` where it fails: the book is then as it was.
    """
    to = to or CURRENT
    if _look(path) >= to:
        return None
    # Rebuilding a table, which is how a column is changed here, drops for a moment what others
    # point to. References are therefore checked as a whole before the commit.
    engine = engine_for(path, write=True, foreign_keys=False)
    why = ""
    try:
        before = _backup(engine, path)
        with plainly(path), _writing(engine) as connection, connection.begin():
            upgrade(connection, to, versions)
            broken = loose_ends(connection)
            if broken:
                why = f": {broken[0].rstrip('.')}"
                raise ValueError("lines that point nowhere")
    except Mendable:
        raise
    except Exception as trouble:
        log.exception("a book could not be brought to this version")
        raise Mendable(
            f"{path} could not be brought to this version of Bayledger; it is as it was"
            f"{why or f' (a {type(trouble).__name__} in its tables)'}. Go on with the version that "
            "wrote it, or get out what can be read (bayledger salvage BOOK NEW)."
        ) from trouble
    finally:
        engine.dispose()
    return before


def _backup(engine: Engine, path: Path) -> Path:
    try:
        return backup.make(engine, path, None, why=BEFORE_CHANGE)
    except Mendable as trouble:
        raise Mendable(
            f"{path} comes from an older Bayledger and is not brought to this one without a "
            f"backup; it is as it was. {trouble.sentence}"
        ) from trouble


def _writing(engine: Engine) -> Connection:
    return engine.execution_options(bayledger_writing=True).connect()


def _look(path: Path) -> str:
    """The version of a book's tables; `BookDamaged` for another file, or half a book."""
    engine = engine_for(path, write=False)
    try:
        with plainly(path), engine.connect() as connection:
            if not is_marked(connection):
                raise BookDamaged(f"{path} holds no Bayledger book; nothing was changed.")
            if is_cut_off(connection, path):
                raise damaged(path)
            tables = set(inspect(connection).get_table_names())
            version = ""
            if _VERSION.name in tables:
                version = connection.execute(select(_VERSION.c.version_num)).scalar() or ""
            # Versions are compared as text, which is right for numbers of the same length.
            if not (version.isdigit() and len(version) == len(CURRENT)):
                raise damaged(path)
            if version == CURRENT and not tables >= set(Record.metadata.tables):
                raise damaged(path)
            return version
    except DatabaseError as trouble:
        raise damaged(path) from trouble
    finally:
        engine.dispose()


def upgrade(connection: Connection, to: str, versions: Path = HERE) -> None:
    """Run the migrations up to a version, within the transaction that the connection is in."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(versions).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, to)
