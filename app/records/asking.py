"""How the book is asked: ids in portions, texts as patterns, rows as dataclasses by name.

A dataclass that a query gives is built by the names of its fields, never by position: two columns
of like type that change places would pass the type checker.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields
from functools import cache
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, Result, Select, select
from sqlalchemy.orm import Session

T = TypeVar("T")
AT_ONCE = 400  # ids in one question, far below any database's limit


def in_parts(ids: Iterable[Any]) -> Iterator[list[Any]]:
    """Ids, each once and in order, in parts small enough for one question each."""
    wanted = sorted(set(ids))
    for start in range(0, len(wanted), AT_ONCE):
        yield wanted[start : start + AT_ONCE]


def anywhere(column: Any, text: str) -> ColumnElement[bool]:
    """The condition that a column holds the text somewhere, whatever its capitals."""
    escaped = text.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
    found: ColumnElement[bool] = column.ilike(f"%{escaped}%", escape="\\")
    return found


def _read_fields(kind: Any) -> dict[str, bool]:
    """A dataclass's fields, with whether they hold a tuple: the book has lists there."""
    return {field.name: str(field.type).startswith("tuple") for field in fields(kind)}


_fields: Callable[[Any], dict[str, bool]] = cache(_read_fields)


def columns(kind: type[Any], *models: Any, **named: Any) -> list[Any]:
    """A dataclass's fields as columns of a select, for `rows_of`: those named, and of the others
    the column of that name of the first model that has one.

    Raises `TypeError` where no model has it, or what is named is no field: made when a module is
    imported, columns that do not fit stop the program at its start.
    """
    unknown = named.keys() - _fields(kind).keys()
    found = []
    for name in _fields(kind):
        column = named.get(name)
        if column is None:
            column = next((getattr(m, name) for m in models if hasattr(m, name)), None)
        if column is None or unknown:
            raise TypeError(f"{kind.__name__}: no column for {name}, no field for {unknown or '-'}")
        found.append(column.label(name))
    return found


def rows_of(kind: type[T], result: Result[Any]) -> list[T]:
    """What was found, each row a dataclass whose fields are the columns' labels."""
    names = tuple(result.keys())
    tuples = [name for name, is_tuple in _fields(kind).items() if is_tuple]
    if not tuples:
        return [kind(**dict(zip(names, row))) for row in result]  # noqa: B905, rows are as wide
    found = []
    for row in result:
        named = dict(zip(names, row, strict=True))
        for name in tuples:
            named[name] = tuple(named[name] or ())
        found.append(kind(**named))
    return found


def rows_in_parts(
    kind: type[T], session: Session, query: Select[Any], column: Any, ids: Iterable[Any]
) -> Iterator[T]:
    """As `rows_of`, of the rows that have one of these ids in a column."""
    for part in in_parts(ids):
        yield from rows_of(kind, session.execute(query.where(column.in_(part))))


def grouped(rows: Iterable[T], name: str) -> dict[Any, list[T]]:
    """Rows by what they have under a name, in the order they came in."""
    found: dict[Any, list[T]] = {}
    for row in rows:
        found.setdefault(getattr(row, name), []).append(row)
    return found


def sums_of(session: Session, query: Select[Any, Any]) -> dict[Any, int]:
    """Sums or counts by key, from a question for both; what has no key is left out."""
    return {key: int(total) for key, total in session.execute(query) if key is not None}


def to_write(session: Session, model: type[T], *order: Any, **where: Any) -> list[T]:
    """The rows of a table that have these values, to write to; by their number without `order`."""
    query = select(model).filter_by(**where)
    return list(session.scalars(query.order_by(*(order or (model.id,)))))  # type: ignore[attr-defined]


def made(kind: type[T], row: Any, **more: Any) -> T:
    """A dataclass with the fields of `more`; the others are what the row has under their names."""
    for name, is_tuple in _fields(kind).items():
        if name not in more:
            value = getattr(row, name)
            more[name] = tuple(value or ()) if is_tuple else value
    return kind(**more)
