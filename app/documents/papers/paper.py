"""Papers as PDF: order sheets and letters, set in the bundled typefaces.

The only module outside the window that draws with Qt; it needs no screen.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import QMarginsF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontDatabase,
    QFontMetricsF,
    QGuiApplication,
    QImage,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
    QPen,
)

from app.calculations.numbers.dates import day_year
from app.calculations.numbers.money import shown_money
from app.documents.papers.mail import Letter, answer_to
from app.documents.papers.order_sheet import OrderSheet
from app.errors import Mendable
from app.paths import resources

DOTS = 300  # per inch
LEFT, RIGHT = int(Qt.AlignmentFlag.AlignLeft), int(Qt.AlignmentFlag.AlignRight)
CENTRE = int(Qt.AlignmentFlag.AlignHCenter)
MIDDLE = int(Qt.AlignmentFlag.AlignVCenter)
AT_WORDS, ANYWHERE = int(Qt.TextFlag.TextWordWrap), int(Qt.TextFlag.TextWrapAnywhere)
# Papers have no colour: ink, second ink, hairline, and the line under a head.
INK, QUIET, RULE, HEAD = (QColor(one) for one in ("#141414", "#454545", "#9A9A9A", "#4A4A4A"))
PAGE_SIZES = {"US": QPageSize.PageSizeId.Letter}
_loaded: list[QGuiApplication | None] = []


def order_pdf(sheet: OrderSheet, path: Path, region: str = "US") -> Path:
    """One order, on as many pages as it needs."""
    with _paper(path, region, f"Order {sheet.number:04d} to {sheet.supplier}") as page:
        page.text(sheet.shop_name or "Order", _font("Vollkorn", 18, 600))
        page.lines((*sheet.shop_address.splitlines(), sheet.answer_to), 10)
        page.space(10)
        page.text(
            # Numbers stand in the sans: its figures are lining as they come, and a glyph chosen by
            # a font feature could not be searched for or copied from the PDF.
            f"Order {sheet.number:04d}",
            _font(size=14, weight=600),
            right=day_year(sheet.day),
        )
        page.text(sheet.supplier, _font(size=11, weight=600))
        page.lines((*sheet.supplier_address.splitlines(), sheet.supplier_mail), 10)
        if sheet.account_no:
            page.text(f"Account {sheet.account_no}", _font(size=10), QUIET)
        page.space(8)
        page.row(("Code", "Supply", "Pack", "Packs", "Price", "Cost"), head=True)
        money = partial(shown_money, currency=sheet.currency)
        for item in sheet.lines:
            packs = (item.code, item.supply, item.pack, str(item.packs))
            page.row((*packs, money(item.price), money(item.cost)))
        page.space(3)
        page.sums(
            (
                ("Goods", money(sheet.goods)),
                ("Freight", money(sheet.freight)),
                (f"Together, {sheet.currency}", money(sheet.total)),
            )
        )
        if sheet.note:
            page.space(8)
            page.paragraph(sheet.note, _font(size=10))
    return path


def letters_pdf(letters: Sequence[Letter], day: date, path: Path, region: str = "US") -> Path:
    """Letters one after the other, each on a new page, the address where a window shows it.

    The window is taken to begin 22 mm from the left and 50 mm from the top: common practice, no
    source; fold and check one before printing many.
    """
    if not letters:
        raise Mendable("There is no letter to print.")
    with _paper(path, region, "Letters") as page:
        for number, letter in enumerate(letters):
            if number:
                page.next_page()
            page.text(letter.sender_name, _font("Vollkorn", 13, 600))
            page.lines([*letter.sender_address.splitlines(), answer_to(letter)], 9)
            page.down_to(50)
            for line in (letter.name, *letter.address):
                page.text(line, _font(size=11))
            page.down_to(88)
            page.text("", _font(size=10), QUIET, right=day_year(day))
            page.text(letter.subject, _font("Vollkorn", 13, 600))
            page.space(4)
            page.paragraph(letter.text, _font(size=11))
    return path


Font = QFont
Color = QColor


def label_layout(wide: float, high: float) -> QPageLayout:
    """A label of so many inches, with a narrow margin."""
    size = QPageSize(
        QSizeF(wide, high), QPageSize.Unit.Inch, "Label", QPageSize.SizeMatchPolicy.ExactMatch
    )
    return QPageLayout(
        size,
        QPageLayout.Orientation.Portrait,
        QMarginsF(3, 2.5, 3, 2.5),
        QPageLayout.Unit.Millimeter,
    )


def sheet_layout(
    region: str, side: float, top: float, bottom: float, *, half: bool = False, across: bool = False
) -> QPageLayout:
    """A letter or A4 sheet by region, upright or `across`, or `half` of one as it lies across, with
    margins of so many millimetres."""
    size = QPageSize(PAGE_SIZES.get(region, QPageSize.PageSizeId.A4))
    if half:
        points = size.sizePoints()
        wide = QSizeF(points.width(), points.height() / 2)
        exact = QPageSize.SizeMatchPolicy.ExactMatch
        size = QPageSize(wide, QPageSize.Unit.Point, "Half", exact)
    return QPageLayout(
        size,
        QPageLayout.Orientation.Landscape if across else QPageLayout.Orientation.Portrait,
        QMarginsF(side, top, side, bottom),
        QPageLayout.Unit.Millimeter,
    )


def box(left: float, top: float, wide: float, high: float) -> QRectF:
    """A box on the page, in dots."""
    return QRectF(left, top, wide, high)


def _font(family: str = "Source Sans 3", size: float = 11, weight: int = 400) -> QFont:
    font = QFont(family)
    font.setPointSizeF(size)
    font.setWeight(QFont.Weight(weight))
    # Said, or a program with a window lends its own font's figures, which nobody could copy or
    # search for in the PDF.
    for tag in ("tnum", "lnum"):
        font.setFeature(QFont.Tag(tag), 0)
    return font


@contextmanager
def _paper(
    path: Path, region: str, title: str, layout: QPageLayout | None = None
) -> Iterator[_Page]:
    """A sheet to write on; the file stands whole or not at all."""
    _ready()
    unfinished = path.with_name(path.name + ".unfinished")
    if not path.parent.is_dir() or not os.access(path.parent, os.W_OK):
        raise Mendable(f"{path} could not be written; check the folder and the disk.")
    writer = QPdfWriter(str(unfinished))
    writer.setResolution(DOTS)
    writer.setTitle(title)
    writer.setCreator("Bayledger")
    writer.setPageLayout(
        layout
        or QPageLayout(
            QPageSize(PAGE_SIZES.get(region, QPageSize.PageSizeId.A4)),
            QPageLayout.Orientation.Portrait,
            QMarginsF(22, 18, 18, 18),
            QPageLayout.Unit.Millimeter,
        )
    )
    painter = QPainter()
    if not painter.begin(writer):
        raise Mendable(f"{path} could not be written; check the folder and the disk.")
    try:
        yield _Page(writer, painter)
        painter.end()
        unfinished.replace(path)
    finally:
        if painter.isActive():
            painter.end()
        unfinished.unlink(missing_ok=True)


def _ready() -> None:
    """Qt's drawing without a window, and the bundled typefaces; once in a process."""
    if _loaded:
        return
    application = None
    if QGuiApplication.instance() is None:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        application = QGuiApplication([sys.argv[0] or "bayledger"])
    if "Source Sans 3" not in QFontDatabase.families():
        for file in sorted((resources() / "fonts").glob("*.ttf")):
            QFontDatabase.addApplicationFont(str(file))
    _loaded.append(application)


class _Page:
    """Writes down a page from the top, and goes on to the next one when it is full."""

    def __init__(self, writer: QPdfWriter, painter: QPainter) -> None:
        self._writer, self._painter = writer, painter
        area = writer.pageLayout().paintRectPixels(DOTS)
        self.width, self.height = float(area.width()), float(area.height())
        self.y = 0.0
        self._measuring = False
        mm = DOTS / 25.4
        self._columns = [0.0, 24 * mm, self.width - 82 * mm, self.width - 52 * mm]
        self._columns += [self.width - 34 * mm, self.width - 17 * mm]
        self._top = 18.0

    @property
    def wide(self) -> float:
        """The room between the margins, in millimetres."""
        return self.width * 25.4 / DOTS

    def set_columns(self, *starts: float) -> None:
        """Where the second to sixth column of rows begin, in millimetres from the left."""
        self._columns = [0.0, *(start * DOTS / 25.4 for start in starts)]

    def space(self, millimetres: float) -> None:
        self.y += millimetres * DOTS / 25.4

    def down_to(self, millimetres: float) -> None:
        """Go down to so far below the page's upper edge."""
        self.y = max(self.y, (millimetres - self._top) * DOTS / 25.4)

    def next_page(self) -> None:
        if not self._measuring:
            self._writer.newPage()
            self.y = 0.0

    def _draw(
        self, box: QRectF, text: str, font: QFont, color: QColor = INK, how: int = LEFT
    ) -> None:
        if not self._measuring:
            self._painter.setFont(font)
            self._painter.setPen(color)
            self._painter.drawText(box, how, text)

    def text(self, text: str, font: QFont, color: QColor = INK, right: str = "") -> None:
        """One line, going on below where it is too long; `right` flush right beside it."""
        line = self.line_of(font)
        aside = self.width_of(right, font) + 40 if right else 0
        if aside + self.width_of(text, font) <= self.width:
            high = line
        else:
            aside = min(aside, self.width / 2)
            parts = ((text, self.width - aside), (right, aside))
            high = max(self.height_of(one, font, wide) for one, wide in parts if one)
        self._room(high)
        self._wrap(QRectF(0, self.y, self.width - aside, high + 4), text, font, color)
        if right:
            box = QRectF(self.width - aside, self.y, aside, high + 4)
            self._wrap(box, right, font, color, RIGHT)
        self.y += high + line * 0.12

    def lines(self, lines: Iterable[str], points: float) -> None:
        """Quiet lines under each other, such as an address; empty ones are left out."""
        for line in filter(None, lines):
            self.text(line, _font(size=points), QUIET)

    def paragraph(self, text: str, font: QFont) -> None:
        """Running text, wrapped; empty lines part the paragraphs."""
        metrics = QFontMetricsF(font, self._writer)
        for part in text.replace("\r\n", "\n").split("\n"):
            if not part.strip():
                self.y += metrics.height() * 0.6
                continue
            for piece in _pieces(part):
                high = self.height_of(piece, font)
                self._room(high)
                self._wrap(QRectF(0, self.y, self.width, high + 4), piece, font)
                self.y += high + metrics.height() * 0.1

    def height_of(self, text: str, font: QFont, wide: float | None = None) -> float:
        """How high a paragraph is, in dots, where it may be so wide (else as the page)."""
        metrics = QFontMetricsF(font, self._writer)
        room = self.width if wide is None else wide
        how = self._breaks(text, font, room)
        return metrics.boundingRect(QRectF(0, 0, room, 1e6), how, text).height()

    def _breaks(self, text: str, font: QFont, wide: float) -> int:
        """Where lines may break: at words, and within one that is longer than a line."""
        longest = max((self.width_of(word, font) for word in text.split()), default=0)
        return AT_WORDS if longest <= wide else ANYWHERE

    def _wrap(
        self, box: QRectF, text: str, font: QFont, color: QColor = INK, how: int = LEFT
    ) -> None:
        self._draw(box, text, font, color, how | self._breaks(text, font, box.width()))

    def whole(self, write: Callable[[], object]) -> None:
        """Write something that a page's end does not part, where a page can hold it."""
        self._room(min(self.measured(write), self.height))
        write()

    def rule(self, wide: int = 1) -> None:
        """A hairline from margin to margin, so many dots wide."""
        if not self._measuring:
            self._painter.setPen(QPen(RULE if wide < 3 else HEAD, wide))
            self._painter.drawLine(0, round(self.y), round(self.width), round(self.y))

    def stroke(self, wide: float, left: float, top: float, right: float, bottom: float) -> None:
        """A line of ink from one point to another, in dots."""
        if not self._measuring:
            cap = Qt.PenCapStyle.FlatCap
            self._painter.setPen(QPen(INK, wide, Qt.PenStyle.SolidLine, cap))
            self._painter.drawLine(QPointF(left, top), QPointF(right, bottom))

    def dot(self, x: float, y: float, radius: float) -> None:
        """A filled dot with a white edge, in dots."""
        if not self._measuring:
            self._painter.setPen(QPen(QColor("white"), radius / 3))
            self._painter.setBrush(INK)
            self._painter.drawEllipse(QPointF(x, y), radius, radius)

    def measured(self, write: Callable[[], object]) -> float:
        """How high is what `write` writes, in dots; nothing is written."""
        before, self.y, self._measuring = self.y, 0.0, True
        write()
        high, self.y, self._measuring = self.y, before, False
        return high

    def width_of(self, text: str, font: QFont) -> float:
        """How wide a line is, in dots."""
        return QFontMetricsF(font, self._writer).horizontalAdvance(text)

    def line_of(self, font: QFont) -> float:
        """How high a line is, in dots."""
        return QFontMetricsF(font, self._writer).height()

    def at_bottom(self, text: str, font: QFont) -> None:
        """A last line or two at the lower edge."""
        high = self.height_of(text, font)
        self._room(high)
        top = max(self.y, self.height - high)
        self._wrap(QRectF(0, top, self.width, high + 4), text, font)

    def row(self, cells: Sequence[str], *, head: bool = False) -> None:
        """A row of a table: three columns of text, which go on below, and three of numbers."""
        font = _font(size=9 if head else 10, weight=600 if head else 400)
        ends = [*self._columns[1:], self.width]
        boxes = [
            (text, start, end - start - (30 if index < 3 else 0))
            for index, (text, start, end) in enumerate(zip(cells, self._columns, ends, strict=True))
        ]
        lines = [self.height_of(text, font, wide) for text, _, wide in boxes[:3] if text]
        height = max([self.line_of(font), *lines]) + self.line_of(font) * 0.5
        self._room(height)
        for index, (text, start, wide) in enumerate(boxes):
            box, ink = QRectF(start, self.y, wide, height), QUIET if head else INK
            if index < 3:
                self._wrap(box, text, font, ink, LEFT | MIDDLE)
            else:
                self._draw(box, text, font, ink, RIGHT | MIDDLE)
        self.y += height
        self.rule(3 if head else 1)

    def sums(self, lines: Sequence[tuple[str, str]]) -> None:
        """Sums beneath a table, flush right, the last in bold."""
        for number, (name, value) in enumerate(lines, start=1):
            font = _font(size=10.5, weight=600 if number == len(lines) else 400)
            metrics = QFontMetricsF(font, self._writer)
            height = metrics.height() * 1.3
            self._room(height)
            self._draw(QRectF(0, self.y, self.width, height), value, font, how=RIGHT | MIDDLE)
            left = self.width - 26 * DOTS / 25.4
            self._draw(QRectF(0, self.y, left, height), name, font, how=RIGHT | MIDDLE)
            self.y += height

    def put(
        self,
        text: str,
        font: QFont,
        left: float,
        right: float,
        *,
        flush: bool = False,
        high: float = 0,
    ) -> None:
        """A text on the present line between two places, in dots; `flush` right, or left."""
        box = QRectF(left, self.y, right - left, high or self.line_of(font))
        self._draw(box, text, font, how=MIDDLE | (RIGHT if flush else LEFT))

    def line(self, left: float, right: float, wide: int = 1, *, down: float = 0) -> None:
        """A line across at the present place, or one down for so many dots at `left`."""
        if not self._measuring:
            self._painter.setPen(QPen(RULE if wide == 1 else INK, wide))
            end = (left, self.y + down) if down else (right, self.y)
            self._painter.drawLine(QPointF(left, self.y), QPointF(*end))

    def bar(
        self, left: float, top: float, width: float, height: float, wide: int, *, hatched: bool
    ) -> None:
        """An outlined box, in dots, or one filled with lines at 45 degrees."""
        if self._measuring:
            return
        box = QRectF(left, top, width, height)
        self._painter.setPen(QPen(INK, wide))
        self._painter.setBrush(INK if hatched and box.width() < 8 else Qt.BrushStyle.NoBrush)
        self._painter.drawRect(box)
        if hatched:
            self._painter.save()
            self._painter.setClipRect(box)
            for at in range(0, int(box.width() + box.height()) + 12, 12):
                foot = QPointF(box.left() + at - box.height(), box.bottom())
                self._painter.drawLine(foot, QPointF(box.left() + at, box.top()))
            self._painter.restore()

    def picture(self, image: bytes, most_wide: float, most_high: float) -> None:
        """An image at the left, in its own proportions and not larger than so many dots; what is
        no image takes no room."""
        shown = QImage.fromData(image)
        if shown.isNull():
            return
        part = min(most_wide / shown.width(), most_high / shown.height())
        wide, high = shown.width() * part, shown.height() * part
        if not self._measuring:
            self._painter.drawImage(QRectF(0, self.y, wide, high), shown)
        self.y += high

    def _room(self, height: float) -> None:
        if self.y + height > self.height:
            self.next_page()


def _pieces(text: str, most: int = 1500) -> Iterator[str]:
    """A very long line in pieces that fit a page, cut at spaces where there are any."""
    while len(text) > most:
        cut = text.rfind(" ", 0, most)
        cut = cut if cut > 0 else most
        yield text[:cut]
        text = text[cut:].lstrip()
    yield text
