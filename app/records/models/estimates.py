"""Estimates in versions, the points where work waits for an answer, and calls about the price.

A version that was given to a customer stays as it was given (`records/undo/given_versions.py`); a
change makes the next version.
"""

from datetime import date, datetime

from sqlalchemy import ForeignKey, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.records.models.base import KEEPS_NUMBERS, LATE, Record


class Estimate(Record):
    """A version of what a job will take and cost: low, likely, not above; money with its tax."""

    __tablename__ = "estimates"
    __table_args__ = (UniqueConstraint("job_id", "version"), KEEPS_NUMBERS)

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id", **LATE), index=True)
    version: Mapped[int]  # from 1 in each job
    made_on: Mapped[date]
    at: Mapped[datetime]
    state: Mapped[str] = mapped_column(String(10), default="draft")  # draft, given, approved
    low_minutes: Mapped[int] = mapped_column(default=0)
    minutes: Mapped[int] = mapped_column(default=0)
    high_minutes: Mapped[int] = mapped_column(default=0)
    low: Mapped[int] = mapped_column(default=0)
    likely: Mapped[int] = mapped_column(default=0)
    high: Mapped[int] = mapped_column(default=0)
    tax_rule: Mapped[str] = mapped_column(String(10), default="total")  # total, line
    valid_until: Mapped[date | None]
    reason: Mapped[str] = mapped_column(Text, default="")  # why it is a range
    assumptions: Mapped[str] = mapped_column(Text, default="")  # one a line, as the next two
    not_included: Mapped[str] = mapped_column(Text, default="")
    left_alone: Mapped[str] = mapped_column(Text, default="")
    deposit: Mapped[int] = mapped_column(default=0)  # asked
    given_on: Mapped[date | None]
    approved_on: Mapped[date | None]
    approved_at: Mapped[datetime | None]
    approved_by: Mapped[str] = mapped_column(String(120), default="")
    approved_how: Mapped[str] = mapped_column(String(10), default="")
    ceiling: Mapped[int | None]  # not above without another yes, with its tax; as approved


class EstimateLine(Record):
    """A line of an estimate: minutes, and amounts before tax; a discount is negative."""

    __tablename__ = "estimate_lines"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    estimate_id: Mapped[int] = mapped_column(ForeignKey("estimates.id", **LATE), index=True)
    position: Mapped[int]
    text: Mapped[str] = mapped_column(String(200))
    low_minutes: Mapped[int] = mapped_column(default=0)
    minutes: Mapped[int] = mapped_column(default=0)
    high_minutes: Mapped[int] = mapped_column(default=0)
    low: Mapped[int] = mapped_column(default=0)
    likely: Mapped[int] = mapped_column(default=0)
    high: Mapped[int] = mapped_column(default=0)
    tax_rate: Mapped[int] = mapped_column(default=0)  # thousandths of a percent
    service_id: Mapped[int | None] = mapped_column(ForeignKey("services.id", **LATE))


class HoldPoint(Record):
    """Where the work waits for the customer, and what they answered."""

    __tablename__ = "hold_points"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    estimate_id: Mapped[int] = mapped_column(ForeignKey("estimates.id", **LATE), index=True)
    position: Mapped[int]
    text: Mapped[str] = mapped_column(String(300))
    answer: Mapped[str] = mapped_column(String(300), default="")
    answered_on: Mapped[date | None]
    answered_at: Mapped[datetime | None]
    channel: Mapped[str] = mapped_column(String(10), default="")


class EstimateCall(Record):
    """A call because a job passes what was approved: who, what was said, the new ceiling."""

    __tablename__ = "estimate_calls"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    estimate_id: Mapped[int] = mapped_column(ForeignKey("estimates.id", **LATE), index=True)
    day: Mapped[date]
    at: Mapped[datetime]
    who: Mapped[str] = mapped_column(String(120), default="")
    said: Mapped[str] = mapped_column(String(300), default="")
    reached: Mapped[int]  # what the job comes to by then, with its tax
    ceiling: Mapped[int | None]  # the new one; empty where it stays
