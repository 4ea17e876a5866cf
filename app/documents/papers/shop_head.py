"""The head of a paper: who the shop is, with its own mark at the right where it has one."""

from __future__ import annotations

from base64 import b64decode
from binascii import Error

from app.documents.papers.paper import DOTS, _font, _Page

MM = DOTS / 25.4
MARK_WIDE, MARK_HIGH = 45, 18  # mm


def shop_head(page: _Page, name: str, address: str, answer: str, mark: str = "") -> None:
    """Name, address and where to answer, under a line; `mark` is an image in base 64."""
    top = page.y
    if mark:
        draw_mark(page, mark)
    page.text(name, _font("Vollkorn", 15, 600))
    page.lines((*address.splitlines(), answer), 9.5)
    if mark:
        page.y = max(page.y, top + MARK_HIGH * MM)
    page.space(2)
    page.rule(3)
    page.space(4)


def draw_mark(page: _Page, mark: str) -> None:
    """The shop's own mark in the upper right corner; what cannot be read leaves it empty."""
    try:
        image = b64decode(mark, validate=True)
    except (Error, ValueError):
        return
    page.picture(image, MARK_WIDE * MM, MARK_HIGH * MM)
