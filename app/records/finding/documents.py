"""What finding knows of each thing of the book: the words by which a person remembers it.

A thing is a kind and its number; both together are one number, `key_of`. Everything here is read
off other tables at any time, so nothing of it is exported, undone or salvaged.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, String, cast, func, select

from app.calculations.numbers.spelling import words_of
from app.records.asking import in_parts
from app.records.models import (
    Action,
    Customer,
    Invoice,
    InvoiceLine,
    Job,
    Lot,
    Order,
    OrderLine,
    OwnerLink,
    Pack,
    Receipt,
    Reminder,
    Service,
    ServiceStep,
    Supplier,
    Supply,
    Vehicle,
)
from app.records.undo.images import RowImage

# The kinds in the order in which they are shown where nothing else tells them apart.
KINDS = (
    "customer", "vehicle", "job", "supply", "supplier", "service", "order", "letter",
)  # fmt: skip
MODELS: tuple[Any, ...] = (Customer, Vehicle, Job, Supply, Supplier, Service, Order, Reminder)
_ROOM = 1 << 40  # more than a table ever has rows
BACKWARDS = "~"  # before digits that are kept from their end

Words = tuple[str, str]  # what it is called, and all else by which it is found


def key_of(kind: str, number: int) -> int:
    """The one number of a thing: those of a kind follow each other."""
    return (KINDS.index(kind) + 1) * _ROOM + number


def thing_of(key: int) -> tuple[str, int]:
    """The kind and number of a key."""
    kind, number = divmod(key, _ROOM)
    return KINDS[kind - 1], number


def span_of(kind: str) -> tuple[int, int]:
    """The least and the greatest key of a kind."""
    first = key_of(kind, 0)
    return first, first + _ROOM - 1


# words --------------------------------------------------------------------------------------
def _said(*texts: Any) -> str:
    """The words of texts, each once, in their order."""
    found: dict[str, None] = {}
    for text in texts:
        if text:
            found.update(dict.fromkeys(words_of(str(text))))
    return " ".join(found)


def backwards(text: str) -> str:
    """The digits of a number from its end, under a mark that no word has."""
    return BACKWARDS + "".join(c for c in text if c.isalnum()).lower()[::-1]


def _phone(text: str) -> str:
    """A telephone number as found: from its beginning, and from its last digits."""
    digits = "".join(c for c in text if c.isdigit())
    return f"{digits} {BACKWARDS}{digits[::-1]}" if digits else ""


def _plate(text: str) -> str:
    """A plate as found: with and without its spaces, and by its letters and digits apart."""
    parts = words_of(text)
    whole = "".join(parts)
    apart, last = [], ""
    for letter in whole:
        if not last or letter.isdigit() != last.isdigit():
            apart.append("")
        apart[-1] += letter
        last = letter
    return " ".join(dict.fromkeys([whole, *parts, *apart])) if whole else ""


def _joined(*parts: str) -> str:
    return " ".join(part for part in parts if part)


def _customer(row: Any, vehicles: Sequence[str]) -> Words:
    return _said(row.name), _joined(
        _said(row.household, row.email, row.street, row.city, row.region, row.postal_code,
              row.country, row.season_title, row.tax_exempt_no, row.notes, *vehicles),
        *dict.fromkeys(map(_phone, (row.phone, row.phone_as_typed, row.second_phone))),
    )  # fmt: skip


def _vehicle(row: Any, owners: Sequence[str]) -> Words:
    title = _said(row.description, row.year, row.make, row.model, row.color, row.fleet_unit)
    vin = _joined(_said(row.vin), backwards(row.vin)) if row.vin else ""
    return _joined(title, _plate(row.plate)), _joined(_said(*owners, row.notes), vin)


def _job(row: Any, notes: Sequence[str]) -> Words:
    return f"job {row.number:04d} {row.number}", _joined(
        _said(row.title, row.customer, row.vehicle, row.notes, row.drift_reason, *notes),
        "".join(words_of(row.plate or "")),
    )


def _supply(row: Any, more: Sequence[str]) -> Words:
    return _said(row.name), _said(row.shelf_place, row.notes, *more)


def _supplier(row: Any, _more: Sequence[str]) -> Words:
    more = _said(row.email, row.address, row.account_no, row.notes)
    return _said(row.name), _joined(more, _phone(row.phone))


def _service(row: Any, steps: Sequence[str]) -> Words:
    return _said(row.name), _said(row.notes, *steps)


def _order(row: Any, supplies: Sequence[str]) -> Words:
    title = f"order {row.number:04d} {row.number}"
    return title, _said(row.supplier, row.note, *supplies)


def _letter(row: Any, _more: Sequence[str]) -> Words:
    return "letter", _said(row.subject, row.customer)


# `invoice 2026-0143`, by which the jobs on it are found; of a credit note `credit 2026-0009`.
INVOICE = (
    Invoice.kind
    + " "
    + cast(Invoice.year, String)
    + "-"
    + func.substr(cast(10_000 + Invoice.number, String), 2)
)


# reading ------------------------------------------------------------------------------------
_c, _v = Customer.__table__.c, Vehicle.__table__.c
_Build = Callable[[Any, Sequence[str]], Words]
# Of each kind: its row with the names beside it; texts that stand in other tables, with its number.
_READ: dict[str, tuple[Any, tuple[Any, ...], _Build]] = {
    "customer": (
        select(Customer.__table__),
        (select(OwnerLink.customer_id, Vehicle.description + " " + Vehicle.plate)
         .join(Vehicle, Vehicle.id == OwnerLink.vehicle_id)
         .where(OwnerLink.to_day.is_(None)),),
        _customer,
    ),
    "vehicle": (
        select(Vehicle.__table__),
        (select(OwnerLink.vehicle_id, Customer.name)
         .join(Customer, Customer.id == OwnerLink.customer_id),),
        _vehicle,
    ),
    "job": (
        select(Job.id, Job.number, Job.title, Job.notes, Job.drift_reason,
               Customer.name.label("customer"), Vehicle.description.label("vehicle"), Vehicle.plate)
        .outerjoin(Customer, Customer.id == Job.customer_id)
        .outerjoin(Vehicle, Vehicle.id == Job.vehicle_id),
        (select(Receipt.job_id, Receipt.note).where(Receipt.note != ""),
         select(InvoiceLine.job_id, INVOICE).join(Invoice, Invoice.id == InvoiceLine.invoice_id)
         .distinct()),
        _job,
    ),
    "supply": (
        select(Supply.id, Supply.name, Supply.shelf_place, Supply.notes),
        (select(Pack.supply_id, Pack.code).where(Pack.code != ""),
         select(Lot.supply_id, Lot.code).where(Lot.code != "")),
        _supply,
    ),
    "supplier": (select(Supplier.__table__), (), _supplier),
    "service": (
        select(Service.id, Service.name, Service.notes),
        (select(ServiceStep.service_id, ServiceStep.name),),
        _service,
    ),
    "order": (
        select(Order.id, Order.number, Order.note, Supplier.name.label("supplier"))
        .join(Supplier, Supplier.id == Order.supplier_id),
        (select(OrderLine.order_id, Supply.name)
         .join(Supply, Supply.id == OrderLine.supply_id),),
        _order,
    ),
    "letter": (
        select(Reminder.id, Reminder.subject, Customer.name.label("customer"))
        .join(Customer, Customer.id == Reminder.customer_id)
        .where(Reminder.state != "dropped"),
        (),
        _letter,
    ),
}  # fmt: skip


def documents(connection: Connection, keys: Iterable[int]) -> dict[int, Words]:
    """The words of things by their keys, as the book stands; those not there are left out."""
    by_kind: dict[str, list[int]] = {}
    for key in keys:
        kind, number = thing_of(key)
        by_kind.setdefault(kind, []).append(number)
    found: dict[int, Words] = {}
    for kind, numbers in by_kind.items():
        read, beside, build = _READ[kind]
        own = MODELS[KINDS.index(kind)].id
        for part in in_parts(numbers):
            more: dict[int, list[str]] = {}
            for query in beside:
                link = query.selected_columns[0]
                for number, text in connection.execute(query.where(link.in_(part))):
                    more.setdefault(number, []).append(text)
            for row in connection.execute(read.where(own.in_(part))):
                found[key_of(kind, row.id)] = build(row, more.get(row.id, ()))
    return found


# what a change touches ----------------------------------------------------------------------
# Columns of a thing's own table that say something of it; others may change as they like.
_SAYING = {
    "customers": {"name", "household", "email", "street", "city", "region", "postal_code",
                  "country", "season_title", "tax_exempt_no", "notes", "phone", "phone_as_typed",
                  "second_phone"},
    "vehicles": {"description", "year", "make", "model", "color", "fleet_unit", "vin", "plate",
                 "notes"},
    "jobs": {"number", "title", "notes", "drift_reason", "customer_id", "vehicle_id"},
    "supplies": {"name", "shelf_place", "notes"},
    "suppliers": {"name", "email", "address", "account_no", "notes", "phone"},
    "services": {"name", "notes"},
    "orders": {"number", "note", "supplier_id"},
    "reminders": {"subject", "customer_id", "state"},
}  # fmt: skip
_OWN = {model.__tablename__: kind for kind, model in zip(KINDS, MODELS, strict=True)}
# Rows that say something of other things: by which column, of which kind.
_BESIDE = {
    "owner_links": (("vehicle_id", "vehicle"), ("customer_id", "customer")),
    "receipts": (("job_id", "job"),),
    "invoice_lines": (("job_id", "job"),),
    "packs": (("supply_id", "supply"),),
    "lots": (("supply_id", "supply"),),
    "service_steps": (("service_id", "service"),),
    "order_lines": (("order_id", "order"),),
}
# Names that stand in the words of other things: which columns, and whose words they are in.
_NAMED: dict[str, tuple[set[str], tuple[tuple[str, Any, Any], ...]]] = {
    "customers": ({"name"}, (("vehicle", OwnerLink.vehicle_id, OwnerLink.customer_id),
                             ("job", Job.id, Job.customer_id),
                             ("letter", Reminder.id, Reminder.customer_id))),
    "vehicles": ({"description", "plate"},
                 (("job", Job.id, Job.vehicle_id),
                  ("customer", OwnerLink.customer_id, OwnerLink.vehicle_id))),
    "suppliers": ({"name"}, (("order", Order.id, Order.supplier_id),)),
    "supplies": ({"name"}, (("order", OrderLine.order_id, OrderLine.supply_id),)),
}  # fmt: skip


def touched(connection: Connection, images: Sequence[RowImage]) -> set[int]:
    """The keys of the things whose words a change may have changed."""
    keys: set[int] = set()
    named: dict[str, set[int]] = {}
    beside: dict[Any, set[int]] = {}
    for image in images:
        table, both = image.table.name, (image.before or {}, image.after or {})
        columns = both[0].keys() | both[1].keys()
        if table in _OWN and columns & _SAYING[table]:
            keys.add(key_of(_OWN[table], image.key))
            if table in _NAMED and columns & _NAMED[table][0]:
                named.setdefault(table, set()).add(image.key)
        elif table in _BESIDE and (table != "receipts" or any(one.get("note") for one in both)):
            for column, kind in _BESIDE[table]:
                keys |= {key_of(kind, one[column]) for one in both if one.get(column)}
                if column not in columns:
                    beside.setdefault((image.table.c[column], kind), set()).add(image.key)
    for (link, kind), rows in beside.items():
        for part in in_parts(rows):
            links = select(link).where(link.table.c.id.in_(part), link.is_not(None))
            keys |= {key_of(kind, number) for number in connection.scalars(links)}
    for name, numbers in named.items():
        for kind, number, by in _NAMED[name][1]:
            for part in in_parts(numbers):
                found = connection.scalars(select(number).where(by.in_(part)))
                keys |= {key_of(kind, one) for one in found}
    return keys


def newest_action(connection: Connection, before: int | None = None) -> int:
    """The number of the newest action, or of the one before another; 0 without one."""
    query = select(func.max(Action.id))
    if before is not None:
        query = query.where(Action.id < before)
    return connection.scalar(query) or 0
