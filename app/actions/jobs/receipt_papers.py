"""The paper that says what somebody paid: one for a payment, also where it covered many jobs."""

from __future__ import annotations

from pathlib import Path

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk, there
from app.actions.desk.papers import file_name, papers_folder
from app.actions.desk.telephones import how_to_answer
from app.actions.jobs.invoice_standing import standings
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.wording import count_of
from app.documents.papers.receipt_paper import ReceiptSheet, receipt_pdf
from app.errors import Mendable
from app.records.models import EXPECTED
from app.records.queries import days, takings
from app.records.queries import invoices as queries

_KINDS = {
    "deposit": "Deposit",
    "payment": "Payment",
    "refund": "Given back",
    "tip": "Tip, thank you",
    "credit": "Kept for you",
}


def receipt_sheet(desk: Desk, receipt_id: int) -> ReceiptSheet:
    """What came, from whom and for what, and what is due since; `Mendable` where nobody said that
    it came."""
    with desk.book.reading() as session:
        rows = takings.together_with(session, receipt_id)
        own = next((row.job_id for row in rows if row.receipt_id == receipt_id), None)
        with_it = {own} | queries.jobs_on(session, queries.papers_on(session, [own or 0]))
        rows = [
            row for row in rows if row.job_id in with_it
        ]  # not what came at that moment besides
        there(rows or None, "This payment")
        ids = list(dict.fromkeys(row.job_id for row in rows if row.job_id is not None))
        jobs = {one.job_id: one for one in days.jobs_by_id(session, ids)}
        paid_by = queries.payers_of(session, ids)
        found = standings(session, desk, ids)
    if any(row.state == EXPECTED for row in rows):
        raise Mendable("Nobody said yet that this came; type it on its day, then print it.")
    names = list(dict.fromkeys(paid_by[one][1] for one in ids if one in paid_by))
    papers = ", ".join(one.invoice.number_text for one in found.invoices)
    due = sum(one.due for one in found.invoices)
    due += sum(gross - came for gross, came in found.open.values())
    settings, first = desk.settings, rows[0]
    lines = []
    for row in rows:
        job = jobs.get(row.job_id or 0)
        of = ", ".join(filter(None, (job.vehicle, f"job {job.number_text}"))) if job else ""
        words = ", ".join(filter(None, (_KINDS.get(row.kind, "Payment"), of)))
        lines.append((words, money(desk, row.amount)))
    total = sum(row.amount for row in rows)
    done = all(one.state == "done" for one in jobs.values())
    return ReceiptSheet(
        title="Receipt" if total >= 0 else "Money given back",
        number=f"R-{min(row.receipt_id for row in rows):04d}",
        day=day_year(first.day),
        shop_name=settings.shop_name,
        shop_address=settings.shop_address,
        shop_answer=how_to_answer(settings),
        mark=settings.shop_mark,
        name=", ".join(names),
        about=f"for invoice {papers}" if papers else f"for {count_of(len(jobs), 'job')}",
        lines=tuple(lines),
        total=(f"{'Received' if total >= 0 else 'Given back'}"
               f"{f' by {first.method}' if first.method else ''}, {settings.currency}",
               money(desk, abs(total))),
        rest=_rest(desk, due) if done else "A deposit is held for you until the work is done.",
    )  # fmt: skip


def _rest(desk: Desk, due: int) -> str:
    """What is due as the book stands when it is printed."""
    if due > 0:
        return f"Still due: {money(desk, due)}."
    return (
        "Nothing is due any more. Thank you." if not due else f"Kept for you: {money(desk, -due)}."
    )


def receipt_file(desk: Desk, receipt_id: int) -> Path:
    """The receipt as a PDF, beside the book."""
    sheet = receipt_sheet(desk, receipt_id)
    stem = f"{sheet.title.lower()} {sheet.number} {file_name(sheet.name, 'customer')}"
    path = papers_folder(desk, "receipts") / f"{stem}.pdf"
    return receipt_pdf(sheet, path, desk.settings.region)
