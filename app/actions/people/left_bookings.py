"""What stays open when a vehicle is sold or archived, or its customer has died."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from app.actions.desk.amounts import money, totals
from app.actions.desk.desk import Changed, Desk, there
from app.calculations.numbers.dates import near
from app.calculations.numbers.wording import capital, count_of, counted
from app.records.asking import to_write
from app.records.models import Customer, Job, OwnerLink
from app.records.queries import left_bookings as queries
from app.records.queries import takings

KINDS = frozenset({"customers", "vehicles", "jobs", "reminders", "layers"})
BY_HAND = "No payment of theirs is filled in any more: type what comes, or what you give back."
WAYS_OUT = "on the customer’s page F6 calls it off, F8 keeps it for the new owner"


@dataclass(frozen=True)
class LeftBooking:
    """A job that is booked with nobody to bring the vehicle."""

    job_id: int
    words: str  # "job 0412 for 30 November"


@dataclass(frozen=True)
class LeftOpen:
    """What is open with customers who died or are archived, or on what they sold."""

    bookings: tuple[LeftBooking, ...] = ()
    under_way: str = ""  # a sentence, as are the next
    money: str = ""
    by_hand: str = ""  # how that money is settled, where nobody is there who pays as before


def left_open(desk: Desk, customer_ids: Collection[int]) -> LeftOpen:
    """The work and the money that is open with them; nothing of who is there as before."""
    with desk.book.reading() as session:
        rows = queries.left_jobs(session, customer_ids)
        if not rows:
            return LeftOpen()
        ids = [row.job_id for row in rows]
        nets, receipts = takings.nets_of(session, ids), takings.receipts_of(session, ids)
        gone = set(queries.gone(session, customer_ids))
        credit = sum(takings.credit_of(session, gone).values())
    ahead, owed = credit, 0
    for row in rows:
        came = receipts.get(row.job_id, ())
        if row.state == "done":
            owed += max(0, totals(desk, nets.get(row.job_id, ()), came).due)
        else:
            ahead += sum(one.amount for one in came)
    bookings = tuple(
        LeftBooking(
            row.job_id,
            f"job {row.number:04d}"
            + (f" for {near(row.first_day, desk.today)}" if row.first_day else ""),
        )
        for row in rows
        if row.state == "booked"
    )
    begun = [f"job {row.number:04d}" for row in rows if row.state == "working"]
    under_way = f"{_first_and_more(begun)} under way." if begun else ""
    said = [f"{money(desk, ahead)} was paid ahead"] if ahead > 0 else []
    said += [f"{money(desk, owed)} is still owed"] if owed else []
    sums = f"{' and '.join(said)}." if said else ""
    return LeftOpen(bookings, under_way, sums, BY_HAND if gone and (said or begun) else "")


def why_left(desk: Desk, job_id: int) -> str:
    """Why nobody may bring the vehicle of a booking, and what can be done; nothing as a rule."""
    with desk.book.reading() as session:
        job = session.get(Job, job_id)
        if job is None or job.customer_id is None:
            return ""
        if all(row.job_id != job_id for row in queries.left_jobs(session, [job.customer_id])):
            return ""
        gone = queries.gone(session, [job.customer_id]).get(job.customer_id)
    why = f"The customer {gone}" if gone else "The vehicle was sold or archived"
    return f"{why}; {WAYS_OUT}."


def _first_and_more(words: Sequence[str]) -> str:
    """`Job 0412 is`, `Job 0412 and two more are`."""
    also = f" and {counted(len(words) - 1)} more are" if len(words) > 1 else " is"
    return f"{capital(words[0])}{also}"


def telling_what_is_open(desk: Desk, changed: Changed, customer_ids: Collection[int]) -> Changed:
    """The same change, with a sentence each on the work and the money that is open still."""
    if not changed.name:
        return changed
    left = left_open(desk, customer_ids)
    told = [left.under_way, left.money]  # first: the foot may have no room for the ways out
    if left.bookings:
        first = _first_and_more([one.words for one in left.bookings])
        told.append(f"{first} still booked: {WAYS_OUT}.")
    said = " ".join(filter(None, told))
    if not said:
        return changed
    return replace(changed, sentence=f"{changed.sentence or f'{changed.name}.'} {said}")


def keep_for(desk: Desk, job_ids: Collection[int], customer_id: int) -> Changed:
    """Keep booked work for a new owner, who holds the vehicles from today.

    What was paid ahead stays in the name of whoever paid it; that it counts for the new owner is
    said.
    """
    with desk.book.reading() as session:
        owner = there(session.get(Customer, customer_id), "This customer").name
        receipts = takings.receipts_of(session, job_ids)
    ahead = sum(one.amount for came in receipts.values() for one in came)
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
    if ahead <= 0:
        return Changed(name, KINDS)
    return Changed(
        name,
        KINDS,
        f"{name}. {money(desk, ahead)} that was paid ahead counts for {owner} now; where it is to "
        "go back to who paid it, type it below zero as money taken.",
    )
