"""What a row is called when we speak of it to a person."""

from __future__ import annotations

from datetime import date
from typing import Any

from sqlalchemy import Table
from sqlalchemy.engine import Connection

from app.calculations.numbers.dates import day_year
from app.records.undo.images import Values, rows_now, table_named

# Table -> (what one row is called, the column that names it, the link that names it).
_WORDS: dict[str, tuple[str, str, str]] = {
    "balances": ("the shelf's count at close", "", "supply_id"),
    "charges": ("the charge", "text", ""),
    "consents": ("a consent", "", "customer_id"),
    "customers": ("the customer", "name", ""),
    "days": ("the day sheet", "day", ""),
    "estimate_calls": ("a call about the price", "", ""),
    "estimate_lines": ("a line of an estimate", "text", ""),
    "estimates": ("an estimate", "", "job_id"),
    "expenses": ("the expense", "text", ""),
    "hold_points": ("a hold point", "text", ""),
    "hours": ("the hours", "", "job_id"),
    "invoice_lines": ("a line of an invoice", "text", ""),
    "invoice_taxes": ("the tax of an invoice", "", ""),
    "invoice_words": ("what was said of an invoice", "", ""),
    "invoices": ("an invoice", "number", ""),
    "job_moves": ("what moved of a job", "", "job_id"),
    "job_services": ("a service on a job", "", "service_id"),
    "job_steps": ("the step", "name", ""),
    "jobs": ("job", "number", ""),
    "judgements": ("a judgement of a layer", "", "vehicle_id"),
    "layer_events": ("a line of the layers", "", "vehicle_id"),
    "lots": ("a lot", "", "supply_id"),
    "movements": ("a line of the stock ledger", "", "supply_id"),
    "order_lines": ("an order line", "", "supply_id"),
    "orders": ("order", "number", ""),
    "owner_links": ("who holds a vehicle", "", "vehicle_id"),
    "pack_breaks": ("a price break", "", "pack_id"),
    "packs": ("the pack", "label", "supply_id"),
    "pool_events": ("a line of a pool", "", "supply_id"),
    "receipts": ("a receipt", "", "customer_id"),
    "recipe_lines": ("a recipe line", "", "supply_id"),
    "reminder_events": ("a line of the reminders", "", ""),
    "reminder_items": ("a layer in a reminder", "", "vehicle_id"),
    "photos": ("the photo", "name", ""),
    "repeats": ("the repeating expense", "text", ""),
    "reminders": ("a reminder", "", "customer_id"),
    "service_steps": ("the service step", "name", ""),
    "services": ("the service", "name", ""),
    "order_choices": ("a choice of packs", "", "supply_id"),
    "settings": ("the setting", "name", ""),
    "supplier_dates": ("announced days", "", "supplier_id"),
    "suppliers": ("the supplier", "name", ""),
    "supplies": ("the supply", "name", ""),
    "uses": ("a use", "", "supply_id"),
    "vehicles": ("the vehicle", "description", ""),
    "weather": ("the weather", "day", ""),
}

# Ledger lines name some rows without being bound to them, so the columns are not asked.
_LINKS = {
    "customer_id": "customers",
    "job_id": "jobs",
    "pack_id": "packs",
    "service_id": "services",
    "supplier_id": "suppliers",
    "supply_id": "supplies",
    "vehicle_id": "vehicles",
}


def spoken(connection: Connection, table: Table, key: Any, kept: Values | None = None) -> str:
    """A row in trade words: "the customer Ada Byrne", "a use of the supply rinseless wash".

    Args:
        connection: a connection to the book.
        table: the row's table.
        key: the row's key.
        kept: what the row said, for a row that is no longer there.
    """
    word, named_by, link = _WORDS.get(table.name, (f"a row of {table.name}", "", ""))
    kept = rows_now(connection, table, [key]).get(key) or kept or {}
    text = str(kept.get(named_by, "") or "") if named_by else ""
    if not text and isinstance(key, date):
        text = day_year(key)
    if not text and named_by and isinstance(key, str):
        text = key
    words = f"{word} {text}".strip()
    if link and kept.get(link) is not None:
        words += f" ({spoken(connection, table_named(_LINKS[link]), kept[link])})"
    if kept.get("day") and table.name != "days":
        words += f" of {day_year(date.fromisoformat(str(kept['day'])))}"
    return words
