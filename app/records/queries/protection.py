"""Layers on vehicles, what was seen of them, and what bears on writing to a household."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, func, or_, select
from sqlalchemy.orm import Session, aliased

from app.records.models import (
    Customer,
    Hours,
    Job,
    Judgement,
    LayerEvent,
    OwnerLink,
    Reminder,
    ReminderEvent,
    ReminderItem,
    Supply,
    Vehicle,
)
from app.records.queries.consents import agreed

MARKETING = frozenset({"reminders", "offers"})  # what a withdrawal ends, all of it together


@dataclass(frozen=True)
class EventRow:
    """A layer event that was not taken back."""

    id: int
    vehicle_id: int
    day: date
    at: datetime
    kind: str
    surface_group: str
    supply_id: int | None
    note: str


@dataclass(frozen=True)
class JudgementRow:
    """What was seen of a surface group's protection, before and after decontamination."""

    vehicle_id: int
    layer_event_id: int | None
    day: date
    surface_group: str
    before: str
    after: str


@dataclass(frozen=True)
class ProtectionRow:
    """A supply that protects, with its label's range in days where the owner entered it."""

    supply_id: int
    name: str
    protection: str
    low_days: int | None
    high_days: int | None
    wait_next_hours: int | None = None  # by the label, where the owner entered it
    wait_water_hours: int | None = None


@dataclass(frozen=True)
class HolderRow:
    """Who holds a vehicle now, and what bears on its layers."""

    vehicle_id: int
    customer_id: int
    household: str
    customer: str
    description: str
    exposure: dict[str, Any]
    lease_ends: date | None
    stored_until: date | None = None


@dataclass(frozen=True)
class PersonRow:
    """A customer as far as writing to them goes."""

    customer_id: int
    household: str
    name: str
    email: str
    phone: str
    street: str
    city: str
    region: str
    postal_code: str
    asks_by: str
    may_remind: bool
    stopped_on: date | None
    later_until: date | None
    deceased: bool
    email_bad: bool
    address_bad: bool
    season: tuple[int, ...] = ()
    season_title: str = ""
    may_text: bool = False  # agreed to marketing by text message


@dataclass(frozen=True)
class ReminderRow:
    """A reminder with its state and the vehicles it is about."""

    id: int
    customer_id: int
    day: date
    channel: str
    state: str
    subject: str
    text: str
    reason: str
    sent_on: date | None
    answer: str
    answered_on: date | None
    uid: str
    vehicles: tuple[int, ...]
    layers: tuple[int, ...]


def household_of(customer_id: int, household: str) -> str:
    """The household's key: its own name, or the customer alone."""
    return household or f"customer {customer_id}"


def layer_events(
    session: Session, since: date | None = None, vehicle_id: int | None = None
) -> list[EventRow]:
    """Layer events in order of time, without those taken back and their counter-lines."""
    counter = aliased(LayerEvent)
    # Plain columns: a ten-year book has over a hundred thousand of these lines.
    query = (
        select(
            LayerEvent.id,
            LayerEvent.vehicle_id,
            LayerEvent.day,
            LayerEvent.at,
            LayerEvent.kind,
            LayerEvent.surface_group,
            LayerEvent.supply_id,
            LayerEvent.note,
        )
        .outerjoin(counter, counter.counters_id == LayerEvent.id)
        .where(LayerEvent.counters_id.is_(None), counter.id.is_(None))
        .order_by(LayerEvent.vehicle_id, LayerEvent.at, LayerEvent.id)
    )
    if since is not None:
        query = query.where(LayerEvent.day >= since)
    if vehicle_id is not None:
        query = query.where(LayerEvent.vehicle_id == vehicle_id)
    return [EventRow(*row) for row in session.execute(query)]


def written_steps(session: Session, job_id: int) -> set[tuple[date, str]]:
    """(Day, kind) of the layer events that a job's closed days have written."""
    counter = aliased(LayerEvent)
    rows = session.execute(
        select(LayerEvent.day, LayerEvent.kind)
        .outerjoin(counter, counter.counters_id == LayerEvent.id)
        .where(LayerEvent.job_id == job_id, LayerEvent.counters_id.is_(None), counter.id.is_(None))
        .distinct()
    )
    return {(day, kind) for day, kind in rows}


def judgements(
    session: Session, since: date | None = None, vehicle_id: int | None = None
) -> list[JudgementRow]:
    """Judgements in order of time."""
    query = select(
        Judgement.vehicle_id,
        Judgement.layer_event_id,
        Judgement.day,
        Judgement.surface_group,
        Judgement.before,
        Judgement.after,
    ).order_by(Judgement.vehicle_id, Judgement.day, Judgement.id)
    if since is not None:
        query = query.where(Judgement.day >= since)
    if vehicle_id is not None:
        query = query.where(Judgement.vehicle_id == vehicle_id)
    return [JudgementRow(*row) for row in session.execute(query)]


def judgement_of(
    session: Session, vehicle_id: int, layer_event_id: int | None, day: date
) -> Judgement | None:
    """The judgement of a layer on a day, the last one where there are several."""
    return session.scalars(
        select(Judgement)
        .where(
            Judgement.vehicle_id == vehicle_id,
            Judgement.layer_event_id == layer_event_id,
            Judgement.day == day,
        )
        .order_by(Judgement.id.desc())
    ).first()


def protections(session: Session) -> list[ProtectionRow]:
    """The supplies that leave a layer."""
    rows = session.execute(
        select(
            Supply.id,
            Supply.name,
            Supply.protection,
            Supply.life_low_days,
            Supply.life_high_days,
            Supply.wait_next_hours,
            Supply.wait_water_hours,
        )
        .where(Supply.protection != "")
        .order_by(Supply.name)
    )
    return [ProtectionRow(*row) for row in rows]


def holders(session: Session, day: date, vehicle_id: int | None = None) -> list[HolderRow]:
    """Who holds each vehicle on the day; the newest link where two are open."""
    query = (
        select(
            Vehicle.id,
            Customer.id,
            Customer.household,
            Customer.name,
            Vehicle.description,
            Vehicle.exposure,
            Vehicle.lease_ends,
            Vehicle.stored_until,
        )
        .join(OwnerLink, OwnerLink.vehicle_id == Vehicle.id)
        .join(Customer, Customer.id == OwnerLink.customer_id)
        .where(or_(OwnerLink.to_day.is_(None), OwnerLink.to_day > day))
        .order_by(OwnerLink.id)
    )
    if vehicle_id is not None:
        query = query.where(OwnerLink.vehicle_id == vehicle_id)
    return list(
        {
            vehicle: HolderRow(
                vehicle,
                customer,
                household_of(customer, household),
                name,
                description,
                dict(exposure or {}),
                lease_ends,
                stored_until,
            )
            for (
                vehicle,
                customer,
                household,
                name,
                description,
                exposure,
                lease_ends,
                stored_until,
            ) in session.execute(query)
        }.values()
    )


def people(session: Session, customer_ids: set[int] | None = None) -> list[PersonRow]:
    """Customers as far as writing to them goes; all of them without ids."""
    query = select(
        Customer.id,
        Customer.household,
        Customer.name,
        Customer.email,
        Customer.phone,
        Customer.street,
        Customer.city,
        Customer.region,
        Customer.postal_code,
        Customer.asks_by,
        Customer.may_remind,
        Customer.stopped_on,
        Customer.later_until,
        Customer.deceased,
        Customer.email_bad_since,
        Customer.address_bad_since,
        Customer.season_months,
        Customer.season_title,
    ).order_by(Customer.id)
    if customer_ids is not None:
        query = query.where(Customer.id.in_(customer_ids))
    may_text = agreed(session, "text", MARKETING)
    return [
        PersonRow(
            row.id,
            household_of(row.id, row.household),
            row.name,
            row.email,
            row.phone,
            row.street,
            row.city,
            row.region,
            row.postal_code,
            row.asks_by,
            row.may_remind,
            row.stopped_on,
            row.later_until,
            row.deceased,
            row.email_bad_since is not None,
            row.address_bad_since is not None,
            tuple(row.season_months or ()),
            row.season_title,
            row.id in may_text,
        )
        for row in session.execute(query)
    ]


def last_visits(session: Session, day: date) -> dict[int, date]:
    """Customer id -> the last day up to `day` on which a vehicle was worked on for them."""
    rows = session.execute(
        select(Job.customer_id, func.max(Hours.day))
        .join(Hours, Hours.job_id == Job.id)
        .where(Hours.day <= day, Job.customer_id.is_not(None))
        .group_by(Job.customer_id)
    )
    visits = {customer: last for customer, last in rows if customer is not None}
    done = session.execute(
        select(Job.customer_id, func.max(Job.done_on))
        .where(Job.state == "done", Job.done_on <= day, Job.customer_id.is_not(None))
        .group_by(Job.customer_id)
    )
    for customer, last in done:
        if customer is not None and last is not None:
            visits[customer] = max(visits.get(customer, last), last)
    return visits


def next_bookings(session: Session, day: date) -> dict[int, date]:
    """Customer id -> the first day from `day` on for which they are booked or being worked on."""
    rows = session.execute(
        select(Job.customer_id, func.min(func.coalesce(Job.last_day, Job.first_day)))
        .where(
            Job.state.in_(("booked", "working")),
            func.coalesce(Job.last_day, Job.first_day) >= day,
            Job.customer_id.is_not(None),
        )
        .group_by(Job.customer_id)
    )
    return {customer: first for customer, first in rows if customer is not None}


def reminders(
    session: Session,
    *,
    states: tuple[str, ...] = (),
    sent_since: date | None = None,
    ids: tuple[int, ...] = (),
) -> list[ReminderRow]:
    """Reminders, the newest last, with what they are about."""
    chosen: list[ColumnElement[bool]] = []
    if states:
        chosen.append(Reminder.state.in_(states))
    if sent_since is not None:
        chosen.append(Reminder.sent_on >= sent_since)
    if ids:
        chosen.append(Reminder.id.in_(ids))
    items: dict[int, list[tuple[int, int | None]]] = {}
    for reminder, vehicle, layer in session.execute(
        select(ReminderItem.reminder_id, ReminderItem.vehicle_id, ReminderItem.layer_event_id)
        .join(Reminder, Reminder.id == ReminderItem.reminder_id)
        .where(*chosen)
        .order_by(ReminderItem.id)
    ):
        items.setdefault(reminder, []).append((vehicle, layer))
    rows = session.execute(
        select(
            Reminder.id,
            Reminder.customer_id,
            Reminder.day,
            Reminder.channel,
            Reminder.state,
            Reminder.subject,
            Reminder.text,
            Reminder.reason,
            Reminder.sent_on,
            Reminder.answer,
            Reminder.answered_on,
            Reminder.uid,
        )
        .where(*chosen)
        .order_by(Reminder.day, Reminder.id)
    )
    return [
        ReminderRow(
            row.id,
            row.customer_id,
            row.day,
            row.channel,
            row.state,
            row.subject,
            row.text,
            row.reason,
            row.sent_on,
            row.answer,
            row.answered_on,
            row.uid,
            tuple(dict.fromkeys(vehicle for vehicle, _ in items.get(row.id, ()))),
            tuple(layer for _, layer in items.get(row.id, ()) if layer is not None),
        )
        for row in rows
    ]


def last_tried(session: Session, reminder_ids: list[int]) -> dict[int, tuple[date, str]]:
    """Reminder id -> the day of its last event and that event's note."""
    rows = session.execute(
        select(ReminderEvent.reminder_id, ReminderEvent.day, ReminderEvent.note)
        .where(ReminderEvent.reminder_id.in_(reminder_ids))
        .order_by(ReminderEvent.id)
    )
    return {reminder: (day, note) for reminder, day, note in rows}


def open_links(session: Session, customer_id: int, vehicle_ids: tuple[int, ...]) -> list[int]:
    """The open owner links of a customer to these vehicles."""
    return list(
        session.scalars(
            select(OwnerLink.id).where(
                OwnerLink.customer_id == customer_id,
                OwnerLink.vehicle_id.in_(vehicle_ids),
                OwnerLink.to_day.is_(None),
            )
        )
    )


def prepared_of(session: Session, customer_id: int) -> list[int]:
    """The prepared, unsent reminders of a customer."""
    return list(
        session.scalars(
            select(Reminder.id).where(
                Reminder.customer_id == customer_id, Reminder.state == "prepared"
            )
        )
    )
