"""Work that stays booked when a vehicle is sold or archived, or its customer has died."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from app.actions.desk.desk import Changed, Desk, there
from app.calculations.numbers.dates import near
from app.calculations.numbers.wording import count_of, counted
from app.records.asking import to_write
from app.records.models import Customer, Job, OwnerLink
from app.records.queries import left_bookings as queries

KINDS = frozenset({"customers", "vehicles", "jobs", "reminders", "layers"})
WAYS_OUT = "on the customer’s page F6 calls it off, F8 keeps it for the new owner"


@dataclass(frozen=True)
class LeftBooking:
    """A job that is booked with nobody to bring the vehicle."""

    job_id: int
    words: str  # "job 0412 for 30 November"


def left_bookings(desk: Desk, customer_id: int) -> tuple[LeftBooking, ...]:
    """What is still booked for a customer who died, or on a vehicle that is theirs no more."""
    with desk.book.reading() as session:
        rows = queries.left_bookings(session, {customer_id})
    return tuple(
        LeftBooking(
            row.job_id,
            f"job {row.number:04d}"
            + (f" for {near(row.first_day, desk.today)}" if row.first_day else ""),
        )
        for row in rows
    )


def telling_what_is_booked(desk: Desk, changed: Changed, customer_ids: Iterable[int]) -> Changed:
    """The same change, with one sentence on what is booked still."""
    left = [one for customer in customer_ids for one in left_bookings(desk, customer)]
    if not left or not changed.name:
        return changed
    also = f" and {counted(len(left) - 1)} more" if len(left) > 1 else ""
    verb = "are" if len(left) > 1 else "is"
    told = f"{left[0].words[0].upper()}{left[0].words[1:]}{also} {verb} still booked: {WAYS_OUT}."
    return replace(changed, sentence=f"{changed.sentence or f'{changed.name}.'} {told}")


def keep_for(desk: Desk, job_ids: Collection[int], customer_id: int) -> Changed:
    """Keep booked work for a new owner, who holds the vehicles from today.

    What was paid ahead stays in the name of whoever paid it.
    """
    with desk.book.reading() as session:
        owner = there(session.get(Customer, customer_id), "This customer").name
    name = f"Kept {count_of(len(job_ids), 'job')} for {owner}"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        for job_id in job_ids:
            job = there(session.get(Job, job_id), "This job")
            job.customer_id = customer_id
            if job.vehicle_id is None:
                continue
            links = to_write(session, OwnerLink, vehicle_id=job.vehicle_id, to_day=None)
            for link in links:
                if link.customer_id != customer_id:
                    link.to_day = desk.today
            if not any(link.customer_id == customer_id for link in links):
                held = {"vehicle_id": job.vehicle_id, "customer_id": customer_id}
                session.add(OwnerLink(**held, from_day=desk.today))
                session.flush()
    return Changed(name, KINDS)
