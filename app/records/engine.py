"""The one place that knows which database the book is: connections, pragmas, transactions.

Everything else in `records` is written for any database that SQLAlchemy speaks to.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event

APPLICATION_ID = 0x42415931  # "BAY1": tells a book from any other SQLite file
BUSY_SECONDS = 5.0


def engine_for(path: Path, *, write: bool) -> Engine:
    """An engine on a book's file: durable at each commit, foreign keys checked.

    A write-ahead log lets readers go on beside the writer; full synchronisation makes a commit
    survive a power cut. Closing the book folds the log back into the one file.
    """
    address = f"file:{_quoted(path)}?mode={'rwc' if write else 'ro'}"
    engine = create_engine(
        "sqlite+pysqlite://",
        creator=lambda: _connect(address),
        pool_size=4,
    )

    @event.listens_for(engine, "connect")
    def _prepare(connection: Any, _record: Any) -> None:
        # Transactions are begun explicitly below; the driver must not begin its own.
        connection.isolation_level = None
        cursor = connection.cursor()
        cursor.execute("PRAGMA foreign_keys = ON")
        cursor.execute("PRAGMA synchronous = FULL")
        cursor.execute("PRAGMA temp_store = MEMORY")
        cursor.execute("PRAGMA cache_size = -32768")
        if write:
            cursor.execute("PRAGMA journal_mode = WAL")
        cursor.close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Any) -> None:
        # A writer takes its place at once instead of failing half way.
        writing = connection.get_execution_options().get("bayledger_writing", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    return engine


def _connect(address: str) -> Any:
    import sqlite3

    return sqlite3.connect(address, uri=True, timeout=BUSY_SECONDS, check_same_thread=False)


def _quoted(path: Path) -> str:
    from urllib.parse import quote

    return quote(str(path.resolve()))


def fold_log(engine: Engine) -> None:
    """Fold the write-ahead log back, so that the one file is the whole book."""
    with engine.connect() as connection:
        raw = connection.connection.dbapi_connection
        assert raw is not None
        raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def mark_as_book(connection: Any) -> None:
    """Write the mark that tells a book from any other SQLite file."""
    connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")


def is_marked(connection: Any) -> bool:
    """Whether the file carries a book's mark."""
    found = connection.exec_driver_sql("PRAGMA application_id").scalar()
    return bool(found == APPLICATION_ID)


def complaints(connection: Any) -> list[str]:
    """What the database itself finds wrong with the file; nothing when it is whole."""
    found = [
        f"The file is damaged: {row[0]}."
        for row in connection.exec_driver_sql("PRAGMA integrity_check")
        if row[0] != "ok"
    ]
    found += [
        f"A line in {row[0]} points to a line in {row[2]} that is not there."
        for row in connection.exec_driver_sql("PRAGMA foreign_key_check")
    ]
    return found
