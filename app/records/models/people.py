"""Who: customers, their vehicles, and who held which vehicle from when to when."""

from datetime import date
from typing import Any

from sqlalchemy import ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from app.records.models.base import KEEPS_NUMBERS, LATE, Record


class Customer(Record):
    """A person or firm that brings vehicles or pays for them."""

    __tablename__ = "customers"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200), index=True)
    is_firm: Mapped[bool] = mapped_column(default=False)
    # One household gets one message; empty means the customer alone.
    household: Mapped[str] = mapped_column(String(80), default="", index=True)
    phone: Mapped[str] = mapped_column(String(40), default="")  # E.164 where it could be read
    phone_as_typed: Mapped[str] = mapped_column(String(80), default="")
    second_phone: Mapped[str] = mapped_column(String(40), default="")
    email: Mapped[str] = mapped_column(String(254), default="")
    email_bad_since: Mapped[date | None]
    street: Mapped[str] = mapped_column(String(200), default="")
    city: Mapped[str] = mapped_column(String(100), default="")
    region: Mapped[str] = mapped_column(String(60), default="")
    postal_code: Mapped[str] = mapped_column(String(20), default="")
    country: Mapped[str] = mapped_column(String(60), default="")
    address_bad_since: Mapped[date | None]
    asks_by: Mapped[str] = mapped_column(String(10), default="")  # letter, mail, phone, text, ""
    may_remind: Mapped[bool] = mapped_column(default=True)
    stopped_on: Mapped[date | None]  # "stop" on any channel: no marketing on all of them
    later_until: Mapped[date | None]  # "later: March", theirs, outranks the manners
    not_before: Mapped[date | None]  # *Not now*, the shop's own wish, promises nothing
    # Months (1 to 12) in which they wish to be written to, empty for any; "before salt".
    season_months: Mapped[list[int]] = mapped_column(default=list)
    season_title: Mapped[str] = mapped_column(String(60), default="")
    deceased: Mapped[bool] = mapped_column(default=False)
    referred_by_id: Mapped[int | None] = mapped_column(ForeignKey("customers.id", **LATE))
    # Who pays for their jobs where a job names nobody; empty where they do. Named, not bound, for a
    # constraint cannot be added to a table that stands; who is gone pays nothing.
    payer_id: Mapped[int | None] = mapped_column(index=True)
    terms_days: Mapped[int | None]  # until their invoices are due; empty for the shop's own
    tax_exempt_no: Mapped[str] = mapped_column(String(60), default="")
    tax_exempt_until: Mapped[date | None]  # the last day of the certificate; empty: no end
    notes: Mapped[str] = mapped_column(Text, default="")
    since: Mapped[date | None]
    archived_on: Mapped[date | None]  # kept for its history, shown only when asked for by name


class Vehicle(Record):
    """A vehicle; it outlives its owners. Nothing but a description is needed."""

    __tablename__ = "vehicles"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    description: Mapped[str] = mapped_column(String(200))  # "blue wagon", as the shop says it
    year: Mapped[int | None]
    make: Mapped[str] = mapped_column(String(60), default="")
    model: Mapped[str] = mapped_column(String(60), default="")
    color: Mapped[str] = mapped_column(String(60), default="")
    plate: Mapped[str] = mapped_column(String(20), default="", index=True)
    plate_region: Mapped[str] = mapped_column(String(30), default="")
    vin: Mapped[str] = mapped_column(String(20), default="", index=True)
    fleet_unit: Mapped[str] = mapped_column(String(30), default="")
    size_outside: Mapped[str] = mapped_column(String(2), default="M")  # S, M, L, XL
    size_inside: Mapped[str] = mapped_column(String(2), default="M")
    # The five exposure questions: stands, washed, around (list), distance, kept_here.
    exposure: Mapped[dict[str, Any]] = mapped_column(default=dict)
    lease_ends: Mapped[date | None]
    stored_until: Mapped[date | None]
    notes: Mapped[str] = mapped_column(Text, default="")
    archived_on: Mapped[date | None]  # kept for its history, its owner is no longer written to


class OwnerLink(Record):
    """Who held a vehicle from when to when; open at the end while it is still theirs."""

    __tablename__ = "owner_links"

    id: Mapped[int] = mapped_column(primary_key=True)
    vehicle_id: Mapped[int] = mapped_column(ForeignKey("vehicles.id", **LATE), index=True)
    customer_id: Mapped[int] = mapped_column(ForeignKey("customers.id", **LATE), index=True)
    from_day: Mapped[date | None]
    to_day: Mapped[date | None]


class Consent(Record):
    """What a customer agreed to be sent on a channel: in which words, how, when and by whom.

    A withdrawn consent stays, with its day: it must not come back with an older list.
    """

    __tablename__ = "consents"

    id: Mapped[int] = mapped_column(primary_key=True)
    customer_id: Mapped[int] = mapped_column(ForeignKey("customers.id", **LATE), index=True)
    channel: Mapped[str] = mapped_column(String(10))  # mail, letter, phone, text
    purpose: Mapped[str] = mapped_column(String(12))  # care (service notes), reminders, offers
    wording: Mapped[str] = mapped_column(Text, default="")  # what they agreed to, as it read
    how: Mapped[str] = mapped_column(String(80), default="")  # signed, by word of mouth…
    day: Mapped[date]
    by: Mapped[str] = mapped_column(String(80), default="")  # who took it
    withdrawn_on: Mapped[date | None]
