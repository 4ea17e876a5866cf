"""A small invented shop's book, and the things a person does in it, for the tests of the book.

The actions here are only as large as the tests of the records need; each is one change.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records import stock
from app.records.book import Book
from app.records.models import (
    Customer,
    DaySheet,
    Job,
    LayerEvent,
    Movement,
    Receipt,
    Reminder,
    ReminderEvent,
    Supplier,
    Supply,
    Use,
    Vehicle,
)
from app.records.undo import ledgers

MONDAY = date(2025, 5, 5)
DAYS = tuple(MONDAY + timedelta(days=number) for number in range(4))
NOON = datetime(2025, 5, 5, 17, 0, tzinfo=UTC)
OUNCE = 29_574  # microlitres, to the nearest

WASH, WAX = 1, 2  # supplies
JOB = 1


def found_shop(path: Path) -> None:
    """Write a book with a customer, a vehicle, a job and two supplies with some stock."""
    with Book.create(path) as book, book.change("Found the shop", at=NOON) as session:
        session.add(Supplier(id=1, name="Millbrook Supply"))
        session.add(Supply(id=WASH, name="rinseless wash", kind="liquid", supplier_id=1))
        session.add(Supply(id=WAX, name="paste wax", kind="paste", protection="carnauba wax"))
        session.add(Customer(id=1, name="Ada Quillfeather"))
        session.add(Vehicle(id=1, description="blue wagon"))
        session.add(Job(id=JOB, number=1, vehicle_id=1, customer_id=1, first_day=MONDAY))
        session.flush()
        for supply in (WASH, WAX):
            move(session, supply, MONDAY - timedelta(days=1), "received", 1_000_000, 2_000)


@contextmanager
def quick_folder() -> Iterator[Path]:
    """A passing folder for very many short-lived books: in memory where the system has that.

    Each change waits for the disk, as it must; a test of a thousand changes need not.
    """
    memory = Path("/dev/shm")
    where = memory if memory.is_dir() and os.access(memory, os.W_OK) else None
    with tempfile.TemporaryDirectory(dir=where) as folder:
        yield Path(folder)


def copy_shop(template: Path, folder: Path) -> Path:
    """A fresh book, ready in a millisecond."""
    return Path(shutil.copyfile(template, folder / "shop.bayledger"))


def move(
    session: Any, supply: int, day: date, kind: str, quantity: int, value: int = 0, **more: Any
) -> Movement:
    """A line of the stock ledger."""
    return stock.book_movement(
        session,
        supply_id=supply,
        day=day,
        at=NOON,
        kind=kind,
        quantity=quantity,
        value=value,
        **more,
    )


def add_customer(book: Book, name: str) -> int:
    """A new customer; returns their number."""
    with book.change(f"Add {name}", kinds=["customers"], at=NOON) as session:
        customer = Customer(name=name)
        session.add(customer)
    return customer.id


def set_use(book: Book, day: date, quantity: int, supply: int = WASH) -> None:
    """What the job took of a supply on an open day: enter it, or put it right."""
    with book.change(f"Use on {day}", day=day, kinds=["uses"], at=NOON) as session:
        sheet = session.get(DaySheet, day)
        if sheet is not None and sheet.state == "closed":
            return
        if session.get(Job, JOB) is None:
            return
        use = session.scalar(
            select(Use).where(Use.day == day, Use.supply_id == supply, Use.job_id == JOB)
        )
        if use is None:
            use = Use(day=day, supply_id=supply, job_id=JOB, quantity=0)
            session.add(use)
        use.quantity, use.state = quantity, "confirmed"


def take_money(book: Book, day: date, amount: int) -> None:
    """A payment for the job."""
    with book.change(f"Money on {day}", day=day, kinds=["money"], at=NOON) as session:
        session.add(
            Receipt(job_id=JOB, customer_id=1, day=day, at=NOON, amount=amount, method="cash")
        )


def close_day(book: Book, day: date) -> None:
    """Book the day's uses, a layer, and the shelf's snapshot; close its sheet."""
    with book.change(f"Close {day}", day=day, kinds=["days", "stock"], at=NOON) as session:
        sheet = session.get(DaySheet, day)
        if sheet is None:
            page = (session.scalar(select(func.max(DaySheet.page))) or 0) + 1
            sheet = DaySheet(day=day, page=page)
            session.add(sheet)
        if sheet.state == "closed":
            return
        for use in session.scalars(select(Use).where(Use.day == day, ~Use.booked)):
            cost = use.quantity // 1000
            move(
                session,
                use.supply_id,
                day,
                "used",
                -use.quantity,
                -cost,
                use_id=use.id,
                job_id=use.job_id,
            )
            use.booked, use.cost = True, cost
            if use.supply_id == WAX and use.quantity:
                session.add(
                    LayerEvent(
                        vehicle_id=1,
                        job_id=use.job_id,
                        day=day,
                        at=NOON,
                        kind="applied",
                        surface_group="upper sides",
                        supply_id=WAX,
                    )
                )
        stock.snapshot(session, day)
        sheet.state, sheet.closed_at = "closed", NOON
        sheet.times_closed += 1


def reopen_day(book: Book, day: date, today: date) -> None:
    """Take back what the close of a day booked, and open its sheet."""
    with book.change(f"Reopen {day}", day=day, kinds=["days", "stock"], at=NOON) as session:
        sheet = session.get(DaySheet, day)
        if sheet is None or sheet.state != "closed":
            return
        for kind in (Movement, LayerEvent):
            lines = session.scalars(
                select(kind).where(
                    kind.day == day, kind.kind.in_(["used", "applied"]), ledgers.standing(kind)
                )
            )
            for line in lines.all():
                session.add(ledgers.countering(line, day=today, at=NOON, note="reopened"))
        for use in session.scalars(select(Use).where(Use.day == day, Use.booked)):
            use.booked, use.cost = False, 0
        sheet.state = "open"


def prepare_reminder(book: Book, day: date) -> None:
    """A letter to the customer, ready to send."""
    with book.change("Prepare a letter", day=day, kinds=["reminders"], at=NOON) as session:
        if session.get(Customer, 1) is None:
            return
        count = session.scalar(select(func.count()).select_from(Reminder)) or 0
        letter = Reminder(customer_id=1, day=day, uid=f"letter {count}", text="due")
        session.add(letter)
        session.flush()
        session.add(ReminderEvent(reminder_id=letter.id, day=day, at=NOON, kind="prepared"))


def send_reminder(book: Book, day: date) -> None:
    """Say that the oldest letter that is ready was sent."""
    with book.change("Mark as sent", day=day, kinds=["reminders"], at=NOON) as session:
        letter = session.scalar(select(Reminder).where(Reminder.state == "prepared").limit(1))
        if letter is None:
            return
        letter.state, letter.sent_on = "sent", day
        session.add(ReminderEvent(reminder_id=letter.id, day=day, at=NOON, kind="sent"))


def add_job(book: Book) -> None:
    """A job with the next number."""
    with book.change("Book a job", kinds=["jobs"], at=NOON) as session:
        last = session.scalar(select(func.max(Job.number))) or 0
        whose = 1 if session.get(Customer, 1) is not None else None
        session.add(Job(number=last + 1, title="wash", customer_id=whose))


def exchange_numbers(book: Book) -> None:
    """The first and the last job exchange their numbers, which only one can have at a time."""
    with book.change("Exchange numbers", kinds=["jobs"], at=NOON) as session:
        jobs = session.scalars(select(Job).order_by(Job.id)).all()
        if len(jobs) > 1:
            first, last = jobs[0], jobs[-1]
            one, other = first.number, last.number
            for job, number in ((first, -1), (last, one), (first, other)):
                job.number = number
                session.flush()


def line_sums(book: Book, day: date | None = None) -> dict[int, tuple[int, int]]:
    """The balance in the slow way: every line added up."""
    query = select(
        Movement.supply_id, func.sum(Movement.quantity), func.sum(Movement.value)
    ).group_by(Movement.supply_id)
    if day is not None:
        query = query.where(Movement.day <= day)
    with book.reading() as session:
        return {supply: (q, v) for supply, q, v in session.execute(query)}


@contextmanager
def steps_of_sqlite(session: Session) -> Iterator[list[int]]:
    """One entry for each ten steps of SQLite's own machine, however busy this one is."""
    steps: list[int] = []
    raw = session.connection().connection.driver_connection
    assert raw is not None
    raw.set_progress_handler(lambda: steps.append(10), 10)
    try:
        yield steps
    finally:
        raw.set_progress_handler(None, 0)
