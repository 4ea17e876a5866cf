"""Enquiries: noted with who, what for and when; later booked, or kept with why nothing came."""

from __future__ import annotations

from datetime import date

from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import numbered
from app.actions.desk.typed_days import read_typed_day
from app.actions.jobs.booking_jobs import KINDS, changing, vehicles_of
from app.actions.people import customers
from app.actions.people.as_typed import person_fields, read_person, who_it_may_be
from app.calculations.numbers.wording import capital, counted
from app.errors import Mendable
from app.records.models import Customer, Job
from app.records.queries import jobs as queries

# Why enquiries come to nothing, as a shop says it (common practice, no source).
REASONS = ("too dear", "no day free in time", "went elsewhere", "never answered", "only asked")
# And why bookings are called off (common practice, no source).
CALLED_OFF = ("they called it off", "they did not come", "the weather", "no time for it here",
              "the vehicle was sold")  # fmt: skip


def note_enquiry(desk: Desk, who: str, what: str = "", wanted: str = "") -> tuple[Changed, int]:
    """Note that somebody asked: who (a telephone or mail may stand beside), what for, and when.

    Whoever is in the book already is known by name, number or mail, with the vehicle where they
    hold but one. `wanted` that is a day is the
    job's first; other words are kept. Raises `Mendable` without a name, and where several have it.
    """
    person = read_person(desk, who)
    fields = customers.checked_fields(desk, person_fields(person))
    known = who_it_may_be(desk, person)
    if len(known) > 1:
        raise Mendable(
            f"{capital(counted(len(known)))} customers are called {known[0].name}; type the "
            "telephone or mail of the one who asked beside the name."
        )
    held = vehicles_of(desk, known[0].id) if known else ()
    with desk.book.reading() as session:
        number = queries.next_number(session)
    name = f"Enquiry {numbered(number)}, {known[0].name if known else fields['name']}"
    kinds = KINDS | {"customers"}
    with changing(desk, name, kinds) as session:
        if known:
            customer = session.get_one(Customer, known[0].id)
            for field in ("phone", "email"):  # what the book does not know yet
                if fields.get(field) and not getattr(customer, field):
                    setattr(customer, field, fields[field])
        else:
            customer = Customer(since=desk.today, **fields)
            session.add(customer)
            session.flush()
        job = Job(
            number=number,
            customer_id=customer.id,
            vehicle_id=held[0][0] if len(held) == 1 else None,
            title=" ".join(what.split())[:200],
            state="enquiry",
            asked_on=desk.today,
            first_day=day_wanted(desk, wanted),
            wanted=" ".join(wanted.split())[:80],
        )
        session.add(job)
        session.flush()
        job_id = job.id
    return Changed(name, kinds), job_id


def day_wanted(desk: Desk, words: str) -> date | None:
    """The day that words name; none where they name none: “before winter”."""
    try:
        return read_typed_day(desk, words)
    except Mendable:
        return None


def reasons(desk: Desk, typed: str = "", *, booked: bool = False) -> tuple[str, ...]:
    """Why an enquiry may have come to nothing, or what is `booked` be called off: what is typed,
    what was said before, the usual."""
    with desk.book.reading() as session:
        said = queries.reasons_said(session, enquiries=not booked)
    low = typed.casefold().strip()
    known = dict.fromkeys((*said, *(CALLED_OFF if booked else REASONS)))
    found = [one for one in known if low in one.casefold()]
    return tuple(dict.fromkeys(([typed.strip()] if low else []) + found))
