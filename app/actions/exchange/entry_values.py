"""The rows of a full export as values for the book: checked, with defaults, or refused with why."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from app.actions.exchange.older_exports import with_columns_of_today
from app.documents.export.layout import BY_KIND, Field, SheetLayout
from app.documents.reading.grid import letter
from app.documents.reading.lines import EntryLine
from app.records.models.words import WORDS
from app.records.queries import everything

_NAMES = {
    "customers": "name", "vehicles": "description", "suppliers": "name", "supplies": "name",
    "services": "name", "settings": "name",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class EntryValues:
    """A line's columns (references still as keys) or why it cannot be read."""

    values: dict[str, Any]
    refused: str = ""


@cache
def _rules(kind: str) -> tuple[frozenset[str], frozenset[str]]:
    return everything.empty_allowed(kind), everything.required(kind)


def entry_values(line: EntryLine) -> EntryValues:
    """The columns that a line tells; a column that may not be empty and is gets its default."""
    layout = BY_KIND[line.record]
    may_be_empty, required = _rules(line.record)
    if line.problems:
        return EntryValues({}, line.problems[0])
    values: dict[str, Any] = {}
    for name, value in zip(line.fields, line.told, strict=True):
        if value is None and name not in may_be_empty:
            if name in required:
                return EntryValues({}, _say(line, layout.field(name), "is empty"))
            continue
        words = WORDS.get((line.record, name))
        if words is not None and value not in words:
            said = f"holds “{str(value)[:40]}”; it may say " + ", ".join(
                w or "nothing" for w in words
            )
            return EntryValues({}, _say(line, layout.field(name), said))
        if isinstance(value, int) and not isinstance(value, bool) and abs(value) > 2**62:
            return EntryValues({}, _say(line, layout.field(name), "holds too large a number"))
        values[name] = value
    name = _NAMES.get(line.record, "")
    if name and name in values and not str(values[name]).strip():
        return EntryValues({}, _say(line, layout.field(name), "is empty"))
    with_columns_of_today(line.record, line.fields, values)
    return EntryValues(values)


def missing(line: EntryLine, values: dict[str, Any]) -> str:
    """Why a new row cannot be made of these columns, or ""."""
    layout = BY_KIND[line.record]
    _, required = _rules(line.record)
    for name in sorted(required):
        if values.get(name) is None:
            return _say(line, layout.field(name), "is empty or not in the file")
    return ""


def no_such_row(line: EntryLine, field: Field, key: Any) -> str:
    """Why a reference to a row that is not there cannot be kept."""
    layout = BY_KIND[line.record]
    where = f"Sheet {layout.title}, row {line.source.row}, column {field.heading}"
    return f"{where}: there is no row {key} in the sheet {BY_KIND[field.points_to].title}."


def _say(line: EntryLine, field: Field, what: str) -> str:
    layout: SheetLayout = BY_KIND[line.record]
    place = f"Sheet {layout.title}, row {line.source.row}"
    if field.name in line.fields:
        position = line.fields.index(field.name)
        return f"{place}, column {field.heading} ({letter(position)} or near): {what}."
    return f"{place}: the column {field.heading} {what}."
