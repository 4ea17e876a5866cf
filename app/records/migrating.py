"""The schema's versions: making a new book, and carrying an old one forward.

Alembic is imported only when a book is really carried forward: opening a book of today must not
wait for it.
"""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Column, MetaData, String, Table, func, select
from sqlalchemy.engine import Connection

from app.errors import BookDamaged, BookTooNew, Mendable
from app.records import sqlite
from app.records.backup import backup_before
from app.records.lock import WriterLock
from app.records.models import Record

CURRENT = "0001"
VERSIONS = Path(__file__).with_name("migrations")

# Alembic's own table, known here so that Alembic need not be.
_VERSION = Table(
    "alembic_version",
    MetaData(),
    Column("version_num", String(32), primary_key=True, nullable=False),
)


def found(connection: Connection, version: str = CURRENT) -> None:
    """Make the tables of a new book and note the schema's version."""
    Record.metadata.create_all(connection)
    _VERSION.create(connection)
    connection.execute(_VERSION.insert().values(version_num=version))
    sqlite.mark(connection)


def is_current(path: Path, facts: sqlite.FileFacts) -> bool:
    """Whether the book stands at today's schema; false when it can be carried forward.

    Raises:
        BookTooNew: a newer Bayledger wrote it.
        BookDamaged: its version or a table is missing.
    """
    version = facts.version
    if version == CURRENT:
        missing = set(Record.metadata.tables) - facts.tables
        if missing:
            raise BookDamaged(
                f"{path} is not whole: {', '.join(sorted(missing))} missing. Bring back a backup."
            )
        return True
    if not (version.isdigit() and len(version) == len(CURRENT)):
        raise BookDamaged(f"{path} is not a whole book: its version is missing. Use a backup.")
    if version > CURRENT:
        raise BookTooNew(
            f"{path} was written by a newer Bayledger (book version {int(version)}, this program "
            f"knows {int(CURRENT)}). Update Bayledger to open it; nothing was changed."
        )
    return False


def carry_forward(
    path: Path, version: str, *, to: str = CURRENT, versions: Path = VERSIONS
) -> Path:
    """Bring an old book to today's schema in one transaction, after a backup.

    The caller holds the writer's lock. If anything fails, the book is as it was.

    Returns:
        The backup's path.
    """
    backup = backup_before(path, f"before version {int(to)}")
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(versions).replace("%", "%%"))
    # Copying a table over, the way a column is changed here, drops what others point to for a
    # moment: references are checked as a whole before the commit instead.
    engine = sqlite.writing_engine(path, foreign_keys=False)
    try:
        with sqlite.plainly(path), engine.begin() as connection:
            config.attributes["connection"] = connection
            command.upgrade(config, to)
            broken = sqlite.faults(connection)
            if broken:
                raise RuntimeError(f"carrying {path} to {to} broke references: {broken[:3]}")
    except Mendable:
        raise
    except Exception as error:
        raise Mendable(
            f"{path} could not be brought to this version of Bayledger; it is as it was, and a "
            f"copy is in {backup}. Keep using the older Bayledger and report this."
        ) from error
    finally:
        engine.dispose()
    return backup


def carry_forward_alone(path: Path, version: str) -> None:
    """Carry an old book forward for someone who only wants to read it.

    Raises:
        Mendable: the book may not be written here, or someone else is writing.
    """
    if not sqlite.may_write(path):
        raise Mendable(
            f"{path} is from an older Bayledger and cannot be written here. Copy it to a folder "
            "of your own and open it there."
        )
    lock = WriterLock(path)
    lock.take()
    try:
        facts = sqlite.examine(path)
        if not is_current(path, facts):
            carry_forward(path, facts.version)
    finally:
        lock.give_back()


def version_in(connection: Connection) -> str:
    """The schema version that a book notes for itself."""
    return connection.execute(select(func.max(_VERSION.c.version_num))).scalar() or ""
