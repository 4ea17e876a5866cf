"""Invoices and credit notes on paper."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from app.documents.papers.invoice_sheet import InvoiceSheet
from app.documents.papers.paper import DOTS, INK, QUIET, RIGHT, _font, _Page, _paper, box
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
        page.whole(partial(_side_by_side, page, sheet))
        page.space(5)
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
        page.whole(partial(_sums, page, sheet))
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


def _side_by_side(page: _Page, sheet: InvoiceSheet) -> None:
    """Whom it is for at the left, and what it is about at the right."""
    half, top, lowest = page.width / 2, page.y, page.y
    parts = ((0.0, "To", sheet.to), (half * 1.04, sheet.about_head, sheet.about))
    for left, head, lines in parts:
        page.y = top
        fonts = (_font(size=8.5, weight=600), _font(size=10.5, weight=600))
        for at, line in enumerate((head, *lines) if lines else ()):
            font = fonts[at] if at < len(fonts) else _font(size=10)
            high = page.height_of(line, font, half * 0.96)
            room = box(left, page.y, half * 0.96, high + 4)
            page._wrap(room, line, font, INK if at == 1 else QUIET)
            page.y += high * 1.08
        lowest = max(lowest, page.y)
    page.y = lowest


def _sums(page: _Page, sheet: InvoiceSheet) -> None:
    """The tax of each rate at the left; at the right what it comes to, and large what is due."""
    top = page.y
    if sheet.taxes:
        _taxes(page, sheet)
    lowest, page.y = page.y, top
    page.sums((*sheet.sums[:-1], ("", ""))[: len(sheet.sums)])
    words, amount = sheet.sums[-1]
    font = _font("Vollkorn", 14, 600)
    high, left = page.line_of(font) * 1.3, page.width * 0.52
    page.y -= page.line_of(_font(size=10.5)) * 0.9
    for down in (0.0, DOTS / 80):
        page.stroke(2, left, page.y + down, page.width, page.y + down)
    page.y += DOTS / 50
    sum_font = _font(size=15, weight=600)  # its figures stand on the line
    wide = page.width_of(amount, sum_font)
    page._draw(box(left, page.y, page.width - left, high), amount, sum_font, how=RIGHT)
    small = font if page.width_of(words, font) + wide < page.width - left else _font(
        size=10.5, weight=600
    )  # fmt: skip
    down = page.y + DOTS / 36  # on the line of the amount
    page._draw(box(left, down, page.width - left - wide, high), words, small)
    page.y += high
    if sheet.due:
        page.text("", _font(size=9.5), QUIET, right=sheet.due)
    page.y = max(page.y, lowest)


def _taxes(page: _Page, sheet: InvoiceSheet) -> None:
    """The tax of each rate, in the left of the page."""
    ends = (page.width * 0.34, page.width * 0.46)
    head, plain = _font(size=8.5, weight=600), _font(size=10)
    for at, (letter, words, on, tax) in enumerate((("Tax", "", "on", "tax"), *sheet.taxes)):
        font = plain if at else head
        high = page.line_of(font) * 1.35
        said = f"{letter}  {words}".strip()
        room = ends[0] - page.width_of(on, font) - DOTS / 20
        page._wrap(box(0, page.y, room, high), said, font, INK if at else QUIET)
        for end, text in zip(ends, (on, tax), strict=True):
            page._draw(box(0, page.y, end, high), text, font, INK if at else QUIET, RIGHT)
        page.y += max(high, page.height_of(said, font, room) * 1.1)
        page.line(0, ends[1])
