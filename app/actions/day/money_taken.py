"""Station 3, *Money taken*: what each job owes, what came, what is expected today."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.day.typed_money import read_taken
from app.actions.desk.amounts import money, totals
from app.actions.desk.desk import Changed, Desk, there
from app.actions.desk.open_day import UNTOUCHED_BY_TYPING, writing_on
from app.actions.plan.job_plan import plans_on
from app.calculations.numbers.dates import day_year, near
from app.calculations.numbers.tax import Totals
from app.calculations.numbers.wording import count_of
from app.errors import Mendable
from app.records.models import CONFIRMED, EXPECTED, DaySheet, Receipt
from app.records.queries import days as queries
from app.records.queries import invoices, left_bookings, takings, tax
from app.records.queries.days import JobRow, Session
from app.records.queries.takings import Nets, ReceiptRow
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
    not_filled: str = ""  # why nothing is expected: who has died, or pays by invoice


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


@dataclass(frozen=True, kw_only=True)
class _DayMoney:
    """What the rows of a day are made of, read once; by job where nothing else is said."""

    jobs: Sequence[JobRow]
    elsewhere: Sequence[JobRow]  # not on this day, and could still pay
    nets: Mapping[int, Nets]
    receipts: Mapping[int, Sequence[ReceiptRow]]
    beside: Mapping[int, Sequence[ReceiptRow]]
    methods: Mapping[int, str]  # by customer
    held: Mapping[int, int]  # by customer
    gone: Mapping[int, str]  # by customer: who is not counted on any more
    billed: Mapping[int, tuple[str, int]]  # by job: who pays later, and after how many days
    closed: bool


def money_taken(desk: Desk, day: date) -> MoneyTaken:
    """What the jobs of a day owe and pay; the jobs elsewhere that still owe."""
    plans = {plan.job_id: plan for plan in plans_on(desk, day)}
    facts = _day_money(desk, day, set(plans))
    rows = []
    for job in facts.jobs:
        finishes = job.job_id in plans and plans[job.job_id].finishes_on(day)
        row = _row(desk, day, job, facts, finishes=finishes)
        if row.sums.gross or row.taken or row.tip or row.paid_before:
            rows.append(row)
    expected = sum(row.taken for row in rows)
    owed = _owed(desk, facts)
    return MoneyTaken(tuple(rows), expected, _head(desk, rows, expected), owed)


def _day_money(desk: Desk, day: date, planned: Set[int]) -> _DayMoney:
    with desk.book.reading() as session:
        here = planned | takings.jobs_with_receipts(session, day)
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
        customers = {job.customer_id for job in jobs if job.customer_id is not None}
        sheet = queries.sheet(session, day)
        return _DayMoney(
            jobs=jobs,
            elsewhere=elsewhere,
            nets=takings.nets_of(session, ids),
            receipts=takings.receipts_of(session, ids),
            beside=takings.beside_of(session, here),
            methods=takings.usual_methods(session, customers),
            held=takings.credit_of(session, customers),
            gone=left_bookings.gone(session, customers),
            billed=invoices.paid_later(session, here),
            closed=sheet is not None and sheet.state == "closed",
        )


def _owed(desk: Desk, facts: _DayMoney) -> tuple[OwedJob, ...]:
    nets, receipts = facts.nets, facts.receipts
    return tuple(
        OwedJob(job, due)
        for job in facts.elsewhere
        if (due := totals(desk, nets.get(job.job_id, ()), receipts.get(job.job_id, ())).due) > 0
    )


def _row(desk: Desk, day: date, job: JobRow, facts: _DayMoney, *, finishes: bool) -> MoneyRow:
    came = facts.receipts.get(job.job_id, ())
    before = [one for one in came if one.day != day]
    today = [one for one in came if one.day == day]
    beside = [one for one in facts.beside.get(job.job_id, ()) if one.day == day]
    sums = totals(desk, facts.nets.get(job.job_id, ()), before)
    not_filled = _why_not_filled(job, facts)
    filled = max(0, sums.due) if finishes and not not_filled else 0
    taken, state = _taken(today, filled, closed=facts.closed)
    tip = sum(one.amount for one in beside if one.kind == "tip")
    credit = sum(one.amount for one in beside if one.kind == "credit")
    usual = facts.methods.get(job.customer_id or 0, "")
    words = _beside_words(desk, " + ", tip, credit)
    return MoneyRow(
        job=job,
        sums=sums,
        paid_before=sum(one.amount for one in before),
        taken=taken,
        tip=tip,
        credit=credit,
        taken_text=f"{money(desk, taken)}{words}" if state != "blank" else "",
        held=facts.held.get(job.customer_id or 0, 0),
        filled=filled,
        state=state,
        changed=state == "typed" and (taken != filled or tip > 0),
        method=_last_method(today) or usual,
        not_filled=not_filled,
    )


def _why_not_filled(job: JobRow, facts: _DayMoney) -> str:
    """Why nobody is taken to pay on the day: has died, or is sent an invoice; "" where they do."""
    if gone := facts.gone.get(job.customer_id or 0, ""):
        return f"{job.customer} {gone}"
    name, terms = facts.billed.get(job.job_id, ("", 0))
    if terms:
        return f"{name} has {count_of(terms, 'day')} to pay an invoice"
    return f"{name} pays for {job.customer} by invoice" if name else ""


def _taken(today: Sequence[ReceiptRow], filled: int, *, closed: bool) -> tuple[int, str]:
    """What counts as taken on the day, and the state of the row."""
    typed = [one for one in today if closed or one.state != EXPECTED]
    if typed:
        return sum(one.amount for one in typed), "booked" if closed else "typed"
    if filled and not closed:
        return filled, "expected"
    return 0, "blank"


def _beside_words(desk: Desk, before: str, tip: int, credit: int) -> str:
    """` + tip $10.00 + credit $5.00`, with `before` ahead of each; only what is above zero."""
    return "".join(
        f"{before}{kind} {money(desk, part)}"
        for kind, part in (("tip", tip), ("credit", credit))
        if part > 0
    )


def _last_method(receipts: Sequence[ReceiptRow]) -> str:
    """How the last of these that names a way was paid; "" where none does."""
    return next((one.method for one in reversed(receipts) if one.method), "")


def _head(desk: Desk, rows: Sequence[MoneyRow], total: int) -> str:
    paying = [row for row in rows if row.taken]
    if not paying:
        return "No payment expected"
    guessed = " expected" if any(row.state == "expected" for row in paying) else ""
    came = f"{money(desk, total)}{came_beside(desk, rows)}"
    return f"{count_of(len(paying), 'payment')}{guessed}, {came}"


def came_beside(desk: Desk, rows: Sequence[MoneyRow]) -> str:
    """`, tips 10.00, credit 5.00`: what lies in the till beside what was due."""
    tips = sum(row.tip for row in rows)
    credit = sum(row.credit for row in rows if row.credit > 0)
    words = f", tips {money(desk, tips)}" if tips else ""
    return f"{words}, credit {money(desk, credit)}" if credit else words


@dataclass(frozen=True, kw_only=True)
class _Standing:
    """A job's money as it stands before a day's is typed."""

    job: JobRow
    finishes: bool  # on this day
    sums: Totals  # due before what came on this day
    paid: Sequence[ReceiptRow]  # of this day
    beside: Sequence[ReceiptRow]  # of this day


@dataclass(frozen=True, kw_only=True)
class _Said:
    """What is to be written of a job's money on a day; minor units."""

    amount: int
    method: str
    tip: int
    credit: int  # below zero where paid from it


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
        filed = tax.locked(session, day, day)
    standing = _standing(desk, day, job_id)
    said = _said(desk, standing, typed, method) if typed.strip() else None
    if filed is not None:
        return _correct_filed(desk, day, standing, said, keep_beside=keep_beside)
    done = " filled in again"
    if said is not None:
        words = _beside_words(desk, ", ", said.tip, said.credit)
        done = f": {money(desk, said.amount)}{words}"
    name = f"Money of {standing.job.number_text}{done}"
    with writing_on(desk, day, name, KINDS, untouched=UNTOUCHED_BY_TYPING) as session:
        kept = _settle(session, desk, day, standing.paid)
        if not keep_beside:
            gone = _settle(session, desk, day, standing.beside)
            if gone is not None:
                session.delete(gone)
        if said is not None:
            _write_paid(session, desk, day, standing, said, kept)
            _write_beside(session, desk, day, standing.job, said)
        elif kept is not None:
            session.delete(kept)
    return Changed(name, KINDS)


def _correct_filed(
    desk: Desk, day: date, standing: _Standing, said: _Said | None, *, keep_beside: bool
) -> Changed:
    """Take back what was noted on a day that was filed, and note what is right: both today."""
    words = money(desk, said.amount) if said is not None else "nothing"
    name = f"Money of {standing.job.number_text} on {near(day, desk.today)} put right: {words}"
    reason = f"Puts right {day_year(day)}, which was filed"
    standing_then = [*standing.paid, *(() if keep_beside else standing.beside)]
    with writing_on(desk, desk.today, name, KINDS) as session:
        for one in standing_then:
            row = session.get_one(Receipt, one.receipt_id)
            session.add(countering(row, day=desk.today, at=desk.clock(), note=reason))
        if said is not None:
            _write_paid(session, desk, desk.today, standing, said, None)
            _write_beside(session, desk, desk.today, standing.job, said)
    return Changed(
        name, KINDS, f"{day_year(day)} was filed and stays; the correction stands on today’s sheet."
    )


def rest_text(desk: Desk, job_id: int, day: date | None = None) -> str:
    """What a job still owes as it could be typed for a day, today unless said, with what stands
    there already; nothing where it owes nothing."""
    day = day or desk.today
    standing = _standing(desk, day, job_id)
    if standing.sums.due - sum(one.amount for one in standing.paid) <= 0:
        return ""
    with desk.book.reading() as session:
        customer = standing.job.customer_id
        usual = takings.usual_methods(session, {customer}) if customer is not None else {}
    beside = {kind: sum(one.amount for one in standing.beside if one.kind == kind)
              for kind in ("tip", "credit")}  # fmt: skip
    words = _beside_words(desk, " + ", beside["tip"], beside["credit"])
    way = _last_method(standing.paid) or usual.get(customer or 0, "")
    return f"{money(desk, standing.sums.due)} {way}".strip() + words


def _standing(desk: Desk, day: date, job_id: int) -> _Standing:
    with desk.book.reading() as session:
        jobs = queries.jobs_by_id(session, [job_id])
        nets = takings.nets_of(session, [job_id]).get(job_id, ())
        receipts = takings.receipts_of(session, [job_id]).get(job_id, [])
        beside = takings.beside_of(session, [job_id]).get(job_id, [])
    return _Standing(
        job=there(jobs[0] if jobs else None, "This job"),
        finishes=any(one.job_id == job_id and one.finishes_on(day) for one in plans_on(desk, day)),
        sums=totals(desk, nets, [one for one in receipts if one.day != day]),
        paid=[one for one in receipts if one.day == day],
        beside=[one for one in beside if one.day == day],
    )


def _said(desk: Desk, standing: _Standing, typed: str, method: str) -> _Said:
    """What is typed, read; `Mendable` where it is more than due or than is held as credit."""
    due = max(0, standing.sums.due)
    read = read_taken(typed, desk.settings.currency)
    amount = read.for_job(due)
    way = method or read.method or _last_method(standing.paid)
    credit = read.credit - (amount if way == "credit" else 0)
    ask_above_due(desk, amount, due, charged=standing.sums.gross > 0)
    _ask_credit(desk, standing.job, credit, standing.beside)
    return _Said(amount=amount, method=way, tip=read.tip, credit=credit)


def _write_paid(
    session: Session, desk: Desk, day: date, standing: _Standing, said: _Said, kept: Receipt | None
) -> None:
    """Write what was paid for the job, on the line that was kept or a new one."""
    job = standing.job
    row = kept or Receipt(day=day, at=desk.clock(), job_id=job.job_id)
    row.customer_id = job.customer_id
    row.amount, row.method = said.amount, said.method
    row.note, row.state = "", CONFIRMED
    if said.amount < 0:
        row.kind = "refund"
    else:
        row.kind = "payment" if job.state == "done" or standing.finishes else "deposit"
    if kept is None:
        session.add(row)


def _write_beside(session: Session, desk: Desk, day: date, job: JobRow, said: _Said) -> None:
    for kind, part in (("tip", said.tip), ("credit", said.credit)):
        if part:
            session.add(
                Receipt(
                    day=day, at=desk.clock(), job_id=job.job_id, customer_id=job.customer_id,
                    amount=part, method=said.method, kind=kind,
                )
            )  # fmt: skip


def ask_above_due(desk: Desk, amount: int, due: int, *, charged: bool) -> None:
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
