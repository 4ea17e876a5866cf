"""Station 3, *Money taken*: what each job owes, what came, what is expected today."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import UNTOUCHED_BY_TYPING, numbered, writing_on
from app.actions.plan.job_plan import plans_on
from app.calculations.numbers import tax
from app.calculations.numbers.money import read_money
from app.errors import Mendable
from app.records.models import CONFIRMED, EXPECTED, DaySheet, Receipt
from app.records.queries import days as queries
from app.records.queries import takings
from app.records.queries.days import JobRow, Session
from app.records.queries.takings import ReceiptRow

KINDS = frozenset({"money", "days"})
METHODS = ("cash", "check", "card", "transfer")
OWED_DAYS = 180  # how long back the station looks for jobs that are done and not paid


@dataclass(frozen=True, kw_only=True)
class MoneyRow:
    """A job's money on this day; minor units.

    `state`: typed, expected (filled in), booked (closed), blank.
    """

    job_id: int
    number: int
    number_text: str
    customer: str
    net: int
    net_text: str
    tax: int
    tax_text: str
    gross: int
    gross_text: str
    paid_before: int
    paid_before_text: str
    due: int
    due_text: str
    taken: int
    taken_text: str
    filled: int
    filled_text: str
    state: str
    changed: bool
    method: str
    methods: tuple[str, ...]


@dataclass(frozen=True)
class OwedJob:
    """A job that is not on this day and still owes, or could pay a deposit."""

    job_id: int
    number: int
    number_text: str
    customer: str
    due: int
    due_text: str
    done: bool


@dataclass(frozen=True)
class MoneyTaken:
    """The station."""

    rows: tuple[MoneyRow, ...]
    expected: int
    expected_text: str
    others: tuple[OwedJob, ...]


def money_taken(desk: Desk, day: date) -> MoneyTaken:
    """What the jobs of a day owe and pay; the jobs elsewhere that still owe."""
    plans = {plan.job_id: plan for plan in plans_on(desk, day)}
    with desk.book.reading() as session:
        here = set(plans) | takings.jobs_with_receipts(session, day)
        jobs = queries.jobs_by_id(session, here)
        elsewhere = [
            job
            for job in [
                *takings.lately_done_owing(session, day - timedelta(days=OWED_DAYS), day),
                *queries.open_jobs(session, day - timedelta(days=30)),
            ]
            if job.job_id not in here
        ]
        ids = here | {job.job_id for job in elsewhere}
        nets = takings.nets_of(session, ids)
        receipts = takings.receipts_of(session, ids)
        methods = takings.usual_methods(
            session, {job.customer_id for job in jobs if job.customer_id is not None}
        )
        sheet = queries.sheet(session, day)
    closed = sheet is not None and sheet.state == "closed"
    rows = tuple(
        row
        for job in jobs
        if (
            row := _row(
                desk,
                job,
                day,
                nets.get(job.job_id, ()),
                receipts.get(job.job_id, ()),
                methods.get(job.customer_id or 0, ""),
                finishes=job.job_id in plans and plans[job.job_id].finishes_on(day),
                closed=closed,
            )
        ).gross
        or row.taken
        or row.paid_before
    )
    expected = sum(row.taken for row in rows)
    return MoneyTaken(
        rows,
        expected,
        _head(desk, rows, expected),
        tuple(_owed(desk, elsewhere, nets, receipts)),
    )


def totals(desk: Desk, nets: Iterable[tuple[int, int]], prepaid: int = 0) -> tax.Totals:
    """Net, tax and gross of (amount, tax rate in thousandths of a percent) lines."""
    return tax.totals(
        [tax.Line(amount, Fraction(rate, 1000)) for amount, rate in nets],
        tax.Rule(desk.settings.tax_rule),
        prepaid,
    )


def _row(
    desk: Desk,
    job: JobRow,
    day: date,
    nets: Sequence[tuple[int, int]],
    receipts: Sequence[ReceiptRow],
    method: str,
    *,
    finishes: bool,
    closed: bool,
) -> MoneyRow:
    today = [one for one in receipts if one.day == day]
    before = sum(one.amount for one in receipts if one.day != day)
    sums = totals(desk, nets, before)
    filled = max(0, sums.due) if finishes else 0
    typed = [one for one in today if closed or one.state != EXPECTED]
    taken = sum(one.amount for one in typed) if typed else (0 if closed else filled)
    state = "blank"
    if typed:
        state = "booked" if closed else "typed"
    elif taken:
        state = "expected"
    return MoneyRow(
        job_id=job.job_id,
        number=job.number,
        number_text=numbered(job.number),
        customer=job.customer,
        net=sums.net,
        net_text=money(desk, sums.net),
        tax=sums.tax,
        tax_text=money(desk, sums.tax),
        gross=sums.gross,
        gross_text=money(desk, sums.gross),
        paid_before=before,
        paid_before_text=money(desk, before),
        due=sums.due,
        due_text=money(desk, sums.due),
        taken=taken,
        taken_text=money(desk, taken) if state != "blank" else "",
        filled=filled,
        filled_text=money(desk, filled),
        state=state,
        changed=bool(typed) and not closed and taken != filled,
        method=next((one.method for one in reversed(today) if one.method), method),
        methods=METHODS,
    )


def _head(desk: Desk, rows: Sequence[MoneyRow], total: int) -> str:
    paying = [row for row in rows if row.taken]
    if not paying:
        return "No payment expected"
    word = "payment" if len(paying) == 1 else "payments"
    guessed = any(row.state == "expected" for row in paying)
    return f"{len(paying)} {word}{' expected' if guessed else ''}, {money(desk, total)}"


def _owed(
    desk: Desk,
    jobs: Sequence[JobRow],
    nets: dict[int, list[tuple[int, int]]],
    receipts: dict[int, list[ReceiptRow]],
) -> Iterable[OwedJob]:
    for job in jobs:
        paid = sum(one.amount for one in receipts.get(job.job_id, ()))
        due = totals(desk, nets.get(job.job_id, ()), paid).due
        if due > 0:
            yield OwedJob(
                job.job_id,
                job.number,
                numbered(job.number),
                job.customer,
                due,
                money(desk, due),
                job.state == "done",
            )


_METHOD = re.compile(r"\b(cash|checks?|cheques?|cards?|transfers?|bank|wire)\b", re.IGNORECASE)
_SAME = {"cheque": "check", "bank": "transfer", "wire": "transfer"}


def read_taken(typed: str, currency: str) -> tuple[int, str]:
    """(minor units, method) from `400`, `$400 check`, `card 1,250.00`, `-50 cash` (given back)."""
    found = _METHOD.search(typed)
    method = ""
    if found:
        word = found[1].lower()
        method = _SAME.get(word.removesuffix("s"), word.removesuffix("s"))
        typed = typed[: found.start()] + typed[found.end() :]
    return read_money(typed.strip(" ,;"), currency), method


def set_money(desk: Desk, day: date, job_id: int, typed: str, method: str = "") -> Changed:
    """Note what a job paid on a day; nothing typed fills in what is expected again.

    Before the job is done it is a deposit. A negative amount is money given back. What was noted
    before the day was closed is taken back by a counter-entry and written anew.
    """
    if method and method not in METHODS:
        raise Mendable(f"“{method}” is no way of paying here; say {', '.join(METHODS)}.")
    with desk.book.reading() as session:
        jobs = queries.jobs_by_id(session, [job_id])
        nets = takings.nets_of(session, [job_id]).get(job_id, [])
        receipts = takings.receipts_of(session, [job_id]).get(job_id, [])
    if not jobs:
        raise Mendable("This job is not in the book any more.")
    job = jobs[0]
    number = numbered(job.number)
    clearing = not typed.strip()
    amount, said = (0, "") if clearing else read_taken(typed, desk.settings.currency)
    name = (
        f"Money of {number} filled in again"
        if clearing
        else f"Money of {number}: {money(desk, amount)}"
    )
    finishes = any(plan.job_id == job_id and plan.finishes_on(day) for plan in plans_on(desk, day))
    with writing_on(desk, day, name, KINDS, untouched=UNTOUCHED_BY_TYPING) as session:
        standing = [one for one in receipts if one.day == day]
        kept = _settle(session, desk, day, standing)
        if not clearing:
            row = kept or Receipt(day=day, at=desk.clock(), job_id=job_id)
            row.customer_id = job.customer_id
            row.amount, row.method = amount, method or said or (row.method or "")
            row.note, row.state = "", CONFIRMED
            if amount < 0:
                row.kind = "refund"
            else:
                row.kind = "payment" if job.state == "done" or finishes else "deposit"
            if kept is None:
                session.add(row)
        elif kept is not None:
            session.delete(kept)
    before = sum(one.amount for one in receipts if one.day != day)
    due = totals(desk, nets, before).due
    question = ""
    if not clearing and amount > max(0, due):
        question = f"{money(desk, amount)} is more than the {money(desk, due)} due. Keep it?"
    return Changed(name, KINDS, question=question)


def _settle(
    session: Session, desk: Desk, day: date, standing: Sequence[ReceiptRow]
) -> Receipt | None:
    """The line to write on, once all others of the job and day are gone.

    On a day that was closed before, money that stood then is final: it is taken back by a
    counter-entry, never changed.
    """
    sheet = session.get_one(DaySheet, day)
    kept: Receipt | None = None
    for one in standing:
        row = session.get_one(Receipt, one.receipt_id)
        if sheet.times_closed and sheet.closed_at and row.at <= sheet.closed_at:
            take_back(session, desk, row, "Corrected after the day was reopened")
        elif kept is None:
            kept = row
        else:
            session.delete(row)
    return kept


def take_back(session: Session, desk: Desk, row: Receipt, reason: str) -> None:
    """Write the line that takes a receipt back, on the same day."""
    session.add(
        Receipt(
            **row.counter(), day=row.day, at=desk.clock(), counters_id=row.id, note=reason[:300]
        )
    )
