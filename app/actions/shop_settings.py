"""Changing the shop's settings, each change by its own name."""

from __future__ import annotations

from typing import Any

from app.actions.desk import NOTHING, Changed, Desk
from app.actions.settings import checked
from app.calculations.units import System
from app.errors import Mendable
from app.records.queries import settings as queries

# Every page shows money, units or days: a setting may change what stands on any of them.
KINDS = frozenset(
    {
        "settings", "customers", "vehicles", "supplies", "stock", "services", "jobs", "hours",
        "uses", "money", "layers", "orders", "reminders", "days",
    }
)  # fmt: skip
NAMES = {
    "shop_name": "The shop’s name",
    "shop_address": "The shop’s address",
    "shop_phone": "The shop’s telephone",
    "shop_email": "The shop’s mail address",
    "currency": "Currency",
    "system": "Units",
    "tax_rate": "Tax rate",
    "tax_rule": "Where tax is rounded",
    "zone": "Time zone",
    "region": "Country of telephone numbers",
    "date_order": "Order of dates in files",
    "dilution_reading": "How dilutions are read",
    "hourly_rate": "Hourly rate",
    "hours_a_day": "Hours of a working day",
    "service_quantile": "How sure orders are",
    "reminder_rules": "Reminder rules",
    "mail_host": "Mail server",
    "mail_port": "Mail server’s port",
    "mail_security": "Mail security",
    "mail_user": "Mail user",
    "letter_text": "Wording of letters",
    "letter_subject": "Subject of letters",
}
READINGS = ("ask", "water_first", "product_first")  # app.calculations.dilution.Reading


def change_settings(desk: Desk, **values: Any) -> Changed:
    """Set these settings as one action; what stands already changes nothing."""
    new = {
        name: value
        for name, value in checked(values).items()
        if _plain(getattr(desk.settings, name)) != value
    }
    if not new:
        return NOTHING
    for name, value in new.items():
        if isinstance(value, str) and len(value) > 4000:
            raise Mendable(f"{NAMES.get(name, name)} is too long; shorten it.")
    first = NAMES.get(next(iter(new)), "Settings")
    name = f"{first} changed" if len(new) == 1 else "Settings changed"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        queries.write(session, new)
    desk.reload()
    return Changed(name, KINDS)


def _plain(value: Any) -> Any:
    return value.value if isinstance(value, System) else value
