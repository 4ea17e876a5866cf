"""A log that another book left beside this one: what it holds, in a book of its own."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from app.actions.desk.desk import Desk
from app.errors import Mendable
from app.records.salvage.salvaging import salvage
from app.records.storage.stray_log import moved_aside


def bring_back_log(desk: Desk) -> str:
    """Lay the newest log that was moved aside over a copy of the open book, as a new book beside
    it; what to know of that. `Mendable` where there is none, or nothing can be made of it."""
    path = desk.book.path
    logs = moved_aside(path)
    if not logs:
        raise Mendable(f"No log was moved aside beside {path}.")
    # Never the log's own name without its tail: SQLite would read the log into the new book.
    log = Path(logs[0].name.removesuffix("-wal"))
    new = logs[0].with_name(f"{log.stem}, brought back{log.suffix}")
    with TemporaryDirectory(prefix="bayledger-") as folder:
        told = salvage(desk.book.backup(Path(folder) / path.name), new, logs[0])
    said = " ".join(told.sentences())
    return f"{new.name} is a new book; Ctrl K, Look at another book, shows it. {said}"
