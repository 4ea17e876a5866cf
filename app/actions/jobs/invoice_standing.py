"""How invoices stand: what of each was credited, what came for it, and what is still due.

Money comes for jobs. What came for a job covers its invoices, the oldest first, and then what is
not invoiced yet; an invoice of many jobs is due by the sum of its jobs.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from app.actions.desk.amounts import totals
from app.actions.desk.desk import Desk
from app.calculations.numbers.dates import day_short, near_short
from app.calculations.numbers.invoicing import covered
from app.calculations.numbers.wording import count_of
from app.records.queries import days, takings
from app.records.queries import invoices as queries
from app.records.queries.days import JobRow, Session
from app.records.queries.invoices import InvoiceRow, InvoiceWordRow


@dataclass(frozen=True, kw_only=True)
class Part:
    """What an invoice has on one job, with its tax and less what was credited; minor units."""

    job: JobRow
    gross: int
    came: int

    @property
    def due(self) -> int:
        """What is still to come for this job on this invoice; below zero where more came."""
        return self.gross - self.came


@dataclass(frozen=True, kw_only=True)
class Stand:
    """An invoice as it stands now; minor units."""

    invoice: InvoiceRow
    parts: tuple[Part, ...]  # by job, the oldest first
    credited: int
    words: tuple[InvoiceWordRow, ...]

    @property
    def came(self) -> int:
        """What came for it."""
        return sum(one.came for one in self.parts)

    @property
    def due(self) -> int:
        """What is still to come."""
        return self.invoice.gross - self.credited - self.came

    @property
    def disputed(self) -> bool:
        """Whether they said that it is not right, and nobody said since that this is settled."""
        said = [one.kind for one in self.words if one.kind in ("disputed", "settled")]
        return bool(said) and said[-1] == "disputed"

    @property
    def asked(self) -> tuple[InvoiceWordRow, ...]:
        """When and how they were asked for it."""
        return tuple(one for one in self.words if one.kind == "asked")

    @property
    def promised(self) -> date | None:
        """The day that they named last."""
        return next((one.until for one in reversed(self.words) if one.kind == "promised"), None)

    def days_on(self, day: date) -> int:
        """Days since it was issued."""
        return max(0, (day - self.invoice.issued_on).days)


@dataclass(frozen=True)
class Standings:
    """Invoices as they stand, and what is due of each job that stands on none."""

    invoices: tuple[Stand, ...]
    open: Mapping[int, tuple[int, int]]  # by job: what it comes to, what came for it


def standings(session: Session, desk: Desk, job_ids: Collection[int]) -> Standings:
    """The invoices that these jobs stand on, each whole, and what of these jobs is on none."""
    papers = queries.papers_on(session, job_ids)
    lines = queries.lines_of(session, papers)
    others = {line.job_id for of_paper in lines.values() for line in of_paper}
    if others - set(job_ids):  # their own other invoices are covered before these, or after
        papers = queries.papers_on(session, others)
        lines = queries.lines_of(session, papers)
    ids = set(job_ids) | {line.job_id for of_paper in lines.values() for line in of_paper}
    rows = {one.invoice_id: one for one in queries.invoices_by_id(session, papers)}
    words = queries.words_on(session, papers)
    jobs = {one.job_id: one for one in days.jobs_by_id(session, ids)}
    nets, receipts = takings.nets_of(session, ids), takings.receipts_of(session, ids)
    gross: dict[int, dict[int, int]] = {job: {} for job in ids}  # by job and invoice
    for number in sorted(lines):
        sign = -1 if rows[number].kind == "credit" else 1
        of = rows[number].credits_id or number
        for line in lines[number]:
            mine = gross[line.job_id]
            mine[of] = mine.get(of, 0) + sign * (line.amount + line.tax)
    parts: dict[int, list[Part]] = {}
    rest: dict[int, tuple[int, int]] = {}
    for job_id in sorted(ids, key=lambda one: (jobs[one].done_on or date.max, jobs[one].number)):
        sums = totals(desk, nets.get(job_id, ()), receipts.get(job_id, ()))
        pieces = [*gross[job_id].values()]
        left = sums.gross - sum(pieces)
        whole = [*pieces, left] if left or not pieces else pieces
        shares = covered(whole, sums.gross - sums.due)
        for of, amount, came in zip(gross[job_id], pieces, shares, strict=False):
            parts.setdefault(of, []).append(Part(job=jobs[job_id], gross=amount, came=came))
        rest[job_id] = (left, shares[-1]) if len(whole) > len(pieces) else (0, 0)
    credited: dict[int, int] = {}
    for one in rows.values():
        if one.credits_id:
            credited[one.credits_id] = credited.get(one.credits_id, 0) + one.gross
    found = (
        Stand(
            invoice=one,
            parts=tuple(parts.get(one.invoice_id, ())),
            credited=credited.get(one.invoice_id, 0),
            words=tuple(words.get(one.invoice_id, ())),
        )
        for one in rows.values()
        if one.kind == "invoice"
    )
    wanted = set(job_ids)
    return Standings(tuple(found), {job: rest[job] for job in rest if job in wanted})


def stand_of(session: Session, desk: Desk, invoice_id: int) -> Stand | None:
    """One invoice as it stands; none where there is no such invoice."""
    found = standings(session, desk, queries.jobs_of(session, invoice_id)).invoices
    return next((one for one in found if one.invoice.invoice_id == invoice_id), None)


def work_words(stand: Stand) -> str:
    """What it is for: the vehicle of its one job, else how many jobs there are."""
    jobs = [one.job for one in stand.parts]
    if len(jobs) == 1:
        return jobs[0].vehicle or jobs[0].title or f"job {jobs[0].number_text}"
    vehicles = {job.vehicle for job in jobs}
    if len(vehicles) == 1 and "" not in vehicles:
        return f"{vehicles.pop()}, {count_of(len(jobs), 'job')}"
    return count_of(len(jobs), "job")


def last_word(stand: Stand, today: date) -> tuple[str, bool]:
    """What was said last about an invoice, and whether it asks to be looked at."""
    if stand.disputed:
        return "disputed", True
    asked, promised = stand.asked, stand.promised
    if promised is not None and promised >= today:
        return f"pays on {near_short(promised, today)}", False
    if promised is not None and not any(one.day > promised for one in asked):
        return f"named {day_short(promised)}", True
    if len(asked) > 1:
        times = "twice" if len(asked) == 2 else f"{len(asked)} times"
        return f"asked {times}", True
    if asked:
        return f"asked {near_short(asked[-1].day, today)}", False
    due_on = stand.invoice.due_on
    if due_on is None:
        return "", False
    return (f"due {day_short(due_on)}", False) if due_on >= today else ("not asked yet", False)
