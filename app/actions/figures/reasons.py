"""Why jobs came to more, and why enquiries came to nothing: short lists of a span of days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from app.actions.desk.desk import Desk
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import count_of
from app.records.queries import reasons as queries

UNSAID = "not said"


@dataclass(frozen=True)
class Reason:
    """A reason, how often it was said; of jobs also which, and minutes over what was expected."""

    words: str
    count: int
    over: int = 0
    jobs: tuple[int, ...] = ()


@dataclass(frozen=True)
class Reasons:
    """What a span says, in a sentence, and the reasons, those of most first."""

    finding: str
    rows: tuple[Reason, ...]


def why_more(desk: Desk, first: date, last: date) -> Reasons:
    """Why jobs done in a span came to more than expected, as far as it was said."""
    with desk.book.reading() as session:
        found = queries.drifted(session, first, last)
    rows = tuple(
        sorted(
            (
                Reason(
                    words, len(jobs), sum(max(0, one.minutes - one.expected) for one in jobs),
                    tuple(one.job_id for one in jobs),
                )
                for words, jobs in found.items()
            ),
            key=lambda one: (-one.count, one.words),
        )
    )  # fmt: skip
    if not rows:
        return Reasons("Of no job was it said why it came to more.", rows)
    over = sum(one.over for one in rows)
    times = f", {shown_duration(over)} over in all" if over else ""
    jobs = count_of(sum(one.count for one in rows), "job")
    most = f"; most often {rows[0].words}, {rows[0].count} of them" if len(rows) > 1 else ""
    return Reasons(f"{jobs} with a reason why it came to more{times}{most}.", rows)


def why_nothing(desk: Desk, first: date, last: date) -> Reasons:
    """What became of the enquiries of a span, and why those that ended came to nothing."""
    with desk.book.reading() as session:
        found = queries.enquiries_asked(session, first, last)
    rows = tuple(Reason(words or UNSAID, count) for words, count in found.nothing)
    if not found.asked:
        return Reasons("Nobody asked in this time.", rows)
    nothing = sum(one.count for one in rows)
    asked = count_of(found.asked, "enquiry", "enquiries")
    said = f"{asked}: {found.booked} booked, {nothing} came to nothing"
    said += f", {found.open} still open." if found.open else "."
    return Reasons(said, rows)
