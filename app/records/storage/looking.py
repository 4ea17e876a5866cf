"""A book looked at without changing anything: a passing copy on this computer is read instead.

Another program may have it open, perhaps on another PC over a network, where SQLite's memory that
readers share with the writer does not reach (https://www.sqlite.org/wal.html, section 1). So
nothing is locked, opened by SQLite or made there: the file and its log are read once.
"""

from __future__ import annotations

import os
import shutil
import time
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory

from app.errors import BookBusy, Mendable, reason_of
from app.records.storage.engine import whole_or_refuse
from app.records.storage.lineage import follows
from app.records.storage.migrating import bring_up, recognize

_TRIES, _PAUSE = 6, 0.25  # seconds; a log is folded in less, and then both are read again
_TAILS = ("-wal", "-journal")
_HEAD = 32  # bytes of a log that are written anew where it begins anew
_FOLDER = "bayledger-reading-"


class Looked:
    """The passing copy of a book as it stood at one moment; `end` takes it away."""

    def __init__(self, path: Path) -> None:
        if not path.is_file():
            recognize(path)  # says what is there instead
        self._folder = TemporaryDirectory(prefix=_FOLDER, ignore_cleanup_errors=True)
        self.copy = Path(self._folder.name) / path.name
        try:
            strange = _copy(path, self.copy)
            recognize(self.copy)
            bring_up(self.copy)
        except Mendable as trouble:
            self.end()
            here = str(self.copy)
            raise type(trouble)(trouble.sentence.replace(here, str(path))) from trouble
        except OSError as trouble:
            self.end()
            raise Mendable(f"{path} cannot be read ({reason_of(trouble)}).") from trouble
        self.told = (
            f"Another file was put in the place of {path.name} since it was last written; what "
            "lies beside it as its log is not read."
            if strange
            else ""
        )

    def end(self) -> None:
        """Take the copy away."""
        self._folder.cleanup()


def _copy(path: Path, to: Path) -> bool:
    """Read the file and what lies beside it; again where that was folded in or begun meanwhile.

    True where the log is another book's: it is left out here, and left where it lies. With a
    journal, which stands in for the log on some disks, the copy is brought back to before the
    change that is under way.
    """
    for _ in range(_TRIES):
        before = _state(path)
        shutil.copyfile(path, to)
        for tail in _TAILS:
            beside = to.with_name(to.name + tail)
            beside.unlink(missing_ok=True)
            with suppress(FileNotFoundError):
                shutil.copyfile(path.with_name(path.name + tail), beside)
        if _state(path) == before:
            strange = follows(to) is False
            if strange:
                to.with_name(to.name + "-wal").unlink()
            whole_or_refuse(to)
            return strange
        time.sleep(_PAUSE)
    raise BookBusy(f"{path} is being written just now; try again in a moment.")


def _state(path: Path) -> list[object]:
    """What is another where more than the end of the log was written."""
    found = path.stat()
    state: list[object] = [found.st_mtime_ns, found.st_size]
    for tail in _TAILS:
        with suppress(FileNotFoundError), path.with_name(path.name + tail).open("rb") as file:
            state.append(file.read(_HEAD) if tail == "-wal" else os.fstat(file.fileno()).st_size)
    return state
