"""What full exports of before say in other words than today's."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from app.actions.shop.tax_rates import WORK
from app.calculations.numbers.tax_rates import BEGINNING, MOST
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
        values["tax_kind"] = WORK if values.pop("taxed", True) else ""
    if kind == "movements" and "physical" not in columns:
        counted = values.get("kind") == "counted"
        values["physical"] = counted and (not note or note.startswith(_COUNTED))


def first_rate(settings: dict[str, Any]) -> dict[str, Any] | None:
    """The row of the one rate that was a setting, which it is taken out of; None without one."""
    rate = settings.pop("tax_rate", None)
    if not isinstance(rate, int) or isinstance(rate, bool) or not 0 < rate <= MOST:
        return None
    return {"id": 1, "kind": WORK, "place": "", "rate": rate, "from_day": BEGINNING, "words": ""}
