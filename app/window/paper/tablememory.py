"""What a table keeps from one run to the next: widths set by hand, its order, the row in view."""

from __future__ import annotations

import json
from collections.abc import Hashable
from hashlib import sha256

from PySide6.QtCore import QSettings


class TableMemory:
    """Of one table, by its name. Rows are those of one `book`, by its path."""

    def __init__(self, settings: QSettings | None, name: str, book: str = "") -> None:
        """Without `settings` or a `name` nothing is kept."""
        self._book = book
        self._settings = settings if name else None
        self._name = name.replace("/", " ")

    def widths(self) -> dict[str, int]:
        """Columns that were made wider or narrower by hand, in pixels at scale 1."""
        found = self._read("widths")
        if not isinstance(found, dict):
            return {}
        return {str(key): width for key, width in found.items() if isinstance(width, int)}

    def keep_widths(self, widths: dict[str, int]) -> None:
        """Keep them."""
        self._write("widths", widths)

    def order(self) -> tuple[str, bool]:
        """The column that the table is sorted by (none: as it came) and whether it falls."""
        match self._read("order"):
            case [str(key), bool(falling)]:
                return key, falling
        return "", False

    def keep_order(self, key: str, falling: bool) -> None:
        """Keep it."""
        self._write("order", [key, falling])

    def row(self) -> Hashable | None:
        """The row that had the focus last."""
        found = self._read(self._row_key())
        return _hashable(found) if found is not None else None

    def keep_row(self, key: Hashable) -> None:
        """Keep it, where it can be told again."""
        try:
            told = json.dumps(key)
        except TypeError:
            return
        if _hashable(json.loads(told)) == key:
            self._write(self._row_key(), key)

    def _row_key(self) -> str:
        return f"row {sha256(self._book.encode()).hexdigest()[:12]}"

    def _read(self, what: str) -> object:
        if self._settings is None:
            return None
        try:
            return json.loads(str(self._settings.value(f"tables/{self._name}/{what}", "null")))
        except ValueError:
            return None

    def _write(self, what: str, value: object) -> None:
        if self._settings is not None:
            self._settings.setValue(f"tables/{self._name}/{what}", json.dumps(value))


def _hashable(found: object) -> Hashable:
    """What was a tuple is one again."""
    return tuple(_hashable(one) for one in found) if isinstance(found, list) else found
