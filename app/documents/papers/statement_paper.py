"""A statement by age on paper, and the letter that asks for what is owed."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from app.documents.papers.paper import DOTS, QUIET, _font, _Page, _paper
from app.documents.papers.shop_head import shop_head
from app.documents.papers.statement_sheet import StatementSheet

MM = DOTS / 25.4
FOOT = "What came since this was printed is not on it yet. Thank you if it is on its way."


def statement_pdf(sheet: StatementSheet, path: Path, region: str = "US") -> Path:
    """One statement, on as many pages as it needs."""
    with _paper(path, region, f"{sheet.title} {sheet.day}") as page:
        shop_head(
            page, sheet.shop_name or sheet.title, sheet.shop_address, sheet.shop_answer, sheet.mark
        )
        page.text(sheet.title, _font("Vollkorn", 21, 500))
        page.text("what is open, by its age", _font("Vollkorn", 12), QUIET, right=sheet.day)
        page.space(4)
        page.text("To", _font(size=8.5, weight=600), QUIET)
        page.text(sheet.to[0], _font(size=10.5, weight=600))
        page.lines(sheet.to[1:], 10)
        page.space(5)
        page.whole(partial(_bands, page, sheet))
        page.space(6)
        wide = page.wide
        page.set_columns(26, 70, wide - 66, wide - 44, wide - 22)
        heads = ("Invoice", "Issued, due", "For", "Comes to", "Came", "Still due")
        page.row(heads, head=True)
        for one in sheet.lines:
            days = f"{one.issued}, due {one.due_on}" if one.due_on else one.issued
            what = f"{one.words}, your order {one.order}" if one.order else one.words
            page.row((one.number, days, what, one.gross, one.came or "–", one.due))
        page.space(3)
        page.whole(partial(page.sums, ((f"Still due, {sheet.currency}", sheet.due),)))
        if sheet.how_to_pay:
            page.space(5)
            page.text("How to pay", _font("Vollkorn", 13, 500))
            page.rule()
            page.space(1)
            page.lines(sheet.how_to_pay, 10)
        for note in sheet.notes:
            page.space(3)
            page.paragraph(note, _font(size=10))
        page.at_bottom(FOOT, _font("Vollkorn", 9))
    return path


def _bands(page: _Page, sheet: StatementSheet) -> None:
    """The sums by age side by side, the oldest at the left as on the page."""
    bands = sheet.bands[::-1]
    each = page.width / len(bands)
    for at, (words, _) in enumerate(bands):
        page.put(words, _font(size=8.5, weight=600), at * each, (at + 1) * each)
    page.space(5)
    for at, (_, amount) in enumerate(bands):
        page.put(amount, _font(size=13, weight=600), at * each, (at + 1) * each)
    page.space(8)
    page.line(0, page.width, 3)


def letter_pdf(
    shop: tuple[str, str],
    to: Sequence[str],
    day: str,
    subject: str,
    text: str,
    path: Path,
    region: str = "US",
) -> Path:
    """One letter, its address where a window shows it (22 mm from the left, 50 mm from the top:
    common practice, no source), so the shop's mark has no room. `shop` is its name and address."""
    name, address = shop
    with _paper(path, region, subject) as page:
        page.text(name, _font("Vollkorn", 13, 600))
        page.lines(address.splitlines(), 9)
        page.down_to(50)
        for line in to:
            page.text(line, _font(size=11))
        page.down_to(88)
        page.text("", _font(size=10), QUIET, right=day)
        page.text(subject, _font("Vollkorn", 13, 600))
        page.space(4)
        page.paragraph(text, _font(size=11))
    return path
