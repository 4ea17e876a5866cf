"""Changing a job: its head, steps, charges, discount and money, and calling it off."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from app.actions.day import jobs_worked, money_taken
from app.actions.desk.amounts import money
from app.actions.desk.desk import NOTHING, Changed, Desk
from app.actions.desk.open_day import LEARNT, is_closed, numbered, writing_on
from app.actions.desk.row_changes import known_fields, set_fields
from app.actions.jobs.booking_jobs import (
    KINDS,
    changing,
    check_condition,
    expect_again,
    freed,
    job_of,
    last_charge,
    whose_of,
)
from app.actions.jobs.by_time import read_charge
from app.actions.jobs.charge_tax import exemption_on, is_kind, new_rate, set_tax_place
from app.actions.plan.load import asked_of
from app.actions.shop.tax_rates import WORK, read_kind, read_place
from app.calculations.numbers.dates import near
from app.calculations.numbers.durations import JOB_MINUTES, read_duration, shown_duration
from app.calculations.numbers.money import read_money
from app.calculations.numbers.numerals import read_number
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.tax_rates import read_rate
from app.errors import Mendable
from app.records.asking import to_write
from app.records.models import Charge, Job, JobService, JobStep
from app.records.queries import jobs as queries
from app.records.queries import takings
from app.records.queries.jobs import Session

FIELDS = frozenset(
    {
        "title",
        "condition",
        "notes",
        "promised_at",
        "customer_id",
        "vehicle_id",
        "wanted",
        "order_number",
        "payer_id",
    }
)


def edit_job(desk: Desk, job_id: int, **fields: Any) -> Changed:
    """Change what stands at a job's head; another condition or vehicle changes its hours."""
    new = known_fields(fields, FIELDS, "job")
    if "condition" in new:
        check_condition(new["condition"])
    if len(new.get("title") or "") > 200:
        raise Mendable("What the job is called is longer than 200 characters; shorten it.")
    if len(new.get("wanted") or "") > 80:
        raise Mendable("When it is wanted is longer than 80 characters; shorten it.")
    if len(new.get("order_number") or "") > 60:
        raise Mendable("Their order number is longer than 60 characters; shorten it.")
    promised = new.get("promised_at")
    if isinstance(promised, datetime) and promised.tzinfo is None:
        raise ValueError("a promise is a moment with a zone")
    with desk.book.reading() as session:
        job = job_of(session, job_id)
        number = numbered(job.number)
        before = {key: getattr(job, key) for key in new}
        vehicle_id = new.get("vehicle_id", job.vehicle_id)
        customer_id = new.get("customer_id", job.customer_id)
        sizes = whose_of(session, customer_id, vehicle_id).sizes
        was, state = job.expected_minutes, job.state
    if customer_id is None and vehicle_id is None:
        raise Mendable("A job needs a customer or a vehicle; keep one of them.")
    changed = {key: value for key, value in new.items() if before[key] != value}
    if not changed:
        return NOTHING
    name = f"Changed {number}"
    if set(changed) == {"notes"}:
        name = f"Notes of {number}"
    elif set(changed) == {"condition"}:
        name = f"{number} is {changed['condition']}"
    kinds = KINDS | {"customers"}
    # The condition and size of a job that is done are what its uses taught by.
    taught = state == "done" and bool(changed.keys() & {"condition", "vehicle_id"})
    with (
        desk.book.change(name, day=desk.today, kinds=kinds, at=desk.clock())
        if taught
        else changing(desk, name, kinds)
    ) as session:
        job = session.get_one(Job, job_id)
        for key, value in changed.items():
            setattr(job, key, value)
        sold = to_write(session, JobService, job_id=job_id)
        if sold and changed.keys() & {"condition", "vehicle_id"}:
            expect_again(session, desk, job_id, sizes)
        now = job.expected_minutes
    text = ""
    if now != was:
        text = f"{name}: {shown_duration(now)} expected instead of {shown_duration(was)}"
        text += "; the price stays as agreed"
    return Changed(name, kinds, sentence=text)


def expect(desk: Desk, job_id: int, typed: str) -> Changed:
    """Say how long a job is expected to take, in place of what was worked out."""
    minutes = read_duration(typed, most=JOB_MINUTES)

    def name(job: Job) -> str:
        return f"{numbered(job.number)} is expected to take {shown_duration(minutes)}"

    new = {"expected_minutes": minutes}
    return set_fields(desk, Job, job_id, name, new, KINDS, untouched=LEARNT)


def cancel_job(desk: Desk, job_id: int, reason: str = "") -> Changed:
    """Call a job off; what was worked, used and paid on it stays. It can be booked again.

    An enquiry comes to nothing so, and is kept with why.
    """
    with desk.book.reading() as session:
        job = job_of(session, job_id)
        number, state, day = numbered(job.number), job.state, job.first_day
        receipts = takings.receipts_of(session, [job_id]).get(job_id, [])
    if state == "done":
        raise Mendable(f"Job {number} is done and cannot be called off.")
    if state == "cancelled":
        return NOTHING
    because = " ".join(reason.split())[:200]
    name = f"Enquiry {number} came to nothing" if state == "enquiry" else f"Called {number} off"
    name += f": {because}" if because else ""
    with changing(desk, name[:200]) as session:
        job = session.get_one(Job, job_id)
        if state == "enquiry":
            # Older books noted the day of an enquiry as that of a booking.
            job.asked_on, job.booked_on = job.asked_on or job.booked_on, None
        job.came_to_nothing = state == "enquiry"
        job.state, job.ended_because = "cancelled", because
    held = sum(one.amount for one in receipts)
    question = ""
    if held > 0:
        question = f"A deposit of {money(desk, held)} is still held; give it back or keep it."
    question = " ".join(filter(None, (question, freed(desk, day, job_id))))
    return Changed(name, KINDS, question=question)


def book_again(desk: Desk, job_id: int) -> Changed:
    """Make a booking of an enquiry, or of a job that was called off."""
    with desk.book.reading() as session:
        job = job_of(session, job_id)
        number, state = numbered(job.number), job.state
        worked = queries.has_work(session, job_id)
    if state not in ("cancelled", "enquiry"):
        return NOTHING
    name = f"Booked {number}" if state == "enquiry" else f"Booked {number} again"
    with changing(desk, name) as session:
        job = session.get_one(Job, job_id)
        if state == "enquiry":
            job.asked_on, job.booked_on = job.asked_on or job.booked_on, None
        job.booked_on = job.booked_on or desk.today
        job.state, job.ended_because = "working" if worked else "booked", ""
        job.came_to_nothing = False
    return Changed(name, KINDS, question=asked_of(desk, job_id))


# steps -------------------------------------------------------------------------------------


def say_step(
    desk: Desk, job_id: int, step_id: int, state: str, because: str = "", day: date | None = None
) -> Changed:
    """Say of a step that it was done, not done (because), or comes later; on a day, else today."""
    day = day or desk.today
    with desk.book.reading() as session:
        step = _step(session, job_id, step_id)
        booked = step.day
    # What it did to the layers was booked with that day.
    if booked is not None and booked != day and is_closed(desk, booked):
        raise Mendable(
            f"“{step.name}” was booked on {near(booked, desk.today)}; reopen that day to change it."
        )
    return jobs_worked.set_step(desk, day, step_id, state, because)


def all_steps_done(desk: Desk, job_id: int, day: date) -> Changed:
    """Tick every step of a job that is still to do, on one day."""
    number = _number_of(desk, job_id)
    with desk.book.reading() as session:
        left = len(to_write(session, JobStep, job_id=job_id, state="to do"))
    if not left:
        return NOTHING
    name = f"Steps of {number}: {left} done"
    kinds = jobs_worked.KINDS | {"layers"}
    with writing_on(desk, day, name, kinds) as session:
        for step in to_write(session, JobStep, job_id=job_id, state="to do"):
            step.state, step.day, step.because = "done", day, ""
    return Changed(name, kinds)


def add_step(desk: Desk, job_id: int, text: str) -> Changed:
    """Another step at the end of a job's plan."""
    text = _text(text, "step", 120)
    number = _number_of(desk, job_id)
    name = f"{text}: a step of {number}"
    with changing(desk, name) as session:
        steps = to_write(session, JobStep, job_id=job_id)
        last = max((step.position for step in steps), default=0)
        session.add(JobStep(job_id=job_id, position=last + 1, name=text))
    return Changed(name, KINDS)


def remove_step(desk: Desk, job_id: int, step_id: int) -> Changed:
    """Take a step out of a job's plan; one that was done or left out stays."""
    number = _number_of(desk, job_id)
    with desk.book.reading() as session:
        step = _step(session, job_id, step_id)
        text, state = step.name, step.state
    if state != "to do":
        raise Mendable(f"“{text}” is {state} already; say “later” first.")
    name = f"{text}: off {number}"
    with changing(desk, name) as session:
        session.delete(session.get_one(JobStep, step_id))
    return Changed(name, KINDS)


def _step(session: Session, job_id: int, step_id: int) -> JobStep:
    step = session.get(JobStep, step_id)
    if step is None or step.job_id != job_id:
        raise Mendable("This step is not on the job any more.")
    return step


# money -------------------------------------------------------------------------------------


def add_charge(
    desk: Desk, job_id: int, text: str, typed: str, rate: int | None = None, kind: str = WORK
) -> Changed:
    """Another charge before tax; the rate is that of its kind unless given."""
    text = _text(text, "charge", 200)
    amount, minutes, hour_rate = read_charge(desk, typed)
    with desk.book.reading() as session:
        job = job_of(session, job_id)
        number = numbered(job.number)
        tax_rate = _usual_rate(session, desk, job, kind) if rate is None else rate
    name = f"{text} on {number}: {money(desk, amount)}"
    with changing(desk, name) as session:
        at = last_charge(session, job_id) + 1
        session.add(
            Charge(
                job_id=job_id, position=at, text=text, amount=amount, tax_rate=tax_rate,
                tax_kind=kind, minutes=minutes, hour_rate=hour_rate,
            )
        )  # fmt: skip
    return Changed(name, KINDS)


def add_discount(desk: Desk, job_id: int, typed: str, text: str = "Discount") -> Changed:
    """A discount, as money (`40`) or a share of what is charged (`10 %`), on its own line.

    A share is taken rate by rate, so that the tax is right.
    """
    text = _text(text, "discount", 200)
    with desk.book.reading() as session:
        job = job_of(session, job_id)
        number, usual = numbered(job.number), _usual_rate(session, desk, job)
        charges = queries.charges_of(session, job_id)
    body = typed.strip()
    by_rate: dict[int, int] = {}
    for one in charges:
        by_rate[one.tax_rate] = by_rate.get(one.tax_rate, 0) + one.amount
    if body.endswith("%"):
        share = read_number(body[:-1].strip())
        if not 0 < share <= 100:
            raise Mendable("A discount lies between 0 and 100 %.")
        parts = {rate: half_away(amount * share / 100) for rate, amount in by_rate.items()}
        text = f"{text}, {body}"
    else:
        amount = read_money(body, desk.settings.currency)
        if amount <= 0:
            raise Mendable("Type the discount as a number above zero; it is taken off.")
        # All of it goes off the rate that most is charged at.
        rate = max(by_rate, key=lambda one: by_rate[one]) if by_rate else usual
        parts = {rate: amount}
    if sum(parts.values()) > sum(by_rate.values()):
        raise Mendable("The discount is more than what is charged; check the amount.")
    if not any(parts.values()):
        raise Mendable("Nothing is charged yet, so there is nothing to take a share of.")
    name = f"{text} on {number}: {money(desk, -sum(parts.values()))}"
    with changing(desk, name) as session:
        last = max((one.position for one in charges), default=0)
        for at, (rate, part) in enumerate(parts.items(), 1):
            if part:
                session.add(
                    Charge(
                        job_id=job_id, position=last + at, text=text, amount=-part, tax_rate=rate
                    )
                )
    return Changed(name, KINDS)


def edit_charge(
    desk: Desk,
    charge_id: int,
    *,
    text: str | None = None,
    typed: str | None = None,
    rate: str | None = None,
) -> Changed:
    """Change a charge's words, its amount before tax (`2:30 at 85` by time), or its rate: `7.25`,
    `no tax`, or its kind of line. A place with rates of its own is that of the whole job."""
    if rate is not None and (place := read_place(desk, rate)) is not None:
        return set_tax_place(desk, charge_id, place)
    with desk.book.reading() as session:
        number, charge = _charge(session, charge_id)
        new_text, amount, tax_rate = charge.text, charge.amount, charge.tax_rate
        kind, by_time = charge.tax_kind, (charge.minutes, charge.hour_rate)
        job = job_of(session, charge.job_id)
        if rate is not None and is_kind(desk, rate):
            kind = read_kind(desk, rate)
            rate, tax_rate = None, _usual_rate(session, desk, job, kind)
    before = (charge.text, charge.amount, charge.tax_rate, charge.tax_kind, by_time)
    if text is not None:
        new_text = _text(text, "charge", 200)
    if typed is not None:
        amount, minutes, hour_rate = read_charge(desk, typed)
        if amount != charge.amount or minutes:
            by_time = minutes, hour_rate
    if rate is not None:
        tax_rate = read_rate(rate)
    if before == (new_text, amount, tax_rate, kind, by_time):
        return NOTHING
    name = f"{new_text} on {number}: {money(desk, amount)}"
    with changing(desk, name) as session:
        row = session.get_one(Charge, charge_id)
        row.text, row.amount, row.tax_rate, row.tax_kind = new_text, amount, tax_rate, kind
        row.minutes, row.hour_rate = by_time
    return Changed(name, KINDS)


def remove_charge(desk: Desk, charge_id: int) -> Changed:
    """Take a charge or discount off its job."""
    with desk.book.reading() as session:
        number, charge = _charge(session, charge_id)
        text = charge.text
    name = f"{text} off {number}"
    with changing(desk, name) as session:
        session.delete(session.get_one(Charge, charge_id))
    return Changed(name, KINDS)


def _charge(session: Session, charge_id: int) -> tuple[str, Charge]:
    """(the job's number, the charge); `Mendable` where it is gone."""
    charge = session.get(Charge, charge_id)
    if charge is None:
        raise Mendable("This charge is not on the job any more.")
    return numbered(job_of(session, charge.job_id).number), charge


def take_money(desk: Desk, job_id: int, typed: str, day: date | None = None) -> Changed:
    """Note what a job paid in all on a day, today unless said; before it is done, a deposit."""
    return money_taken.set_money(desk, day or desk.today, job_id, typed)


def taken_on(desk: Desk, job_id: int, day: date) -> int:
    """What stands as taken for a job on a day, minor units."""
    with desk.book.reading() as session:
        receipts = takings.receipts_of(session, [job_id]).get(job_id, [])
    return sum(one.amount for one in receipts if one.day == day)


def take_rest(
    desk: Desk, job_id: int, due: int, method: str = "", day: date | None = None
) -> Changed:
    """Take what is still due, on top of what stands as taken that day, in one way of paying."""
    day = day or desk.today
    typed = f"{money(desk, due + taken_on(desk, job_id, day))} {method}"
    return money_taken.set_money(desk, day, job_id, typed.strip(), keep_beside=True)


def _usual_rate(session: Session, desk: Desk, job: Job, kind: str = WORK) -> int:
    return new_rate(desk, job, kind, exemption_on(session, job))


def _number_of(desk: Desk, job_id: int) -> str:
    with desk.book.reading() as session:
        return numbered(job_of(session, job_id).number)


def _text(text: str, what: str, longest: int) -> str:
    text = " ".join(text.split())
    if not text:
        raise Mendable(f"A {what} needs a few words; type what it is.")
    if len(text) > longest:
        raise Mendable(f"The {what} is longer than {longest} characters; shorten it.")
    return text
