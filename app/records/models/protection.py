"""What protects which surface: layer events, judgements, and reminders with their events."""

from datetime import date, datetime

from sqlalchemy import ForeignKey, Index, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from app.records.models.base import KEEPS_NUMBERS, LATE, Ledger, Record


class LayerEvent(Ledger, Record):
    """Something that happened to the layers on one surface group of one vehicle."""

    __tablename__ = "layer_events"
    __table_args__ = (Index("ix_layer_events_vehicle_id_day", "vehicle_id", "day"), KEEPS_NUMBERS)
    alike = ("vehicle_id", "job_id", "step_id", "surface_group", "supply_id")

    id: Mapped[int] = mapped_column(primary_key=True)
    vehicle_id: Mapped[int]  # named, not bound: final lines outlive an undone vehicle or job
    job_id: Mapped[int | None] = mapped_column(index=True)
    # The step of the job that did it, named like the job: with the surface it is what tells a
    # layer from another, whatever the step is called. Empty where no job's step wrote the line.
    step_id: Mapped[int | None]
    day: Mapped[date] = mapped_column(index=True)
    at: Mapped[datetime]
    kind: Mapped[str] = mapped_column(String(10))  # applied, stripped, abraded, reversed
    surface_group: Mapped[str] = mapped_column(String(30))
    supply_id: Mapped[int | None] = mapped_column(ForeignKey("supplies.id", **LATE), index=True)
    counters_id: Mapped[int | None] = mapped_column(
        ForeignKey("layer_events.id", **LATE), index=True, unique=True
    )
    note: Mapped[str] = mapped_column(String(300), default="")


class Judgement(Record):
    """What was seen of the protection on a surface group: holding, fading, gone."""

    __tablename__ = "judgements"

    id: Mapped[int] = mapped_column(primary_key=True)
    vehicle_id: Mapped[int] = mapped_column(ForeignKey("vehicles.id", **LATE), index=True)
    layer_event_id: Mapped[int | None] = mapped_column(
        ForeignKey("layer_events.id", **LATE), index=True
    )
    job_id: Mapped[int | None] = mapped_column(ForeignKey("jobs.id", **LATE))
    day: Mapped[date]
    surface_group: Mapped[str] = mapped_column(String(30))
    before: Mapped[str] = mapped_column(String(10), default="")  # decontamination
    after: Mapped[str] = mapped_column(String(10), default="")
    note: Mapped[str] = mapped_column(String(300), default="")


class Reminder(Record):
    """A message to one household about what is due, with its state."""

    __tablename__ = "reminders"

    id: Mapped[int] = mapped_column(primary_key=True)
    customer_id: Mapped[int] = mapped_column(ForeignKey("customers.id", **LATE), index=True)
    day: Mapped[date] = mapped_column(index=True)  # prepared on
    channel: Mapped[str] = mapped_column(String(10), default="letter")  # letter, mail, phone, text
    # prepared, sending, uncertain, sent, answered, dropped by a person, withheld when it was
    # judged again and must not go (why: the note of that event)
    state: Mapped[str] = mapped_column(String(10), default="prepared", index=True)
    subject: Mapped[str] = mapped_column(String(200), default="")
    text: Mapped[str] = mapped_column(Text, default="")
    reason: Mapped[str] = mapped_column(Text, default="")
    sent_on: Mapped[date | None]
    answer: Mapped[str] = mapped_column(String(15), default="")
    # booked, later, no, sold, moved, stop, fine, undeliverable
    answered_on: Mapped[date | None]
    uid: Mapped[str] = mapped_column(String(80), unique=True)


class ReminderItem(Record):
    """A layer that a reminder is about."""

    __tablename__ = "reminder_items"

    id: Mapped[int] = mapped_column(primary_key=True)
    reminder_id: Mapped[int] = mapped_column(ForeignKey("reminders.id", **LATE), index=True)
    vehicle_id: Mapped[int] = mapped_column(ForeignKey("vehicles.id", **LATE), index=True)
    layer_event_id: Mapped[int | None] = mapped_column(
        ForeignKey("layer_events.id", **LATE), index=True
    )


class ReminderEvent(Ledger, Record):
    """What happened to a reminder, in order."""

    __tablename__ = "reminder_events"
    __table_args__ = KEEPS_NUMBERS
    alike = ("reminder_id",)

    id: Mapped[int] = mapped_column(primary_key=True)
    reminder_id: Mapped[int] = mapped_column(ForeignKey("reminders.id", **LATE), index=True)
    day: Mapped[date]
    at: Mapped[datetime]
    kind: Mapped[str] = mapped_column(String(15))  # proposed, prepared, changed, sent…
    counters_id: Mapped[int | None] = mapped_column(
        ForeignKey("reminder_events.id", **LATE), index=True, unique=True
    )
    note: Mapped[str] = mapped_column(String(300), default="")
