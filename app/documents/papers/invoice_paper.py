"""Invoices and credit notes on paper."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from app.documents.papers.invoice_sheet import InvoiceSheet
from app.documents.papers.paper import QUIET, _font, _Page, _paper
from app.documents.papers.shop_head import shop_head

FOOT = "Follow the product label, its safety data sheet and your local code; they override this."


def invoice_pdf(sheet: InvoiceSheet, path: Path, region: str = "US") -> Path:
    """One invoice or credit note, on as many pages as it needs."""
    with _paper(path, region, f"{sheet.title} {sheet.number}") as page:
        shop_head(
            page, sheet.shop_name or sheet.title, sheet.shop_address, sheet.shop_answer, sheet.mark
        )
        page.text(sheet.title, _font("Vollkorn", 21, 500))
        page.text(sheet.subtitle, _font(size=10), QUIET, right=sheet.day)
        page.text(f"Number {sheet.number}", _font(size=11, weight=600))
        page.space(3)
        _facts(page, "To", sheet.to)
        _facts(page, sheet.about_head, sheet.about)
        page.space(3)
        wide = page.wide
        page.set_columns(wide - 62, wide - 61, wide - 60, wide - 52, wide - 16)
        page.row((sheet.head, "", "", "", "Amount", "Tax"), head=True)
        for words, amount, letter in sheet.lines:
            if not amount:
                page.space(2)
                page.text(words, _font(size=10, weight=600))
                continue
            page.row((words, "", "", "", amount, letter))
        page.space(3)
        if sheet.taxes:
            page.whole(partial(_taxes, page, sheet))
        page.whole(partial(page.sums, sheet.sums))
        if sheet.due:
            page.text("", _font(size=9.5), QUIET, right=sheet.due)
        if sheet.how_to_pay:
            page.space(5)
            page.text("How to pay", _font("Vollkorn", 13, 500))
            page.rule()
            page.space(1)
            page.lines(sheet.how_to_pay, 10)
        for note in sheet.notes:
            page.space(3)
            page.paragraph(note, _font(size=10))
        page.at_bottom(FOOT, _font(size=8.5))
    return path


def _facts(page: _Page, head: str, lines: tuple[str, ...]) -> None:
    """A small head with lines beneath, the first of them strong."""
    if not lines:
        return
    page.text(head, _font(size=8.5, weight=600), QUIET)
    page.text(lines[0], _font(size=10.5, weight=600))
    page.lines(lines[1:], 10)
    page.space(1.5)


def _taxes(page: _Page, sheet: InvoiceSheet) -> None:
    page.row(("Tax by rate", "", "", "", "on", "tax"), head=True)
    for letter, words, on, tax in sheet.taxes:
        page.row((f"{letter}  {words}", "", "", "", on, tax))
    page.space(2)
