"""What a line of a file does to its row: how columns are set, and what is told of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from app.actions.exchange.drafts import Draft
from app.documents.reading.lines import Line

_LABELS = {
    "name": "name", "is_firm": "firm", "phone": "phone", "second_phone": "second phone",
    "email": "email", "street": "street", "city": "city", "region": "state",
    "postal_code": "zip", "country": "country", "household": "household", "asks_by": "prefers",
    "may_remind": "may remind", "stopped_on": "stopped on", "deceased": "deceased",
    "referred_by_id": "referred by", "tax_exempt_no": "tax exemption no.", "since": "since",
    "notes": "notes", "description": "description", "year": "year", "make": "make",
    "model": "model", "color": "color", "plate": "plate", "plate_region": "plate state",
    "vin": "VIN", "fleet_unit": "fleet unit", "size_outside": "size", "size_inside": "size inside",
    "exposure": "where it stands", "lease_ends": "lease end",
}  # fmt: skip


@dataclass(slots=True)
class Outcome:
    """What a line does: the row it is about, whether it made it, what it changes, what to know."""

    line: Line
    draft: Draft | None = None
    made: bool = False
    changes: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    refused: str = ""


def label(name: str) -> str:
    """A column's name in words."""
    return _LABELS.get(name, name.replace("_", " "))


def take(
    outcome: Outcome,
    draft: Draft,
    name: str,
    value: Any,
    *,
    weak: bool = False,
    say: Callable[[Any], str] = str,
) -> None:
    """Set a column from a line: the first line that speaks of it counts.

    `weak` fills an empty column only and never contradicts what stands; `say` words a value.
    """
    if value in ("", None, (), []):
        return
    now = draft.get(name)
    if name in draft.told and draft.get(name) not in ("", None):
        if now != value and not weak:
            outcome.remarks.append(
                f"{label(name)} “{say(value)}” was left out: an earlier line says “{say(now)}”"
            )
        return
    if weak and now not in ("", None, False):
        return
    draft.told.add(name)
    if now == value:
        return
    draft.values[name] = value
    if not outcome.made:
        outcome.changes.append(
            f"{label(name)}: {say(value)}"
            if now in ("", None)
            else f"{label(name)}: {say(now)} → {say(value)}"
        )


def add_notes(outcome: Outcome, draft: Draft, text: str) -> None:
    """Add what the notes do not say yet, line by line."""
    stood = str(draft.get("notes") or "")
    known = {line.strip() for line in stood.splitlines()}
    fresh = [line for line in text.splitlines() if line.strip() and line.strip() not in known]
    if fresh:
        draft.values["notes"] = "\n".join([*([stood] if stood else []), *dict.fromkeys(fresh)])
        if not outcome.made:
            outcome.changes.append("notes: " + "; ".join(fresh)[:120])
