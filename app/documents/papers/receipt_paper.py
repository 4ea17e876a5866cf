"""A receipt on paper."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from app.documents.papers.paper import QUIET, _font, _paper
from app.documents.papers.shop_head import shop_head


@dataclass(frozen=True, kw_only=True)
class ReceiptSheet:
    """A receipt as it is printed: every word and sum is set already."""

    title: str
    number: str
    day: str
    shop_name: str
    shop_address: str
    shop_answer: str
    mark: str = ""
    name: str  # who paid
    about: str
    lines: tuple[tuple[str, str], ...]
    total: tuple[str, str]
    rest: str


def receipt_pdf(sheet: ReceiptSheet, path: Path, region: str = "US") -> Path:
    """One receipt."""
    with _paper(path, region, f"{sheet.title} {sheet.number}") as page:
        shop_head(page, sheet.shop_name or sheet.title, sheet.shop_address, sheet.shop_answer,
                  sheet.mark)  # fmt: skip
        page.text(sheet.title, _font("Vollkorn", 21, 500))
        page.text(sheet.about, _font("Vollkorn", 12), QUIET, right=sheet.day)
        page.text(f"Number {sheet.number}", _font(size=11, weight=600))
        page.space(4)
        if sheet.name:
            page.text("From", _font(size=8.5, weight=600), QUIET)
            page.text(sheet.name, _font(size=10.5, weight=600))
            page.space(4)
        wide = page.wide
        page.set_columns(wide - 62, wide - 61, wide - 60, wide - 52, wide - 26)
        page.row(("What for", "", "", "", "", "Amount"), head=True)
        for words, amount in sheet.lines:
            page.row((words, "", "", "", "", amount))
        page.space(3)
        page.sums((sheet.total,))
        page.space(4)
        page.paragraph(sheet.rest, _font(size=10.5))
    return path
