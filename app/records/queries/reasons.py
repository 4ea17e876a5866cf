"""What was said of why: jobs that took longer, enquiries that came to nothing; counted by span."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records.asking import grouped
from app.records.models import Job
from app.records.queries.jobs import minutes_of


@dataclass(frozen=True)
class Drifted:
    """A done job with a reason said of why it came to more than was expected."""

    reason: str
    job_id: int
    minutes: int  # worked
    expected: int


@dataclass(frozen=True)
class Asked:
    """Enquiries of a span: how many, how many are open or were booked, and why the others ended."""

    asked: int
    open: int
    booked: int
    nothing: tuple[tuple[str, int], ...]  # (why, how many), most first; "" where it was not said


def drifted(session: Session, first: date, last: date) -> dict[str, list[Drifted]]:
    """The jobs done in a span with a reason, by reason."""
    query = select(Job.id, Job.drift_reason, Job.expected_minutes).where(
        Job.state == "done", Job.done_on.between(first, last), Job.drift_reason != ""
    )
    rows = session.execute(query.order_by(Job.done_on, Job.id)).all()
    worked = minutes_of(session, [row.id for row in rows])
    found = [
        Drifted(row.drift_reason, row.id, worked.get(row.id, 0), row.expected_minutes)
        for row in rows
    ]
    return grouped(found, "reason")


def enquiries_asked(session: Session, first: date, last: date) -> Asked:
    """What became of the enquiries that came in a span of days."""
    states = session.execute(
        select(Job.state, Job.came_to_nothing, Job.ended_because, func.count(Job.id))
        .where(Job.asked_on.between(first, last))
        .group_by(Job.state, Job.came_to_nothing, Job.ended_because)
    ).all()
    why: dict[str, int] = {}
    waits = booked = 0
    for state, nothing, because, count in states:
        if nothing:
            why[because] = why.get(because, 0) + count
        elif state == "enquiry":
            waits += count
        else:
            booked += count
    ended = tuple(sorted(why.items(), key=lambda one: (-one[1], one[0])))
    return Asked(waits + booked + sum(why.values()), waits, booked, ended)
