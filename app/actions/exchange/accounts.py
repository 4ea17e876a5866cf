"""The workbook for an accountant: work done, invoices, tax and money of a span of days."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from app.actions.desk.desk import Desk
from app.actions.exchange.exporting import Moved, tell, workbook_path
from app.actions.jobs.done_and_paid import material
from app.calculations.figures.slip import Work, earned_by_job
from app.calculations.numbers.dates import day_year
from app.documents.export.accounts_book import Accounts, MoneyRow, PaperRow, WorkRow, write_accounts
from app.errors import Mendable
from app.records.queries import days, takings
from app.records.queries import invoices as queries
from app.records.queries.days import Session


def accounts(desk: Desk, first: date, last: date) -> Accounts:
    """All work done, papers issued and money of these days; `Mendable` where the last is before."""
    if last < first:
        raise Mendable(
            f"The span ends on {day_year(last)}, before it begins; give a last day from "
            f"{day_year(first)} on."
        )
    work, _ = material(desk, last)
    with desk.book.reading() as session:
        return Accounts(
            shop=desk.settings.shop_name,
            currency=desk.settings.currency,
            first=first,
            last=last,
            work=_work(session, work, first, last),
            papers=_papers(session, first, last),
            money=_money(session, first, last),
        )


def _work(session: Session, work: Sequence[Work], first: date, last: date) -> tuple[WorkRow, ...]:
    rows = earned_by_job(work, first, last)
    jobs = {one.job_id: one for one in days.jobs_by_id(session, {row[1] for row in rows})}
    return tuple(
        WorkRow(
            day=day, job=jobs[job].number_text, customer=jobs[job].customer, rate=rate, on=on,
            tax=tax,
        )
        for day, job, rate, on, tax in rows
    )  # fmt: skip


def _papers(session: Session, first: date, last: date) -> tuple[PaperRow, ...]:
    ids = queries.issued_within(session, first, last)
    lines, taxes = queries.lines_of(session, ids), queries.taxes_of(session, ids)
    jobs = {line.job_id for of_paper in lines.values() for line in of_paper}
    numbers = {one.job_id: one.number_text for one in days.jobs_by_id(session, jobs)}
    found = []
    for row in queries.invoices_by_id(session, ids):
        sign = -1 if row.kind == "credit" else 1
        found.append(
            PaperRow(
                number=row.number_text,
                kind="credit note" if row.kind == "credit" else "invoice",
                issued=row.issued_on,
                due_on=row.due_on,
                payer=row.payer_name,
                lines=tuple(
                    (numbers.get(line.job_id, ""), line.text, sign * line.amount, line.tax_rate,
                     sign * line.tax)
                    for line in lines.get(row.invoice_id, ())
                ),
                taxes=tuple(
                    (tax.rate, sign * tax.net, sign * tax.tax)
                    for tax in taxes.get(row.invoice_id, ())
                ),
            )
        )  # fmt: skip
    return tuple(found)


def _money(session: Session, first: date, last: date) -> tuple[MoneyRow, ...]:
    rows = takings.lines_within(session, first, last)
    jobs = {row.job_id for row in rows if row.job_id is not None}
    by_id = {one.job_id: one for one in days.jobs_by_id(session, jobs)}
    found = []
    for row in rows:
        job = by_id.get(row.job_id or 0)
        found.append(
            MoneyRow(
                day=row.day,
                job=job.number_text if job else "",
                customer=job.customer if job else "",
                kind=row.kind,
                method=row.method,
                amount=row.amount,
            )
        )
    return tuple(found)


def write_span(desk: Desk, first: date, last: date, path: Path, moved: Moved | None = None) -> Path:
    """Write the workbook of these days; returns where it stands.

    A file that stands there already is moved aside, and `moved` is told where to.
    """
    path = workbook_path(path)
    tell(moved, write_accounts(accounts(desk, first, last), path))
    return path
