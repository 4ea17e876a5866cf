"""Invoices and credit notes as they were issued, and what was said of them since."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records.asking import columns, grouped, rows_in_parts, rows_of
from app.records.models import Invoice, InvoiceLine, InvoiceTax, InvoiceWord


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
    kind: str  # sent, asked, promised
    how: str
    until: date | None
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


def job_of(session: Session, invoice_id: int) -> int | None:
    """The job of an invoice or credit note; this program writes each for one job."""
    query = select(InvoiceLine.job_id).where(InvoiceLine.invoice_id == invoice_id).limit(1)
    return session.scalar(query)


def lines_on(session: Session, job_ids: Collection[int]) -> dict[int, list[InvoiceLineRow]]:
    """The lines of invoices and credit notes by job, in the order of their papers."""
    query = select(*_LINE).order_by(InvoiceLine.invoice_id, InvoiceLine.position)
    rows = rows_in_parts(InvoiceLineRow, session, query, InvoiceLine.job_id, job_ids)
    return grouped(rows, "job_id")


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
