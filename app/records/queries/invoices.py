"""Invoices and credit notes as they were issued, and what was said of them since."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Select, and_, func, or_, select
from sqlalchemy.orm import Session, aliased

from app.records.asking import columns, grouped, in_parts, rows_in_parts, rows_of
from app.records.models import Customer, Invoice, InvoiceLine, InvoiceTax, InvoiceWord, Job


@dataclass(frozen=True, kw_only=True)
class InvoiceRow:
    """An invoice or a credit note; sums in minor units, of a credit note as what it takes back."""

    invoice_id: int
    kind: str  # invoice, credit
    year: int
    number: int
    issued_on: date
    payer_id: int | None
    payer_name: str
    payer_address: str
    credits_id: int | None
    reason: str
    order_number: str
    terms_days: int
    due_on: date | None
    currency: str
    tax_rule: str  # total, line
    tax_text: str
    net: int
    tax: int
    gross: int

    @property
    def number_text(self) -> str:
        """`2026-0143`, of a credit note `C-2026-0009`."""
        letter = "C-" if self.kind == "credit" else ""
        return f"{letter}{self.year}-{self.number:04d}"


@dataclass(frozen=True, kw_only=True)
class InvoiceLineRow:
    """A line as printed: minor units before tax, and the rate in thousandths of a percent."""

    line_id: int
    invoice_id: int
    job_id: int
    charge_id: int | None
    credits_line_id: int | None
    text: str
    amount: int
    tax_rate: int
    tax_letter: str
    minutes: int  # with the next: where it is charged by time, else 0 and 0
    hour_rate: int
    tax: int  # what it carries of its rate's tax


@dataclass(frozen=True, kw_only=True)
class InvoiceTaxRow:
    """The tax of one letter."""

    invoice_id: int
    letter: str
    rate: int
    words: str  # what the tax is called
    net: int
    tax: int


@dataclass(frozen=True, kw_only=True)
class InvoiceWordRow:
    """What passed about an invoice since it was issued."""

    invoice_id: int
    day: date
    kind: str  # sent, asked, promised, disputed, settled
    how: str
    until: date | None
    text: str  # of a letter or mail, as it was written
    note: str


_INVOICE = columns(InvoiceRow, Invoice, invoice_id=Invoice.id)
_LINE = columns(InvoiceLineRow, InvoiceLine, line_id=InvoiceLine.id)
_TAX = columns(InvoiceTaxRow, InvoiceTax)
_WORD = columns(InvoiceWordRow, InvoiceWord)


def next_number(session: Session, kind: str, year: int) -> int:
    """The next number of a series; asked by who writes, so that nobody else takes it meanwhile."""
    newest = select(func.max(Invoice.number)).where(Invoice.kind == kind, Invoice.year == year)
    return (session.scalar(newest) or 0) + 1


def invoice(session: Session, invoice_id: int) -> InvoiceRow | None:
    """One invoice or credit note."""
    found = rows_of(InvoiceRow, session.execute(select(*_INVOICE).where(Invoice.id == invoice_id)))
    return found[0] if found else None


def jobs_of(session: Session, invoice_id: int) -> list[int]:
    """The jobs of an invoice or credit note, in the order of its lines."""
    query = select(InvoiceLine.job_id).where(InvoiceLine.invoice_id == invoice_id)
    return list(dict.fromkeys(session.scalars(query.order_by(InvoiceLine.position))))


def papers_on(session: Session, job_ids: Collection[int]) -> set[int]:
    """The invoices that these jobs stand on, and all credit notes to those."""
    found: set[int] = set()
    for part in in_parts(job_ids):
        query = select(InvoiceLine.invoice_id).where(InvoiceLine.job_id.in_(part))
        found |= set(session.scalars(query.distinct()))
    return found | credits_to(session, found)


def credits_to(session: Session, ids: Collection[int]) -> set[int]:
    """The credit notes to these invoices."""
    return {
        one
        for part in in_parts(ids)
        for one in session.scalars(select(Invoice.id).where(Invoice.credits_id.in_(part)))
    }


def lines_of(session: Session, ids: Collection[int]) -> dict[int, list[InvoiceLineRow]]:
    """The lines by invoice or credit note, as they stand on it."""
    query = select(*_LINE).order_by(InvoiceLine.invoice_id, InvoiceLine.position)
    rows = rows_in_parts(InvoiceLineRow, session, query, InvoiceLine.invoice_id, ids)
    return grouped(rows, "invoice_id")


def jobs_on(session: Session, ids: Collection[int]) -> set[int]:
    """The jobs that stand on these invoices and credit notes."""
    return {
        one
        for part in in_parts(ids)
        for one in session.scalars(
            select(InvoiceLine.job_id).where(InvoiceLine.invoice_id.in_(part)).distinct()
        )
    }


def _with_payer() -> tuple[Select[int, int, str], type[Customer]]:
    """Jobs with who pays: whom the job names, else whom its customer names, else the customer."""
    named, usual, payer = aliased(Customer), aliased(Customer), aliased(Customer)
    query = (
        select(Job.id, payer.id, payer.name)
        .outerjoin(named, named.id == Job.payer_id)
        .outerjoin(Customer, Customer.id == Job.customer_id)
        .outerjoin(usual, usual.id == Customer.payer_id)
        .join(payer, payer.id == func.coalesce(named.id, usual.id, Job.customer_id))
    )
    return query, payer


def done_for(session: Session, payer_id: int) -> list[int]:
    """The jobs that are done and that somebody pays: for themselves, or for others."""
    query, payer = _with_payer()
    # Narrowed by what is indexed first: who pays is found among few jobs then.
    theirs = select(Customer.id).where(or_(Customer.id == payer_id, Customer.payer_id == payer_id))
    near = or_(Job.payer_id == payer_id, Job.customer_id.in_(theirs))
    return list(session.scalars(query.where(near, Job.state == "done", payer.id == payer_id)))


def pays_for_others(session: Session, customer_id: int) -> bool:
    """Whether a job or another customer names this one as who pays."""
    job = select(Job.id).where(Job.payer_id == customer_id).limit(1)
    other = select(Customer.id).where(Customer.payer_id == customer_id).limit(1)
    return session.scalar(job) is not None or session.scalar(other) is not None


def payers_of(session: Session, job_ids: Collection[int]) -> dict[int, tuple[int, str]]:
    """Who pays each of these jobs, key and name; none where there is no customer."""
    query, _ = _with_payer()
    return {
        job: (key, name)
        for part in in_parts(job_ids)
        for job, key, name in session.execute(query.where(Job.id.in_(part)))
    }


def paid_later(session: Session, job_ids: Collection[int]) -> dict[int, tuple[str, int]]:
    """Of these jobs those that are paid by invoice: who pays, and after how many days.

    Whose card says after how many days, also at once, is as it says; else somebody who pays for
    another is sent an invoice, and a customer who pays for themselves is not.
    """
    query, payer = _with_payer()
    later = or_(payer.terms_days > 0, and_(payer.terms_days.is_(None), payer.id != Job.customer_id))
    narrow = query.with_only_columns(Job.id, payer.name, func.coalesce(payer.terms_days, 0))
    return {
        job: (name, terms)
        for part in in_parts(job_ids)
        for job, name, terms in session.execute(narrow.where(Job.id.in_(part), later))
    }


def issued_within(session: Session, first: date, last: date) -> list[int]:
    """The invoices and credit notes issued on these days, both included."""
    query = select(Invoice.id).where(Invoice.issued_on >= first, Invoice.issued_on <= last)
    return list(session.scalars(query))


def issued_to(session: Session, payer_id: int) -> set[int]:
    """The invoices that somebody was to pay."""
    query = select(Invoice.id).where(Invoice.payer_id == payer_id, Invoice.kind == "invoice")
    return set(session.scalars(query))


def invoices_by_id(session: Session, ids: Collection[int]) -> list[InvoiceRow]:
    """These, in the order in which they were issued."""
    query = select(*_INVOICE).order_by(Invoice.id)
    return list(rows_in_parts(InvoiceRow, session, query, Invoice.id, ids))


def taxes_of(session: Session, ids: Collection[int]) -> dict[int, list[InvoiceTaxRow]]:
    """The taxes by invoice, in order of their letters."""
    query = select(*_TAX).order_by(InvoiceTax.letter)
    return grouped(
        rows_in_parts(InvoiceTaxRow, session, query, InvoiceTax.invoice_id, ids), "invoice_id"
    )


def words_on(session: Session, ids: Collection[int]) -> dict[int, list[InvoiceWordRow]]:
    """What was said by invoice, the oldest first."""
    query = select(*_WORD).order_by(InvoiceWord.at, InvoiceWord.id)
    return grouped(
        rows_in_parts(InvoiceWordRow, session, query, InvoiceWord.invoice_id, ids), "invoice_id"
    )
