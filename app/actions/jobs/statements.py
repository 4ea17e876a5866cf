"""A statement: what somebody who pays owes on the day, by age; as a page and on paper."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk, there
from app.actions.desk.papers import file_name, papers_folder
from app.actions.desk.telephones import how_to_answer
from app.actions.jobs.invoice_standing import Stand, last_word, standings, work_words
from app.calculations.figures.owed_ages import OwedBand, by_age
from app.calculations.numbers.dates import day_year, near_short
from app.calculations.numbers.wording import count_of
from app.documents.papers.mail import OrderMail, write_order_mail
from app.documents.papers.statement_sheet import StatementLine, StatementSheet
from app.errors import Mendable
from app.records.models import Customer
from app.records.queries import invoices as queries
from app.records.queries.days import Session


@dataclass(frozen=True, kw_only=True)
class Statement:
    """What somebody owes today: invoices, the oldest first, and work that is on none yet."""

    payer_id: int
    name: str
    deceased: bool
    stands: tuple[Stand, ...]
    bands: tuple[OwedBand, ...]
    not_invoiced: int  # minor units
    jobs_not_invoiced: tuple[int, ...]

    @property
    def due(self) -> int:
        """On invoices, minor units."""
        return sum(one.due for one in self.stands)


def open_invoices(session: Session, desk: Desk, payer_id: int) -> list[Stand]:
    """The invoices that somebody still has to pay, the oldest first."""
    jobs = queries.jobs_on(session, queries.issued_to(session, payer_id))
    found = standings(session, desk, jobs).invoices
    return [one for one in found if one.invoice.payer_id == payer_id and one.due > 0]


def statement(desk: Desk, payer_id: int) -> Statement:
    """What somebody owes today; `Mendable` where they are not in the book."""
    with desk.book.reading() as session:
        payer = there(session.get(Customer, payer_id), "This customer")
        name, deceased = payer.name, payer.deceased
        stands = open_invoices(session, desk, payer_id)
        jobs = queries.done_for(session, payer_id)
        rest = standings(session, desk, jobs).open if jobs else {}
    open_jobs = {job: gross - came for job, (gross, came) in rest.items() if gross > came}
    return Statement(
        payer_id=payer_id,
        name=name,
        deceased=deceased,
        stands=tuple(stands),
        bands=by_age((one.days_on(desk.today), one.due) for one in stands),
        not_invoiced=sum(open_jobs.values()),
        jobs_not_invoiced=tuple(open_jobs),
    )


def statement_sheet(desk: Desk, payer_id: int) -> StatementSheet:
    """A statement in words, as it is printed."""
    found, settings = statement(desk, payer_id), desk.settings
    with desk.book.reading() as session:
        payer = session.get_one(Customer, payer_id)
        city = " ".join(filter(None, (payer.city, payer.region, payer.postal_code)))
        to = tuple(filter(None, (payer.name, payer.street, city, payer.country)))
    notes = []
    if found.not_invoiced:
        jobs = count_of(len(found.jobs_not_invoiced), "job")
        notes.append(
            f"Not on it: {money(desk, found.not_invoiced)} of {jobs} done and not invoiced yet."
        )
    notes += [
        f"Invoice {one.invoice.number_text} is disputed; what is said of it stands between us."
        for one in found.stands if one.disputed
    ]  # fmt: skip
    return StatementSheet(
        title="Statement",
        day=day_year(desk.today),
        shop_name=settings.shop_name,
        shop_address=settings.shop_address,
        shop_answer=how_to_answer(settings),
        mark=settings.shop_mark,
        to=to,
        bands=tuple(
            (band.words, money(desk, band.amount) if band.count else "–") for band in found.bands
        ),
        lines=tuple(statement_line(desk, one) for one in found.stands),
        due=money(desk, found.due),
        currency=settings.currency,
        how_to_pay=tuple(one.strip() for one in settings.how_to_pay.split(";") if one.strip())
        if found.due else (),
        notes=tuple(notes),
    )  # fmt: skip


def statement_line(desk: Desk, stand: Stand) -> StatementLine:
    """An invoice of a statement in words."""
    paper, today = stand.invoice, desk.today
    return StatementLine(
        number=paper.number_text,
        issued=near_short(paper.issued_on, today),
        due_on=near_short(paper.due_on, today) if paper.due_on else "",
        words=work_words(stand),
        order=paper.order_number,
        days=stand.days_on(today),
        gross=money(desk, paper.gross - stand.credited),
        came=money(desk, stand.came) if stand.came else "",
        due=money(desk, stand.due),
        said=last_word(stand, today)[0],
    )


def statement_files(desk: Desk, payer_id: int) -> tuple[Path, Path]:
    """(the statement as a PDF, a mail draft with it); a person sends it."""
    from app.documents.papers.statement_paper import statement_pdf

    sheet = statement_sheet(desk, payer_id)
    if not sheet.lines:
        raise Mendable(f"{sheet.to[0]} owes nothing on an invoice, so there is no statement.")
    folder = papers_folder(desk, "statements")
    stem = f"statement {desk.today.isoformat()} {file_name(sheet.to[0], 'customer')}"
    pdf = statement_pdf(sheet, folder / f"{stem}.pdf", desk.settings.region)
    with desk.book.reading() as session:
        payer = session.get_one(Customer, payer_id)
        to = "" if payer.deceased or payer.email_bad_since else payer.email
    lines = [f"Invoice {one.number} of {one.issued}: {one.due}" for one in sheet.lines]
    from_whom = filter(None, (sheet.shop_name, *sheet.shop_address.splitlines(), sheet.shop_answer))
    text = [
        f"Hello {sheet.to[0]},", "", f"here is what stands open on {sheet.day}:", "", *lines,
        f"Together {sheet.due} {sheet.currency}.", "", *sheet.how_to_pay,
        *([""] if sheet.how_to_pay else []), "Thank you", "", *from_whom,
    ]  # fmt: skip
    draft = OrderMail(
        sender_name=sheet.shop_name, sender_mail=desk.settings.shop_email, name=sheet.to[0],
        mail=to, subject=", ".join(filter(None, (f"Statement of {sheet.day}", sheet.shop_name))),
        text="\n".join(text), files=(pdf,), at=desk.clock(),
    )  # fmt: skip
    return pdf, write_order_mail(draft, folder / f"{stem}.eml")
