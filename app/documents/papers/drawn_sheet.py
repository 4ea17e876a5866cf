"""A paper laid out in hundredths of an inch: head, foot and title again on every page.

The number and the day stand at the right of the title; a line at the foot says what overrides the
paper, and which page it is of how many. Estimates, invoices and credit notes are written so.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from app.documents.papers.paper import (
    DOTS,
    INK,
    LEFT,
    QUIET,
    RIGHT,
    Color,
    _font,
    _Page,
    _paper,
    box,
    sheet_layout,
)
from app.documents.papers.shop_head import draw_mark

UNIT = DOTS / 100  # of a hundredth of an inch
SIDE, TOP, BOTTOM = 17.3, 12.0, 7.0  # mm
FOOT_HIGH = 34
FOLLOW = (
    "Follow the product label, its safety data sheet and your local code; they override this sheet."
)


class DrawnSheet:
    """Writes one paper; a new page begins with its head again, and `again` after it."""

    title = ""

    def __init__(self, page: _Page, pages: int) -> None:
        self.page, self.pages, self.at = page, pages, 1
        self.bottom = page.height - FOOT_HIGH * UNIT
        self.again: Callable[[], None] | None = None  # what a next page begins with

    def head(
        self, shop: str, address: str, reached: tuple[str, ...], mark: str, subtitle: str,
        number: str, day: str,
    ) -> None:  # fmt: skip
        """The shop over a line; beneath it title and subtitle on one line, number and day right."""
        page = self.page
        draw_mark(page, mark)
        top = page.y
        self.put(0, 430, shop or self.title, 20, 600, family="Vollkorn")
        page.y -= 6 * UNIT
        self.put(0, 430, address, 13, 400, QUIET)
        left, page.y = page.y, top + 4 * UNIT
        for line in reached:
            self.put(430, None, line, 13, 400, QUIET, RIGHT)
        page.y = max(left, page.y) + 6 * UNIT
        page.rule(4)
        page.y += 8 * UNIT
        top, big = page.y, _font("Vollkorn", 30 * 0.72, 500)
        italic = _font("Vollkorn", 17 * 0.72)
        italic.setItalic(True)
        after = page.width_of(self.title, big) + 12 * UNIT
        room = page.width - 150 * UNIT - after
        beside = page.width_of(subtitle, italic) <= room
        self.put(0, 520, self.title, 30, 500, family="Vollkorn")
        if beside:
            base = page.y - page.line_of(italic) - 9 * UNIT
            page._draw(box(after, base, room + 20, 30 * UNIT), subtitle, italic)
        else:
            page.y -= 6 * UNIT
            high = page.height_of(subtitle, italic, 560 * UNIT)
            page._wrap(box(0, page.y, 560 * UNIT, high + 4), subtitle, italic)
            page.y += high + 4 * UNIT
        left, page.y = page.y - 4 * UNIT, top
        self.put(520, None, number, 14, 600, INK, RIGHT)
        self.put(520, None, day, 14, 400, QUIET, RIGHT)
        page.y = max(left, page.y) + 8 * UNIT

    def write_head(self) -> None:
        """The head of this paper, as every page begins."""
        raise NotImplementedError

    def turn(self) -> None:
        """Go on to the next page."""
        self.foot()
        self.page.next_page()
        self.at += 1
        self.write_head()
        if self.again is not None:
            self.again()

    def foot(self) -> None:
        page = self.page
        top = page.height - 24 * UNIT
        page.stroke(1, 0, top, page.width, top)
        italic = _font("Vollkorn", 12.5 * 0.72)
        italic.setItalic(True)
        room = box(0, top + 4 * UNIT, page.width, 20 * UNIT)
        page._draw(room, FOLLOW, italic, QUIET, LEFT)
        page._draw(room, f"page {self.at} of {self.pages}", _font(size=12 * 0.72), QUIET, RIGHT)

    def room(self, high: float) -> None:
        """Go on to the next page where so much, in dots, has no room on this one."""
        if self.page.y + high > self.bottom:
            self.turn()

    def put(
        self, left: float, wide: float | None, text: str, size: float, weight: int = 400,
        color: Color = INK, how: int = LEFT, family: str = "Source Sans 3",
    ) -> None:  # fmt: skip
        """Words from so far left on, so many units wide; what is too long goes on below."""
        page, font = self.page, _font(family, size * 0.72, weight)
        room = page.width - left * UNIT if wide is None else wide * UNIT
        high = page.height_of(text, font, room)
        self.room(high)
        page._wrap(box(left * UNIT, page.y, room, high + 4), text, font, color, how)
        page.y += high + size * 0.12 * UNIT

    def section(self, title: str) -> None:
        """The head of a section, over a hairline; it stays with what follows."""
        self.room(60 * UNIT)
        self.put(0, None, title, 17, 500, family="Vollkorn")
        self.page.y += 3 * UNIT
        self.page.rule(1)
        self.page.y += 7 * UNIT


def draw_sheet(
    path: Path, region: str, title: str, write: Callable[[_Page, int], DrawnSheet], *,
    half: bool = False,
) -> int:  # fmt: skip
    """Write a paper, and once more with its number of pages, letter or A4 by region; `half` across
    half such a sheet. How many pages it has is returned."""
    layout = sheet_layout(region, SIDE, TOP, BOTTOM, half=half)
    pages = 1
    for _ in range(2):
        with _paper(path, region, title, layout) as page:
            found = write(page, pages).at
        if found == pages:
            break
        pages = found
    return pages
