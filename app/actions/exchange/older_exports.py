"""What full exports of version 1 say in remarks, and today's in columns of their own."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from app.records.models import CONFIRMED, EXPECTED

_UNCONFIRMED = "expected, unconfirmed"
_COUNTED = "Counted"  # how the remark of a person's count began, if it had one


def with_columns_of_today(kind: str, columns: Collection[str], values: dict[str, Any]) -> None:
    """Complete a row's values in place, where the file has no such column."""
    note = str(values.get("note") or "")
    if kind == "receipts" and "state" not in columns:
        guessed = note == _UNCONFIRMED
        values["state"] = EXPECTED if guessed else CONFIRMED
        if guessed:
            values["note"] = ""
    if kind == "services" and "tax_kind" not in columns:
        values["tax_kind"] = "work" if values.pop("taxed", True) else ""
    if kind == "movements" and "physical" not in columns:
        counted = values.get("kind") == "counted"
        values["physical"] = counted and (not note or note.startswith(_COUNTED))
