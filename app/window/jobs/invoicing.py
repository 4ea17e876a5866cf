"""Invoices on a job's card: issuing one, its paper and mail, and taking it back."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from functools import partial

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk
from app.actions.jobs import invoice_papers, invoices, receipt_papers
from app.actions.jobs.invoices import HANDED_OUT, Issued
from app.actions.jobs.job_card import JobCard
from app.calculations.numbers.dates import near
from app.calculations.numbers.money import read_money
from app.errors import Mendable
from app.records.queries.invoices import InvoiceLineRow, InvoiceWordRow
from app.window.house.acting import ask, on_book
from app.window.house.office import Office
from app.window.house.outside import open_outside
from app.window.paper.cells import Cell, GroupRow, TableRow, row_of
from app.window.paper.finder import FoundLine


def paper_rows(desk: Desk, card: JobCard) -> list[TableRow | GroupRow]:
    """The papers of a job, each with its number, its day and what it comes to."""
    if not card.papers.issued:
        return []
    rows: list[TableRow | GroupRow] = [GroupRow("papers", "Issued", "these stay as they are")]
    for one in card.papers.issued:
        paper = one.invoice
        words = [near(paper.issued_on, desk.today)]
        words += [f"{_said(word)} {near(word.day, desk.today)}" for word in one.words[-1:]]
        what, gross = ("Invoice", paper.gross)
        if paper.kind == "credit":
            what, gross = ("Credit note", -paper.gross)
        on = Cell(f"{what} {paper.number_text}", detail=", ".join(words), tip=paper.reason)
        rows.append(
            row_of(("paper", paper.invoice_id), on, "", "", Cell(money(desk, gross), bold=True))
        )
    return rows


def _said(word: InvoiceWordRow) -> str:
    if word.kind == "sent":
        return HANDED_OUT[word.how]
    if word.kind == "promised":
        return "a day was named"
    return {"settled": "the dispute was settled"}.get(word.kind, word.kind)


def is_issued(card: JobCard, charge_id: int) -> bool:
    """Whether a charge stands on a paper."""
    return all(one.charge_id != charge_id for one in card.papers.open_charges)


def issue(office: Office, card: JobCard) -> None:
    """Issue what is not invoiced yet; asked first, for it stays as it is then."""
    if card.job.state != "done" or not card.papers.open_charges:
        on_book(office, invoices.issue, card.job.job_id)  # says why not
        return
    issue_jobs(office, [card.job.job_id])


def issue_jobs(office: Office, jobs: Sequence[int]) -> None:
    """Issue one invoice over these jobs; asked first, for it stays as it is then."""
    before = office.question
    asked = office.act_now(lambda: invoices.asked_about(office.desk, jobs))
    if asked is None:
        return
    if before != asked:
        ask(office, asked)
        return
    on_book(office, invoices.issue, *jobs)


def hand_out_paper(office: Office, number: int, *, mail: bool) -> None:
    """The paper as a PDF, or the draft of a mail with it, opened outside; a person sends it."""
    files = office.act_now(lambda: invoice_papers.invoice_files(office.desk, number))
    if files is None:
        return
    pdf, draft = files
    on_book(office, invoices.note_handed_out, number, "mail" if mail else "paper")
    office.act_now(lambda: open_outside(draft if mail else pdf))


def hand_out_receipt(office: Office, number: int) -> None:
    """The receipt of a payment as a PDF, opened outside."""
    path = office.act_now(lambda: receipt_papers.receipt_file(office.desk, number))
    if path is not None:
        office.act_now(lambda: open_outside(path))


def credit_lines(
    office: Office, card: JobCard, focused: Hashable
) -> Callable[[str], list[FoundLine]]:
    """What to credit, as it is typed: why, with an amount before it for a part of the charge that
    has the focus."""
    desk, papers = office.desk, card.papers
    issued, line = _focused(card, focused)

    def do(line_id: int | None, typed: str, why: str) -> None:
        if issued is not None:
            on_book(office, invoices.credit, issued.invoice.invoice_id, why, line_id, typed)

    def look_up(text: str) -> list[FoundLine]:
        if issued is None:
            return []
        whole = text.strip()
        if not whole:
            return []
        found = []

        def offer(words: str, why: str, line_id: int | None, typed: str = "") -> None:
            found.append(FoundLine(f"Credit {words}", why, "", partial(do, line_id, typed, why)))

        typed, why = _amount_and_why(desk, whole)
        # A number ahead may be a part, or the first word of why: “2 wheels were scratched”.
        if line is not None and typed and why:
            part = money(desk, read_money(typed, desk.settings.currency))
            offer(f"{part} of {line.text}", why, line.line_id, typed)
        if line is not None:
            left = money(desk, invoices.left_to_credit(papers, line))
            offer(f"{left} of {line.text}", whole, line.line_id)
        jobs = len({one.job_id for one in issued.lines})
        more = f", for {jobs} jobs" if jobs > 1 else ""
        offer(f"all of {issued.invoice.number_text}{more}", whole, None)
        return found

    return look_up


def _focused(card: JobCard, focused: Hashable) -> tuple[Issued | None, InvoiceLineRow | None]:
    """The invoice and its line that the focus is on; else the newest invoice."""
    sold = [one for one in card.papers.issued if one.invoice.kind == "invoice"]
    if isinstance(focused, tuple) and focused[0] == "charge":
        for one in sold:
            for line in one.lines:
                if line.charge_id == focused[1]:
                    return one, line
    if isinstance(focused, tuple) and focused[0] == "paper":
        return next((one for one in sold if one.invoice.invoice_id == focused[1]), None), None
    return card.papers.newest, None


def _amount_and_why(desk: Desk, text: str) -> tuple[str, str]:
    """`50 a high spot` as (`50`, `a high spot`); without an amount all of it is the reason."""
    first, _, rest = text.strip().partition(" ")
    try:
        read_money(first, desk.settings.currency)
    except Mendable:
        return "", text.strip()
    return first, rest.strip()
