"""What a line of a file does to its row: how columns are set, and what is told of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from app.actions.exchange.drafts import Draft
from app.actions.exchange.near_names import NearName
from app.documents.export.layout import BY_KIND
from app.documents.reading.lines import Line


@dataclass(slots=True)
class LineOutcome:
    """What a line does: the row it is about, whether it made it, what it changes, what to know."""

    line: Line
    draft: Draft | None = None
    made: bool = False
    changes: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    refused: str = ""
    asks: NearName | None = None


def _label(kind: str, name: str) -> str:
    """A column's name in words, as the export heads it."""
    heading = BY_KIND[kind].field(name).heading
    return heading if heading.isupper() else heading[:1].lower() + heading[1:]


def take(
    outcome: LineOutcome,
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
    label = _label(draft.kind, name)
    now = draft.get(name)
    if name in draft.told and draft.get(name) not in ("", None):
        if now != value and not weak:
            outcome.remarks.append(
                f"{label} “{say(value)}” was left out: an earlier line says “{say(now)}”"
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
            f"{label}: {say(value)}" if now in ("", None) else f"{label}: {say(now)} → {say(value)}"
        )


def add_notes(outcome: LineOutcome, draft: Draft, text: str) -> None:
    """Add what the notes do not say yet, line by line."""
    stood = str(draft.get("notes") or "")
    known = {line.strip() for line in stood.splitlines()}
    fresh = [line for line in text.splitlines() if line.strip() and line.strip() not in known]
    if fresh:
        draft.values["notes"] = "\n".join([*([stood] if stood else []), *dict.fromkeys(fresh)])
        if not outcome.made:
            outcome.changes.append("notes: " + "; ".join(fresh)[:120])
