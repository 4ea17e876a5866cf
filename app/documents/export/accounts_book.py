"""The workbook for an accountant: work done, invoices with lines and taxes, receipts of some days.

Every sum is a live formula with its result saved beside it, so that a program that only reads shows
the same as one that works it out anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from app.documents.export.live_book import Live, LiveBook
from app.documents.export.workbook import save

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet


@dataclass(frozen=True, kw_only=True)
class PaperRow:
    """An invoice, or a credit note with sums below zero; minor units, rates in thousandths of a
    percent. `lines` are (job, words, amount, rate, tax it carries), `taxes` (rate, on, tax)."""

    number: str
    kind: str
    issued: date
    due_on: date | None
    payer: str
    lines: tuple[tuple[str, str, int, int, int], ...]
    taxes: tuple[tuple[int, int, int], ...]


@dataclass(frozen=True, kw_only=True)
class MoneyRow:
    """Money that came, below zero where it went back; minor units."""

    day: date
    job: str
    customer: str
    kind: str
    method: str
    amount: int


@dataclass(frozen=True, kw_only=True)
class WorkRow:
    """What a job earned on the day on which it was done, also without an invoice, or what a credit
    note took back on its own; minor units before tax, of one rate, and the tax on it."""

    day: date
    job: str
    customer: str
    rate: int
    on: int
    tax: int


@dataclass(frozen=True, kw_only=True)
class Accounts:
    """All of a span of days, both included."""

    shop: str
    currency: str
    first: date
    last: date
    work: tuple[WorkRow, ...]
    papers: tuple[PaperRow, ...]
    money: tuple[MoneyRow, ...]


def write_accounts(accounts: Accounts, path: Path) -> Path | None:
    """Write the workbook; returns where the file is now that stood there, if one did.

    Raises `Mendable` where it cannot be written.
    """
    book = LiveBook(accounts.currency)
    _work(book, accounts)
    _lines(book, accounts)
    _taxes(book, accounts)
    _papers(book, accounts)
    _receipts(book, accounts)
    _summary(book, accounts)
    return save(book.write, path)


def _sum(letter: str, last: int, result: int) -> Live:
    """The sum of a column from the first row under its head to the last."""
    return Live(f"SUM({letter}2:{letter}{last})", result)


def _percent(rate: int) -> Decimal:
    return Decimal(rate).scaleb(-3)


def _work(book: LiveBook, accounts: Accounts) -> None:
    heads = ("Day", "Job", "Customer", "Rate, %", "On", "Tax")
    sheet = book.sheet("Work", heads, (12, 9, 32, 9, 14, 14))
    for one in accounts.work:
        book.row(sheet, (one.day, one.job, one.customer, _percent(one.rate), one.on, one.tax))
    last = book.end(sheet)
    on, tax = sum(one.on for one in accounts.work), sum(one.tax for one in accounts.work)
    total = ("Together", None, None, None, _sum("E", last, on), _sum("F", last, tax))
    book.row(sheet, total, bold=True)


def _lines(book: LiveBook, accounts: Accounts) -> None:
    heads = ("Number", "Job", "What", "Before tax", "Rate, %", "Tax it carries")
    sheet = book.sheet("Lines", heads, (14, 9, 40, 14, 9, 14))
    rows = [(paper, line) for paper in accounts.papers for line in paper.lines]
    for paper, (job, words, amount, rate, tax) in rows:
        book.row(sheet, (paper.number, job, words, amount, _percent(rate), tax))
    last, net = book.end(sheet), sum(line[2] for _, line in rows)
    tax = sum(line[4] for _, line in rows)
    total = ("Together", None, None, _sum("D", last, net), None, _sum("F", last, tax))
    book.row(sheet, total, bold=True)


def _taxes(book: LiveBook, accounts: Accounts) -> None:
    sheet = book.sheet("Taxes", ("Number", "Rate, %", "On", "Tax"), (14, 9, 14, 14))
    rows = [(paper.number, *tax) for paper in accounts.papers for tax in paper.taxes]
    for number, rate, on, tax in rows:
        book.row(sheet, (number, _percent(rate), on, tax))
    last = book.end(sheet)
    on, tax = sum(row[2] for row in rows), sum(row[3] for row in rows)
    book.row(sheet, ("Together", None, _sum("C", last, on), _sum("D", last, tax)), bold=True)


def _papers(book: LiveBook, accounts: Accounts) -> None:
    heads = ("Number", "Kind", "Issued", "Due on", "Payer", "Before tax", "Tax", "Comes to")
    sheet = book.sheet("Invoices", heads, (14, 12, 12, 12, 32, 14, 14, 14))
    lines = sum(len(paper.lines) for paper in accounts.papers) + 1
    taxes = sum(len(paper.taxes) for paper in accounts.papers) + 1
    nets, sums = 0, 0
    for at, paper in enumerate(accounts.papers, 2):
        net, tax = sum(line[2] for line in paper.lines), sum(one[2] for one in paper.taxes)
        nets, sums = nets + net, sums + tax
        book.row(
            sheet,
            (
                paper.number, paper.kind, paper.issued, paper.due_on, paper.payer,
                Live(f"SUMIF(Lines!A$2:A${lines},A{at},Lines!D$2:D${lines})", net),
                Live(f"SUMIF(Taxes!A$2:A${taxes},A{at},Taxes!D$2:D${taxes})", tax),
                Live(f"F{at}+G{at}", net + tax),
            ),
        )  # fmt: skip
    last = book.end(sheet)
    book.row(
        sheet,
        ("Together", None, None, None, None, _sum("F", last, nets), _sum("G", last, sums),
         _sum("H", last, nets + sums)),
        bold=True,
    )  # fmt: skip


def _receipts(book: LiveBook, accounts: Accounts) -> None:
    heads = ("Day", "Job", "Customer", "Kind", "By", "Amount")
    sheet = book.sheet("Receipts", heads, (12, 9, 32, 12, 12, 14))
    for one in accounts.money:
        book.row(sheet, (one.day, one.job, one.customer, one.kind, one.method, one.amount))
    came = sum(one.amount for one in accounts.money)
    last = book.end(sheet)
    book.row(sheet, ("Together", None, None, None, None, _sum("F", last, came)), bold=True)


def _summary(book: LiveBook, accounts: Accounts) -> None:
    """What the sheets come to, by rate and by way of payment, and that they agree."""
    sheet = book.sheet("Summary", ("What", "On", "Tax", "Together"), (34, 14, 14, 14))
    papers, money = len(accounts.papers) + 1, len(accounts.money) + 1
    done = [(one.rate, one.on, one.tax) for one in accounts.work]
    _by_rate(book, sheet, "Work done", "Work", "DEF", done)
    on, tax, end = sum(one[1] for one in done), sum(one[2] for one in done), max(len(done) + 1, 2)
    at = sheet.max_row + 1
    both = (Live(f"SUM(Work!{letter}2:{letter}{end})", result)
            for letter, result in (("E", on), ("F", tax)))  # fmt: skip
    said = "Work done, invoiced or not"
    book.row(sheet, (said, *both, Live(f"B{at}+C{at}", on + tax)), bold=True)
    taxes = [tax for paper in accounts.papers for tax in paper.taxes]
    last = len(taxes) + 1
    _by_rate(book, sheet, "Invoiced", "Taxes", "BCD", taxes)
    on, tax = sum(one[1] for one in taxes), sum(one[2] for one in taxes)
    end = max(papers, 2)
    names = (f"SUM(Invoices!{letter}2:{letter}{end})" for letter in "FGH")
    results = (on, tax, on + tax)
    sums = [Live(name, result) for name, result in zip(names, results, strict=True)]
    book.row(sheet, ("Invoiced, less credit notes", *sums), bold=True)
    at = sheet.max_row
    apart = f"SUM(Taxes!C2:D{max(last, 2)})-D{at}"
    book.row(sheet, ("By rate and by invoice differ by", None, None, Live(apart, 0)))
    for way in sorted({one.method for one in accounts.money}):
        came = sum(one.amount for one in accounts.money if one.method == way)
        where = f'Receipts!E$2:E${money},"{way}"' if way else f'Receipts!E$2:E${money},""'
        formula = f"SUMIF({where},Receipts!F$2:F${money})"
        book.row(sheet, (f"Came by {way or 'no way named'}", None, None, Live(formula, came)))
    whole = sum(one.amount for one in accounts.money)
    book.row(
        sheet,
        ("All that came", None, None, Live(f"SUM(Receipts!F2:F{max(money, 2)})", whole)),
        bold=True,
    )
    whose = ", ".join(filter(None, (accounts.shop, f"{accounts.first} to {accounts.last}")))
    book.row(sheet, (f"{whose}, {accounts.currency}",))


def _by_rate(
    book: LiveBook, sheet: Worksheet, words: str, of: str, letters: str,
    rows: Sequence[tuple[int, int, int]],
) -> None:  # fmt: skip
    """A line for each rate of another sheet, whose rate, sum and tax stand in these columns."""
    rates, ons, sums = (f"{of}!{letter}$2:{letter}${len(rows) + 1}" for letter in letters)
    for rate in sorted({one[0] for one in rows}):
        on = sum(one[1] for one in rows if one[0] == rate)
        tax = sum(one[2] for one in rows if one[0] == rate)
        at, percent = sheet.max_row + 1, _percent(rate)
        book.row(
            sheet,
            (
                f"{words} at {percent.normalize():f} %",
                Live(f"SUMIF({rates},{percent:f},{ons})", on),
                Live(f"SUMIF({rates},{percent:f},{sums})", tax),
                Live(f"B{at}+C{at}", on + tax),
            ),
        )
