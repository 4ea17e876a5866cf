"""Adding a row and setting fields of one, as one action with a name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from app.actions.desk.desk import NOTHING, Changed, Desk, there
from app.records.queries.people import Session

R = TypeVar("R")


def known_fields(fields: Mapping[str, Any], known: frozenset[str], what: str) -> dict[str, Any]:
    """Fields as typed, without spaces at the ends of texts; `ValueError` for one that is none."""
    unknown = fields.keys() - known
    if unknown:
        raise ValueError(f"no such field of a {what}: {', '.join(sorted(unknown))}")
    return {k: v.strip() if isinstance(v, str) else v for k, v in fields.items()}


def set_fields(
    desk: Desk,
    model: type[R],
    key: int,
    name: Callable[[R], str],
    values: Mapping[str, Any],
    kinds: frozenset[str],
    also: Callable[[Session, R], None] | None = None,
    untouched: frozenset[str] = frozenset(),
) -> Changed:
    """Set fields of a row, and do `also` what follows; `Mendable` where the row is gone.

    What stands already changes nothing. `untouched` is for `Desk.still_standing`.
    """
    what = f"This {model.__name__.lower()}"
    with desk.book.reading() as session:
        before = there(session.get(model, key), what)
        words = name(before)
        if all(getattr(before, field) == value for field, value in values.items()):
            return NOTHING
    with (
        desk.still_standing(untouched),
        desk.book.change(words, day=desk.today, kinds=kinds, at=desk.clock()) as session,
    ):
        row = there(session.get(model, key), what)
        for field, value in values.items():
            setattr(row, field, value)
        if also is not None:
            also(session, row)
    return Changed(words, kinds)


def add_row(
    desk: Desk,
    row: R,
    name: str,
    kinds: frozenset[str],
    also: Callable[[Session, int], None] | None = None,
) -> tuple[Changed, int]:
    """Add a row, and do `also` what follows from its number; the number with the change."""
    with desk.book.change(name, day=desk.today, kinds=kinds, at=desk.clock()) as session:
        session.add(row)
        session.flush()
        number: int = row.id  # type: ignore[attr-defined]
        if also is not None:
            also(session, number)
    return Changed(name, kinds), number
