"""Everything that the book holds of one customer: whose rows they are, and the rows themselves."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from sqlalchemy import Table, func, select
from sqlalchemy.orm import Session

from app.records.asking import in_parts, to_write
from app.records.models import Customer, OwnerLink
from app.records.queries.everything import Row, blank
from app.records.undo.images import key_column, table_named

Ids = dict[str, set[Any]]

# A kind of row belongs to a person by these columns, each with the kind before it that it names.
BY: dict[str, dict[str, str]] = {
    "consents": {"customer_id": "customers"},
    "owner_links": {"customer_id": "customers"},
    "jobs": {"customer_id": "customers"},
    "job_services": {"job_id": "jobs"},
    "job_steps": {"job_id": "jobs"},
    "job_moves": {"job_id": "jobs"},
    "hours": {"job_id": "jobs"},
    "uses": {"job_id": "jobs"},
    "charges": {"job_id": "jobs"},
    "receipts": {"customer_id": "customers", "job_id": "jobs"},
    "invoices": {"payer_id": "customers"},
    "invoice_lines": {"invoice_id": "invoices", "job_id": "jobs"},
    "invoice_taxes": {"invoice_id": "invoices"},
    "invoice_words": {"invoice_id": "invoices"},
    "estimates": {"job_id": "jobs"},
    "estimate_lines": {"estimate_id": "estimates"},
    "hold_points": {"estimate_id": "estimates"},
    "estimate_calls": {"estimate_id": "estimates"},
    "layer_events": {"vehicle_id": "vehicles", "job_id": "jobs"},
    "judgements": {"vehicle_id": "vehicles", "job_id": "jobs"},
    "reminders": {"customer_id": "customers"},
    "reminder_items": {"reminder_id": "reminders"},
    "reminder_events": {"reminder_id": "reminders"},
}
# What is of a vehicle's present holder, and not of one before.
_OF_ITS_HOLDER = (
    "plate", "plate_region", "vin", "fleet_unit", "exposure", "lease_ends", "stored_until", "notes",
)  # fmt: skip


def named(session: Session, text: str, limit: int = 6) -> list[tuple[int, str]]:
    """Key and name of the customers of exactly that name, whatever its capitals; else of those
    whose name holds it. A whole number is a key."""
    wanted = text.strip().casefold()
    found = session.execute(select(Customer.id, Customer.name).order_by(Customer.id))
    people = [(int(key), str(name)) for key, name in found]
    if wanted.isdecimal():
        return [one for one in people if one[0] == int(wanted)]
    same = [one for one in people if one[1].casefold() == wanted]
    return (same or [one for one in people if wanted and wanted in one[1].casefold()])[:limit]


def ids_of(session: Session, customer_id: int) -> Ids:
    """The keys of a customer's rows by kind; of vehicles those that nobody held after them."""
    held = {link.vehicle_id for link in to_write(session, OwnerLink, customer_id=customer_id)}
    found: Ids = {
        "customers": {customer_id},
        "vehicles": {one for one in held if _last_holder(session, one) == customer_id},
    }
    for kind, by in BY.items():
        table = table_named(kind)
        found[kind] = {
            row[key_column(table).name]
            for column, of in by.items()
            for row in _rows(session, table, column, found[of])
        }
    return found


def _last_holder(session: Session, vehicle_id: int) -> int:
    links = to_write(session, OwnerLink, vehicle_id=vehicle_id)
    last = max(links, key=lambda one: (one.to_day is None, one.from_day or date.min, one.id))
    return last.customer_id


def rows_of(session: Session, customer_id: int) -> dict[str, list[Row]]:
    """A customer's rows by kind, each with its key under "id".

    Of a vehicle that somebody else holds now only what it is, and nothing of its holder.
    """
    ids = ids_of(session, customer_id)
    found = {}
    for kind, keys in ids.items():
        table = table_named(kind)
        found[kind] = list(_rows(session, table, key_column(table).name, keys))
    gone = {link["vehicle_id"] for link in found["owner_links"]} - ids["vehicles"]
    nothing = {name: blank("vehicles")[name] for name in _OF_ITS_HOLDER}
    found["vehicles"] += [
        row | nothing for row in _rows(session, table_named("vehicles"), "id", gone)
    ]
    return found


def _rows(session: Session, table: Table, column: str, wanted: Iterable[Any]) -> Iterable[Row]:
    for part in in_parts(wanted):
        query = select(table).where(table.c[column].in_(part)).order_by(key_column(table))
        for row in session.execute(query).mappings():
            yield dict(row)


def names_beside(session: Session) -> dict[str, dict[int, str]]:
    """By kind, what to show beside a key that leads to no row of the person's own."""
    shown = {"suppliers": "name", "supplies": "name", "services": "name"}
    return {
        kind: {
            key: name
            for key, name in session.execute(
                select(table_named(kind).c.id, table_named(kind).c[column])
            )
        }
        for kind, column in shown.items()
    }


def shared(session: Session, customer_id: int, column: str, value: str) -> bool:
    """Whether another customer says the same in a column."""
    of = getattr(Customer, column)
    query = select(func.count()).where(Customer.id != customer_id, func.lower(of) == value.lower())
    return bool(session.scalar(query))
