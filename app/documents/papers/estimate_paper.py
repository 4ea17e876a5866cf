"""An estimate as a paper: what it takes, its range, and where the work waits for the customer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from app.documents.papers.drawn_sheet import UNIT, DrawnSheet, draw_sheet
from app.documents.papers.paper import CENTRE, INK, QUIET, RIGHT, Font, _font, _Page, box

_ENDS = (-382, -337, -290, -190, -96, 0)  # where columns of numbers end, from the right


@dataclass(frozen=True)
class PaperLine:
    """A line: hours low, likely, most and price low, likely, not above, as printed."""

    text: str
    numbers: tuple[str, str, str, str, str, str]
    so_far: tuple[str, str, str] = ("", "", "")  # all prices down to this line


@dataclass(frozen=True, kw_only=True)
class EstimatePaper:
    """All that the paper says, as printed; `scale` are low, likely and ceiling to be drawn."""

    shop: str
    shop_lines: tuple[str, ...]  # its address
    reached: tuple[str, ...]  # telephone and mail
    number: str
    day: str
    version: str
    name: str
    address: tuple[str, ...]
    vehicle: str
    heading: str
    scale: tuple[int, int, int]
    unit: int  # minor units in one of the currency
    words: tuple[str, str, str]
    agreed: bool
    rate: str
    currency: str
    lines: tuple[PaperLine, ...]
    sums: tuple[PaperLine, ...]  # before tax, each tax, with tax
    reason: str
    assumptions: tuple[str, ...]
    not_included: tuple[str, ...]
    holds: tuple[str, ...]
    left_alone: tuple[str, ...]
    how: str
    raised: bool = False  # whether the last of the sums is a ceiling agreed since
    mark: str = ""  # the shop's own


def estimate_pdf(paper: EstimatePaper, path: Path, region: str = "US") -> Path:
    """The estimate on as many pages as it needs, letter or A4 by the shop's region."""

    def write(page: _Page, pages: int) -> _Sheet:
        sheet = _Sheet(page, paper, pages)
        sheet.write()
        return sheet

    draw_sheet(path, region, f"Estimate {paper.number}", write)
    return path


def _ticks(first: int, last: int) -> range:
    """About six round numbers between two, whole units of a currency."""
    step = next(
        one * 10**power for power in range(12) for one in (1, 2, 5)
        if (last - first) <= 7 * one * 10**power
    )  # fmt: skip
    return range(-(-first // step) * step, last + 1, step)


class _Sheet(DrawnSheet):
    """Writes one estimate; the table has its columns again on a new page."""

    title = "Estimate"

    def __init__(self, page: _Page, paper: EstimatePaper, pages: int) -> None:
        super().__init__(page, pages)
        self.paper = paper
        self._first = 0.0
        self._so_far = ("", "", "")

    def write(self) -> None:
        page, paper = self.page, self.paper
        self.write_head()
        for left, title, name, lines in (
            (0, "For", paper.name, (", ".join(paper.address),) if paper.address else ()),
            (372, "Vehicle", paper.vehicle, ()),
        ):
            top = page.y
            self.put(left, 340, title, 12, 600, QUIET)
            self.put(left, 340, name, 15, 600)
            for line in lines:
                self.put(left, 340, line, 14, 400, QUIET)
            high, page.y = page.y, top
            if left:
                page.y = max(high, self._first)
            else:
                self._first = high
        page.y += 10 * UNIT
        self.put(0, None, paper.heading, 19, 500, family="Vollkorn")
        self._range()
        self._columns()
        for one in paper.lines:
            self._row(one)
            self._so_far = one.so_far
        page.rule(4)
        for number, one in enumerate(paper.sums, 1):
            strong = number >= len(paper.sums) - bool(paper.raised)
            self._row(one, bold=strong, ruled=strong)
        page.y += 12 * UNIT
        self._two_columns()
        self._yes()
        self.foot()

    # parts ---------------------------------------------------------------------------------
    def write_head(self) -> None:
        paper = self.paper
        self.head(paper.shop, ", ".join(paper.shop_lines), paper.reached, paper.mark,
                  paper.version, paper.number, paper.day)  # fmt: skip

    def _range(self) -> None:
        """The line of drawing: tick low, ring likely, wall ceiling (dashed where none agreed)."""
        page, (low, likely, wall) = self.page, self.paper.scale
        first = max(0, low - max((wall - low) // 3, 1))
        last = wall + max((wall - first) // 12, 1)
        line = page.y + 36 * UNIT

        def at(value: int) -> float:
            return page.width * (value - first) / (last - first)

        def stroke(wide: float, x: float, y: float, to_x: float, to_y: float) -> None:
            page.stroke(wide * UNIT, x, y, to_x, to_y)

        stroke(0.7, 0, line, page.width, line)
        small = _font(size=12 * 0.72)
        for tick in _ticks(first // self.paper.unit, last // self.paper.unit):
            x = at(tick * self.paper.unit)
            stroke(0.7, x, line, x, line + 5 * UNIT)
            below = box(x - 40 * UNIT, line + 7 * UNIT, 80 * UNIT, 18 * UNIT)
            page._draw(below, f"{tick:,}", small, QUIET, CENTRE)
        stroke(3, at(low), line, at(wall), line)
        stroke(2, at(low), line - 8 * UNIT, at(low), line + 6 * UNIT)
        wide = 4 * UNIT
        steps = [(-20, 6)] if self.paper.agreed else [(-20, -13), (-9, -2), (2, 6)]
        for top, end in steps:
            stroke(wide / UNIT, at(wall), line + top * UNIT, at(wall), line + end * UNIT)
        page.dot(at(likely), line, 6 * UNIT)
        font = _font(size=13 * 0.72, weight=600)
        texts = [
            f"{name} {word}"
            for name, word in zip(("low", "likely", "not above"), self.paper.words, strict=True)
        ]
        wides = [page.width_of(text, font) for text in texts]
        gap = 16 * UNIT
        edge = min(page.width, max(at(wall), wides[0] + wides[1] + wides[2] + 2 * gap))
        middle = min(
            max(at(likely) - wides[1] / 2, wides[0] + gap), edge - wides[2] - gap - wides[1]
        )
        start = max(0.0, min(at(low) - wides[0] / 2, middle - gap - wides[0]))
        above = page.y
        for left, text, room in zip((start, middle, edge - wides[2]), texts, wides, strict=True):
            page._draw(box(left, above, room + 20, 22 * UNIT), text, font)
        page.y = line + 28 * UNIT

    def _columns(self) -> None:
        page, paper = self.page, self.paper
        font, top = _font(size=12 * 0.72, weight=600), page.y
        high = page.line_of(font)
        hours = box(0, top, page.width - 290 * UNIT, high)
        page._draw(hours, f"Hours, at {paper.rate} each", font, QUIET, RIGHT)
        page._draw(box(0, top, page.width, high), f"Price in {paper.currency}", font, QUIET, RIGHT)
        page.y += high
        heads = ("low", "likely", "most", "low", "likely", "not above")
        self._numbers(heads, font, high)
        page._draw(box(0, page.y, page.width / 2, high), "What it takes", font)
        page.y += high * 1.25
        page.rule(4)

    def _row(self, line: PaperLine, *, bold: bool = False, ruled: bool = True) -> None:
        page = self.page
        font = _font(size=14 * 0.72, weight=600 if bold else 400)
        room = page.width + (_ENDS[0] - 44) * UNIT
        high = max(page.height_of(line.text, font, room), page.line_of(font)) + 4 * UNIT
        if page.y + high > self.bottom:
            self.turn()
            self._columns()
            if any(self._so_far):
                self._row(PaperLine("From the page before", ("", "", "", *self._so_far)))
        page._wrap(box(0, page.y + 2 * UNIT, room, high), line.text, font)
        self._numbers(line.numbers, font, high, 2 * UNIT)
        page.y += high
        if ruled:
            page.rule(3 if bold else 1)

    def _numbers(self, numbers: Sequence[str], font: Font, high: float, down: float = 0) -> None:
        page, strong = self.page, Font(font)
        strong.setWeight(Font.Weight.DemiBold)
        for index, (text, end) in enumerate(zip(numbers, _ENDS, strict=True)):
            room = box(0, page.y + down, page.width + end * UNIT, high)
            shown = strong if index == 4 else font
            page._draw(room, text, shown, QUIET if index < 3 else INK, RIGHT)

    def _two_columns(self) -> None:
        """What stands under the table: left and right, each as long as it is."""
        paper, page = self.paper, self.page
        left = [("Why it is a range", (paper.reason,) if paper.reason else (), ""),
                ("What we take as given", paper.assumptions, "–"),
                ("Not in this price", paper.not_included, "–")]  # fmt: skip
        right = [("Where the work waits for you", paper.holds, "1"),
                 ("Left alone on purpose", paper.left_alone, "–")]  # fmt: skip
        wide = page.width / UNIT / 2 - 17
        sides = ((0.0, left), (page.width / UNIT - wide, right))
        high = max(self._measured(x, wide, parts) for x, parts in sides)
        if page.y + high > self.bottom and high < self.bottom * 0.8:
            self.turn()
        top, lowest, was = page.y, page.y, self.at
        for x, parts in sides:
            if self.at == was:
                page.y = top
            self._side(x, wide, parts)
            lowest = max(lowest, page.y)
        page.y = lowest

    def _measured(
        self, x: float, wide: float, parts: Sequence[tuple[str, Sequence[str], str]]
    ) -> float:
        bottom, self.bottom = self.bottom, 1e9
        high = self.page.measured(lambda: self._side(x, wide, parts))
        self.bottom = bottom
        return high

    def _side(self, x: float, wide: float, parts: Sequence[tuple[str, Sequence[str], str]]) -> None:
        page = self.page
        for title, lines, mark in parts:
            if not lines:
                continue
            self.put(x, wide, title, 17, 500, family="Vollkorn")
            page.line(x * UNIT, (x + wide) * UNIT)
            page.y += 7 * UNIT
            for number, line in enumerate(lines, 1):
                if mark:
                    top = page.y
                    self.put(x, 18, str(number) if mark == "1" else mark, 14)
                    page.y = top
                self.put(x + (20 if mark else 0), wide - (20 if mark else 0), line, 14)
            page.y += 8 * UNIT

    def _yes(self) -> None:
        """How to say yes, with room to sign."""
        page = self.page
        font = _font(size=14 * 0.72)
        high = page.height_of(self.paper.how, font) + 112 * UNIT
        if page.y + high > self.bottom:
            self.turn()
        page.rule(3)
        page.y += 8 * UNIT
        self.put(0, None, "How to say yes", 17, 500, family="Vollkorn")
        self.put(0, None, self.paper.how, 14)
        page.y += 40 * UNIT
        third = page.width / UNIT / 3
        for index, words in enumerate(
            ("yes, up to the amount above", "name in letters", "day and hour, and how")
        ):
            left = index * (third + 6)
            page.stroke(UNIT, left * UNIT, page.y, (left + third - 18) * UNIT, page.y)
            room = box(left * UNIT, page.y + 4 * UNIT, third * UNIT, 20 * UNIT)
            page._draw(room, words, _font(size=12 * 0.72), QUIET)
        page.y += 26 * UNIT
