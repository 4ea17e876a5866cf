"""A call is due when a job passes what was approved: prompted once, and noted when it was made.

The approved figure is the likely one of the approved version. A call is due when the job goes
above it by 10 % or by the shop's own sum, whichever comes first, and always before the ceiling
is passed: that is what the customer was told.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction

from app.actions.desk.amounts import money, totals
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import numbered
from app.actions.desk.telephones import shown_phone
from app.actions.jobs.booking_jobs import changing, job_of
from app.actions.jobs.estimate_versions import Version, approved, versions
from app.actions.jobs.estimate_writing import KINDS
from app.calculations.numbers.money import read_money
from app.calculations.numbers.rounding import half_away
from app.errors import Mendable
from app.records.models import EstimateCall
from app.records.queries import estimates as queries
from app.records.queries import jobs as job_queries

OVER = Fraction(11, 10)  # of the approved figure (common practice, no source)


@dataclass(frozen=True)
class CallDue:
    """A call that is due: minor units with their tax, and the number to call."""

    job_id: int
    estimate_id: int
    reached: int
    limit: int
    ceiling: int | None
    customer: str
    phone: str
    sentence: str


def calls_due(desk: Desk, job_ids: Collection[int]) -> dict[int, CallDue]:
    """Of these jobs those whose customer is to be called, and has not been for this reason."""
    with desk.book.reading() as session:
        some = queries.versions_of(session, job_ids)
        ids = [key for key, rows in some.items() if any(one.state == "approved" for one in rows)]
        running = queries.running(session, ids)
    found = {}
    for job in running:
        version = approved(versions(desk, job.job_id))
        if version is None:
            continue
        reached = _reached(desk, version, job)
        limit = call_limit(version, desk.settings.call_above)
        if limit is None or reached <= limit:
            continue
        found[job.job_id] = CallDue(
            job.job_id, version.row.estimate_id, reached, limit, version.ceiling, job.customer,
            shown_phone(job.phone, desk.settings.region), _sentence(desk, version, job, reached),
        )  # fmt: skip
    return found


def call_limit(version: Version, call_above: int) -> int | None:
    """What a job may come to before a call is due; none once one was made without a new figure.

    `call_above`: the shop's own sum, minor units.
    """
    row = version.row
    if version.calls:
        return version.calls[-1].ceiling
    limit = min(half_away(row.likely * OVER), row.likely + call_above)
    return limit if row.ceiling is None else min(limit, row.ceiling)


def _reached(desk: Desk, version: Version, job: queries.RunningJob) -> int:
    """What the job comes to: what is charged, or the approved figure moved by its hours."""
    with desk.book.reading() as session:
        charges = job_queries.charges_of(session, job.job_id)
    charged = totals(desk, [(one.amount, one.tax_rate) for one in charges]).gross
    over = max(job.expected_minutes, job.worked_minutes) - version.row.minutes
    if not version.row.minutes or over <= 0:
        return charged
    by_hours = version.row.likely + half_away(Fraction(over * desk.settings.hourly_rate, 60))
    return max(charged, by_hours)


def _sentence(desk: Desk, version: Version, job: queries.RunningJob, reached: int) -> str:
    phone = shown_phone(job.phone, desk.settings.region)
    whom = f"Call {job.customer or 'the customer'}{f', {phone}' if phone else ''}"
    return (
        f"{whom}: it comes to {money(desk, reached)}, and {money(desk, version.row.likely)} "
        "was approved."
    )


def note_call(desk: Desk, job_id: int, who: str, said: str, ceiling: str = "") -> Changed:
    """Note the call that was due: who, what was said, and the new ceiling where one was agreed.

    Raises `Mendable` where none is due, or where the new ceiling is below what is reached.
    """
    due = calls_due(desk, [job_id]).get(job_id)
    if due is None:
        raise Mendable("No call about the price is due on this job.")
    words = " ".join(said.split())
    if not words or len(words) > 300:
        raise Mendable("What was said is noted in 1 to 300 characters.")
    new = read_money(ceiling, desk.settings.currency) if ceiling.strip() else None
    if new is not None and new < due.reached:
        raise Mendable(
            f"It comes to {money(desk, due.reached)} already; a new ceiling is at least that."
        )
    with desk.book.reading() as session:
        name = f"Call about the price of {numbered(job_of(session, job_id).number)}"
    with changing(desk, name, KINDS) as session:
        session.add(
            EstimateCall(
                estimate_id=due.estimate_id, day=desk.today, at=desk.clock(),
                who=" ".join(who.split())[:120], said=words, reached=due.reached, ceiling=new,
            )
        )  # fmt: skip
    return Changed(name, KINDS)
