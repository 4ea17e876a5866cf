"""Station 3, *Money taken*: what each job owes, what came, what is expected today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.day.typed_money import Typed, read_taken
from app.actions.desk.amounts import money, totals
from app.actions.desk.desk import Changed, Desk, there
from app.actions.desk.open_day import UNTOUCHED_BY_TYPING, writing_on
from app.actions.plan.job_plan import plans_on
from app.calculations.numbers.tax import Totals
from app.calculations.numbers.wording import count_of
from app.errors import Mendable
from app.records.models import CONFIRMED, EXPECTED, DaySheet, Receipt
from app.records.queries import days as queries
from app.records.queries import takings
from app.records.queries.days import JobRow, Session
from app.records.queries.takings import ReceiptRow
from app.records.undo.ledgers import countering

KINDS = frozenset({"money", "days"})
METHODS = ("cash", "check", "card", "transfer")
OWED_DAYS = 180  # how long back the station looks for jobs that are done and not paid


@dataclass(frozen=True, kw_only=True)
class MoneyRow:
    """A job's money on this day; minor units.

    `state`: typed, expected (filled in), booked (closed), blank.
    """

    job: JobRow
    sums: Totals  # due before what came on this day
    paid_before: int
    taken: int
    tip: int
    credit: int  # kept for the customer's later jobs; below zero where paid from it
    taken_text: str  # all of it, as it could be typed
    held: int  # the customer's credit now
    filled: int
    state: str
    changed: bool
    method: str


@dataclass(frozen=True)
class OwedJob:
    """A job that is not on this day and still owes, or could pay a deposit."""

    job: JobRow
    due: int


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
        beside = takings.beside_of(session, here)
        customers = {job.customer_id for job in jobs if job.customer_id is not None}
        methods = takings.usual_methods(session, customers)
        held = takings.credit_of(session, customers)
        sheet = queries.sheet(session, day)
    closed = sheet is not None and sheet.state == "closed"
    rows = []
    for job in jobs:
        came = receipts.get(job.job_id, ())
        before = [one for one in came if one.day != day]
        sums = totals(desk, nets.get(job.job_id, ()), before)
        finishes = job.job_id in plans and plans[job.job_id].finishes_on(day)
        filled = max(0, sums.due) if finishes else 0
        today = [one for one in came if one.day == day]
        method = methods.get(job.customer_id or 0, "")
        row = _row(
            desk,
            job,
            sums,
            sum(one.amount for one in before),
            today,
            [one for one in beside.get(job.job_id, ()) if one.day == day],
            filled,
            method,
            held.get(job.customer_id or 0, 0),
            closed,
        )
        if sums.gross or row.taken or row.tip or row.paid_before:
            rows.append(row)
    expected = sum(row.taken for row in rows)
    owed = (
        OwedJob(job, due)
        for job in elsewhere
        if (due := totals(desk, nets.get(job.job_id, ()), receipts.get(job.job_id, ())).due) > 0
    )
    return MoneyTaken(tuple(rows), expected, _head(desk, rows, expected), tuple(owed))


def _row(
    desk: Desk,
    job: JobRow,
    sums: Totals,
    before: int,
    today: Sequence[ReceiptRow],
    beside: Sequence[ReceiptRow],
    filled: int,
    method: str,
    held: int,
    closed: bool,
) -> MoneyRow:
    typed = [one for one in today if closed or one.state != EXPECTED]
    taken = sum(one.amount for one in typed) if typed else (0 if closed else filled)
    tip, credit = (
        sum(one.amount for one in beside if one.kind == kind) for kind in ("tip", "credit")
    )
    words = "".join(
        f" + {kind} {money(desk, part)}" for kind, part in (("tip", tip), ("credit", credit))
        if part > 0
    )  # fmt: skip
    state = "blank"
    if typed:
        state = "booked" if closed else "typed"
    elif taken:
        state = "expected"
    return MoneyRow(
        job=job,
        sums=sums,
        paid_before=before,
        taken=taken,
        tip=tip,
        credit=credit,
        taken_text=f"{money(desk, taken)}{words}" if state != "blank" else "",
        held=held,
        filled=filled,
        state=state,
        changed=bool(typed) and not closed and (taken != filled or tip > 0),
        method=next((one.method for one in reversed(today) if one.method), method),
    )


def _head(desk: Desk, rows: Sequence[MoneyRow], total: int) -> str:
    paying = [row for row in rows if row.taken]
    if not paying:
        return "No payment expected"
    guessed = " expected" if any(row.state == "expected" for row in paying) else ""
    tips = sum(row.tip for row in rows)
    beside = f", tips {money(desk, tips)}" if tips else ""
    return f"{count_of(len(paying), 'payment')}{guessed}, {money(desk, total)}{beside}"


def set_money(
    desk: Desk, day: date, job_id: int, typed: str, method: str = "", *, keep_beside: bool = False
) -> Changed:
    """Note what a job paid on a day; nothing typed fills in what is expected again.

    Before the job is done it is a deposit. A negative amount is money given back. What was noted
    before the day was closed is taken back by a counter-entry and written anew. What is above the
    due is refused with a question: a tip, a credit, or a typing error? `keep_beside`: the tips and
    credits of the day stay, else what is typed says all of them.
    """
    if method and method not in METHODS:
        raise Mendable(f"“{method}” is no way of paying here; say {', '.join(METHODS)}.")
    with desk.book.reading() as session:
        jobs = queries.jobs_by_id(session, [job_id])
        nets = takings.nets_of(session, [job_id]).get(job_id, [])
        receipts = takings.receipts_of(session, [job_id]).get(job_id, [])
        beside = takings.beside_of(session, [job_id]).get(job_id, [])
    job = there(jobs[0] if jobs else None, "This job")
    finishes = any(plan.job_id == job_id and plan.finishes_on(day) for plan in plans_on(desk, day))
    standing = [one for one in receipts if one.day == day]
    others = [one for one in beside if one.day == day]
    sums = totals(desk, nets, [one for one in receipts if one.day != day])
    due = max(0, sums.due)
    clearing = not typed.strip()
    said = Typed(0) if clearing else read_taken(typed, desk.settings.currency)
    amount = said.for_job(due)
    way = method or said.method or next((o.method for o in reversed(standing) if o.method), "")
    lines = {"tip": said.tip, "credit": said.credit - (amount if way == "credit" else 0)}
    if not clearing:
        _ask_above_due(desk, amount, due, charged=sums.gross > 0)
        _ask_credit(desk, job, lines["credit"], others)
    words = "".join(f", {kind} {money(desk, part)}" for kind, part in lines.items() if part > 0)
    done = " filled in again" if clearing else f": {money(desk, amount)}{words}"
    name = f"Money of {job.number_text}{done}"
    with writing_on(desk, day, name, KINDS, untouched=UNTOUCHED_BY_TYPING) as session:
        kept = _settle(session, desk, day, standing)
        if not keep_beside:
            gone = _settle(session, desk, day, others)
            if gone is not None:
                session.delete(gone)
        if not clearing:
            row = kept or Receipt(day=day, at=desk.clock(), job_id=job_id)
            row.customer_id = job.customer_id
            row.amount, row.method = amount, way
            row.note, row.state = "", CONFIRMED
            if amount < 0:
                row.kind = "refund"
            else:
                row.kind = "payment" if job.state == "done" or finishes else "deposit"
            if kept is None:
                session.add(row)
            for kind, part in lines.items():
                if part:
                    session.add(
                        Receipt(
                            day=day, at=desk.clock(), job_id=job_id, customer_id=job.customer_id,
                            amount=part, method=way, kind=kind,
                        )
                    )  # fmt: skip
        elif kept is not None:
            session.delete(kept)
    return Changed(name, KINDS)


def _ask_above_due(desk: Desk, amount: int, due: int, *, charged: bool) -> None:
    """Refuse more than is due, until it is said what it is; a job without charges owes nothing yet,
    and what comes for it is a deposit."""
    if not charged or amount <= due:
        return
    came, over = money(desk, amount), money(desk, amount - due)
    raise Mendable(
        f"{came} is {over} more than the {money(desk, due)} due. Is it a tip (type “{came} tip "
        f"{over}”), a credit (“{came} credit {over}”), or a typing error?"
    )


def _ask_credit(desk: Desk, job: JobRow, credit: int, others: Sequence[ReceiptRow]) -> None:
    """Refuse a credit of nobody, and one spent that is not held; `others` are written anew."""
    if not credit:
        return
    if job.customer_id is None:
        raise Mendable("A credit is held for a customer, and this job has none.")
    with desk.book.reading() as session:
        held = takings.credit_of(session, [job.customer_id]).get(job.customer_id, 0)
    held -= sum(one.amount for one in others if one.kind == "credit")
    if held + credit < 0:
        have = f"only {money(desk, held)} is" if held > 0 else "nothing is"
        raise Mendable(f"{job.customer} cannot pay this from credit: {have} held.")


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
    session.add(countering(row, day=row.day, at=desk.clock(), note=reason))
