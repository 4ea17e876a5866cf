"""The work: services with their recipes, jobs over several days, hours and uses."""

from datetime import date, datetime

from sqlalchemy import BigInteger, ForeignKey, Index, String, Text, text
from sqlalchemy.orm import Mapped, mapped_column

from app.records.models.base import KEEPS_NUMBERS, LATE, Record


class Service(Record):
    """What is sold."""

    __tablename__ = "services"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(120), index=True)
    outside: Mapped[bool] = mapped_column(default=True)  # which size of the vehicle counts
    minutes: Mapped[int] = mapped_column(default=0)  # expected hands-on, medium, average
    price: Mapped[int] = mapped_column(default=0)  # before tax, medium, average
    # The kind of line that its charge is, as the shop names them; empty: no tax.
    tax_kind: Mapped[str] = mapped_column(String(40), default="work")
    in_bay: Mapped[bool] = mapped_column(default=True)  # else it is done outside
    stopped: Mapped[bool] = mapped_column(default=False)
    notes: Mapped[str] = mapped_column(Text, default="")


class ServiceStep(Record):
    """One step of a service, in order; what it does to the layers, and how long it then stands."""

    __tablename__ = "service_steps"

    id: Mapped[int] = mapped_column(primary_key=True)
    service_id: Mapped[int] = mapped_column(ForeignKey("services.id", **LATE), index=True)
    position: Mapped[int]
    name: Mapped[str] = mapped_column(String(120))
    # Of the whole service's; where none of its steps says any, all take as long.
    minutes: Mapped[int] = mapped_column(default=0)
    hold: Mapped[str] = mapped_column(String(8), default="")  # "", cures, dries
    hold_minutes: Mapped[int] = mapped_column(default=0)  # after it, hands off
    # "", applies, strips, abrades; applies needs the supply
    effect: Mapped[str] = mapped_column(String(10), default="")
    supply_id: Mapped[int | None] = mapped_column(ForeignKey("supplies.id", **LATE))
    surface_groups: Mapped[list[str]] = mapped_column(default=list)


class RecipeLine(Record):
    """What a service is expected to use of one supply, medium size, average condition."""

    __tablename__ = "recipe_lines"

    id: Mapped[int] = mapped_column(primary_key=True)
    service_id: Mapped[int] = mapped_column(ForeignKey("services.id", **LATE), index=True)
    supply_id: Mapped[int] = mapped_column(ForeignKey("supplies.id", **LATE), index=True)
    # fixed, size, size_condition, layer, container
    scaling: Mapped[str] = mapped_column(String(15), default="size_condition")
    amount: Mapped[int] = mapped_column(BigInteger)


class Job(Record):
    """The work on one vehicle, over one or more days."""

    __tablename__ = "jobs"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(unique=True)
    vehicle_id: Mapped[int | None] = mapped_column(ForeignKey("vehicles.id", **LATE), index=True)
    customer_id: Mapped[int | None] = mapped_column(ForeignKey("customers.id", **LATE), index=True)
    # Who pays this job; empty for whoever pays for its customer. Named, not bound, as there.
    payer_id: Mapped[int | None] = mapped_column(index=True)
    title: Mapped[str] = mapped_column(String(200), default="")
    # enquiry, booked, working, done, cancelled
    state: Mapped[str] = mapped_column(String(10), default="booked", index=True)
    condition: Mapped[str] = mapped_column(String(12), default="average")
    # kept, average, neglected, extreme
    asked_on: Mapped[date | None]  # the day of the enquiry, empty where it was booked at once
    wanted: Mapped[str] = mapped_column(String(80), default="")  # when, as they said it
    # How far ahead work is known tells the reorder rule much; empty while it is an enquiry.
    booked_on: Mapped[date | None]
    first_day: Mapped[date | None] = mapped_column(index=True)
    last_day: Mapped[date | None]
    begins_at: Mapped[datetime | None]  # agreed to the minute; else its first day alone is
    promised_at: Mapped[datetime | None]
    # "" as its services say; bay, outside, yard (the customer's own)
    place: Mapped[str] = mapped_column(String(8), default="")
    travel_minutes: Mapped[int] = mapped_column(default=0)  # there and back
    done_on: Mapped[date | None] = mapped_column(index=True)
    expected_minutes: Mapped[int] = mapped_column(default=0)
    drift_reason: Mapped[str] = mapped_column(String(40), default="")
    # The customer's own, printed on the invoice.
    order_number: Mapped[str] = mapped_column(String(60), default="")
    # Where it is worked, for the rate of tax there; empty: at the shop's own place.
    tax_place: Mapped[str] = mapped_column(String(60), default="")
    came_to_nothing: Mapped[bool] = mapped_column(default=False)  # an enquiry, cancelled unbooked
    ended_because: Mapped[str] = mapped_column(String(200), default="")  # why it was cancelled
    notes: Mapped[str] = mapped_column(Text, default="")


class JobService(Record):
    """A service sold on a job."""

    __tablename__ = "job_services"

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id", **LATE), index=True)
    service_id: Mapped[int] = mapped_column(ForeignKey("services.id", **LATE), index=True)
    layers: Mapped[int] = mapped_column(default=1)


class JobStep(Record):
    """A step of a job: to do, done on a day, or not done because."""

    __tablename__ = "job_steps"

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id", **LATE), index=True)
    position: Mapped[int]
    name: Mapped[str] = mapped_column(String(120))
    state: Mapped[str] = mapped_column(String(10), default="to do")  # to do, done, not done
    because: Mapped[str] = mapped_column(String(200), default="")
    day: Mapped[date | None]
    minutes: Mapped[int] = mapped_column(default=0)  # as in the step of its service
    hold: Mapped[str] = mapped_column(String(8), default="")
    hold_minutes: Mapped[int] = mapped_column(default=0)
    effect: Mapped[str] = mapped_column(String(10), default="")
    supply_id: Mapped[int | None] = mapped_column(ForeignKey("supplies.id", **LATE))
    surface_groups: Mapped[list[str]] = mapped_column(default=list)


class JobMove(Record):
    """A job that was moved, or a vehicle that came late or not at all."""

    __tablename__ = "job_moves"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id", **LATE), index=True)
    day: Mapped[date] = mapped_column(index=True)
    at: Mapped[datetime]
    kind: Mapped[str] = mapped_column(String(10))  # moved, late, no show
    asked_by: Mapped[str] = mapped_column(String(10), default="")  # customer, shop
    before: Mapped[datetime | None]
    after: Mapped[datetime | None]
    minutes: Mapped[int] = mapped_column(default=0)  # that it came late
    note: Mapped[str] = mapped_column(String(200), default="")


class Hours(Record):
    """Minutes worked on a day, on a job or on the shop (laundry, quoting, buying, driving)."""

    __tablename__ = "hours"

    id: Mapped[int] = mapped_column(primary_key=True)
    day: Mapped[date] = mapped_column(index=True)
    job_id: Mapped[int | None] = mapped_column(ForeignKey("jobs.id", **LATE), index=True)
    minutes: Mapped[int]
    expected: Mapped[int] = mapped_column(default=0)  # what was filled in
    state: Mapped[str] = mapped_column(String(12), default="confirmed")  # confirmed, expected
    typed: Mapped[str] = mapped_column(String(60), default="")
    what: Mapped[str] = mapped_column(String(60), default="")


class Use(Record):
    """What a job took of a supply on a day."""

    __tablename__ = "uses"
    __table_args__ = (
        Index("ix_uses_supply_id_day", "supply_id", "day"),
        Index("ix_uses_state_booked_id", "state", "booked", "id"),
        # The few that were read from the scale, among all of a supply.
        Index("ix_uses_weighed", "supply_id", "day", sqlite_where=text("weight_after IS NOT NULL")),
        KEEPS_NUMBERS,
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    day: Mapped[date] = mapped_column(index=True)
    job_id: Mapped[int | None] = mapped_column(ForeignKey("jobs.id", **LATE), index=True)
    supply_id: Mapped[int] = mapped_column(ForeignKey("supplies.id", **LATE))
    quantity: Mapped[int] = mapped_column(BigInteger)
    expected: Mapped[int] = mapped_column(BigInteger, default=0)  # what was filled in
    recipe: Mapped[int] = mapped_column(BigInteger, default=0)  # recipe x size x condition
    state: Mapped[str] = mapped_column(String(12), default="recipe")
    # confirmed, recipe, unrecorded
    typed: Mapped[str] = mapped_column(String(60), default="")
    # Where it was read from the scale: mg with the container before (empty where nothing was
    # weighed earlier) and after, and the moment, which orders the weighings of a day.
    weight_before: Mapped[int | None]
    weight_after: Mapped[int | None]
    weighed_at: Mapped[datetime | None]
    booked: Mapped[bool] = mapped_column(default=False)  # its movement stands in the ledger
    cost: Mapped[int] = mapped_column(default=0)  # as closed
