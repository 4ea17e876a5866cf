"""Lines of customers and vehicles from the rows of a table."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

from app.documents.reading.dates import looks_dated
from app.documents.reading.grid import shown
from app.documents.reading.lines import CustomerLine, VehicleLine, Who
from app.documents.reading.meanings import NAMES, VEHICLES
from app.documents.reading.people import (
    Address,
    is_firm_name,
    joined_name,
    read_address,
    read_channel,
    read_city_line,
    read_name,
    read_postal_code,
    read_yes,
)
from app.documents.reading.row import Row, first_filled
from app.documents.reading.vehicles import (
    VehicleWords,
    make_and_model,
    read_plate,
    read_size,
    read_stands,
    read_vehicles,
    read_year,
)

_SIZE_ONLY = re.compile(r"small|medium|large|extra large|x-?large|full ?size", re.IGNORECASE)
_NOT_SAYING = re.compile(
    r"^(?:same|ditto|\"|''|”|see above|s\.?o\.?|siehe oben|as above|\^+)$", re.IGNORECASE
)


def names_someone(row: Row) -> bool:
    """True when the row says who it is about."""
    return row.any(*NAMES) and bool(who(row)[0])


def has_vehicle(row: Row) -> bool:
    """True when the row's vehicle columns say something."""
    return row.any(*VEHICLES, "vehicle.year", "vehicle.color")


def who(row: Row) -> tuple[str, bool, str]:
    """The customer's name, whether it is a firm, and the person at the firm."""
    first, last = row.text("customer.first"), row.text("customer.last")
    whole = row.text("customer.name")
    if whole and last and not first:
        first, whole = whole, ""
    elif whole and first and not last and first.casefold() not in whole.casefold():
        last, whole = whole, ""  # "Name" and "First name", as in German lists
    firm = row.text("customer.firm")
    person, is_firm = "", False
    if first or last:
        person = joined_name(first, last)
        is_firm = is_firm_name(person) and not firm
    elif whole:
        person, is_firm = read_name(whole)
    if _NOT_SAYING.match(person):
        person = ""
    if firm and not _NOT_SAYING.match(firm) and read_yes(firm) is None:
        if firm.casefold() == person.casefold():
            return firm[:200], True, ""
        return firm[:200], True, person[:200]
    if firm and read_yes(firm) is True:
        return person[:200], True, ""
    return person[:200], is_firm, ""


def customer_of(row: Row, carried: str = "") -> CustomerLine:
    """The customer that a row tells of; `carried` is the name from a row above."""
    name, is_firm, contact = who(row)
    name = name or carried
    phones, typed, beside = row.phones("customer.phone", "customer.contact")
    emails = row.mails("customer.email", "customer.contact")
    own_kind = row.layout.kind == "customer"
    address = _address(row).shortened()
    notes = [f"Contact: {contact}"] if contact else []
    if beside:
        notes.append(f"Phone: {beside}")
    do_not_write, stopped = _stop(row)
    prefix = row.text("customer.prefix")
    if prefix and re.fullmatch(
        r"(?:mr|mrs|ms|miss|dr|prof|herr|frau|sr|sra)\.?", prefix, re.IGNORECASE
    ):
        notes.append(f"Title: {prefix}")
    since, _ = row.day("customer.since")
    asks = row.text("customer.asks_by")
    asks_by = read_channel(asks) if asks else ""
    if asks and not asks_by:
        notes.append(f"Prefers: {asks}")
    referred = row.text("customer.referred_by")
    line = CustomerLine(
        source=row.source,
        name=name,
        is_firm=is_firm,
        contact=contact,
        phones=phones,
        phones_as_typed=typed,
        emails=emails,
        street=address.street,
        city=address.city,
        region=address.region,
        postal_code=address.postal_code,
        country=address.country,
        household=row.text("customer.household")[:80],
        asks_by=asks_by,
        do_not_write=do_not_write,
        stopped_on=stopped,
        deceased=read_yes(row.value("customer.deceased")),
        referred_by=read_name(referred)[0] if referred else "",
        tax_exempt_no=row.text("customer.tax_exempt_no")[:60],
        since=since,
        notes=row.notes("customer.notes", *notes) if own_kind else "\n".join(notes),
    )
    if not name:
        sentence = row.say_row(
            "no name stands here, so it is not known whose line this is; type a name or leave it "
            "out"
        )
        return replace(line, problems=(*row.problems, sentence)[-6:], unreadable=True)
    return line


def _stop(row: Row) -> tuple[bool | None, date | None]:
    """Whether they asked not to be written to, and since when."""
    stopped = None
    told: bool | None = None
    for _, value in row.cells("customer.do_not_write"):
        if looks_dated(value):
            told = True
            stopped, _ = row.day("customer.do_not_write")
        else:
            said = read_yes(value)
            # In a "do not contact" column the word "stop" confirms it.
            told = (
                True
                if re.search(r"stop|dnc|do not|don'?t|unsub|opt", shown(value), re.IGNORECASE)
                else said
            )
    for _, value in row.cells("customer.may_remind"):
        said = read_yes(value)
        if said is not None and told is not True:
            told = not said
    return told, stopped


def _address(row: Row) -> Address:
    """The postal address from its columns; a whole address in one cell is taken apart."""
    street = shown(row.value("customer.street"))
    whole = shown(row.value("customer.address"))
    city, region = row.text("customer.city"), row.text("customer.region")
    postal = read_postal_code(row.value("customer.postal_code"), row.layout.options.region)
    country = row.text("customer.country")
    if row.any("customer.city_line"):
        found = read_city_line(row.text("customer.city_line"))
        city, region = city or found.city, region or found.region
        postal = postal or found.postal_code
    elif city and not region and not postal:
        found = read_city_line(city)
        city, region, postal = found.city, found.region, found.postal_code
    if whole:
        if city or postal:
            street = street or " ".join(whole.split())
        else:
            found = read_address(whole)
            street = street or found.street
            city, region, postal = found.city, region or found.region, found.postal_code
            country = country or found.country
    elif street and not city and not postal and ("," in street or "\n" in street):
        found = read_address(street)
        street, city = found.street, found.city
        region, postal = region or found.region, found.postal_code
    second = row.text("customer.street2")
    if second:
        street = f"{street}, {second}" if street else second
    return Address(" ".join(street.split()), city, region, postal, country)


def vehicles_of(row: Row, owner: CustomerLine | None) -> list[VehicleLine]:
    """The vehicles that a row tells of, from its columns or, where these are empty, its notes."""
    if has_vehicle(row):
        views = [view for view in row.vehicles() if has_vehicle(view)]
        return [line for view in views for line in _from_columns(view, owner)]
    notes = "\n".join(
        shown(value) for key in ("customer.notes", "vehicle.notes") for _, value in row.cells(key)
    )
    if owner is None or not owner.name or not notes:
        return []
    return [
        _line(row, owner, words, from_notes=True) for words in read_vehicles(notes, loose=False)
    ]


def _from_columns(row: Row, owner: CustomerLine | None) -> list[VehicleLine]:
    told: list[VehicleWords] = []
    for _, value in row.cells("vehicle.description"):
        told.extend(read_vehicles(shown(value), loose=True))
    plate, plate_region = "", ""
    for position, value in row.cells("vehicle.plate")[:1]:
        plates = _several_plates(shown(value))
        if not told and _describes(shown(value)):
            told.extend(read_vehicles(shown(value), loose=True))  # "Car & reg"
        elif len(plates) > 1 and len(plates) == len(told):
            told = [replace(one, plate=own) for one, own in zip(told, plates, strict=True)]
        else:
            plate, plate_region = read_plate(value)
            if not plate:
                row.refuse(position, value, "too long for a plate", "type the plate alone")
    words = told[0] if told else VehicleWords()
    year = words.year
    for position, value in row.cells("vehicle.year"):
        year = read_year(value)
        if year is None:
            row.refuse(position, value, "which is no model year", "type it like 2014")
        break
    make, model = row.text("vehicle.make")[:60], row.text("vehicle.model")[:60]
    color = row.text("vehicle.color")[:60] or words.color
    vin = re.sub(r"[^A-Za-z0-9]", "", row.text("vehicle.vin")).upper()[:20] or words.vin
    unit = row.text("vehicle.fleet_unit")[:30] or words.fleet_unit
    size_text = row.text("vehicle.size")
    size = read_size(size_text) or words.size
    described = words.description
    if not described:
        body = "" if len(size_text) < 3 or _SIZE_ONLY.fullmatch(size_text) else size_text
        described = " ".join(part for part in (color, make, model or body) if part)
    region = plate_region or words.plate_region
    one = VehicleWords(
        description=described,
        year=year,
        color=color,
        plate=plate or words.plate,
        plate_region=region,
        vin=vin,
        fleet_unit=unit,
        size=size,
    )
    if not (one.says_something() or year or make or model):
        return []
    lines = [_line(row, owner, one, make=make, model=model)]
    lines.extend(_line(row, owner, more) for more in told[1:])
    return lines


def _describes(text: str) -> bool:
    """Whether a cell under a heading of plates tells of the vehicle: "red hatch KX16 ABC"."""
    spoken = read_vehicles(text, loose=True)
    return any(c.islower() for c in text) and any(one.color or one.size for one in spoken)


def _several_plates(text: str) -> list[str]:
    """The plates in a cell that holds one for each of several vehicles; else none."""
    parts = [part.strip().upper() for part in re.split(r"[/;,&\n]", text)]
    whole = all(
        4 <= len(part) <= 10 and re.search(r"\d", part) and re.search(r"[A-Z]", part)
        for part in parts
    )
    return parts if whole else []


def _line(
    row: Row, owner: CustomerLine | None, words: VehicleWords, *, make: str = "", model: str = "",
    from_notes: bool = False,
) -> VehicleLine:  # fmt: skip
    if not (make or model):
        make, model = make_and_model(words)
    stands = row.text("vehicle.stands")
    lease, _ = row.day("vehicle.lease_ends")
    notes = []
    mileage = row.text("vehicle.mileage")
    if mileage:
        notes.append(f"Odometer: {mileage}")
    if stands and not read_stands(stands):
        notes.append(f"Stands: {stands}")
    described = words.description or first_filled(
        f"plate {words.plate}" if words.plate else "",
        f"VIN {words.vin}" if words.vin else "",
        f"unit {words.fleet_unit}" if words.fleet_unit else "",
    )
    if not described and words.year:
        described = "vehicle"
    line = VehicleLine(
        source=row.source,
        owner=owner.who if owner else Who(),
        description=described[:200],
        year=words.year,
        make=make,
        model=model,
        color=words.color[:60],
        plate=words.plate,
        plate_region=(row.text("vehicle.plate_region") or words.plate_region)[:30],
        vin=words.vin,
        fleet_unit=words.fleet_unit,
        size=words.size,
        size_sure=bool(words.size and row.any("vehicle.size") and not from_notes),
        size_inside=read_size(row.text("vehicle.size_inside")),
        stands=read_stands(stands),
        lease_ends=lease,
        notes="" if from_notes else row.notes("vehicle.notes", *notes),
    )
    if not described:
        sentence = row.say_row(
            "nothing here says which vehicle it is; type a description, plate or VIN"
        )
        return replace(line, problems=(sentence,), unreadable=True)
    return line
