"""The paper of an invoice or credit note, and the mail that takes it to who pays."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk, there
from app.actions.desk.papers import file_name, papers_folder
from app.actions.desk.telephones import how_to_answer
from app.actions.jobs.agreed import Agreed, agreed_with
from app.actions.jobs.by_time import hours_text
from app.actions.jobs.estimate_versions import version_words, versions
from app.actions.jobs.invoice_standing import Stand, stand_of
from app.actions.jobs.invoices import Issued, Papers, papers_of
from app.actions.jobs.job_card import rate_text
from app.calculations.numbers.dates import day_year, weekday_day
from app.calculations.numbers.wording import count_of
from app.documents.papers.invoice_sheet import InvoiceSheet, SheetLine
from app.documents.papers.mail import OrderMail, write_order_mail
from app.records.models import Customer, Vehicle
from app.records.queries import days, takings
from app.records.queries import invoices as queries
from app.records.queries.days import JobRow, Session
from app.records.queries.invoices import InvoiceTaxRow
from app.records.queries.takings import ReceiptRow

_KINDS = {"deposit": "Deposit", "payment": "Payment", "refund": "Given back"}


def invoice_sheet(desk: Desk, invoice_id: int) -> InvoiceSheet:
    """A paper as it is printed now: what was issued, and what came for it since."""
    with desk.book.reading() as session:
        jobs = _jobs(session, queries.jobs_of(session, invoice_id))
        there(jobs or None, "This invoice")
        ids = [one.job_id for one in jobs]
        plates = {one: session.get_one(Vehicle, one).plate
                  for one in {job.vehicle_id for job in jobs if job.vehicle_id}}  # fmt: skip
        came = takings.receipts_of(session, ids)
        beside = takings.beside_of(session, ids)
        of = there(queries.invoice(session, invoice_id), "This invoice")
        stand = there(stand_of(session, desk, of.credits_id or invoice_id), "This invoice")
    papers = papers_of(desk, ids[0])
    (issued,) = (one for one in papers.issued if one.invoice.invoice_id == invoice_id)
    paper, settings = issued.invoice, desk.settings
    credit = paper.kind == "credit"
    order = f"your order {paper.order_number}" if paper.order_number else ""
    subtitle = _done_words(jobs)
    if credit:
        subtitle = f"to invoice {stand.invoice.number_text} of {day_year(stand.invoice.issued_on)}"
    tips = sum(one.amount for of_job in beside.values() for one in of_job if one.kind == "tip")
    notes = ["The invoice stays as it was issued; this note stands beside it."
             if credit else ""]  # fmt: skip
    if tips > 0 and not credit:
        notes.append(f"Your tip of {money(desk, tips)} is not part of this invoice. Thank you.")
    called = {job.job_id: _called(job, plates) for job in jobs}
    about = [called[ids[0]], f"job {jobs[0].number_text}", order]
    agreed = None
    if len(jobs) == 1 and not credit:
        agreed = agreed_with(versions(desk, ids[0]), papers.charges)
        about += _agreed_words(desk, agreed)
    if len(jobs) > 1:
        about = [count_of(len(jobs), "job"), order]
    open_now = not credit and stand.due > 0
    return InvoiceSheet(
        title="Credit note" if credit else "Invoice",
        subtitle=subtitle,
        number=paper.number_text,
        day=day_year(paper.issued_on),
        shop_name=settings.shop_name,
        shop_address=settings.shop_address,
        shop_answer=tuple(filter(None, how_to_answer(settings).split(", "))),
        mark=settings.shop_mark,
        to=(paper.payer_name, *paper.payer_address.splitlines()),
        about_head="Why" if credit else "Vehicle and order" if len(jobs) == 1 else "Jobs and order",
        about=(paper.reason,) if credit else tuple(filter(None, about)),
        head="What is taken back" if credit else "What was done",
        lines=_lines(desk, issued, {job.job_id: f"Job {job.number_text}, {called[job.job_id]}"
                                    .rstrip(", ") for job in jobs}),
        taxes_head="Tax, each line’s own" if paper.tax_rule == "line"
        else "Tax, each rate on its total",
        taxes=tuple(
            (
                tax.letter or "–",
                _rate_words(tax, paper.tax_text),
                money(desk, -tax.net if credit else tax.net),
                money(desk, -tax.tax if credit else tax.tax),
            )
            for tax in issued.taxes
        ),
        sums=_sums(desk, issued, stand, papers, [one for job in ids for one in came.get(job, ())]),
        bold="" if credit else "Comes to",
        due=f"by {weekday_day(paper.due_on)} {paper.due_on.year}, in {paper.currency}"
        if open_now and paper.due_on else "",
        stands=_stands(desk, issued, stand) if credit else (),
        how_to_pay=tuple(one.strip() for one in settings.how_to_pay.split(";") if one.strip())
        if open_now else (),
        notes=tuple(filter(None, notes)),
        came_of_it=_came_of_it(desk, issued, papers, agreed),
        half=credit,
    )  # fmt: skip


def _rate_words(tax: InvoiceTaxRow, why_none: str) -> str:
    """`7.25 %, city tax`; of what has no tax the certificate in place of the rate, where one is."""
    if not tax.rate and why_none:
        return why_none
    return ", ".join(filter(None, (rate_text(tax.rate), tax.words)))


def _jobs(session: Session, ids: Sequence[int]) -> list[JobRow]:
    found = {one.job_id: one for one in days.jobs_by_id(session, ids)}
    return [found[one] for one in ids]


def _called(job: JobRow, plates: Mapping[int, str]) -> str:
    plate = plates.get(job.vehicle_id or 0, "")
    return ", ".join(filter(None, (job.vehicle, plate if plate not in job.vehicle else "")))


def _done_words(jobs: Sequence[JobRow]) -> str:
    done = sorted(one.done_on for one in jobs if one.done_on)
    if not done:
        return ""
    if done[0] == done[-1]:
        return f"for work done {day_year(done[0])}"
    return f"for work done {day_year(done[0])} to {day_year(done[-1])}"


def _agreed_words(desk: Desk, agreed: Agreed | None) -> list[str]:
    """The estimate that was said yes to: when it was given, when and how agreed, up to what."""
    if agreed is None or agreed.version.row.state != "approved":
        return []
    row, ceiling = agreed.version.row, agreed.version.ceiling
    given = f" of {day_year(row.given_on)}" if row.given_on else ""
    said = [f"estimate{given}, {version_words(row.version)}"]
    if row.approved_on:
        how = {"phone": "by telephone", "mail": "by mail", "text": "by text"}
        limit = f", not above {money(desk, ceiling)}" if ceiling is not None else ""
        said.append(
            f"agreed {day_year(row.approved_on)} "
            f"{how.get(row.approved_how, row.approved_how)}{limit}"
        )
    return said


def _came_of_it(desk: Desk, issued: Issued, papers: Papers, agreed: Agreed | None) -> str:
    """What came of the estimate: likely and charged with tax, and the lines that differ.

    Said on the first invoice of a job whose estimate was agreed and all of whose charges stand on
    it; what was said among ourselves of why is never on it.
    """
    if agreed is None or agreed.version.row.state != "approved":
        return ""
    charges = {one.charge_id: one for one in papers.charges}
    printed = {line.charge_id for line in issued.lines}
    sold = [one for one in papers.issued if one.invoice.kind == "invoice"]
    credits = {line.charge_id for one in papers.issued if one.invoice.kind == "credit"
               for line in one.lines}  # fmt: skip
    if len(sold) > 1 or set(charges) - credits != printed:
        return ""
    likely, gross, ceiling = agreed.version.row.likely, issued.invoice.gross, agreed.version.ceiling
    differ = []
    for line in issued.lines:
        was = agreed.likely.get(line.charge_id or 0)
        if was is None:
            less = "taken off" if line.amount < 0 else "more"
            differ.append((abs(line.amount), f"{money(desk, abs(line.amount))} {less} for "
                           f"{line.text}, which was not in it"))  # fmt: skip
        elif was != line.amount:
            less = "less" if line.amount < was else "more"
            by = abs(line.amount - was)
            differ.append((by, f"{money(desk, by)} {less} for {line.text}"))
    differ.sort(key=lambda one: -one[0])
    shown = [words for _, words in differ[:3]]
    if len(differ) > 3:
        shown.append(f"{count_of(len(differ) - 3, 'other line')} besides")
    said = f"Likely {money(desk, likely)}, charged {money(desk, gross)}"
    said += f": before tax {'; '.join(shown)}." if shown else "."
    if ceiling is not None and gross <= ceiling:
        said += f" {money(desk, ceiling - gross)} below the agreed limit."
    elif ceiling is not None:
        said += f" {money(desk, gross - ceiling)} above the agreed limit of {money(desk, ceiling)}."
    return said


def _lines(desk: Desk, issued: Issued, heads: Mapping[int, str]) -> tuple[SheetLine, ...]:
    """The lines in their order; of a paper of many jobs each job has its head."""
    sign, found, last, so_far = -1 if issued.invoice.kind == "credit" else 1, [], None, 0
    for line in issued.lines:
        if len(heads) > 1 and line.job_id != last:
            found.append(SheetLine(heads[line.job_id], so_far=money(desk, so_far)))
            last = line.job_id
        so_far += line.amount * sign
        rate = money(desk, line.hour_rate) if line.minutes else ""
        found.append(
            SheetLine(
                line.text, money(desk, line.amount * sign), line.tax_letter or "–",
                hours_text(line.minutes), rate, money(desk, so_far),
            )
        )  # fmt: skip
    return tuple(found)


def _stands(desk: Desk, issued: Issued, stand: Stand) -> tuple[tuple[str, str], ...]:
    """Of a credit note: what was due on its invoice without it, and what is due now."""
    number, credit = stand.invoice.number_text, issued.invoice.gross
    due = f"Still due by {day_year(stand.invoice.due_on)}" if stand.invoice.due_on else "Still due"
    last = (due, money(desk, stand.due))
    if not stand.due:
        last = (f"Nothing is due on {number}", money(desk, 0))
    elif stand.due < 0:
        last = ("Kept for you", money(desk, -stand.due))
    before = stand.due + credit
    words = f"Due on {number} without this note"
    if before < 0:
        words, before = "Kept for you without this note", -before
    return ((words, money(desk, before)), ("This credit", money(desk, -credit)), last)


def _sums(
    desk: Desk, issued: Issued, stand: Stand, papers: Papers, receipts: Sequence[ReceiptRow]
) -> tuple[tuple[str, str], ...]:
    paper = issued.invoice
    sign = -1 if paper.kind == "credit" else 1
    found = [("Before tax", money(desk, sign * paper.net)), ("Tax", money(desk, sign * paper.tax))]
    if paper.kind == "credit":
        return (*found, ("Credit", money(desk, -paper.gross)))
    found.append(("Comes to", money(desk, paper.gross)))
    for one in papers.issued:
        if one.invoice.credits_id == paper.invoice_id:
            words = f"Credit note {one.invoice.number_text}"
            found.append((words, money(desk, -one.invoice.gross)))
    last = max((one.day for one in receipts), default=paper.issued_on)
    if sum(one.amount for one in receipts) == stand.came:
        # Once for each way and day, also where it was shared over many jobs.
        by: dict[tuple[str, str, date], int] = {}
        for receipt in receipts:
            key = receipt.kind, receipt.method, receipt.day
            by[key] = by.get(key, 0) + receipt.amount
        for (kind, method, day), amount in by.items():
            words = f"{_KINDS.get(kind, 'Came')} of {day_year(day)}"
            found.append((f"{words}, by {method}" if method else words, money(desk, -amount)))
    elif stand.came:
        found.append(("Came for it, or was taken off since", money(desk, -stand.came)))
    if stand.due < 0:
        return (*found, ("Kept for you", money(desk, -stand.due)))
    if not stand.due:
        paid = ("Paid", day_year(last)) if receipts else ("Nothing is due", money(desk, 0))
        return (*found, paid)
    return (*found, ("Still due", money(desk, stand.due)))


def invoice_files(desk: Desk, invoice_id: int) -> tuple[Path, Path]:
    """(the paper as a PDF, a mail draft to who pays with it); a person sends it."""
    from app.documents.papers.invoice_paper import invoice_pdf

    sheet = invoice_sheet(desk, invoice_id)
    folder = papers_folder(desk, "invoices")
    stem = f"{sheet.title.lower()} {sheet.number} {file_name(sheet.to[0], 'customer')}"
    pdf = invoice_pdf(sheet, folder / f"{stem}.pdf", desk.settings.region)
    with desk.book.reading() as session:
        row = there(queries.invoice(session, invoice_id), "This invoice")
        payer = session.get(Customer, row.payer_id) if row.payer_id else None
        to = payer.email if payer and not payer.deceased and not payer.email_bad_since else ""
    shop = desk.settings.shop_name
    draft = OrderMail(
        sender_name=shop,
        sender_mail=desk.settings.shop_email,
        name=sheet.to[0],
        mail=to,
        subject=", ".join(filter(None, (f"{sheet.title} {sheet.number}", shop))),
        text=_mail_text(sheet),
        files=(pdf,),
        at=desk.clock(),
    )
    return pdf, write_order_mail(draft, folder / f"{stem}.eml")


def _mail_text(sheet: InvoiceSheet) -> str:
    words, amount = sheet.sums[-1]
    due = f" {sheet.due}" if sheet.due else ""
    from_whom = filter(
        None, (sheet.shop_name, *sheet.shop_address.splitlines(), *sheet.shop_answer)
    )
    return "\n".join(
        [
            f"Hello {sheet.to[0]},",
            "",
            f"here is {sheet.title.lower()} {sheet.number} {sheet.subtitle}.",
            f"{words}: {amount}{due}.",
            *(f"{name}: {now}." for name, now in sheet.stands[-1:]),
            "",
            *sheet.how_to_pay,
            *([""] if sheet.how_to_pay else []),
            "Thank you",
            "",
            *from_whom,
        ]
    )
