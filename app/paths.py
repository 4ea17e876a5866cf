"""Where the fonts, the guide and the demo's data are, nothing else may guess; and a file's disk.

In an installed package the data lie inside `app`; in a working copy they lie beside it. The
working directory is never asked.
"""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from pathlib import Path

_NO_ROOM = 65_536  # bytes; what SQLite needs beside a book to read in it
_PACKAGE = Path(__file__).resolve().parent


def _data(name: str) -> Path:
    inside = _PACKAGE / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


def resources() -> Path:
    """The folder with the fonts and their licences."""
    return _data("resources")


def guide() -> Path:
    """The user's guide, in Markdown."""
    inside = _PACKAGE / "resources" / "guide.md"
    return inside if inside.is_file() else _PACKAGE.parent / "docs" / "guide.md"


def demo_data() -> Path:
    """The folder with the made-up shop's names and lists."""
    return _data("demo_db")


def disk_is_full(path: Path) -> bool:
    """Whether the disk with a file has no room even for what reading takes."""
    try:
        return shutil.disk_usage(path.parent).free < _NO_ROOM
    except OSError:
        return False


def flush_to_disk(path: Path) -> None:
    """Make a file, and its name in its folder, survive a power cut."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())
    with suppress(OSError):  # not every system opens folders; the file itself was done first
        handle = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
