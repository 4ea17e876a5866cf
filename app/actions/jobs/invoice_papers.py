"""The paper of an invoice or credit note, and the mail that takes it to who pays."""

from __future__ import annotations

from pathlib import Path

from app.actions.desk.amounts import money, totals
from app.actions.desk.desk import Desk, there
from app.actions.desk.open_day import numbered
from app.actions.desk.papers import file_name, papers_folder
from app.actions.desk.telephones import shown_phone
from app.actions.jobs.invoices import Issued, papers_of
from app.actions.jobs.job_card import rate_text
from app.calculations.numbers.dates import day_year, weekday_day
from app.documents.papers.invoice_sheet import InvoiceSheet
from app.documents.papers.mail import OrderMail, write_order_mail
from app.records.models import EXPECTED, Customer, Job, Vehicle
from app.records.queries import invoices as queries
from app.records.queries import takings
from app.records.queries.takings import ReceiptRow

_KINDS = {"deposit": "Deposit", "payment": "Payment", "refund": "Given back"}


def invoice_sheet(desk: Desk, invoice_id: int) -> InvoiceSheet:
    """A paper as it is printed now: what was issued, and what came for it since."""
    with desk.book.reading() as session:
        job_id = there(queries.job_of(session, invoice_id), "This invoice")
        job = there(session.get(Job, job_id), "This job")
        vehicle = session.get(Vehicle, job.vehicle_id) if job.vehicle_id else None
        nets = takings.nets_of(session, [job_id]).get(job_id, ())
        came = takings.receipts_of(session, [job_id]).get(job_id, [])
        beside = takings.beside_of(session, [job_id]).get(job_id, [])
        number, done = numbered(job.number), job.done_on
        called = ", ".join(filter(None, (vehicle.description, vehicle.plate))) if vehicle else ""
    papers = papers_of(desk, job_id)
    (issued,) = (one for one in papers.issued if one.invoice.invoice_id == invoice_id)
    paper, settings = issued.invoice, desk.settings
    came = [one for one in came if one.state != EXPECTED or one.day < desk.today]
    credit = paper.kind == "credit"
    origin = next(
        (one.invoice for one in papers.issued if one.invoice.invoice_id == paper.credits_id), None
    )
    due = totals(desk, nets, came).due
    order = f"your order {paper.order_number}" if paper.order_number else ""
    subtitle = f"for work done {day_year(done)}" if done else ""
    if origin is not None:
        subtitle = f"to invoice {origin.number_text} of {day_year(origin.issued_on)}"
    tips = sum(one.amount for one in beside if one.kind == "tip")
    notes = [paper.tax_text, "The invoice stays as it was issued; this note stands beside it."
             if credit else ""]  # fmt: skip
    if tips > 0 and not credit:
        notes.append(f"Your tip of {money(desk, tips)} is not part of this invoice. Thank you.")
    if due < 0:
        notes.append(f"Kept for you: {money(desk, -due)}.")
    return InvoiceSheet(
        title="Credit note" if credit else "Invoice",
        subtitle=subtitle,
        number=paper.number_text,
        day=day_year(paper.issued_on),
        shop_name=settings.shop_name,
        shop_address=settings.shop_address,
        shop_answer=", ".join(
            filter(None, (shown_phone(settings.shop_phone, settings.region), settings.shop_email))
        ),
        to=(paper.payer_name, *paper.payer_address.splitlines()),
        about_head="Why" if credit else "Vehicle and order",
        about=(paper.reason,) if credit else tuple(filter(None, (called, f"job {number}", order))),
        head="What is taken back" if credit else "What was done",
        lines=tuple(
            (line.text, money(desk, line.amount * (-1 if credit else 1)), line.tax_letter or "–")
            for line in issued.lines
        ),
        taxes=tuple(
            (
                tax.letter or "–",
                ", ".join(filter(None, (rate_text(tax.rate), tax.words))),
                money(desk, -tax.net if credit else tax.net),
                money(desk, -tax.tax if credit else tax.tax),
            )
            for tax in issued.taxes
        ),
        sums=_sums(desk, issued, came, due, alone=len(papers.issued) == 1),
        due="" if credit or due <= 0 or paper.due_on is None
        else f"by {weekday_day(paper.due_on)} {paper.due_on.year}, in {paper.currency}",
        how_to_pay=()
        if credit or due <= 0
        else tuple(one.strip() for one in settings.how_to_pay.split(";") if one.strip()),
        notes=tuple(filter(None, notes)),
    )  # fmt: skip


def _sums(
    desk: Desk, issued: Issued, came: list[ReceiptRow], due: int, *, alone: bool
) -> tuple[tuple[str, str], ...]:
    paper = issued.invoice
    sign = -1 if paper.kind == "credit" else 1
    found = [("Before tax", money(desk, sign * paper.net)), ("Tax", money(desk, sign * paper.tax))]
    if paper.kind == "credit":
        return (
            *found,
            ("Credit", money(desk, -paper.gross)),
            ("Still due for this job", money(desk, max(0, due))),
        )
    found.append(("Total", money(desk, paper.gross)))
    if not alone:
        # Several papers of one job share what came: the job's own sum says what is left.
        return (*found, ("Still due for this job, all papers", money(desk, max(0, due))))
    for one in came:
        words = f"{_KINDS.get(one.kind, 'Came')} of {day_year(one.day)}"
        found.append((f"{words}, {one.method}" if one.method else words, money(desk, -one.amount)))
    left = paper.gross - sum(one.amount for one in came)
    if left <= 0:
        last = max((one.day for one in came), default=paper.issued_on)
        return (*found, (f"Still due, paid {day_year(last)}", money(desk, 0)))
    return (*found, ("Still due", money(desk, left)))


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
    from_whom = filter(None, (sheet.shop_name, *sheet.shop_address.splitlines(), sheet.shop_answer))
    return "\n".join(
        [
            f"Hello {sheet.to[0]},",
            "",
            f"here is {sheet.title.lower()} {sheet.number} {sheet.subtitle}.",
            f"{words}: {amount}{due}.",
            "",
            *sheet.how_to_pay,
            *([""] if sheet.how_to_pay else []),
            "Thank you",
            "",
            *from_whom,
        ]
    )
