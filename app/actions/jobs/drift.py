"""Why a job came to more than its estimate: whether it did, and what was said of it."""

from __future__ import annotations

from app.actions.desk.amounts import money
from app.actions.desk.desk import NOTHING, Changed, Desk
from app.actions.desk.open_day import numbered
from app.actions.jobs.agreed import agreed_with
from app.actions.jobs.booking_jobs import KINDS, changing, job_of
from app.actions.jobs.job_card import JobCard
from app.calculations.numbers.durations import shown_duration

# The key of each reason: Alt with its letter.
KEYS = {"C": "condition", "E": "extra work asked for", "R": "redone", "T": "tools or supplies",
        "L": "learning", "G": "estimated too low"}  # fmt: skip
# Of what was expected, and in minutes: less is not asked about (common practice, no source).
MORE, LEAST = 1.1, 30


def more_than_estimated(desk: Desk, card: JobCard) -> str:
    """In words by what a job came to more than its estimate, in hours or in money; else empty."""
    said = []
    expected, worked = card.expected_minutes, card.worked_minutes
    if expected and worked > MORE * expected and worked - expected >= LEAST:
        said.append(f"{shown_duration(worked - expected)} longer than expected")
    agreed = agreed_with(card.versions, card.money.charges)
    gross = card.money.sums.gross
    if agreed is not None and agreed.version.given and gross > agreed.version.row.likely > 0:
        over = gross - agreed.version.row.likely
        said.append(f"{money(desk, over)} more than the likely figure")
    return " and ".join(said)


def say_why_more(desk: Desk, job_id: int, reason: str) -> Changed:
    """Note why a job came to more; the same reason once more takes it away again."""
    with desk.book.reading() as session:
        job = job_of(session, job_id)
        number, before = numbered(job.number), job.drift_reason
    new = "" if reason == before else reason
    if new == before:
        return NOTHING
    name = f"Why {number} came to more: {new or 'not said'}"
    with changing(desk, name) as session:
        job_of(session, job_id).drift_reason = new[:40]
    return Changed(name, KINDS)
