"""A list on paper: title, heads on each page, rows whole, pages counted. Ink on white."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPageLayout, QPainter, QPen
from PySide6.QtPrintSupport import QPrinter

from app.window.paper.cells import Column, GroupRow, TableRow
from app.window.paper.copying import lines_of

UNITS = 720  # to the inch: a tenth of a point
INK, QUIET, RULE = QColor("#1D2226"), QColor("#454C52"), QColor("#8A8474")
GAP, PAD = 90.0, 34.0  # between columns; above and below a row's words
LEFT = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap)
RIGHT = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap)
FOOT = 240.0


def _font(size: int, *, bold: bool = False, family: str = "Source Sans 3") -> QFont:
    """`size` in tenths of a point."""
    font = QFont(family)
    font.setPixelSize(size)
    font.setWeight(QFont.Weight.DemiBold if bold else QFont.Weight.Normal)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    font.setFeature(QFont.Tag("liga"), 0)  # joined letters could not be searched for in a PDF
    return font


@dataclass(frozen=True)
class ListPaper:
    """What is printed of a list: its page's title and subtitle, the shop and day, the rows."""

    title: str
    subtitle: str
    aside: str
    columns: tuple[Column, ...]
    rows: tuple[TableRow | GroupRow, ...]

    def wide(self) -> float:
        """The width at which no cell is broken, in units."""
        return sum(self._needs()) + GAP * max(0, len(self._needs()) - 1)

    def _said(self) -> tuple[list[str], list[list[str]], list[bool]]:
        """Heads, lines (a group is a line of one text), and which columns end flush right."""
        heads, lines = lines_of(self.columns, self.rows)
        flush = {f"{one.head} {one.subhead}".strip(): one.right for one in self.columns}
        return heads, lines, [flush[head] for head in heads]

    def _needs(self) -> list[float]:
        heads, lines, _flush = self._said()
        body, bold = QFontMetricsF(_font(95)), QFontMetricsF(_font(85, bold=True))
        needs = [bold.horizontalAdvance(head) for head in heads]
        for line in lines:
            if len(line) == len(heads):
                needs = [
                    max(need, body.horizontalAdvance(text))
                    for need, text in zip(needs, line, strict=True)
                ]
        return [need + 4 for need in needs]

    def print_on(self, printer: QPrinter) -> int:
        """Paint all pages; returns how many."""
        painter = QPainter()
        if not painter.begin(printer):
            return 0
        try:
            return _Sheet(self, printer, painter).write()
        finally:
            painter.end()

    def lay_on(self, printer: QPrinter) -> None:
        """Turn the paper on its side where the rows need it."""
        area = printer.pageLayout().paintRect(QPageLayout.Unit.Point)
        if self.wide() > min(area.width(), area.height()) * 10:
            printer.setPageOrientation(QPageLayout.Orientation.Landscape)
        else:
            printer.setPageOrientation(QPageLayout.Orientation.Portrait)


class _Sheet:
    """Writes one paper from the top of its first page down."""

    def __init__(self, paper: ListPaper, printer: QPrinter, painter: QPainter) -> None:
        self._paper, self._printer, self._painter = paper, printer, painter
        area = printer.pageLayout().paintRectPixels(printer.resolution())
        scale = printer.resolution() / UNITS
        painter.scale(scale, scale)
        self._width, self._height = area.width() / scale, area.height() / scale
        self._heads, self._lines, self._right = paper._said()
        self._places = self._lay()
        self._y, self._page = 0.0, 1

    def _lay(self) -> list[tuple[float, float]]:
        """Where each column begins and how wide it is; what is too wide is broken into lines."""
        needs = self._paper._needs()
        room = self._width - GAP * max(0, len(needs) - 1)
        over = sum(needs) - room
        if over > 0:  # the widest give way first, down to one width for all of them
            low, high = 0.0, max(needs, default=0.0)
            for _ in range(40):
                most = (low + high) / 2
                if sum(min(need, most) for need in needs) > room:
                    high = most
                else:
                    low = most
            needs = [min(need, low) for need in needs]
        places, at = [], 0.0
        for need in needs:
            places.append((at, need))
            at += need + GAP
        return places

    def write(self) -> int:
        self._begin()
        for line in self._lines:
            group = len(line) == 1 and len(self._heads) != 1
            if group:
                self._group(line[0])
            else:
                self._row(line, _font(95))
        self._number()
        return self._page

    def _begin(self) -> None:
        paper = self._paper
        self._text(paper.title, _font(180, bold=True, family="Vollkorn"), INK)
        self._text(paper.subtitle, _font(100), QUIET)
        self._text(paper.aside, _font(90), QUIET)
        self._y += 80
        self._head()

    def _text(self, text: str, font: QFont, ink: QColor) -> None:
        if text:
            high = self._high(text, font, self._width)
            self._put(QRectF(0, self._y, self._width, high), text, font, ink, LEFT)
            self._y += high

    def _high(self, text: str, font: QFont, width: float) -> float:
        box = QRectF(0, 0, max(width, 1.0), 1e6)
        return QFontMetricsF(font).boundingRect(box, LEFT, text or "x").height()

    def _put(self, box: QRectF, text: str, font: QFont, ink: QColor, how: int) -> None:
        self._painter.setFont(font)
        self._painter.setPen(ink)
        self._painter.drawText(box.adjusted(0, 0, 0, 4), how, text)

    def _head(self) -> None:
        self._row(self._heads, _font(85, bold=True), QUIET, 10)

    def _group(self, title: str) -> None:
        font = _font(120, bold=True, family="Vollkorn")
        high = self._high(title, font, self._width)
        self._room(high + 3 * PAD + self._high("x", _font(95), self._width))
        self._y += 2 * PAD
        self._text(title, font, INK)

    def _row(self, texts: Sequence[str], font: QFont, ink: QColor = INK, line: float = 4) -> None:
        high = max(
            (self._high(text, font, wide) for text, (_, wide) in zip(texts, self._places,
                                                                      strict=True)),
            default=0.0,
        )  # fmt: skip
        self._room(high + 2 * PAD)
        for text, (left, wide), right in zip(texts, self._places, self._right, strict=True):
            box = QRectF(left, self._y + PAD, wide, high)
            self._put(box, text, font, ink, RIGHT if right else LEFT)
        self._y += high + 2 * PAD
        self._painter.setPen(QPen(RULE, line))
        self._painter.drawLine(0, round(self._y), round(self._width), round(self._y))

    def _room(self, high: float) -> None:
        if self._y + high > self._height - FOOT and self._y > 0:
            self._number()
            self._printer.newPage()
            self._page, self._y = self._page + 1, 0.0
            self._head()

    def _number(self) -> None:
        font = _font(85)
        box = QRectF(0, self._height - 130, self._width, 120)
        self._put(box, f"Page {self._page}", font, QUIET, RIGHT)
        self._put(box, self._paper.title, font, QUIET, LEFT)
