"""Invoices and credit notes on paper."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from app.documents.papers.drawn_sheet import UNIT, DrawnSheet, draw_sheet
from app.documents.papers.invoice_sheet import InvoiceSheet, SheetLine
from app.documents.papers.paper import INK, QUIET, RIGHT, Font, _font, _Page, box

_AMOUNT = -60  # where the amounts end, from the right; hours and rate end further left
_RATE, _HOURS = -216, -302
_LEFT_TAX = 318  # the table of taxes
_SUMS_FROM = 372
_SHORT_WAY = 20  # letters of a way to pay that stand at the left: `check: to the address above`


def invoice_pdf(sheet: InvoiceSheet, path: Path, region: str = "US") -> Path:
    """One invoice or credit note, on as many pages as it needs; half a sheet where it may."""

    def write(page: _Page, pages: int) -> _Sheet:
        found = _Sheet(page, sheet, pages)
        found.write()
        return found

    name = f"{sheet.title} {sheet.number}"
    if not sheet.half or draw_sheet(path, region, name, write, half=True) > 1:
        draw_sheet(path, region, name, write)
    return path


class _Sheet(DrawnSheet):
    """Writes one paper; the lines have their heads and the sum so far again on a new page."""

    def __init__(self, page: _Page, sheet: InvoiceSheet, pages: int) -> None:
        super().__init__(page, pages)
        self.sheet, self.title = sheet, sheet.title
        self.timed = any(one.hours for one in sheet.lines)
        # What must not pass the foot is written where it has room, whole.
        self._so_far = ""
        self.apart = 18 if sheet.half else 30

    def write_head(self) -> None:
        sheet = self.sheet
        self.head(
            sheet.shop_name, ", ".join(sheet.shop_address.splitlines()), sheet.shop_answer,
            sheet.mark, sheet.subtitle, sheet.number, sheet.day,
        )  # fmt: skip

    def write(self) -> None:
        page, sheet = self.page, self.sheet
        self.write_head()
        self._side_by_side()
        page.y += self.apart * UNIT
        self._heads()
        self.again = self._heads_again
        for at, one in enumerate(sheet.lines):
            self._line(one, last=at == len(sheet.lines) - 1)
            self._so_far = one.so_far
        self.again = None
        if sheet.half:
            self._credit()
        else:
            page.y += 16 * UNIT
            self._whole(self._sums)
        if sheet.how_to_pay:
            page.y += 30 * UNIT
            self._whole(self._ways)
        if sheet.came_of_it:
            page.y += 24 * UNIT
            self.section("What came of the estimate")
            self.put(0, None, sheet.came_of_it, 14)
        for note in sheet.notes:
            page.y += 8 * UNIT
            italic = _font("Vollkorn", 14.5 * 0.72)
            italic.setItalic(True)
            high = page.height_of(note, italic)
            self.room(high)
            page._wrap(box(0, page.y, page.width, high + 4), note, italic, QUIET)
            page.y += high
        self.foot()

    def _whole(self, write: Callable[[], None]) -> None:
        """Write what a page's end does not part, where a page can hold it."""
        bottom, self.bottom = self.bottom, 1e9
        high = self.page.measured(write)
        self.bottom = bottom
        if self.page.y + high > bottom and high < bottom * 0.8:
            self.turn()
        write()

    def _side_by_side(self) -> None:
        """Whom it is for at the left, and what it is about at the right."""
        page, sheet = self.page, self.sheet
        top, lowest = page.y, page.y
        right = page.width / UNIT / 2 + 15
        for left, wide, head, lines in (
            (0.0, right - 20, "To", self._to()),
            (right, None, sheet.about_head, sheet.about),
        ):
            page.y = top
            if not lines:
                continue
            self.put(left, wide, head, 12, 600, QUIET)
            page.y += 2 * UNIT
            for at, line in enumerate(lines):
                strong = not at and not (sheet.half and left)  # a reason is said plainly
                size = 15 if strong else 14
                quiet = QUIET if at else INK
                self.put(left, wide, line, size, 600 if strong else 400, quiet)
            lowest = max(lowest, page.y)
        page.y = lowest

    def _to(self) -> tuple[str, ...]:
        """Name and address; on half a sheet the address is one line."""
        name, *address = self.sheet.to or ("",)
        return (name, ", ".join(address)) if self.sheet.half and address else self.sheet.to

    def _heads(self) -> None:
        """The heads of the columns."""
        page, font = self.page, _font(size=12 * 0.72, weight=600)
        high = page.line_of(font)
        page._draw(box(0, page.y, page.width / 2, high), self.sheet.head, font, QUIET)
        heads = [("Amount", _AMOUNT), ("Tax", 0)]
        heads += [("Hours", _HOURS), ("An hour", _RATE)] if self.timed else []
        for text, end in heads:
            page._draw(box(0, page.y, page.width + end * UNIT, high), text, font, QUIET, RIGHT)
        page.y += high + 5 * UNIT
        page.rule(4)

    def _heads_again(self) -> None:
        """What a next page begins with: the heads, and what all lines before come to."""
        self._heads()
        font = _font(size=14 * 0.72)
        high = self.page.line_of(font) + 6 * UNIT
        down = self.page.y + 3 * UNIT
        self.page._draw(
            box(0, down, self.page.width / 2, high), "From the page before", font, QUIET
        )
        end = self.page.width + _AMOUNT * UNIT
        self.page._draw(box(0, down, end, high), self._so_far, font, QUIET, RIGHT)
        self.page.y += high
        self.page.rule(1)

    def _line(self, line: SheetLine, *, last: bool) -> None:
        page = self.page
        font = _font(size=14 * 0.72, weight=400 if line.amount else 600)
        room = page.width + (_HOURS - 50 if line.hours else _AMOUNT - 80) * UNIT
        high = page.height_of(line.text, font, room) + (6 if self.sheet.half else 8) * UNIT
        self.room(high * (1 if line.amount else 2))
        down = (3 if self.sheet.half else 4) * UNIT
        page._wrap(box(0, page.y + down, room, high), line.text, font)
        strong = _font(size=14 * 0.72, weight=600)
        for text, end, shown, ink in (
            (line.hours, _HOURS, font, QUIET), (line.rate, _RATE, font, QUIET),
            (line.amount, _AMOUNT, font, INK), (line.letter, 0, strong, QUIET),
        ):  # fmt: skip
            page._draw(
                box(0, page.y + down, page.width + end * UNIT, high), text, shown, ink, RIGHT
            )
        page.y += high
        page.rule(3 if last else 1)

    def _sums(self) -> None:
        """The tax of each rate at the left; at the right what it comes to, large what is due."""
        page, sheet = self.page, self.sheet
        top = page.y
        if sheet.taxes:
            self._taxes()
        lowest, page.y = page.y, top
        for words, amount in sheet.sums[:-1]:
            bold = words == sheet.bold
            self._sum(words, amount, 600 if bold else 400, ruled=bold)
        left, end = _SUMS_FROM * UNIT, page.width + _AMOUNT * UNIT
        page.y += 3 * UNIT
        for down in (0.0, 3 * UNIT):
            page.stroke(2, left, page.y + down, end, page.y + down)
        page.y += 8 * UNIT
        words, amount = sheet.sums[-1]
        font = _font("Vollkorn", 20 * 0.72, 600)
        figures = _font(size=22 * 0.72, weight=600)  # its figures stand on the line
        high = page.line_of(figures)
        wide = page.width_of(amount, figures)
        page._draw(box(left, page.y, end - left, high), amount, figures, how=RIGHT)
        small = font
        if page.width_of(words, font) + wide + 20 > end - left:
            small = _font(size=14 * 0.72, weight=600)
        base = page.y + (high - page.line_of(small)) * 0.8
        room = end - left - wide - 20
        page._wrap(box(left, base, room, high), words, small)
        page.y += max(high, page.height_of(words, small, room))
        if sheet.due:
            self.put(_SUMS_FROM, None, sheet.due, 14, 400, QUIET)
        page.y = max(page.y, lowest)

    def _sum(
        self, words: str, amount: str, weight: int, *, ruled: bool, left: float = _SUMS_FROM
    ) -> None:
        page, font = self.page, _font(size=14 * 0.72, weight=weight)
        end = page.width + _AMOUNT * UNIT
        room = end - left * UNIT - page.width_of(amount, font) - 20
        high = max(page.height_of(words, font, room), page.line_of(font)) + 6 * UNIT
        self.room(high)
        line_to = page.width if not left else end
        if ruled:
            page.line(left * UNIT, line_to)
        page._wrap(box(left * UNIT, page.y + 3 * UNIT, room, high), words, font)
        page._draw(box(0, page.y + 3 * UNIT, end, high), amount, font, how=RIGHT)
        page.y += high
        if ruled:
            page.line(left * UNIT, line_to)

    def _taxes(self) -> None:
        """The tax of each rate, in the left of the page, and all of it."""
        page, sheet = self.page, self.sheet
        ends = (234 * UNIT, _LEFT_TAX * UNIT)
        nets, taxes = sheet.sums[:2]
        rows = [("", sheet.taxes_head, "on", "tax"), *sheet.taxes]
        if len(sheet.taxes) > 1:
            rows.append(("", "together", nets[1], taxes[1]))
        for at, (letter, words, on, tax) in enumerate(rows):
            head, sum_up = not at, at > len(sheet.taxes)
            font = _font(size=(12 if head else 14) * 0.72, weight=600 if head or sum_up else 400)
            start = 0.0 if head else 24 * UNIT
            room = ends[0] - page.width_of(on, font) - start - 20
            high = max(page.height_of(words, font, room), page.line_of(font)) + 5 * UNIT
            ink = QUIET if head else INK
            strong: Font = _font(size=14 * 0.72, weight=600)
            page._draw(box(0, page.y + 2 * UNIT, start, high), letter, strong, INK)
            page._wrap(box(start, page.y + 2 * UNIT, room, high), words, font, ink)
            for end, text in zip(ends, (on, tax), strict=True):
                page._draw(box(0, page.y + 2 * UNIT, end, high), text, font, ink, RIGHT)
            page.y += high
            if not sum_up:
                page.line(0, ends[1])

    def _credit(self) -> None:
        """Of a credit note: the tax as it was charged, its sum, and how the invoice stands now."""
        page, sheet = self.page, self.sheet
        for letter, words, _on, tax in sheet.taxes:
            said = ", ".join(filter(None, ("Tax on it", letter.strip("–"), words)))
            self._sum(said, tax, 400, ruled=False, left=0)
        page.rule(3)
        words, amount = sheet.sums[-1]
        font, figures = _font("Vollkorn", 17 * 0.72, 500), _font(size=19 * 0.72, weight=600)
        high = page.line_of(figures) + 4 * UNIT
        self.room(high)
        end = page.width + _AMOUNT * UNIT
        base = page.y + (page.line_of(figures) - page.line_of(font)) * 0.8
        page._draw(box(0, base, page.width / 2, high), words, font)
        page._draw(box(0, page.y, end, high), amount, figures, how=RIGHT)
        page.y += high + 8 * UNIT
        if not sheet.stands:
            return
        self._whole(self._stands)

    def _stands(self) -> None:
        page, stands = self.page, self.sheet.stands
        self.put(0, None, "How it stands now", 12, 600, QUIET)
        page.y += 2 * UNIT
        page.rule(1)
        for at, (words, amount) in enumerate(stands, 1):
            last = at == len(stands)
            self._sum(words, amount, 600 if last else 400, ruled=False, left=0)
            page.rule(1)

    def _ways(self) -> None:
        """How to pay, and under which number: the way at the left, what to do beside it."""
        page = self.page
        self.section("How to pay")
        for way, what, bold in _ways_of(self.sheet.how_to_pay, self.sheet.number):
            top = page.y
            if way:
                self.put(0, 100, way, 14, 400, QUIET)
            low, page.y = page.y, top
            self.put(108 if way else 0, None, what, 14, 600 if bold else 400)
            page.y = max(low, page.y) + 3 * UNIT


def _ways_of(lines: Sequence[str], number: str) -> list[tuple[str, str, bool]]:
    """(way, what to do, bold): `check: to the address above` is parted at its colon."""
    found = []
    for line in lines:
        way, colon, what = line.partition(":")
        parted = bool(colon) and 0 < len(way.strip()) <= _SHORT_WAY and bool(what.strip())
        found.append((way.strip(), what.strip(), False) if parted else ("", line, False))
    return [*found, ("always write", number, True)]
