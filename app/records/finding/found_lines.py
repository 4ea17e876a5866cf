"""What the finder shows of each thing that was found: its name, what stands beside it, and where
else a word was found that is not seen in these."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.calculations.numbers.spelling import words_of
from app.records.asking import grouped
from app.records.finding.asked import Asked
from app.records.models import (
    Customer,
    Job,
    Order,
    OwnerLink,
    Reminder,
    Service,
    Supplier,
    Supply,
    Vehicle,
)

_AROUND = 24  # letters of a note before the word that was found in it, and twice that behind


@dataclass(frozen=True)
class Line:
    """A thing that was found; `day` and `state` where it has them; `more` is what else it says,
    `of_id` whose it is."""

    id: int
    text: str
    usual: str
    archived: bool = False
    more: Sequence[str] = ()
    day: date | None = None
    of_id: int | None = None
    state: str = ""


def _comma(*parts: str | None) -> str:
    return ", ".join(part for part in parts if part)


def _customers(session: Session, ids: Sequence[int]) -> Iterable[Line]:
    held = grouped(
        session.execute(
            select(OwnerLink.customer_id, Vehicle.description)
            .join(Vehicle, Vehicle.id == OwnerLink.vehicle_id)
            .where(
                OwnerLink.customer_id.in_(ids),
                OwnerLink.to_day.is_(None),
                Vehicle.archived_on.is_(None),
            )
            .order_by(OwnerLink.id)
        ),
        "customer_id",
    )
    for c in session.execute(select(Customer.__table__).where(Customer.id.in_(ids))):
        address = _comma(c.street, c.city), _comma(c.postal_code, c.city, c.region, c.country)
        phones = c.phone_as_typed or c.phone, c.phone, c.second_phone
        others = c.email, c.household, c.season_title, c.tax_exempt_no, c.notes
        vehicles = _comma(*(one.description for one in held.get(c.id, ())))
        more = (*address, *phones, *others)
        yield Line(c.id, c.name, vehicles, c.archived_on is not None, more)


def _vehicles(session: Session, ids: Sequence[int]) -> Iterable[Line]:
    owners = grouped(
        session.execute(
            select(OwnerLink.vehicle_id, Customer.name)
            .join(Customer, Customer.id == OwnerLink.customer_id)
            .where(OwnerLink.vehicle_id.in_(ids))
            .order_by(OwnerLink.to_day.is_(None).desc(), OwnerLink.id.desc())
        ),
        "vehicle_id",
    )
    for v in session.execute(select(Vehicle.__table__).where(Vehicle.id.in_(ids))):
        names = [one.name for one in owners.get(v.id, ())]
        kind = " ".join(str(part) for part in (v.year, v.make, v.model) if part)
        more = (kind, v.color, v.fleet_unit, v.vin, v.notes, *(f"once of {n}" for n in names[1:]))
        usual = _comma(v.plate, *names[:1])
        yield Line(v.id, v.description, usual, v.archived_on is not None, more)


def _jobs(session: Session, ids: Sequence[int]) -> Iterable[Line]:
    query = (
        select(Job.__table__, Customer.name, Vehicle.description, Vehicle.plate)
        .outerjoin(Customer, Customer.id == Job.customer_id)
        .outerjoin(Vehicle, Vehicle.id == Job.vehicle_id)
    )
    for j in session.execute(query.where(Job.id.in_(ids))):
        usual = _comma(j.name, j.title or j.description)
        more = (j.description or "", j.plate or "", j.notes, j.drift_reason)
        yield Line(j.id, f"Job {j.number:04d}", usual, False, more, j.done_on or j.first_day)


def _supplies(session: Session, ids: Sequence[int]) -> Iterable[Line]:
    query = select(Supply.id, Supply.name, Supply.shelf_place, Supply.archived_on, Supply.notes)
    for s in session.execute(query.where(Supply.id.in_(ids))):
        yield Line(s.id, s.name, s.shelf_place, s.archived_on is not None, (s.notes,))


def _suppliers(session: Session, ids: Sequence[int]) -> Iterable[Line]:
    for s in session.execute(select(Supplier.__table__).where(Supplier.id.in_(ids))):
        yield Line(s.id, s.name, s.email, more=(s.phone, s.address, s.account_no, s.notes))


def _services(session: Session, ids: Sequence[int]) -> Iterable[Line]:
    query = select(Service.id, Service.name, Service.stopped, Service.notes)
    for s in session.execute(query.where(Service.id.in_(ids))):
        yield Line(s.id, s.name, "no longer sold" if s.stopped else "", more=(s.notes,))


def _orders(session: Session, ids: Sequence[int]) -> Iterable[Line]:
    query = select(Order.__table__, Supplier.name).join(Supplier, Supplier.id == Order.supplier_id)
    for o in session.execute(query.where(Order.id.in_(ids))):
        text, usual = f"Order {o.number:04d}", _comma(o.state, o.name)
        yield Line(o.id, text, usual, False, (o.note,), o.day, o.supplier_id, o.state)


def _letters(session: Session, ids: Sequence[int]) -> Iterable[Line]:
    query = select(Reminder.__table__, Customer.name)
    query = query.join(Customer, Customer.id == Reminder.customer_id)
    for r in session.execute(query.where(Reminder.id.in_(ids))):
        usual = _comma(r.name, r.state)
        text = r.subject or "Letter"
        yield Line(r.id, text, usual, day=r.day, of_id=r.customer_id, state=r.state)


lines: dict[str, Callable[[Session, Sequence[int]], Iterable[Line]]] = {
    "customer": _customers, "vehicle": _vehicles, "job": _jobs, "supply": _supplies,
    "supplier": _suppliers, "service": _services, "order": _orders, "letter": _letters,
}  # fmt: skip


# where a word was found ---------------------------------------------------------------------
def found_in(what: Asked, line: Line) -> str:
    """What of the rest a word was found in that is not seen otherwise; nothing where all are."""
    have = words_of(f"{line.text} {line.usual}")
    for word in what.words:
        meant = (word, *what.near.get(word, ()))
        if any(_is_said(one, have) for one in meant):
            continue
        for text in filter(None, line.more):
            for one in meant:
                if _is_said(one, words_of(text)) or _is_number_in(one, what, text):
                    return _around(text, one)
    return ""


def _is_said(word: str, words: Sequence[str]) -> bool:
    return any(one.startswith(word) for one in words)


def _is_number_in(word: str, what: Asked, text: str) -> bool:
    digits = "".join(c for c in text if c.isdigit())
    return any(len(one) > 2 and one.isdigit() and one in digits for one in {word, *what.whole})


def _around(text: str, word: str) -> str:
    """A short text as it is; of a long one what stands around the word."""
    flat = " ".join(text.split())
    if len(flat) <= 2 * _AROUND:
        return flat
    at = max(flat.lower().find(word), 0)
    start = flat.rfind(" ", 0, max(at - _AROUND, 0)) + 1
    piece = flat[start : at + 2 * _AROUND]
    return f"{'…' if start else ''}{piece}{'…' if start + len(piece) < len(flat) else ''}"
