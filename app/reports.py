"""What is written down of a mistake of ours: where it happened, and nothing that a person typed.

The text of an exception often holds values: a name, a note, a sum, a path. So of an exception only
its kind is told, and of those whose text is about code or tables alone that text; of a file its
place in the program.
"""

from __future__ import annotations

import errno
import logging
import re
import traceback
from collections.abc import Iterator
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import Any

# Without a window nobody keeps a log, and the error output is for the one plain line.
logging.getLogger("bayledger").addHandler(logging.NullHandler())
_PACKAGE = Path(__file__).resolve().parents[1]
_LARGEST, _KEPT = 300_000, 3  # bytes of a log file, and how many full ones are kept
# Their texts name attributes, modules, tables and columns, never what stands in them.
_ABOUT_CODE = (AttributeError, ImportError, NameError)
_ABOUT_TABLES = re.compile(r"(?:[A-Z ]+ constraint failed|no such (?:table|column)): [\w., ]+")
_QUOTED = re.compile(r"\"[^\"]*\"|'[^']*'|“[^”]*”|(?:[A-Za-z]:)?[\\/][^\s:,;]+")


def log_folder() -> Path:
    """Where this person's logs are kept on this computer."""
    import platformdirs

    return platformdirs.user_log_path("bayledger", appauthor=False)


def told(trouble: BaseException) -> str:
    """An exception and what led to it, as lines: kinds and places, without values."""
    return "\n".join(_lines(trouble))


def _lines(trouble: BaseException) -> Iterator[str]:
    seen: set[int] = set()
    one: BaseException | None = trouble
    while one is not None and id(one) not in seen:
        seen.add(id(one))
        yield _kind(one)
        for frame in reversed(traceback.extract_tb(one.__traceback__)):
            yield f"  {_place(frame.filename)}:{frame.lineno} in {frame.name}: {frame.line or ''}"
        before = one.__cause__ or (None if one.__suppress_context__ else one.__context__)
        if before is not None:
            yield "after"
        one = before


def _kind(trouble: BaseException) -> str:
    kind = type(trouble)
    name = kind.__name__ if kind.__module__ == "builtins" else f"{kind.__module__}.{kind.__name__}"
    if isinstance(trouble, _ABOUT_CODE):
        return f"{name}: {trouble}"
    if isinstance(trouble, OSError):
        return f"{name}: {errno.errorcode.get(trouble.errno or 0, '')}"
    code = getattr(trouble, "sqlite_errorname", "")
    tables = _ABOUT_TABLES.fullmatch(str(trouble)) if code else None
    return " ".join(part for part in (f"{name}:", code, tables[0] if tables else "") if part)


def _place(file: str) -> str:
    path = Path(file)
    if path.is_relative_to(_PACKAGE):
        return path.relative_to(_PACKAGE).as_posix()
    return "/".join(path.parts[-3:])


class _Plain(logging.Formatter):
    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s")

    def format(self, record: logging.LogRecord) -> str:
        record.exc_text = None  # another handler may have left its own there
        return super().format(record)

    def formatException(self, ei: Any) -> str:
        return told(ei[1])


class _Log(RotatingFileHandler):
    def handleError(self, record: logging.LogRecord) -> None:
        """A log that cannot be written is no trouble of the person's, and told nowhere."""


def without_values(words: str) -> str:
    """A message of a library without what it quotes, and without paths."""
    return _QUOTED.sub("…", words)


def keep_log(folder: Path | None = None) -> logging.Handler | None:
    """Keep what our own code logs as wrong in a file, a few of which are kept, the oldest dropped.

    None where no file can be written there: the program runs all the same.
    """
    folder = folder or log_folder()
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        path = folder / "window.log"
        path.touch(mode=0o600)
        handler = _Log(path, maxBytes=_LARGEST, backupCount=_KEPT, encoding="utf-8", delay=True)
    except OSError:
        return None
    handler.setFormatter(_Plain())
    handler.setLevel(logging.WARNING)
    logging.getLogger("bayledger").addHandler(handler)
    return handler
