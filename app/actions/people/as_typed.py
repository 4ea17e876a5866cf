"""A person or a vehicle typed in one line, read as the importer reads it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from app.actions.desk.desk import Changed, Desk
from app.actions.desk.telephones import shown_phone
from app.actions.people import customers, vehicles
from app.documents.reading.callers import CallerWords, read_caller
from app.documents.reading.people import read_mails, read_phones
from app.documents.reading.vehicles import VehicleWords, make_and_model, read_vehicles
from app.errors import Mendable
from app.records.queries import people as queries
from app.records.queries.people import CustomerRow

_TELEPHONE = re.compile(r"(?=(?:.*\d){7})(?:tel\.? ?)?[+(]?\d[\d ()/.-]*", re.IGNORECASE)
CANDIDATES = 300  # customers looked at, of those that a name or number finds


def read_person(desk: Desk, typed: str) -> CallerWords:
    """A name, with the telephone numbers and mail addresses beside it."""
    return read_caller(typed, desk.settings.region)


def person_fields(person: CallerWords) -> dict[str, Any]:
    """What was read, as fields of a customer; a name in small letters gets its capitals.

    What cannot be read is kept among the notes. Raises `Mendable` where nobody is named.
    """
    name = person.name or next(iter((*person.phones, *person.mails)), "")
    if not name:
        raise Mendable("Type a name first; a telephone or mail may stand beside it.")
    if person.name and not any(letter.isupper() for letter in name):
        name = name.title()
    fields: dict[str, Any] = {"name": name, "is_firm": person.is_firm}
    fields |= dict(zip(("phone", "second_phone"), person.phones, strict=False))
    if person.mails:
        fields["email"] = read_mails(person.mails[0]).addresses[0]
    beside = (*person.phones[2:], *person.mails[1:], *person.unread)
    if beside:
        fields["notes"] = f"As it was said: {', '.join(beside)}"
    return fields


def add_person(desk: Desk, typed: str) -> tuple[Changed, int]:
    """A new customer from one line: `Ilse Varga, 312 555 0142`."""
    return customers.add_customer(desk, **person_fields(read_person(desk, typed)))


def reached_words(desk: Desk, person: CallerWords) -> str:
    """How a person that was read is reached, as it would be kept; nothing where none is said."""
    region = desk.settings.region
    phones = [
        shown_phone(number, region)
        for typed in person.phones
        for number in read_phones(typed, region).numbers
    ]
    return ", ".join((*phones, *person.mails, *person.unread))


def who_it_may_be(desk: Desk, person: CallerWords) -> list[CustomerRow]:
    """The customers of that name; of several those whose number or mail it is. Without a name,
    all whose number or mail it is."""
    numbers = {
        n for typed in person.phones for n in read_phones(typed, desk.settings.region).numbers
    }
    mails = {one.casefold() for typed in person.mails for one in read_mails(typed).addresses}

    def reached(row: CustomerRow) -> bool:
        return row.phone in numbers or (bool(row.email) and row.email.casefold() in mails)

    if person.name:
        longest = max(person.name.split(), key=len)  # first and last may stand either way round
        found = customers.list_customers(desk, longest, CANDIDATES)[0]
        named = [row for row in found if _words(row.name) == _words(person.name)]
        return [row for row in named if reached(row)] or named if len(named) > 1 else named
    asked = [*numbers, *mails]
    rows = {
        row.id: row for one in asked for row in customers.list_customers(desk, one, CANDIDATES)[0]
    }
    return [row for row in rows.values() if reached(row)]


def _words(name: str) -> list[str]:
    return sorted(name.casefold().replace(",", " ").split())


def read_vehicle(desk: Desk, typed: str) -> dict[str, Any]:
    """The fields of a vehicle that a few words say; those that they do not say are left out.

    A telephone beside them is no part of what the vehicle looks like; it is kept in its notes.
    """
    found = _vehicle_fields(desk, typed)
    parts = [" ".join(one.split()) for one in re.split("[,;]", typed)]
    said = [one for one in parts if _TELEPHONE.fullmatch(one) and one in found["description"]]
    if said and len(said) < len(parts):
        found = _vehicle_fields(desk, ", ".join(one for one in parts if one not in said))
        found["notes"] = f"Telephone, as it was said: {', '.join(said)}"
    return found


def _vehicle_fields(desk: Desk, typed: str) -> dict[str, Any]:
    found = read_vehicles(" ".join(typed.split()).replace(";", ","))
    words = found[0] if len(found) == 1 else VehicleWords(description=" ".join(typed.split())[:200])
    with desk.book.reading() as session:
        make, model = make_and_model(words, queries.makes(session))
    described = words.description or (f"plate {words.plate}" if words.plate else "")
    fields = {
        "description": described or (f"VIN {words.vin}" if words.vin else "vehicle"),
        "year": words.year, "make": make, "model": model, "color": words.color,
        "plate": words.plate, "plate_region": words.plate_region, "vin": words.vin,
        "fleet_unit": words.fleet_unit, "size_outside": words.size, "size_inside": words.size,
    }  # fmt: skip
    return {name: value for name, value in fields.items() if value}


def add_typed_vehicle(desk: Desk, customer_id: int | None, typed: str) -> tuple[Changed, int]:
    """A new vehicle from one line: `2019 Norvane Skiff, silver, GHT 4412`."""
    if not typed.strip():
        raise Mendable("A vehicle needs a few words to know it by, such as “blue wagon”.")
    fields = read_vehicle(desk, typed)
    return vehicles.add_vehicle(desk, customer_id, since=desk.today, **fields)


SHOWN = (
    ("year", "Year"),
    ("make", "Make"),
    ("model", "Model"),
    ("color", "Color"),
    ("plate", "Plate"),
)


def vehicle_said(fields: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """(label, value) of what was read of a vehicle."""
    said = [(label, str(fields[name])) for name, label in SHOWN if fields.get(name)]
    note = str(fields.get("notes", ""))
    return (*said, ("In its notes", note)) if note else tuple(said)
