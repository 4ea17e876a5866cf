"""What is owed: invoices by their age, and apart from them work that stands on no invoice yet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk, there
from app.actions.desk.open_day import numbered
from app.actions.desk.telephones import shown_phone
from app.actions.jobs.invoice_standing import Stand, last_word, standings, work_words
from app.actions.jobs.jobs import STATE_WORDS, JobList, OwedInvoice, ShownJob, when_words
from app.calculations.figures.owed_ages import OwedBand, by_age
from app.calculations.numbers.wording import count_of
from app.records.models import Customer
from app.records.queries import days as day_queries
from app.records.queries import invoices as queries
from app.records.queries import jobs as job_queries
from app.records.queries import takings
from app.records.queries.days import Session
from app.records.queries.jobs import ListedJob

LAST_PAID = 9


def list_owed(desk: Desk, text: str = "", limit: int = 500) -> JobList:
    """What is owed; `text` looks in names, vehicles, plates, services, job and invoice numbers,
    and in the names of who pays."""
    today = desk.today
    with desk.book.reading() as session:
        rows, _ = job_queries.list_jobs(session, "owed", "", today, limit)
        kept = {row.job_id for row in rows}
        if text.strip():
            told, _ = job_queries.list_jobs(session, "owed", text, today, limit)
            kept = {row.job_id for row in told}
        found = standings(session, desk, [row.job_id for row in rows])
        services = day_queries.services_of(session, [row.job_id for row in rows])
    wanted = text.strip().casefold()
    invoices = [
        _shown(one, desk)
        for one in found.invoices
        if one.due > 0
        and (
            any(part.job.job_id in kept for part in one.parts)
            or (
                wanted
                and wanted in f"{one.invoice.payer_name} {one.invoice.number_text}".casefold()
            )
        )
    ]
    lines = [
        _line(desk, row, *found.open[row.job_id],
              ", ".join(one.name for one in services.get(row.job_id, ())))
        for row in rows
        if row.job_id in kept and row.state == "done"
        and found.open[row.job_id][0] > found.open[row.job_id][1]
    ]  # fmt: skip
    named = [(one.days, one.due, one.payer) for one in invoices]
    named += [(one.days, one.due, one.customer) for one in lines]
    bands = by_age((days, due) for days, due, _ in named)
    return JobList(
        "owed",
        tuple(lines[:limit]),
        len(invoices) + len(lines),
        _sentence(desk, invoices, lines),
        bands,
        _voice(desk, bands, named),
        tuple(invoices),
    )


def _shown(stand: Stand, desk: Desk) -> OwedInvoice:
    paper = stand.invoice
    word, alert = last_word(stand, desk.today)
    return OwedInvoice(
        invoice_id=paper.invoice_id,
        number=paper.number_text,
        issued_on=paper.issued_on,
        due_on=paper.due_on,
        payer_id=paper.payer_id,
        payer=paper.payer_name,
        what=work_words(stand),
        jobs=tuple(part.job.job_id for part in stand.parts),
        gross=paper.gross - stand.credited,
        came=stand.came,
        due=stand.due,
        days=stand.days_on(desk.today),
        word=word,
        alert=alert,
        disputed=stand.disputed,
    )


def _line(desk: Desk, row: ListedJob, gross: int, came: int, services: str) -> ShownJob:
    """A job with work that stands on no invoice: what that comes to, and what came for it."""
    today = desk.today
    return ShownJob(
        job_id=row.job_id,
        number=numbered(row.number),
        customer=row.customer,
        vehicle=row.vehicle,
        services=services or row.title,
        state=STATE_WORDS[row.state],
        when_text=when_words(row, today),
        hours_text="",
        hours_short="",
        worth_text=money(desk, gross),
        due_text=money(desk, gross - came),
        alert="",
        day=row.done_on,
        days=(today - row.done_on).days if row.done_on else 0,
        due=gross - came,
        paid_text=money(desk, came) if came else "",
        phone=row.phone,
    )


def _sentence(desk: Desk, invoices: Sequence[OwedInvoice], jobs: Sequence[ShownJob]) -> str:
    if not invoices and not jobs:
        return "Nobody owes anything"
    owed = money(desk, sum(one.due for one in invoices) + sum(one.due for one in jobs))
    if not invoices:
        return f"{count_of(len(jobs), 'job')}, {owed} owed"
    apart = f", {count_of(len(jobs), 'job')} not invoiced" if jobs else ""
    return f"{count_of(len(invoices), 'invoice')}{apart}, {owed} owed"


def _voice(desk: Desk, bands: Sequence[OwedBand], debts: Sequence[tuple[int, int, str]]) -> str:
    """What stands out of what is owed: how much is old, and with whom most of it is."""
    old, first = bands[2].amount + bands[3].amount, bands[2].first
    if not debts:
        return ""
    if not old:
        late = bands[1].amount
        if late:
            return f"{money(desk, late)} is older than {bands[1].first - 1} days, nothing older."
        return f"Nothing is older than {bands[0].last} days."
    with_whom: dict[str, int] = {}
    for days, due, who in debts:
        if days >= first and who:
            with_whom[who] = with_whom.get(who, 0) + due
    said = f"{money(desk, old)} is older than {first - 1} days"
    who = max(with_whom, key=lambda name: with_whom[name], default="")
    if who and 2 * with_whom[who] > old and len(with_whom) > 1:
        return f"{said}, over half of it with {who}."
    return f"{said}."


@dataclass(frozen=True, kw_only=True)
class Habit:
    """What is known of an invoice's payer when it is looked at."""

    invoice: Stand
    phone: str
    deceased: bool
    paid_after: tuple[int, ...]  # days from issue to the last money, of those paid last


def habit(desk: Desk, invoice_id: int) -> Habit:
    """How its payer paid before; `Mendable` where the invoice is gone."""
    with desk.book.reading() as session:
        row = there(queries.invoice(session, invoice_id), "This invoice")
        payer = session.get(Customer, row.payer_id or 0)
        phone = shown_phone(payer.phone, desk.settings.region) if payer else ""
        deceased = payer.deceased if payer else False
        ids = queries.issued_to(session, payer.id) if payer else {invoice_id}
        jobs = queries.jobs_on(session, ids)
        found = standings(session, desk, jobs).invoices
        mine = [one for one in found if one.invoice.invoice_id in ids]
        paid = [one for one in mine if one.due <= 0 < one.came]
        after = _paid_after(session, paid[-LAST_PAID:])
        stand = next(one for one in mine if one.invoice.invoice_id == invoice_id)
    return Habit(invoice=stand, phone=phone, deceased=deceased, paid_after=after)


def _paid_after(session: Session, paid: Sequence[Stand]) -> tuple[int, ...]:
    came = takings.receipts_of(session, [part.job.job_id for one in paid for part in one.parts])
    found = []
    for one in paid:
        of_jobs = (came.get(part.job.job_id, ()) for part in one.parts)
        last = max((row.day for rows in of_jobs for row in rows), default=None)
        if last is not None:
            found.append(max(0, (last - one.invoice.issued_on).days))
    return tuple(found)
