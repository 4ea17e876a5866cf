"""Customers and vehicles that are there twice, by mistake, or no more."""

from __future__ import annotations

from app.actions.desk.desk import Changed, Desk, there
from app.actions.desk.row_changes import set_fields
from app.actions.people.left_bookings import telling_what_is_open
from app.errors import Mendable
from app.records.asking import to_write
from app.records.models import Customer, OwnerLink, Vehicle
from app.records.queries import people as queries
from app.records.queries import tidying
from app.records.queries.invoices import pays_for_others

CUSTOMERS = frozenset({"customers", "vehicles", "reminders"})
VEHICLES = frozenset({"customers", "vehicles", "jobs", "layers", "reminders"})


def remove_customer(desk: Desk, customer_id: int) -> Changed:
    """Take a customer out who has no history, with vehicles that have none; archive one who has."""
    with desk.book.reading() as session:
        customer = there(session.get(Customer, customer_id), "This customer")
        title = customer.name
        kept = tidying.has_history(session, Customer, customer_id, ("owner_links",))
        held = {link.vehicle_id for link in to_write(session, OwnerLink, customer_id=customer_id)}
        kept = kept or any(_worked_on(session, vehicle) for vehicle in held)
        kept = kept or pays_for_others(session, customer_id)
    if kept:
        return archive_customer(desk, customer_id)
    name = f"Removed {title}"
    with desk.book.change(name, day=desk.today, kinds=CUSTOMERS, at=desk.clock()) as session:
        tidying.take_out(session, Customer, customer_id)
        for vehicle_id in held:
            if not to_write(session, OwnerLink, vehicle_id=vehicle_id):
                tidying.take_out(session, Vehicle, vehicle_id)
    return Changed(name, CUSTOMERS)


def archive_customer(desk: Desk, customer_id: int, *, on: bool = True) -> Changed:
    """Keep a customer for the history only: not listed, not written to, found by name."""
    words = "Archived {}, who has a history" if on else "{} is back from the archive"
    values = {"archived_on": desk.today if on else None}
    changed = set_fields(
        desk, Customer, customer_id, lambda one: words.format(one.name), values, CUSTOMERS
    )
    return telling_what_is_open(desk, changed, [customer_id])


def remove_vehicle(desk: Desk, vehicle_id: int) -> Changed:
    """Take a vehicle out that was never worked on; archive one that was."""
    with desk.book.reading() as session:
        title = there(session.get(Vehicle, vehicle_id), "This vehicle").description
        kept = _worked_on(session, vehicle_id)
    if kept:
        return archive_vehicle(desk, vehicle_id)
    name = f"Removed the {title}"
    with desk.book.change(name, day=desk.today, kinds=VEHICLES, at=desk.clock()) as session:
        tidying.take_out(session, Vehicle, vehicle_id)
    return Changed(name, VEHICLES)


def archive_vehicle(desk: Desk, vehicle_id: int, *, on: bool = True) -> Changed:
    """Keep a vehicle for its history only: nobody is written to about it."""
    words = "Archived the {}, which has a history" if on else "The {} is back from the archive"
    values = {"archived_on": desk.today if on else None}
    changed = set_fields(
        desk, Vehicle, vehicle_id, lambda one: words.format(one.description), values, VEHICLES
    )
    with desk.book.reading() as session:
        holders = [one for one, _, _, end in queries.owners_of(session, vehicle_id) if end is None]
    return telling_what_is_open(desk, changed, holders)


def _worked_on(session: queries.Session, vehicle_id: int) -> bool:
    return tidying.has_history(session, Vehicle, vehicle_id, ("owner_links",))


def merge_vehicles(desk: Desk, keep_id: int, other_id: int) -> Changed:
    """Put two entries of one vehicle together; what the kept one lacks comes from the other."""
    if keep_id == other_id:
        raise Mendable("These are the same vehicle already.")
    with desk.book.reading() as session:
        kept_name = there(session.get(Vehicle, keep_id), "This vehicle").description
        other_name = there(session.get(Vehicle, other_id), "This vehicle").description
    name = f"Put the {other_name} together with the {kept_name}"
    with desk.book.change(name, day=desk.today, kinds=VEHICLES, at=desk.clock()) as session:
        kept, other = session.get_one(Vehicle, keep_id), session.get_one(Vehicle, other_id)
        for field in ("year", "make", "model", "color", "plate", "plate_region", "vin",
                      "fleet_unit", "lease_ends", "stored_until"):  # fmt: skip
            if not getattr(kept, field) and getattr(other, field):
                setattr(kept, field, getattr(other, field))
        kept.exposure = {**(other.exposure or {}), **(kept.exposure or {})}
        also = [other.notes, "" if other_name == kept_name else f"Also called: {other_name}"]
        if other.plate and other.plate != kept.plate:
            also.append(f"Also plate {other.plate}")
        kept.notes = "\n".join(part for part in (kept.notes, *also) if part)
        held = {
            (link.customer_id, link.to_day)
            for link in to_write(session, OwnerLink, vehicle_id=keep_id)
        }
        for link in to_write(session, OwnerLink, vehicle_id=other_id):
            if (link.customer_id, link.to_day) in held:
                session.delete(link)
        tidying.repoint(session, tidying.pointing(session, Vehicle, other_id), keep_id)
        session.delete(other)
    return Changed(name, VEHICLES)
