"""Layers on vehicles, what was seen of them, and what bears on writing to a household."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Dialect,
    String,
    TypeDecorator,
    and_,
    case,
    cast,
    func,
    literal,
    or_,
    select,
    type_coerce,
)
from sqlalchemy.orm import Session

from app.records.asking import columns, made, rows_of, to_write
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
from app.records.queries.consents import agreed, withdrawn
from app.records.queries.refusals import refusals
from app.records.undo.ledgers import standing

MARKETING = frozenset({"reminders", "offers"})  # what a withdrawal ends, all of it together


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
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
    not_before: date | None
    deceased: bool
    email_bad: bool
    address_bad: bool
    archived: bool = False
    season: tuple[int, ...] = ()
    season_title: str = ""
    may_text: bool = False  # agreed to reminders by text message
    withdrawn: frozenset[str] = frozenset()  # channels on which reminders were taken back
    mail_refused: str = ""  # in the server's words, while the address stands as it was


@dataclass(frozen=True, kw_only=True)
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


_EVENT = columns(EventRow, LayerEvent)
_JUDGEMENT = columns(JudgementRow, Judgement)
_PROTECTION = columns(
    ProtectionRow,
    Supply,
    supply_id=Supply.id,
    low_days=Supply.life_low_days,
    high_days=Supply.life_high_days,
)


class _Folded(TypeDecorator[str]):
    """A household's name as a key: alike without regard to case and spaces."""

    impl = String
    cache_ok = True

    def process_result_value(self, value: str | None, dialect: Dialect) -> str:
        return "".join((value or "").split()).casefold()


# A household's key: its own name, or the customer alone (with a sign that no name begins with).
HOUSEHOLD = type_coerce(
    func.coalesce(
        func.nullif(func.trim(Customer.household), ""), literal("\x01") + cast(Customer.id, String)
    ),
    _Folded,
)
_HOLDER = columns(
    HolderRow,
    Vehicle,
    vehicle_id=Vehicle.id,
    customer_id=Customer.id,
    household=HOUSEHOLD,
    customer=Customer.name,
)
_PERSON = columns(
    PersonRow,
    Customer,
    customer_id=Customer.id,
    household=HOUSEHOLD,
    email_bad=Customer.email_bad_since.is_not(None),
    address_bad=Customer.address_bad_since.is_not(None),
    season=Customer.season_months,
    archived=Customer.archived_on.is_not(None),
    may_remind=and_(Customer.may_remind, Customer.archived_on.is_(None)),
    may_text=Customer.id.in_(agreed("text", frozenset({"reminders"}))),
    withdrawn=literal(None),
    mail_refused=literal(""),
)


def layer_events(
    session: Session, since: date | None = None, vehicle_id: int | None = None
) -> list[EventRow]:
    """Layer events in order of time, without those taken back and their counter-lines."""
    # Plain columns: a ten-year book has over a hundred thousand of these lines.
    query = (
        select(*_EVENT)
        .where(standing(LayerEvent))
        .order_by(LayerEvent.vehicle_id, LayerEvent.at, LayerEvent.id)
    )
    if since is not None:
        query = query.where(LayerEvent.day >= since)
    if vehicle_id is not None:
        query = query.where(LayerEvent.vehicle_id == vehicle_id)
    return rows_of(EventRow, session.execute(query))


def layered_after(session: Session, day: date) -> set[int]:
    """The vehicles on which a layer was put on later than a day."""
    later = (LayerEvent.day > day, LayerEvent.kind == "applied", standing(LayerEvent))
    return set(session.scalars(select(LayerEvent.vehicle_id).where(*later).distinct()))


def written_steps(session: Session, job_id: int) -> set[tuple[date, str]]:
    """(Day, kind) of the layer events that a job's closed days have written."""
    query = select(LayerEvent.day, LayerEvent.kind).where(LayerEvent.job_id == job_id)
    return set(session.execute(query.where(standing(LayerEvent)).distinct()))


def judgements(
    session: Session, since: date | None = None, vehicle_id: int | None = None
) -> list[JudgementRow]:
    """Judgements in order of time."""
    query = select(*_JUDGEMENT).order_by(Judgement.vehicle_id, Judgement.day, Judgement.id)
    if since is not None:
        query = query.where(Judgement.day >= since)
    if vehicle_id is not None:
        query = query.where(Judgement.vehicle_id == vehicle_id)
    return rows_of(JudgementRow, session.execute(query))


def judgement_of(
    session: Session, vehicle_id: int, layer_event_id: int | None, day: date
) -> Judgement | None:
    """The judgement of a layer on a day, the last one where there are several."""
    where = {"vehicle_id": vehicle_id, "layer_event_id": layer_event_id, "day": day}
    rows = to_write(session, Judgement, **where)
    return rows[-1] if rows else None


def protections(session: Session) -> list[ProtectionRow]:
    """The supplies that leave a layer."""
    query = select(*_PROTECTION).where(Supply.protection != "").order_by(Supply.name)
    return rows_of(ProtectionRow, session.execute(query))


def holders(session: Session, day: date) -> list[HolderRow]:
    """Who holds each vehicle on the day; the newest link where two are open."""
    query = (
        select(*_HOLDER)
        .join(OwnerLink, OwnerLink.vehicle_id == Vehicle.id)
        .join(Customer, Customer.id == OwnerLink.customer_id)
        .where(or_(OwnerLink.to_day.is_(None), OwnerLink.to_day > day))
        .order_by(OwnerLink.id)
    )
    query = query.where(Vehicle.archived_on.is_(None))
    found = rows_of(HolderRow, session.execute(query))
    return list({one.vehicle_id: one for one in found}.values())


def exposures(session: Session) -> dict[int, dict[str, Any]]:
    """Vehicle id -> where it lives, also of those that were sold or archived."""
    rows = session.execute(select(Vehicle.id, Vehicle.exposure))
    return {vehicle: answers for vehicle, answers in rows}


def people(session: Session, customer_ids: set[int] | None = None) -> list[PersonRow]:
    """Customers as far as writing to them goes; all of them without ids."""
    query = select(*_PERSON).order_by(Customer.id)
    if customer_ids is not None:
        query = query.where(Customer.id.in_(customer_ids))
    ended = withdrawn(session, "reminders", customer_ids)
    none: frozenset[str] = frozenset()
    said, rows = refusals(session, customer_ids), []
    for row in session.execute(query):
        one = row.customer_id
        more = {"withdrawn": ended.get(one, none), "mail_refused": said.get(one, "")}
        rows.append(made(PersonRow, row, **more))
    return rows


def households(session: Session) -> dict[int, str]:
    """Customer id -> the key of their household."""
    rows = session.execute(select(Customer.id, HOUSEHOLD))
    return {customer: household for customer, household in rows}


def _of(column: Any, customer_ids: Collection[int] | None) -> ColumnElement[bool]:
    """The condition that a customer is one of these; of any at all without ids."""
    condition: ColumnElement[bool] = column.is_not(None)
    return condition if customer_ids is None else column.in_(customer_ids)


def last_visits(
    session: Session, day: date, customer_ids: Collection[int] | None = None
) -> dict[int, date]:
    """Customer id -> the last day up to `day` on which a vehicle was worked on for them."""
    whose = _of(Job.customer_id, customer_ids)
    rows = session.execute(
        select(Job.customer_id, func.max(Hours.day))
        .join(Hours, Hours.job_id == Job.id)
        .where(Hours.day <= day, whose)
        .group_by(Job.customer_id)
    )
    visits = {customer: last for customer, last in rows if customer is not None}
    done = session.execute(
        select(Job.customer_id, func.max(Job.done_on))
        .where(Job.state == "done", Job.done_on <= day, whose)
        .group_by(Job.customer_id)
    )
    for customer, last in done:
        if customer is not None and last is not None:
            visits[customer] = max(visits.get(customer, last), last)
    return visits


def next_bookings(
    session: Session, day: date, customer_ids: Collection[int] | None = None
) -> dict[int, date]:
    """Customer id -> the first day from `day` on for which they are booked or being worked on."""
    rows = session.execute(
        select(Job.customer_id, func.min(func.coalesce(Job.last_day, Job.first_day)))
        .where(
            Job.state.in_(("booked", "working")),
            func.coalesce(Job.last_day, Job.first_day) >= day,
            _of(Job.customer_id, customer_ids),
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
    customer_ids: Collection[int] | None = None,
) -> list[ReminderRow]:
    """Reminders, the newest last, with what they are about."""
    chosen: list[ColumnElement[bool]] = []
    if states:
        chosen.append(Reminder.state.in_(states))
    if sent_since is not None:
        chosen.append(Reminder.sent_on >= sent_since)
    if ids:
        chosen.append(Reminder.id.in_(ids))
    if customer_ids is not None:
        chosen.append(Reminder.customer_id.in_(customer_ids))
    items: dict[int, list[tuple[int, int | None]]] = {}
    for reminder, vehicle, layer in session.execute(
        select(ReminderItem.reminder_id, ReminderItem.vehicle_id, ReminderItem.layer_event_id)
        .join(Reminder, Reminder.id == ReminderItem.reminder_id)
        .where(*chosen)
        .order_by(ReminderItem.id)
    ):
        items.setdefault(reminder, []).append((vehicle, layer))
    # The table and not its class: plain rows are quicker where there are thousands.
    query = select(Reminder.__table__).where(*chosen).order_by(Reminder.day, Reminder.id)
    return [
        made(
            ReminderRow,
            row,
            vehicles=tuple(dict.fromkeys(vehicle for vehicle, _ in items.get(row.id, ()))),
            layers=tuple(layer for _, layer in items.get(row.id, ()) if layer is not None),
        )
        for row in session.execute(query)
    ]


def reminded_on(session: Session) -> dict[int, date]:
    """Layer event id -> the day on which a message about it was sent last."""
    found = select(ReminderItem.layer_event_id, Reminder.sent_on)
    found = found.join(Reminder, Reminder.id == ReminderItem.reminder_id)
    sent = found.where(Reminder.state == "sent").order_by(Reminder.day, Reminder.id)
    return {layer: day for layer, day in session.execute(sent) if layer and day}


def last_tried(session: Session, reminder_ids: list[int]) -> dict[int, tuple[date, str]]:
    """Reminder id -> the day on which it was handed over last, and the note of its last event."""
    rows = session.execute(
        select(ReminderEvent.reminder_id, ReminderEvent.kind, ReminderEvent.day, ReminderEvent.note)
        .where(ReminderEvent.reminder_id.in_(reminder_ids))
        .order_by(ReminderEvent.id)
    )
    found: dict[int, tuple[date, str]] = {}
    for reminder, kind, day, note in rows:
        # What came of it may be noted days later, at the next start.
        tried = day if kind == "sending" or reminder not in found else found[reminder][0]
        found[reminder] = (tried, note)
    return found


def in_proposed_words(session: Session, reminder_ids: Collection[int]) -> set[int]:
    """Those of these reminders that were written in the book's own words and not changed since."""
    rows = session.execute(
        select(ReminderEvent.reminder_id, ReminderEvent.kind).where(
            ReminderEvent.reminder_id.in_(reminder_ids),
            ReminderEvent.kind.in_(("proposed", "changed")),
            standing(ReminderEvent),
        )
    )
    kinds = {(reminder, kind) for reminder, kind in rows}
    return {one for one, kind in kinds if kind == "proposed" and (one, "changed") not in kinds}


def held_layers(
    session: Session, day: date, layer_ids: set[int]
) -> dict[int, tuple[str, int | None, bool]]:
    """Layer event id -> its vehicle's description, who holds it on the day, whether archived."""
    held = or_(OwnerLink.to_day.is_(None), OwnerLink.to_day > day)
    rows = session.execute(
        select(
            LayerEvent.id,
            Vehicle.description,
            OwnerLink.customer_id,
            Vehicle.archived_on.is_not(None),
        )
        .join(Vehicle, Vehicle.id == LayerEvent.vehicle_id)
        .outerjoin(OwnerLink, and_(OwnerLink.vehicle_id == Vehicle.id, held))
        .where(LayerEvent.id.in_(layer_ids))
        .order_by(OwnerLink.id)
    )
    return {layer: (title, customer, bool(away)) for layer, title, customer, away in rows}


def holding(
    session: Session, day: date, customer_ids: Collection[int] | None = None
) -> dict[int, bool]:
    """Customer id -> whether they hold a vehicle on the day, of all who ever held one."""
    held = or_(OwnerLink.to_day.is_(None), OwnerLink.to_day > day)
    rows = session.execute(
        select(OwnerLink.customer_id, func.max(case((held, 1), else_=0)))
        .where(_of(OwnerLink.customer_id, customer_ids))
        .group_by(OwnerLink.customer_id)
    )
    return {customer: bool(holds) for customer, holds in rows}
