"""The rows of a full export as values for the book: checked, with defaults, or refused with why."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from app.actions.exchange.older_exports import with_columns_of_today
from app.calculations.layers.protection import ProtectionClass, SurfaceGroup
from app.calculations.stock.pools import POOL_KINDS, RUNGS, STATES
from app.documents.export.layout import BY_KIND, Field, SheetLayout
from app.documents.reading.grid import letter
from app.documents.reading.lines import EntryLine
from app.records.models import CONFIRMED, EXPECTED
from app.records.queries import everything
from app.records.stock import KINDS as MOVEMENT_KINDS

# What a column may say; the book itself would take any word.
_WORDS: dict[tuple[str, str], tuple[str, ...]] = {
    ("customers", "asks_by"): ("", "letter", "mail", "phone", "text"),
    ("consents", "channel"): ("mail", "letter", "phone", "text"),
    ("consents", "purpose"): ("care", "reminders", "offers"),
    ("vehicles", "size_outside"): ("S", "M", "L", "XL"),
    ("vehicles", "size_inside"): ("S", "M", "L", "XL"),
    ("supplies", "kind"): ("liquid", "paste", "piece"),
    ("supplies", "costing"): ("average", "lot"),
    ("supplies", "protection"): ("", *(one.value for one in ProtectionClass)),
    ("supplier_dates", "kind"): ("sale", "cold"),
    ("recipe_lines", "scaling"): ("fixed", "size", "size_condition", "layer", "container"),
    ("service_steps", "effect"): ("", "applies", "strips", "abrades"),
    ("job_steps", "effect"): ("", "applies", "strips", "abrades"),
    ("job_steps", "state"): ("to do", "done", "not done"),
    ("jobs", "state"): ("enquiry", "booked", "working", "done", "cancelled"),
    ("jobs", "condition"): ("kept", "average", "neglected", "extreme"),
    ("movements", "kind"): MOVEMENT_KINDS,
    ("receipts", "state"): (CONFIRMED, EXPECTED),
    ("receipts", "kind"): ("payment", "deposit", "refund", "tip", "credit", "reversed"),
    ("supplies", "pool"): ("", *RUNGS),
    ("pool_events", "kind"): POOL_KINDS,
    ("pool_events", "source"): STATES,
    ("pool_events", "target"): STATES,
    ("layer_events", "kind"): ("applied", "stripped", "abraded", "reversed"),
    ("layer_events", "surface_group"): tuple(one.value for one in SurfaceGroup),
    ("judgements", "surface_group"): tuple(one.value for one in SurfaceGroup),
    ("orders", "state"): ("written", "sent", "part", "received", "cancelled"),
    ("days", "state"): ("open", "closed"),
}
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
        words = _WORDS.get((line.record, name))
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
