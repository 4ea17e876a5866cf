"""Vehicles: what they are, where they live, who holds them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from app.actions.desk.desk import Changed, Desk, there
from app.actions.desk.row_changes import add_row, known_fields, set_fields
from app.actions.desk.settings import SIZES
from app.actions.desk.typed_days import read_typed_day
from app.actions.layers.protection_state import standing_on
from app.actions.people.left_bookings import telling_what_is_open
from app.calculations.layers.exposure import exposure
from app.errors import Mendable
from app.records.asking import to_write
from app.records.models import Customer, OwnerLink, Vehicle
from app.records.queries import people as queries

KINDS = frozenset({"vehicles", "customers"})
FIELDS = frozenset(
    {
        "description", "year", "make", "model", "color", "plate", "plate_region", "vin",
        "fleet_unit", "size_outside", "size_inside", "exposure", "lease_ends", "notes",
        "stored_until",
    }
)  # fmt: skip


@dataclass(frozen=True)
class LayerView:
    """A layer that stands on a vehicle, in words."""

    layer: str
    groups: tuple[str, ...]
    applied_on: date
    gloss_only: bool


@dataclass(frozen=True)
class VehiclePage:
    """One vehicle: what it is, its layers, its owners and its jobs."""

    vehicle_id: int
    fields: dict[str, Any]
    layers: tuple[LayerView, ...]
    owners: tuple[tuple[int, str, date | None, date | None], ...]
    history: tuple[queries.HistoryRow, ...]
    exposure_sentence: str


def vehicle_page(desk: Desk, vehicle_id: int) -> VehiclePage:
    """Everything about one vehicle; `Mendable` when it is not in the book."""
    with desk.book.reading() as session:
        vehicle = there(session.get(Vehicle, vehicle_id), "This vehicle")
        fields = {name: getattr(vehicle, name) for name in sorted(FIELDS)}
        owners = tuple(queries.owners_of(session, vehicle_id))
        history = tuple(queries.history(session, vehicle_id=vehicle_id))
    try:
        where = exposure(fields["exposure"] or {}, desk.settings.exposure_factors or None)
        sentence = where.sentence
    except Mendable as wrong:
        sentence = wrong.sentence
    return VehiclePage(
        vehicle_id,
        fields,
        standing_layers(desk, vehicle_id),
        owners,
        history,
        sentence,
    )


def standing_layers(desk: Desk, vehicle_id: int) -> tuple[LayerView, ...]:
    """What stands on the vehicle now, one line for each supply and day it was put on."""
    together: dict[tuple[str, date, bool], list[str]] = {}
    found = standing_on(desk, desk.today, vehicle_id)
    for group, stack in found.layers.items():
        for layer in stack:
            key = (found.name_of(layer), found.put_on(layer), layer.gloss_only)
            together.setdefault(key, []).append(group.value)
    return tuple(
        LayerView(name, tuple(groups), day, gloss)
        for (name, day, gloss), groups in sorted(together.items(), key=lambda item: item[0][1])
    )


def add_vehicle(
    desk: Desk, customer_id: int | None, *, since: date | None = None, **fields: Any
) -> tuple[Changed, int]:
    """A new vehicle, held by a customer where one is given."""
    checked = _checked(desk, fields)
    if not checked.get("description"):
        raise Mendable("A vehicle needs a few words to know it by, such as “blue wagon”.")

    def hold(session: queries.Session, vehicle_id: int) -> None:
        if customer_id is not None:
            session.add(OwnerLink(vehicle_id=vehicle_id, customer_id=customer_id, from_day=since))

    name = f"Added the {checked['description']}"
    return add_row(desk, Vehicle(**checked), name, KINDS, hold)


def edit_vehicle(desk: Desk, vehicle_id: int, **fields: Any) -> Changed:
    """Change what is known of a vehicle."""
    checked = _checked(desk, fields)
    if "description" in checked and not checked["description"]:
        raise Mendable("A vehicle needs a few words to know it by, such as “blue wagon”.")

    def name(before: Vehicle) -> str:
        return f"Changed the {before.description}"

    return set_fields(desk, Vehicle, vehicle_id, name, checked, KINDS)


def sold(desk: Desk, vehicle_id: int, day: date, to_customer: int | None = None) -> Changed:
    """The present owner no longer holds the vehicle; its history stays with it.

    Nothing personal of the former owner passes on; reminders to them about it end.
    """
    kinds = KINDS | {"reminders", "layers"}
    with desk.book.reading() as session:
        title = there(session.get(Vehicle, vehicle_id), "This vehicle").description
        links = to_write(session, OwnerLink, vehicle_id=vehicle_id, to_day=None)
        open_links = [link.id for link in links]
        holders = {link.customer_id for link in links}
    if not open_links and to_customer is None:
        raise Mendable(f"Nobody holds the {title} by this book; there is nothing to end.")
    name = f"Sold: the {title}"
    with desk.book.change(name, day=day, kinds=kinds, at=desk.clock()) as session:
        for link_id in open_links:
            session.get_one(OwnerLink, link_id).to_day = day
        if to_customer is not None:
            if session.get(Customer, to_customer) is None:
                raise Mendable("The new owner is not in the book; add them first.")
            session.add(OwnerLink(vehicle_id=vehicle_id, customer_id=to_customer, from_day=day))
    return telling_what_is_open(desk, Changed(name, kinds), sorted(holders))


def _checked(desk: Desk, fields: dict[str, Any]) -> dict[str, Any]:
    """Fields as they may be stored; `Mendable` names the one that cannot be."""
    checked = known_fields(fields, FIELDS, "vehicle")
    for size in ("size_outside", "size_inside"):
        if size in checked and checked[size] not in SIZES:
            raise Mendable(f"“{checked[size]}” is no size; say {', '.join(SIZES)}.")
    for day in ("lease_ends", "stored_until"):
        if isinstance(checked.get(day), str):
            checked[day] = read_typed_day(desk, checked[day])
    if "year" in checked and checked["year"] in ("", None):
        checked["year"] = None
    elif "year" in checked:
        try:
            checked["year"] = int(checked["year"])
        except (TypeError, ValueError):
            raise Mendable(f"“{checked['year']}” is no year; write it like 2014.") from None
        latest = (desk.today + timedelta(days=730)).year
        if not 1885 <= checked["year"] <= latest:
            raise Mendable(f"A vehicle of {checked['year']} cannot be; check the year.")
    if checked.get("exposure"):
        exposure(checked["exposure"])
    for key, longest in (("description", 200), ("plate", 20), ("vin", 20), ("fleet_unit", 30)):
        if len(str(checked.get(key) or "")) > longest:
            raise Mendable(f"The {key.replace('_', ' ')} is longer than {longest} characters.")
    return checked
