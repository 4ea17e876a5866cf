"""Finding without a full text, on any database: every text is gone through for the words.

The twin of `full_text`, which asks it where that cannot answer: until it is made, after many things
came at once, or where what it holds is damaged. Accents and slips are not forgiven here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from sqlalchemy import Connection, String, and_, cast, func, or_, select

from app.records.asking import anywhere
from app.records.finding.asked import Asked
from app.records.finding.documents import INVOICE, KINDS, MODELS, key_of
from app.records.models import (
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

_MOST = 24  # of a kind
_Says = Callable[[str], Sequence[Any]]


def _texts(*columns: Any) -> _Says:
    return lambda word: [anywhere(column, word) for column in columns]


def _of(own: Any, link: Any, *columns: Any) -> _Says:
    """The rows of another table say it of this thing."""
    return lambda word: [own.in_(select(link).where(or_(*_texts(*columns)(word))))]


def _numbered(number: Any, *called: str) -> _Says:
    def says(word: str) -> Sequence[Any]:
        digits = word.lstrip("0")
        is_number = digits.isdigit() and len(digits) < 10
        return [cast(number, String).like(f"{digits}%")] if is_number else [word in called]

    return says


def _exactly(number: Any, *called: str) -> _Says:
    def says(word: str) -> Sequence[Any]:
        digits = word.lstrip("0")
        is_number = digits.isdigit() and len(digits) < 10
        return [number == int(digits)] if is_number else [word in called]

    return says


def _begun(column: Any) -> _Says:
    """One of the words of the column begins so; a word has letters and digits only."""
    return lambda word: [column.ilike(f"{word}%"), column.ilike(f"% {word}%")]


def _all(*parts: _Says) -> _Says:
    return lambda word: [one for part in parts for one in part(word)]


def _squashed(column: Any) -> _Says:
    bare = func.replace(func.replace(column, " ", ""), "-", "")
    return lambda word: [anywhere(bare, word)]


_owned = select(OwnerLink.vehicle_id).join(Customer, Customer.id == OwnerLink.customer_id)
_holding = (
    select(OwnerLink.customer_id)
    .join(Vehicle, Vehicle.id == OwnerLink.vehicle_id)
    .where(OwnerLink.to_day.is_(None))
)
_ordered = select(OrderLine.order_id).join(Supply, Supply.id == OrderLine.supply_id)
_invoiced = select(InvoiceLine.job_id).join(Invoice, Invoice.id == InvoiceLine.invoice_id)
_phones = _texts(Customer.phone, Customer.phone_as_typed, Customer.second_phone)
# Of each kind: what it is called; what else says it; what a number or plate as a whole may be.
_SAYS: dict[str, tuple[_Says, _Says, _Says]] = {
    "customer": (
        _texts(Customer.name),
        _all(_texts(Customer.household, Customer.email, Customer.street, Customer.city,
                    Customer.region, Customer.postal_code, Customer.country,
                    Customer.season_title, Customer.tax_exempt_no, Customer.notes), _phones,
             lambda word: [Customer.id.in_(_holding.where(or_(
                 anywhere(Vehicle.description, word), *_squashed(Vehicle.plate)(word))))]),
        _phones,
    ),
    "vehicle": (
        _all(_texts(Vehicle.description, Vehicle.make, Vehicle.model, Vehicle.color,
                    Vehicle.fleet_unit, cast(Vehicle.year, String)), _squashed(Vehicle.plate)),
        _all(_texts(Vehicle.vin, Vehicle.notes),
             lambda word: [Vehicle.id.in_(_owned.where(anywhere(Customer.name, word)))]),
        _squashed(Vehicle.plate),
    ),
    "job": (
        _numbered(Job.number, "job"),
        _all(_texts(Job.title, Job.notes, Job.drift_reason),
             _of(Job.customer_id, Customer.id, Customer.name),
             _of(Job.vehicle_id, Vehicle.id, Vehicle.description),
             lambda word: [Job.vehicle_id.in_(
                 select(Vehicle.id).where(*_squashed(Vehicle.plate)(word)))],
             _of(Job.id, Receipt.job_id, Receipt.note),
             lambda word: [Job.id.in_(_invoiced.where(anywhere(INVOICE, word)))]),
        lambda word: [Job.vehicle_id.in_(
            select(Vehicle.id).where(*_squashed(Vehicle.plate)(word)))],
    ),
    "supply": (
        _texts(Supply.name),
        _all(_texts(Supply.shelf_place, Supply.notes), _of(Supply.id, Pack.supply_id, Pack.code),
             _of(Supply.id, Lot.supply_id, Lot.code)),
        _texts(),
    ),
    "supplier": (
        _texts(Supplier.name),
        _texts(Supplier.email, Supplier.address, Supplier.account_no, Supplier.notes,
               Supplier.phone),
        _texts(Supplier.phone),
    ),
    "service": (
        _texts(Service.name),
        _all(_texts(Service.notes), _of(Service.id, ServiceStep.service_id, ServiceStep.name)),
        _texts(),
    ),
    "order": (
        _numbered(Order.number, "order"),
        _all(_texts(Order.note), _of(Order.supplier_id, Supplier.id, Supplier.name),
             lambda word: [Order.id.in_(_ordered.where(anywhere(Supply.name, word)))]),
        _texts(),
    ),
    "letter": (
        lambda word: ["letter".startswith(word)],
        _all(_texts(Reminder.subject), _of(Reminder.customer_id, Customer.id, Customer.name)),
        _texts(),
    ),
}  # fmt: skip


# What comes first of a kind, else the newest would stand before what was typed.
_FIRST: dict[str, _Says] = {
    "customer": _begun(Customer.name),
    "job": _exactly(Job.number, "job"),
    "supply": _begun(Supply.name),
    "supplier": _begun(Supplier.name),
    "service": _begun(Service.name),
    "order": _exactly(Order.number, "order"),
}
_NEVER: _Says = _texts()


def look_up(connection: Connection, what: Asked, kinds: Sequence[str] = KINDS) -> dict[int, int]:
    """The keys of what was asked for, with a grade: 0 called just so or a word of
    its name begins so, 1 called so, 2 else; of a kind and grade the newest."""
    found: dict[int, int] = {}
    for kind in kinds:
        called, else_said, at_whole = _SAYS[kind]
        own = MODELS[KINDS.index(kind)]
        first = and_(*(or_(False, *_FIRST.get(kind, _NEVER)(word)) for word in what.words))
        named = and_(*(or_(False, *called(word)) for word in what.words))
        said = and_(*(or_(False, *called(word), *else_said(word)) for word in what.words))
        whole = or_(False, *(one for word in what.whole for one in at_whole(word)))
        for grade, where in ((0, first), (1, named), (2, or_(said, whole))):
            query = select(own.id).where(where).order_by(own.id.desc()).limit(_MOST)
            if own is Reminder:
                query = query.where(Reminder.state != "dropped")
            for number in connection.scalars(query):
                found.setdefault(key_of(kind, number), grade)
    return found
