"""What is owed and what came: charges and receipts, in whole minor units."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from app.records.models.base import CONFIRMED, KEEPS_NUMBERS, LATE, Ledger, Record

# Money that came with a job and pays nothing of it: a tip is the worker's, a credit is held for the
# customer's later jobs (and below zero where one of them is paid from it).
BESIDE_THE_JOB = ("tip", "credit")


class Charge(Record):
    """One line of what a job costs its customer, before tax; a discount is negative."""

    __tablename__ = "charges"

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id", **LATE), index=True)
    position: Mapped[int] = mapped_column(default=0)
    text: Mapped[str] = mapped_column(String(200))
    amount: Mapped[int]
    # Thousandths of a percent, as it stood when the line was written: 7.25 % is 7250.
    tax_rate: Mapped[int] = mapped_column(default=0)
    service_id: Mapped[int | None] = mapped_column(ForeignKey("services.id", **LATE))


class Receipt(Ledger, Record):
    """Money that came (or went back, negative); held as a deposit until its job is done."""

    __tablename__ = "receipts"
    __table_args__ = KEEPS_NUMBERS
    alike = ("job_id", "customer_id", "method")
    other_way = ("amount",)

    id: Mapped[int] = mapped_column(primary_key=True)
    # Named, not bound: a final line stays when undo takes out the job or customer.
    job_id: Mapped[int | None] = mapped_column(index=True)
    customer_id: Mapped[int | None] = mapped_column(index=True)
    day: Mapped[date] = mapped_column(index=True)
    at: Mapped[datetime]
    amount: Mapped[int]
    method: Mapped[str] = mapped_column(String(15), default="")  # cash, check, card, transfer
    kind: Mapped[str] = mapped_column(String(10), default="payment")
    # payment, deposit, refund, tip, credit, reversed
    # confirmed; expected: booked as filled in, nobody said that it came
    state: Mapped[str] = mapped_column(String(12), default=CONFIRMED)
    counters_id: Mapped[int | None] = mapped_column(
        ForeignKey("receipts.id", **LATE), index=True, unique=True
    )
    note: Mapped[str] = mapped_column(String(300), default="")

    def counter(self) -> dict[str, Any]:
        """The same money the other way; of a tip or credit one too, never taken for the job's."""
        kind = {"kind": self.kind} if self.kind in BESIDE_THE_JOB else {}
        return super().counter() | kind
