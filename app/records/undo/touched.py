"""Which rows the last changes of a book touched: what was worked out is mended by them.

Kept in memory by the writer alone, for its last changes; what it does not know is worked out anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from app.records.undo.images import RowImage

KEPT = 64  # changes


@dataclass(frozen=True, slots=True)
class RowTouched:
    """A row that was written, changed or taken out, and the vehicles its images name."""

    table: str
    key: Any
    vehicles: frozenset[int]


class Touched:
    """The rows of the last changes, by the version that each change led to."""

    def __init__(self) -> None:
        self._rows: dict[int, tuple[RowTouched, ...]] = {}

    def note(self, version: int, images: Iterable[RowImage]) -> None:
        """The change that leads to this version touches these rows."""
        rows = tuple(
            RowTouched(image.table.name, image.key, _vehicles(image.before, image.after))
            for image in images
        )
        # A change that failed after it was noted leaves its rows: more than were touched.
        self._rows[version] = (*self._rows.get(version, ()), *rows)
        self._rows.pop(version - KEPT, None)

    def forget(self, version: int) -> None:
        """The change that leads to this version is not known row by row."""
        self._rows.pop(version, None)

    def between(self, before: object, now: object) -> Sequence[RowTouched] | None:
        """The rows that differ between two versions; None where that is not known."""
        if before == now:
            return ()
        if not isinstance(before, int) or not isinstance(now, int):
            return None
        found: list[RowTouched] = []
        for version in range(before + 1, now + 1):
            rows = self._rows.get(version)
            if rows is None:  # loaded in bulk, or too long ago
                return None
            found += rows
        return found


def _vehicles(*images: dict[str, Any] | None) -> frozenset[int]:
    named = (image.get("vehicle_id") for image in images if image)
    return frozenset(one for one in named if one is not None)
