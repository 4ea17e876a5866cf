"""Invoices and credit notes of one or more jobs: issuing them, and how they stand.

A paper never changes once it is issued. Its number is taken in the transaction that writes it, so
a series has neither gap nor double. What is taken back is written as a credit note, which puts a
charge below zero on the job: so what the job owes follows from its charges as before.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk, there
from app.actions.desk.open_day import LEARNT, numbered
from app.actions.jobs.booking_jobs import KINDS, job_of, last_charge
from app.actions.jobs.charge_tax import exempt_charges, exemption_of, other_tax, tax_day
from app.actions.shop.tax_rates import printed_words
from app.calculations.numbers.invoicing import Reckoned, Standing, credit_of, reckoned, room_of
from app.calculations.numbers.money import read_money
from app.calculations.numbers.tax import Rounding
from app.errors import Mendable
from app.records.models import (
    Charge,
    Customer,
    Invoice,
    InvoiceLine,
    InvoiceTax,
    InvoiceWord,
)
from app.records.queries import days
from app.records.queries import invoices as queries
from app.records.queries import jobs as job_queries
from app.records.queries.days import JobRow
from app.records.queries.invoices import InvoiceLineRow, InvoiceRow, InvoiceTaxRow, InvoiceWordRow
from app.records.queries.jobs import ChargeRow, Session

LONGEST_REASON = 300
HANDED_OUT = {"paper": "printed", "mail": "mail written"}


@dataclass(frozen=True, kw_only=True)
class Issued:
    """A paper as issued, and what is due on it now; minor units."""

    invoice: InvoiceRow
    lines: tuple[InvoiceLineRow, ...]
    taxes: tuple[InvoiceTaxRow, ...]
    credited: int  # with tax, by credit notes to it
    words: tuple[InvoiceWordRow, ...]


@dataclass(frozen=True, kw_only=True)
class Papers:
    """The papers of a job, the oldest first, and what stands on none yet.

    A paper of many jobs stands here with all its lines.
    """

    issued: tuple[Issued, ...] = ()
    open_charges: tuple[ChargeRow, ...] = ()
    charges: tuple[ChargeRow, ...] = ()  # of the job
    next_text: str = ""  # the number that the next invoice would have now

    def standing(self, invoice_id: int) -> list[Standing]:
        """The lines of an invoice in their order, each with what was taken back of it."""
        back: dict[int, int] = {}
        tax: dict[int, int] = {}
        for one in (line for paper in self.issued for line in paper.lines):
            if one.credits_line_id is not None:
                back[one.credits_line_id] = back.get(one.credits_line_id, 0) + one.amount
                tax[one.credits_line_id] = tax.get(one.credits_line_id, 0) + one.tax
        return [
            Standing(
                line.amount, line.tax_rate, back.get(line.line_id, 0), line.job_id,
                line.tax - tax.get(line.line_id, 0),
            )
            for paper in self.issued
            if paper.invoice.invoice_id == invoice_id
            for line in paper.lines
        ]  # fmt: skip

    @property
    def all_credited(self) -> bool:
        """Whether every invoice was taken back whole, and nothing is left to be invoiced."""
        sold = [one for one in self.issued if one.invoice.kind == "invoice"]
        whole = all(one.credited >= one.invoice.gross for one in sold)
        return bool(sold) and whole and not self.open_charges

    @property
    def newest(self) -> Issued | None:
        """The invoice issued last."""
        return next((one for one in reversed(self.issued) if one.invoice.kind == "invoice"), None)


def papers_of(desk: Desk, job_id: int) -> Papers:
    """The invoices and credit notes of a job, and its charges that stand on none."""
    with desk.book.reading() as session:
        return _papers(session, desk, job_id)


def _papers(session: Session, desk: Desk, job_id: int) -> Papers:
    charges = job_queries.charges_of(session, job_id)
    ids = queries.papers_on(session, [job_id])
    lines = queries.lines_of(session, ids)
    on_paper = {one.charge_id for of_paper in lines.values() for one in of_paper}
    rows = queries.invoices_by_id(session, ids)
    taxes, words = queries.taxes_of(session, ids), queries.words_on(session, ids)
    year = desk.today.year
    return Papers(
        issued=tuple(
            Issued(
                invoice=row,
                lines=tuple(lines.get(row.invoice_id, ())),
                taxes=tuple(taxes.get(row.invoice_id, ())),
                credited=sum(one.gross for one in rows if one.credits_id == row.invoice_id),
                words=tuple(words.get(row.invoice_id, ())),
            )
            for row in rows
        ),
        open_charges=tuple(one for one in charges if one.charge_id not in on_paper),
        charges=tuple(charges),
        next_text=f"{year}-{queries.next_number(session, 'invoice', year):04d}",
    )


def issue(desk: Desk, *job_ids: int) -> Changed:
    """Issue one invoice over the charges of these jobs that stand on none yet, the oldest first.

    `Mendable` where one is not done, they are not all paid by one, nobody is to pay, or nothing is
    left to be invoiced. It cannot be undone: a credit note takes it back.
    """
    with desk.book.reading() as session:
        number = numbered(job_of(session, job_ids[0]).number)
    name = f"Invoice of {number}" if len(job_ids) == 1 else f"Invoice of {len(job_ids)} jobs"
    with _issuing(desk, name) as session:
        jobs = [_done(session, job_id) for job_id in dict.fromkeys(job_ids)]
        jobs.sort(key=lambda one: (one.done_on or desk.today, one.number))
        charges = [(job, one) for job in jobs for one in _papers(session, desk, job.job_id)
                   .open_charges]  # fmt: skip
        if not charges:
            whose = "this job" if len(jobs) == 1 else "these jobs"
            again = all(_papers(session, desk, one.job_id).all_credited for one in jobs)
            more = ", and all was credited; Space writes the charges again, to be put right" * again
            raise Mendable(f"Every charge of {whose} stands on an invoice already{more}.")
        payer = _one_payer(session, jobs)
        terms = desk.settings.terms_days if payer.terms_days is None else payer.terms_days
        tax_text = _why_no_tax(session, desk, payer, {one.charge_id for _, one in charges}, jobs)
        row = _paper(
            session, desk, "invoice", payer,
            order_number=_order_numbers(jobs),
            terms_days=terms,
            due_on=desk.today + timedelta(days=terms),
            tax_text=tax_text,
            tax_rule=desk.settings.rounding_on(jobs[-1].done_on or desk.today),
        )  # fmt: skip
        lines = [
            InvoiceLine(
                job_id=job.job_id, position=at, charge_id=one.charge_id, text=one.text,
                amount=one.amount, tax_rate=one.tax_rate, minutes=one.minutes,
                hour_rate=one.hour_rate,
            )
            for at, (job, one) in enumerate(charges, 1)
        ]  # fmt: skip
        sums = reckoned([(one.amount, one.tax_rate) for _, one in charges], Rounding(row.tax_rule))
        if sums.gross <= 0:
            raise Mendable("These charges come to nothing, so there is nothing to invoice.")
        day = jobs[-1].done_on or desk.today
        words = {one.rate: printed_words(desk, one.rate, day) for one in sums.rates}
        _write(session, row, lines, sums, _letters(one.tax_rate for _, one in charges), words)
        paper, gross = f"{row.year}-{row.number:04d}", row.gross
    said = f"Invoice {paper} over {money(desk, gross)} is issued and stays as it is"
    return Changed(f"Issued invoice {paper}", KINDS, f"{said}; a credit note takes it back.")


def who_pays(desk: Desk, job_id: int) -> int:
    """The customer who pays a job; `Mendable` where there is none."""
    with desk.book.reading() as session:
        found = queries.payers_of(session, [job_id]).get(job_id)
    if found is None:
        raise Mendable("Nobody is named who pays; give the job its customer first.")
    return found[0]


def asked_about(desk: Desk, job_ids: Sequence[int]) -> str:
    """What is asked before an invoice over these jobs is issued: its number, who pays, what for
    and how much; and whether its tax is right.

    `Mendable` where it could not be issued.
    """
    with desk.book.reading() as session:
        jobs = [_done(session, job_id) for job_id in job_ids]
        papers = [_papers(session, desk, job.job_id) for job in jobs]
        payer = _one_payer(session, jobs)
        charges = [one for of_job in papers for one in of_job.open_charges]
        ids, name = {one.charge_id for one in charges}, payer.name
        _why_no_tax(session, desk, payer, ids, jobs)
        other = next(filter(None, (other_tax(session, desk, one.job_id, ids) for one in jobs)), "")
    lines = [(one.amount, one.tax_rate) for one in charges]
    gross = reckoned(lines, Rounding(desk.settings.tax_rule)).gross
    what = f"job {jobs[0].number_text}" if len(jobs) == 1 else f"{len(jobs)} jobs"
    paper = f"Invoice {papers[0].next_text} to {name} for {what}, {money(desk, gross)}"
    if other:
        return f"{other}. Type the right tax over it, or F2 once more issues it so. {paper}."
    return f"{paper}: once issued it stays as it is. F2 once more issues it."


def _done(session: Session, job_id: int) -> JobRow:
    (job,) = days.jobs_by_id(session, [job_of(session, job_id).id])
    if job.state != "done":
        raise Mendable(
            f"Job {job.number_text} is not done; an invoice is issued for work that is. "
            "Close its last day first, or take a deposit."
        )
    return job


def _why_no_tax(
    session: Session, desk: Desk, payer: Customer, charges: set[int], jobs: Sequence[JobRow]
) -> str:
    """The payer's certificate where it leaves some of these charges without tax; `Mendable` where
    it had ended before the work."""
    exemption, printed = exemption_of(payer), ""
    for one in jobs:
        job = job_of(session, one.job_id)
        if exempt_charges(session, desk, job) & charges:
            if ended := exemption.ended_words(payer.name, tax_day(desk, job)):
                raise Mendable(f"{ended}, or give the lines their tax; then issue it.")
            printed = exemption.printed() if exemption.number else ""
    return printed


def _one_payer(session: Session, jobs: Sequence[JobRow]) -> Customer:
    """Who pays all of these jobs; `Mendable` where it is nobody or not one."""
    paid = queries.payers_of(session, [job.job_id for job in jobs])
    if len(paid) < len(jobs):
        raise Mendable("Nobody is named who pays; give the job its customer first.")
    (first, name), *others = dict.fromkeys(paid.values())
    if others:
        raise Mendable(
            f"These jobs are paid by {name} and by {others[0][1]}; an invoice has one "
            "payer. Choose jobs of one, or say on the job who pays."
        )
    return session.get_one(Customer, first)


def _order_numbers(jobs: Sequence[JobRow]) -> str:
    """The numbers that who pays gave these jobs; `Mendable` where they do not fit on one paper."""
    words = ", ".join(dict.fromkeys(job.order_number for job in jobs if job.order_number))
    if len(words) > 60:
        raise Mendable(
            "The order numbers of these jobs are longer than 60 characters together; issue them "
            "on several invoices."
        )
    return words


def left_to_credit(papers: Papers, line: InvoiceLineRow) -> int:
    """What of an invoice's line can be credited alone, minor units before tax: what no credit note
    took back yet, and not more than is left of its rate together with the discounts."""
    (paper,) = (one for one in papers.issued if line in one.lines)
    return room_of(papers.standing(line.invoice_id), paper.lines.index(line))


def credit(
    desk: Desk, invoice_id: int, reason: str, line_id: int | None = None, typed: str = ""
) -> Changed:
    """Take an invoice back, or of one of its lines what is typed (before tax; all of it if not).

    The tax goes back at the rate that was charged. `Mendable` without a reason, or where more is
    taken back than stands.
    """
    reason = " ".join(reason.split())
    if not reason:
        raise Mendable("Say why it is credited; that stands on the credit note.")
    if len(reason) > LONGEST_REASON:
        raise Mendable(f"The reason is longer than {LONGEST_REASON} characters; shorten it.")
    with desk.book.reading() as session:
        stands = there(queries.invoice(session, invoice_id), "This invoice")
        name = f"Credit note to {stands.number_text}"
    with _issuing(desk, name) as session:
        found = there(queries.invoice(session, invoice_id), "This invoice")
        if found.kind != "invoice":
            raise Mendable("A credit note is not credited; write another charge instead.")
        papers = _papers(session, desk, queries.jobs_of(session, invoice_id)[0])
        (issued,) = (one for one in papers.issued if one.invoice.invoice_id == invoice_id)
        standing = papers.standing(invoice_id)
        if line_id is None:
            taken = {at: one.left for at, one in enumerate(standing)}
        else:
            at = next(at for at, one in enumerate(issued.lines) if one.line_id == line_id)
            room = room_of(standing, at)
            if not room and standing[at].left:
                raise Mendable(
                    "This line cannot be credited alone, for others of its rate were taken back; "
                    "credit the whole invoice."
                )
            taken = {at: _part(desk, typed, room) if typed.strip() else room}
        taken = {at: amount for at, amount in taken.items() if amount}
        sums = credit_of(standing, taken, Rounding(found.tax_rule))
        if not sums.gross:
            raise Mendable("All of it was credited already.")
        parts = [(issued.lines[at], amount) for at, amount in taken.items()]
        payer = session.get(Customer, found.payer_id or 0)
        row = _paper(
            session, desk, "credit", payer, credits_id=invoice_id, reason=reason,
            payer_name=found.payer_name, payer_address=found.payer_address,
            currency=found.currency, tax_rule=found.tax_rule, tax_text=found.tax_text,
        )  # fmt: skip
        number = f"C-{row.year}-{row.number:04d}"
        lines = []
        for position, (line, amount) in enumerate(parts, 1):
            text = f"Credit note {number}: {line.text}"[:200]
            charge = Charge(
                job_id=line.job_id, position=last_charge(session, line.job_id) + 1, text=text,
                amount=-amount, tax_rate=line.tax_rate,
            )  # fmt: skip
            session.add(charge)
            session.flush()
            lines.append(
                InvoiceLine(
                    job_id=line.job_id, position=position, charge_id=charge.id,
                    credits_line_id=line.line_id, text=line.text, amount=amount,
                    tax_rate=line.tax_rate,
                )
            )  # fmt: skip
        letters = {line.tax_rate: line.tax_letter for line in issued.lines}
        words = {one.rate: one.words for one in issued.taxes}
        _write(session, row, lines, sums, letters, words)
        gross = row.gross
    said = f"Credit note {number} over {money(desk, gross)} to {found.number_text} is issued"
    return Changed(f"Issued credit note {number}", KINDS, f"{said} and stays as it is.")


def note_handed_out(desk: Desk, invoice_id: int, how: str) -> Changed:
    """Note that a paper was printed (`paper`) or a mail with it written (`mail`), for a person to
    hand over or send."""
    with desk.book.reading() as session:
        number = there(queries.invoice(session, invoice_id), "This invoice").number_text
    name = f"{number}: {HANDED_OUT[how]}"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        word = {"day": desk.today, "at": desk.clock(), "kind": "sent", "how": how}
        session.add(InvoiceWord(invoice_id=invoice_id, **word))
    return Changed(name, KINDS)


@contextmanager
def _issuing(desk: Desk, name: str) -> Iterator[Session]:
    """A change that no undo takes back."""
    with (
        desk.still_standing(LEARNT),
        desk.book.change(
            name, day=desk.today, kinds=KINDS, at=desk.clock(), undoable=False
        ) as session,
    ):
        yield session


def _paper(session: Session, desk: Desk, kind: str, payer: Customer | None, **more: Any) -> Invoice:
    """A paper with the next number of its series, not yet written."""
    named = {"payer_name": payer.name, "payer_address": _address(payer)} if payer else {}
    year = desk.today.year
    usual = {"currency": desk.settings.currency, "tax_rule": desk.settings.rounding_on(desk.today)}
    return Invoice(
        kind=kind,
        year=year,
        number=queries.next_number(session, kind, year),
        issued_on=desk.today,
        at=desk.clock(),
        payer_id=payer.id if payer else None,
        **(usual | named | more),
    )


def _address(payer: Customer) -> str:
    city = " ".join(filter(None, (payer.city, payer.region, payer.postal_code)))
    return "\n".join(filter(None, (payer.street, city, payer.country)))


def _part(desk: Desk, typed: str, left: int) -> int:
    amount = read_money(typed, desk.settings.currency)
    if not 0 < amount <= left:
        raise Mendable(
            f"Of this line {money(desk, left)} can be credited, before tax; type up to that."
        )
    return amount


def _write(
    session: Session,
    row: Invoice,
    lines: Sequence[InvoiceLine],
    sums: Reckoned,
    letters: Mapping[int, str],
    words: Mapping[int, str],
) -> None:
    """Write a paper with its lines, what each carries of the tax, and its taxes."""
    row.net, row.tax, row.gross = sums.net, sums.tax, sums.gross
    session.add(row)
    session.flush()
    for line, carries in zip(lines, sums.shares, strict=True):
        line.invoice_id, line.tax_letter, line.tax = row.id, letters[line.tax_rate], carries
        session.add(line)
    for one in sums.rates:
        session.add(
            InvoiceTax(
                invoice_id=row.id, letter=letters[one.rate], rate=one.rate,
                words=words[one.rate], net=one.net, tax=one.tax,
            )
        )  # fmt: skip


def _letters(rates: Iterable[int]) -> dict[int, str]:
    """A letter for each rate, the highest first; none where there is no tax."""
    named = {rate: chr(ord("A") + at) for at, rate in enumerate(sorted(set(rates), reverse=True))}
    return {rate: letter if rate else "" for rate, letter in named.items()}
