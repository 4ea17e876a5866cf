"""Where the fonts, the demo's data and the user's own books are; nothing else may guess.

In an installed package the data lie inside `app`; in a working copy they lie beside it. The
working directory is never asked.
"""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _data(name: str) -> Path:
    inside = _PACKAGE / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


def resources() -> Path:
    """The folder with the fonts and their licences."""
    return _data("resources")


def demo_data() -> Path:
    """The folder with the made-up shop's names and lists."""
    return _data("demo_db")
