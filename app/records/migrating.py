"""The book's tables: founding a new one, recognizing a file, bringing an older book forward.

A migration runs in one transaction after a backup; when it fails, the book is what it was.
"""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DatabaseError

from app.errors import BookDamaged, BookTooNew, Mendable
from app.records import backup
from app.records.engine import engine_for, is_marked, mark_as_book

HERE = Path(__file__).resolve().parent / "migrations"
MAGIC = b"SQLite format 3\x00"


def found(path: Path) -> Engine:
    """Write a new book's tables and mark; the engine on it."""
    engine = engine_for(path, write=True)
    with engine.connect() as connection:
        mark_as_book(connection)
        connection.commit()
    with _writing(engine) as connection, connection.begin():
        _upgrade(connection)
    return engine


def recognize(path: Path) -> None:
    """Refuse what is not there, may not be read, or is no book."""
    if not path.exists():
        raise Mendable(f"There is no book at {path}; check the name, or begin a new one.")
    if path.is_dir():
        raise Mendable(f"{path} is a folder; name the book's file in it.")
    try:
        with path.open("rb") as file:
            begin = file.read(len(MAGIC))
    except PermissionError:
        raise Mendable(f"{path} may not be read; ask whoever owns it.") from None
    if begin != MAGIC:
        raise BookDamaged(f"{path} is not a Bayledger book; nothing was changed.")
    revision = _look(path)
    if revision is None:
        raise BookDamaged(f"{path} holds no Bayledger book; nothing was changed.")
    if revision not in known_revisions():
        raise BookTooNew(
            f"{path} was written by a newer Bayledger; install that version to open it. "
            "Nothing was changed."
        )


def refuse_older(path: Path) -> None:
    """A reader cannot bring a book forward, so an older one is refused with the way out."""
    if _look(path) != newest_revision():
        raise Mendable(
            f"{path} comes from an older Bayledger; open it once in the window to bring it forward."
        )


def bring_up(path: Path) -> bool:
    """Bring an older book to this version's tables; True when anything was done."""
    if _look(path) == newest_revision():
        return False
    engine = engine_for(path, write=True)
    try:
        backup.make(engine, path, None, why="before the change of its tables")
        with _writing(engine) as connection, connection.begin():
            # Tables are rebuilt row by row; their links are checked again at the end.
            connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")
            _upgrade(connection)
    finally:
        engine.dispose()
    return True


def newest_revision() -> str:
    """The version of the tables that this program writes."""
    head = ScriptDirectory.from_config(_config()).get_current_head()
    assert head is not None
    return head


def known_revisions() -> set[str]:
    """Every version that this program can bring forward, its own included."""
    return {script.revision for script in ScriptDirectory.from_config(_config()).walk_revisions()}


def _writing(engine: Engine) -> Connection:
    return engine.execution_options(bayledger_writing=True).connect()


def _look(path: Path) -> str | None:
    """The version of a book's tables; None for another SQLite file."""
    engine = engine_for(path, write=False)
    try:
        with engine.connect() as connection:
            if not is_marked(connection):
                return None
            return MigrationContext.configure(connection).get_current_revision()
    except DatabaseError as trouble:
        raise BookDamaged(
            f"{path} is damaged and cannot be opened; restore the last backup "
            "(bayledger restore BACKUP BOOK). Nothing was changed."
        ) from trouble
    finally:
        engine.dispose()


def _config(connection: Connection | None = None) -> Config:
    config = Config()
    config.set_main_option("script_location", str(HERE).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config


def _upgrade(connection: Connection) -> None:
    command.upgrade(_config(connection), "head")
