"""The head of a paper: who the shop is, under its own mark where it has one."""

from __future__ import annotations

from base64 import b64decode
from binascii import Error

from app.documents.papers.paper import DOTS, _font, _Page

MM = DOTS / 25.4
MARK_WIDE, MARK_HIGH = 60, 15  # mm


def shop_head(page: _Page, name: str, address: str, answer: str, mark: str = "") -> None:
    """Name, address and where to answer, above a line; `mark` is an image in base 64."""
    draw_mark(page, mark)
    page.text(name, _font("Vollkorn", 15, 600))
    page.lines((*address.splitlines(), answer), 9.5)
    page.space(2)
    page.rule(3)
    page.space(4)


def draw_mark(page: _Page, mark: str) -> None:
    """The shop's own mark, a little room below it; what cannot be read takes none."""
    try:
        image = b64decode(mark, validate=True)
    except (Error, ValueError):
        return
    if image:
        page.picture(image, MARK_WIDE * MM, MARK_HIGH * MM)
        page.space(2)
