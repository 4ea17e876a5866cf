"""The one place that knows which database the book is: connections, pragmas, transactions.

Everything else in `records` is written for any database that SQLAlchemy speaks to; what stands
here has its twin on a server, which keeps, locks and copies by its own means.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session
from sqlalchemy.pool import QueuePool

from app.errors import BookBusy, BookDamaged, Mendable, Stopped, asked_to_stop, check_stop
from app.paths import disk_is_full, flush_to_disk
from app.records.storage import lineage
from app.records.storage.readable import unreadable

APPLICATION_ID = 0x42415931  # "BAY1": tells a book from any other SQLite file
MAGIC = b"SQLite format 3\x00"
BUSY_SECONDS = 5.0
_SHARED_MEMORY = 32_768  # bytes of `-shm`, https://www.sqlite.org/walformat.html
STEPS_BETWEEN_CHECKS = 50_000  # of SQLite's own machine: a few milliseconds
TURNS = 8  # a week of closes and one more, until every index was looked at once
_MARK = slice(68, 72)  # where the header holds the application id, big-endian


def engine_for(path: Path, *, write: bool, new: bool = False, foreign_keys: bool = True) -> Engine:
    """An engine on a book's file: durable at each commit, foreign keys checked.

    A write-ahead log lets readers go on beside the writer. Synchronous EXTRA is, with that log,
    the same as FULL: a commit survives a power cut. Where a disk refuses the log and SQLite keeps
    its rollback journal instead, EXTRA makes the end of that journal durable too. Closing the book
    folds the log back into the one file.

    `new` lets the file be made; without `foreign_keys` tables can be rebuilt by a migration.
    """
    address = _address(path, write=write, new=new)

    def connect() -> sqlite3.Connection:
        connection = sqlite3.connect(
            address,
            uri=True,
            timeout=BUSY_SECONDS,
            isolation_level=None,  # transactions are begun below; the driver begins none
            check_same_thread=False,  # the pool lends a connection to one thread at a time
        )
        connection.execute(f"PRAGMA foreign_keys = {'ON' if foreign_keys else 'OFF'}")
        connection.execute("PRAGMA synchronous = EXTRA")
        connection.execute("PRAGMA temp_store = MEMORY")
        connection.execute("PRAGMA cache_size = -32768")
        # Asked within long queries; the thread that runs the query is asked, not the one that asked
        # it to stop. Where that says yes, SQLite breaks the query off.
        connection.set_progress_handler(asked_to_stop, STEPS_BETWEEN_CHECKS)
        if write:
            connection.execute("PRAGMA journal_mode = WAL")
        else:
            connection.execute("PRAGMA query_only = ON")
        return connection

    # Not the pool that SQLAlchemy takes for a nameless database: that one gives a thread the same
    # connection twice, and reading within a change would fall into the change's transaction.
    # What is written is never told in an error: a log must not hold names and sums.
    engine = create_engine(
        "sqlite+pysqlite://",
        creator=connect,
        poolclass=QueuePool,
        pool_size=4,
        hide_parameters=True,
    )

    @event.listens_for(engine, "begin")
    def _begin(connection: Any) -> None:
        # A writer takes its place at once instead of failing half way.
        writing = connection.get_execution_options().get("bayledger_writing", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")
        connection.info["changes"] = connection.connection.dbapi_connection.total_changes

    @event.listens_for(engine, "commit")
    def _commit(connection: Any) -> None:
        raw = connection.connection.dbapi_connection
        if raw.total_changes != connection.info["changes"]:
            lineage.draw_next(raw)

    return engine


@contextmanager
def reading_session(engine: Engine) -> Iterator[Session]:
    """A session on one unmoving view; it refuses to write, and ends soon after it is asked to."""
    with (
        engine.connect() as connection,
        Session(connection, autoflush=False, expire_on_commit=False) as session,
    ):
        event.listen(session, "before_flush", _refuse_to_write)
        event.listen(session, "do_orm_execute", _check_stop)
        yield session


def _refuse_to_write(session: Session, *_: object) -> None:
    if session.new or session.deleted or any(session.is_modified(row) for row in session.dirty):
        raise RuntimeError("a reading session does not write: use Book.change")


def _check_stop(_state: object) -> None:
    check_stop()


@contextmanager
def writing_session(engine: Engine) -> Iterator[Session]:
    """A session in a transaction that is ours: nothing that is done in it, not even a commit, can
    make half an action last."""
    engine = engine.execution_options(bayledger_writing=True)
    with engine.begin() as connection, Session(connection, expire_on_commit=False) as session:
        yield session


def _address(path: Path, *, write: bool, new: bool = False) -> str:
    """How SQLite is told to open the file.

    A reader who may write opens it so (and then writes nothing): only then can SQLite tidy up the
    log when the reader is the last to leave. Where neither log nor folder can be written, on a
    locked stick or a full disk, the file is read as one that nobody changes.
    """
    if write:
        mode = "rwc" if new else "rw"
    elif not log_waits(path) and _no_room_for_memory(path):
        mode = "ro&immutable=1"
    elif may_write(path):
        mode = "rw"
    elif os.access(path.parent, os.W_OK) or log_waits(path):
        mode = "ro"
    else:
        mode = "ro&immutable=1"
    return f"file:{quote(str(path.resolve()))}?mode={mode}"


def _no_room_for_memory(path: Path) -> bool:
    """Whether the memory that readers share with a writer has no room, and nobody made it yet."""
    memory = path.with_name(path.name + "-shm")
    made = memory.exists() and memory.stat().st_size >= _SHARED_MEMORY
    return not made and disk_is_full(path)


def may_write(path: Path) -> bool:
    """Whether this person may write the file, and beside it."""
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def log_waits(path: Path) -> bool:
    """Whether a write-ahead log that was not folded back lies beside the file."""
    log = path.with_name(path.name + "-wal")
    return log.exists() and log.stat().st_size > 0


def refuse_a_log_beside(new: Path) -> None:
    """`Mendable` where a log lies under the name that a new file's own would have.

    SQLite would read it into the new file, or throw it away
    (https://www.sqlite.org/howtocorrupt.html, 1.4).
    """
    for tail in ("-wal", "-journal"):
        log = new.with_name(new.name + tail)
        if log.exists() and log.stat().st_size > 0:
            raise Mendable(
                f"{log} is the log of a file that lay there before, and would be read into "
                f"{new.name}; choose another name."
            )


def open_file(engine: Engine) -> None:
    """Have the database open the file and its log now, not only when they are needed."""
    with engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA schema_version")


def fold_log(engine: Engine) -> None:
    """Fold the write-ahead log back, so that the one file is the whole book."""
    with engine.connect() as connection:
        raw = connection.connection.dbapi_connection
        assert raw is not None
        raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def write_anew(engine: Engine) -> bool:
    """Write the whole file anew and empty its log: what was deleted is in neither of them.

    False where somebody reads in the book meanwhile, whose view keeps the log as it is.
    """
    with engine.connect() as connection:
        raw = connection.connection.dbapi_connection
        assert raw is not None
        raw.execute("VACUUM")
        (busy, *_) = raw.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        return not busy


def fold_log_into_what_was_opened(engine: Engine) -> None:
    """Where another file lies in the book's place, leave no log of ours beside that.

    SQLite would read our log into it, and tear it. It is folded into the file that was opened,
    wherever that is now: by a connection from then, never by a new one to what the path names.
    """
    event.listen(engine, "connect", _refuse_to_connect)
    fold_log(engine)


def _refuse_to_connect(*_: object) -> None:
    raise Mendable("The book's path leads elsewhere now; nothing more is opened there.")


def mark_as_book(connection: Connection) -> None:
    """Write the mark that tells a book from any other SQLite file."""
    connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")


def is_marked(connection: Connection) -> bool:
    """Whether the file carries a book's mark."""
    found = connection.exec_driver_sql("PRAGMA application_id").scalar()
    return bool(found == APPLICATION_ID)


def carries_mark(path: Path) -> bool:
    """Whether the file's own header says that it is a book, without opening it as one."""
    with path.open("rb") as file:
        head = file.read(_MARK.stop)
    return head.startswith(MAGIC) and head[_MARK] == APPLICATION_ID.to_bytes(4, "big")


def is_cut_off(connection: Connection, path: Path) -> bool:
    """Whether the file is shorter than it says of itself: a copy that broke off."""
    pages = connection.exec_driver_sql("PRAGMA page_count").scalar() or 0
    size = connection.exec_driver_sql("PRAGMA page_size").scalar() or 0
    return not log_waits(path) and path.stat().st_size < pages * size


def complaints(connection: Connection) -> list[str]:
    """What the database itself finds wrong with the file; nothing when it is whole."""
    rows = connection.exec_driver_sql("PRAGMA integrity_check(20)")
    return [f"The file is damaged: {one}." for one in _wrong(rows)] + loose_ends(connection)


def _wrong(rows: Iterable[Any]) -> list[str]:
    """What a look through the file found; of a full text, which is made anew by itself, nothing."""
    return [row[0] for row in rows if row[0] != "ok" and " FTS5 table " not in row[0]]


def loose_ends(connection: Connection) -> list[str]:
    """References that lead nowhere."""
    rows = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchmany(20)
    return [f"A line in {row[0]} points to a line in {row[2]} that is not there." for row in rows]


def copy_whole(engine: Engine, to: Path, turn: int | None = None) -> None:
    """Copy the book, also while it is written in, into a new file without a log beside it.

    Raises `BookDamaged` when the copy is not whole (`whole_or_refuse`); it is on the disk when this
    returns.
    """
    with engine.connect() as connection, closing(sqlite3.connect(to)) as copy:
        source: Any = connection.connection.dbapi_connection
        source.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")
        lineage.turn_away(copy)
    try:
        whole_or_refuse(to, turn)
    except BookDamaged:
        _refuse_damaged(engine)  # the copy is what the book is: say it of that
        raise
    flush_to_disk(to)


def _refuse_damaged(engine: Engine) -> None:
    with engine.connect() as connection:
        path = Path(connection.exec_driver_sql("PRAGMA database_list").all()[0][2])
        try:
            found = _wrong(connection.exec_driver_sql("PRAGMA integrity_check(2)"))
        except DBAPIError as trouble:
            found = [_name_of(trouble)]
    if found:
        raise damaged(path)


def whole_or_refuse(path: Path, turn: int | None = None) -> None:
    """Read the whole file through; `BookDamaged` where it is not whole.

    Without a `turn` every index is held against its table, which takes three times as long as all
    the rest. With one, those of some tables: of all of them in `TURNS` turns one after the other.
    """
    try:
        with closing(sqlite3.connect(_address(path, write=False), uri=True)) as check:
            asked = ["integrity_check(2)"]
            if turn is not None:
                names = check.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
                now = sorted(names)[turn % TURNS :: TURNS]
                asked = ["quick_check(2)", *(f"integrity_check('{name}')" for (name,) in now)]
            told = (_wrong(check.execute(f"PRAGMA {one}")) for one in asked)
            found = next((one for one in told if one), [])
    except sqlite3.DatabaseError as trouble:
        found = [str(trouble)]
    if found:
        raise BookDamaged(f"{path} is not whole ({found[0]}); use an earlier backup.")


def damage_in(path: Path, said_of: Path) -> BookDamaged | None:
    """What to say, of what the book is called, where a book of today's tables has a page or a
    value that cannot be read."""
    engine = engine_for(path, write=False)
    try:
        with engine.connect() as connection:
            if _wrong(connection.exec_driver_sql("PRAGMA quick_check(2)")):
                return damaged(said_of)
            found = unreadable(connection)
            return damaged(said_of, found[0]) if found else None
    except UnicodeDecodeError:  # SQLite's own complaint quotes what is no text
        return damaged(said_of)
    except (DBAPIError, sqlite3.Error) as trouble:
        name = _name_of(trouble)
        if name == "SQLITE_INTERRUPT":
            raise Stopped from trouble
        # Of the file itself; not that another program or the disk stands in the way just now.
        of_the_file = name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_ERROR"))
        return damaged(said_of) if of_the_file else None
    finally:
        engine.dispose()


@contextmanager
def plainly(path: Path, *, ask: Path | None = None) -> Iterator[None]:
    """Say in plain words what the disk, the rights or the file did; our own bugs pass through.

    A damaged page can come to light as any error: text that is no day where a day is read, or
    nothing where a number should be. Where there is a file to `ask` (a book of today's tables) what
    nothing else explains is called damage where that is found damaged, and only there.
    """
    try:
        yield
    except (DBAPIError, sqlite3.Error) as trouble:
        plain = _in_plain_words(_name_of(trouble), path)
        if plain is None and ask is not None:
            plain = damage_in(ask, path)
        if plain is None and "Could not decode" in str(_cause(trouble)):
            plain = damaged(path)
        if plain is None:
            raise
        raise plain from trouble
    except OverflowError as trouble:
        if "SQLite" not in str(trouble):
            raise
        raise Mendable(
            "A number is too large to be kept in the book; nothing was changed. Check the entry."
        ) from trouble
    except UnicodeEncodeError as trouble:
        if "surrogates" not in trouble.reason:
            raise
        raise Mendable(
            "A text holds characters that cannot be kept; nothing was changed. Type it again."
        ) from trouble
    except (ValueError, TypeError, AttributeError, LookupError, ArithmeticError) as trouble:
        if ask is None and isinstance(trouble, UnicodeDecodeError):
            ask = path
        damage = None if ask is None else damage_in(ask, path)
        if damage is None:
            raise
        raise damage from trouble


def damaged(path: Path, where: str = "") -> BookDamaged:
    """What to say of a book that cannot be read as it is, where that is known, and what to do."""
    beside = f" ({where.rstrip('.')})" if where else ""
    return BookDamaged(
        f"{path} is damaged: a part of it cannot be read{beside}; restore the last backup "
        "(bayledger restore BACKUP BOOK), or get out what can be read (bayledger salvage BOOK NEW)."
    )


def _cause(trouble: DBAPIError | sqlite3.Error) -> BaseException | None:
    return trouble.orig if isinstance(trouble, DBAPIError) else trouble


def _name_of(trouble: DBAPIError | sqlite3.Error) -> str:
    return getattr(_cause(trouble), "sqlite_errorname", "") or ""


def _in_plain_words(name: str, path: Path) -> Exception | None:
    """The sentence for SQLite's name of an error; none where it is not the surroundings' fault."""
    if name == "SQLITE_INTERRUPT":
        return Stopped()
    # Where no room is left for its log SQLite calls it many things.
    unwritten = ("SQLITE_IOERR", "SQLITE_CANTOPEN", "SQLITE_PROTOCOL")
    if name.startswith("SQLITE_FULL") or (name.startswith(unwritten) and disk_is_full(path)):
        return Mendable(
            f"The disk with {path} is full; nothing was changed. Make room and try again."
        )
    if name.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_AUTH")):
        return Mendable(
            f"{path} cannot be written; nothing was changed. Check the right to the file."
        )
    if name.startswith("SQLITE_IOERR"):
        return Mendable(f"The disk with {path} failed; nothing was changed. Check the disk.")
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return BookBusy(f"{path} is being written by another program; try again.")
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        return damaged(path)
    return None
