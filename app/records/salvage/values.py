"""Whether single values are of their column's kind, and what stands in for one that is not."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from app.records.models import Record
from app.records.models.words import WORDS, is_foreign

Row = dict[str, Any]
_MOMENT = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d:\d\d\.\d{6}")
_NAMES = frozenset({"name", "description", "title", "text", "label"})
DAMAGED = "(damaged)"  # a name that cannot be read
_ABSURD = 10**15  # more than any quantity or sum of a shop; sums of such have no room in the book
_LOST_LETTER = "\ufffd"


@dataclass(frozen=True)
class Column:
    """A column as the file declares it; `is_number` where it is the row's own number."""

    name: str
    kind: str
    needed: bool
    default: Any = None
    is_number: bool = False


def fits(column: Column, value: Any) -> bool:
    """Whether a value is of the column's kind, as the book would have written it."""
    if value is None:
        return not column.needed
    match column.kind.upper().partition("(")[0]:
        case "INTEGER" | "BIGINT":
            return isinstance(value, int) and abs(value) < _ABSURD
        case "BOOLEAN":
            return value in (0, 1)
        case "FLOAT":
            return isinstance(value, int | float)
        case "DATE":
            return isinstance(value, str) and _is_day(value)
        case "DATETIME":
            return isinstance(value, str) and _is_moment(value)
        case "JSON":
            # SQLite keeps a bare number in such a column as a number.
            if isinstance(value, int | float):
                return abs(value) < _ABSURD
            return isinstance(value, str) and _is_json(value)
        case _:
            return isinstance(value, str) and _LOST_LETTER not in value


def mended(table: str, columns: list[Column], row: Row) -> tuple[Row | None, int]:
    """A row in which each value is of its kind, and how many were not.

    None where the row says nothing without what is damaged: its number, day or amount.
    """
    damaged = 0
    row = dict(row)
    if table == "settings" and _is_foreign_setting(row):
        return None, 1
    for column in columns:
        value, words = row[column.name], WORDS.get((table, column.name))
        if fits(column, value) and (words is None or value is None or value in words):
            continue
        damaged += 1
        if words is None and isinstance(value, str) and _LOST_LETTER in value and _is_text(column):
            continue  # the rest of the text can be read; of one of a few words it is none
        usual = _usual(table, column)
        if usual is None and words is not None and "" in words:
            usual = ""
        if column.needed and usual is None:
            return None, damaged
        row[column.name] = usual if column.needed else None
    return row, damaged


def _is_foreign_setting(row: Row) -> bool:
    value = row.get("value")
    try:
        return is_foreign(
            str(row.get("name")), json.loads(value) if isinstance(value, str) else value
        )
    except ValueError:
        return False  # said as any other damaged value


def _is_text(column: Column) -> bool:
    return column.kind.upper().startswith(("VARCHAR", "TEXT"))


def _usual(table: str, column: Column) -> Any:
    """What a new row has there, in the words of the file; None where a person has to say it."""
    known = Record.metadata.tables.get(table)
    found = known.columns.get(column.name) if known is not None else None
    if found is not None and found.default is not None:
        value: Any = found.default.arg  # type: ignore[attr-defined]
        value = value(None) if callable(value) else value
        return json.dumps(value) if isinstance(value, list | dict) else value
    if column.default is not None:
        return column.default
    return DAMAGED if _is_text(column) and column.name in _NAMES else None


def _is_day(value: str) -> bool:
    try:
        return date.fromisoformat(value).isoformat() == value
    except ValueError:
        return False


def _is_moment(value: str) -> bool:
    try:
        return bool(_MOMENT.fullmatch(value)) and datetime.fromisoformat(value) is not None
    except ValueError:
        return False


def _is_json(value: str) -> bool:
    try:
        json.loads(value, parse_constant=_refuse)
    except (ValueError, RecursionError):
        return False
    return _LOST_LETTER not in value


def _refuse(word: str) -> None:
    raise ValueError(f"{word} is no JSON")
