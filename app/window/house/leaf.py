"""The contents leaf: the date, the six places, the month, and where to find anything."""

from __future__ import annotations

from calendar import Calendar
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QHelpEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from app.window.paper.marks import keycap_width, paint_keycap, paint_mark
from app.window.paper.strokes import gutter, hairline, leader, middle_base, write, write_right
from app.window.paper.theme import Theme

WIDE, NARROW, FOLDS_BELOW = 184, 48, 1180
_ROW, _FIRST_ROW = 32, 124
_LEFT, _RIGHT = 20, 162  # where writing begins and ends on the unfolded leaf


@dataclass(frozen=True)
class LeafLine:
    """One place in the contents: its words of state stand behind the name."""

    key: str
    name: str
    mark: str
    status: str = ""
    tone: str = "ink3"  # or "look"


class Leaf(QWidget):
    """The left leaf of the open book; folds to icons when the window is narrow."""

    place_chosen = Signal(str)
    day_chosen = Signal(object)  # a date
    month_shown = Signal(object)  # the first day of a month that is now shown
    find_asked = Signal()

    def __init__(self, theme: Theme, day: date, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._lines: tuple[LeafLine, ...] = ()
        self._here = ""
        self._day = day
        self._today = day
        self._month = day.replace(day=1)
        self._closed: frozenset[date] = frozenset()
        self._left_open: frozenset[date] = frozenset()
        self._hits: list[tuple[QRectF, Callable[[], object], str]] = []
        self._over: QRectF | None = None
        self.folded = False
        self.setMouseTracking(True)
        self.setAccessibleName("Contents")
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self.setFixedWidth(theme.px(WIDE))
        theme.recoloured.connect(self.update)

    # what it shows -------------------------------------------------------------------------
    def set_lines(self, lines: Sequence[LeafLine]) -> None:
        """The places, in order of their numbers."""
        self._lines = tuple(lines)
        self.update()

    def set_status(self, key: str, words: str, tone: str = "ink3") -> None:
        """The small words behind a place's name, such as `3 short`."""
        self._lines = tuple(
            replace(line, status=words, tone=tone) if line.key == key else line
            for line in self._lines
        )
        self.update()

    def set_here(self, key: str) -> None:
        """Which place is open."""
        self._here = key
        self.update()

    def set_day(self, day: date, today: date | None = None) -> None:
        """The day that the book lies open at."""
        self._day = day
        self._today = today or self._today
        self._show_month(day.replace(day=1))

    def set_month_marks(self, closed: Iterable[date], left_open: Iterable[date]) -> None:
        """Days of the shown month that are closed, and those with work that were left open."""
        self._closed, self._left_open = frozenset(closed), frozenset(left_open)
        self.update()

    @property
    def month(self) -> date:
        """The first day of the month shown."""
        return self._month

    def fold(self, folded: bool) -> None:
        """Fold to icons, or unfold."""
        self.folded = folded
        self.setFixedWidth(self._theme.px(NARROW if folded else WIDE))
        self.update()

    def _show_month(self, first: date) -> None:
        changed = first != self._month
        self._month = first
        if changed:
            self._closed = self._left_open = frozenset()
        self.month_shown.emit(first)
        self.update()

    def step_month(self, by: int) -> None:
        """Turn the month shown, without changing the day."""
        count = self._month.year * 12 + self._month.month - 1 + by
        self._show_month(date(count // 12, count % 12 + 1, 1))

    # hands ---------------------------------------------------------------------------------
    def _hit(self, point: QPointF) -> tuple[QRectF, Callable[[], object], str] | None:
        for hit in reversed(self._hits):
            if hit[0].contains(point):
                return hit
        return None

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        hit = self._hit(event.position())
        self.setCursor(Qt.CursorShape.PointingHandCursor if hit else Qt.CursorShape.ArrowCursor)
        box = hit[0] if hit else None
        if box != self._over:
            self._over = box
            self.update()

    def leaveEvent(self, event: QEvent) -> None:
        self._over = None
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()  # else the release would go to the parent

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        hit = self._hit(event.position())
        if hit and event.button() == Qt.MouseButton.LeftButton:
            hit[1]()

    def wheelEvent(self, event: QWheelEvent) -> None:
        if not self.folded and event.position().y() > self._theme.px(348):
            self.step_month(-1 if event.angleDelta().y() > 0 else 1)

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            hit = self._hit(QPointF(event.pos()))
            if hit and hit[2]:
                QToolTip.showText(event.globalPos(), hit[2], self, hit[0].toRect())
            else:
                QToolTip.hideText()
            return True
        return super().event(event)

    # paint ---------------------------------------------------------------------------------
    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), self._theme
        self._hits = []
        painter.fillRect(self.rect(), theme.palette.leaf)
        gutter(painter, theme, QRectF(self.rect()), leaf=True)
        if self.folded:
            self._paint_folded(painter)
        else:
            self._paint_date(painter)
            self._paint_places(painter)
            self._paint_month(painter)
            self._paint_find(painter)

    def _paint_date(self, painter: QPainter) -> None:
        theme, c, px = self._theme, self._theme.palette, self._theme.px
        write(painter, theme, "name", px(_LEFT), px(35), "Bayledger", c.ink)
        number = str(self._day.day)
        write(painter, theme, "day", px(_LEFT), px(93), number, c.ink)
        at = px(_LEFT) + theme.width("day", number) + px(7)
        write(painter, theme, "weekday", at, px(75), f"{self._day:%A}", c.ink)
        month = f"{self._day:%B}"
        if self._day.year != self._today.year:
            month += f" {self._day.year}"
        write(painter, theme, "month", at, px(93), month, c.ink2)
        hairline(painter, theme, px(_LEFT), px(112), px(_RIGHT - _LEFT), c.rule2)
        if self._day != self._today:
            box = QRectF(px(_LEFT), px(46), px(_RIGHT - _LEFT), px(60))
            self._hits.append(
                (box, lambda: self.day_chosen.emit(self._today), "Go to today (Ctrl T)")
            )

    def _paint_places(self, painter: QPainter) -> None:
        theme, c, px = self._theme, self._theme.palette, self._theme.px
        for number, line in enumerate(self._lines, 1):
            top = px(_FIRST_ROW + _ROW * (number - 1))
            box = QRectF(0, top, px(172), px(30))
            here = line.key == self._here
            if here:
                painter.fillRect(box, c.act_soft)
                painter.fillRect(QRectF(0, top, px(3), px(30)), c.act)
            middle = box.center().y()
            role = "total" if here else "row"
            ink = c.ink if here or box == self._over else c.ink2
            end = write(
                painter, theme, role, px(_LEFT), middle_base(theme, role, middle), line.name, ink
            )
            if line.status:
                base = middle_base(theme, "row", middle)
                tone = getattr(c, "ink2" if here and line.tone == "ink3" else line.tone)
                end = write(painter, theme, "aside", end + px(8), base, line.status, tone)
            base = middle_base(theme, "unit_total", middle)
            start = write_right(painter, theme, "unit_total", px(_RIGHT), base, str(number), c.ink2)
            leader(painter, theme, end + px(6), start - px(8), base, c.rule2)
            self._hits.append((box, partial(self.place_chosen.emit, line.key), ""))
        base = px(_FIRST_ROW + _ROW * len(self._lines) + 16)
        write(painter, theme, "aside", px(_LEFT), base, "Ctrl and the number", c.ink3)

    def _paint_month(self, painter: QPainter) -> None:
        theme, c, px = self._theme, self._theme.palette, self._theme.px
        weeks = Calendar(firstweekday=0).monthdatescalendar(self._month.year, self._month.month)
        top = px(_FIRST_ROW + _ROW * len(self._lines) + 32)
        if self.height() < top + px(60 + 24 * len(weeks) + 80):
            return
        hairline(painter, theme, px(_LEFT), top, px(_RIGHT - _LEFT), c.rule)
        title = f"{self._month:%B}"
        if self._month.year != self._today.year:
            title += f" {self._month.year}"
        write(painter, theme, "group", px(_LEFT), top + px(22), title, c.ink)
        for at, by, hint in ((130, -1, "Earlier month"), (151, 1, "Later month")):
            box = QRectF(px(at - 10), top + px(6), px(20), px(22))
            ink = c.act if box == self._over else c.ink3
            base = middle_base(theme, "unit", box.center().y())
            arrow = "←" if by < 0 else "→"
            left = box.center().x() - theme.width("unit", arrow) / 2
            write(painter, theme, "unit", left, base, arrow, ink)
            self._hits.append((box, partial(self.step_month, by), hint))
        for column, letter in enumerate("MTWTFSS"):
            self._centred(painter, "tick", column, top + px(44), letter, c.ink3)
        for row, week in enumerate(weeks):
            base = top + px(65 + 24 * row)
            for column, day in enumerate(week):
                if day.month == self._month.month:
                    self._paint_day(painter, column, base, day)
        base = top + px(70 + 24 * len(weeks))
        line_y = base - theme.metrics("tick").xHeight() / 2
        painter.fillRect(QRectF(px(_LEFT - 1), line_y, px(9), px(1.5)), c.ink3)
        end = write(painter, theme, "unit", px(33), base, "closed", c.ink3)
        self._ring(painter, QPointF(end + px(20), line_y + 1))
        write(painter, theme, "unit", end + px(28), base, "left open", c.ink3)

    def _centred(
        self, painter: QPainter, role: str, column: int, base: float, text: str, ink: QColor
    ) -> float:
        centre = self._theme.px(30) + column * 20.2 * self._theme.scale
        width = self._theme.width(role, text)
        write(painter, self._theme, role, centre - width / 2, base, text, ink)
        return centre

    def _ring(self, painter: QPainter, centre: QPointF) -> None:
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self._theme.palette.look, 1.5 * self._theme.scale))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(centre, 2.4 * self._theme.scale, 2.4 * self._theme.scale)
        painter.restore()

    def _paint_day(self, painter: QPainter, column: int, base: float, day: date) -> None:
        theme, c, px = self._theme, self._theme.palette, self._theme.px
        known = day in self._closed or day in self._left_open
        ink = c.ink if known or day == self._day else c.ink3
        role = "head" if day == self._day or day == self._today else "tick"
        centre = px(30) + column * 20.2 * theme.scale
        middle = base - theme.metrics("tick").capHeight() / 2
        box = QRectF(centre - px(10), middle - px(12), px(20), px(24))
        if day == self._day:
            frame = QRectF(centre - px(11), middle - px(11), px(22), px(23))
            painter.save()
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(c.act, 2 * theme.scale))
            painter.setBrush(c.field)
            painter.drawRoundedRect(frame, px(2), px(2))
            painter.restore()
        elif box == self._over:
            ink = c.act
        self._centred(painter, role, column, base, str(day.day), ink)
        if day in self._closed:
            if day != self._day:
                painter.fillRect(QRectF(centre - px(4.5), base + px(6), px(9), px(1.5)), c.ink3)
            hint = "closed"
        elif day in self._left_open:
            if day != self._day:
                self._ring(painter, QPointF(centre, base + px(7)))
            hint = "left open"
        else:
            hint = ""
        self._hits.append((box, partial(self.day_chosen.emit, day), hint))

    def _paint_find(self, painter: QPainter) -> None:
        theme, c, px = self._theme, self._theme.palette, self._theme.px
        middle = self.height() - px(26)
        box = QRectF(px(12), middle - px(14), px(160), px(28))
        ink = c.act if box == self._over else c.ink2
        paint_mark(painter, theme, "find", QPointF(px(28), middle), ink, 14)
        base = middle_base(theme, "unit", middle)
        write(painter, theme, "unit", px(42), base, "Find anything", ink)
        paint_keycap(painter, theme, "Ctrl K", px(_RIGHT) - keycap_width(theme, "Ctrl K"), middle)
        self._hits.append((box, self.find_asked.emit, ""))

    def _paint_folded(self, painter: QPainter) -> None:
        theme, c, px = self._theme, self._theme.palette, self._theme.px
        centre = px(22)
        number = str(self._day.day)
        left = centre - theme.width("title", number) / 2
        write(painter, theme, "title", left, px(74), number, c.ink)
        short = f"{self._day:%b}"
        left = centre - theme.width("tick", short) / 2
        write(painter, theme, "tick", left, px(93), short, c.ink2)
        hairline(painter, theme, px(8), px(112), px(28), c.rule2)
        for index, line in enumerate(self._lines):
            top = px(_FIRST_ROW + _ROW * index)
            box = QRectF(0, top, px(40), px(30))
            here = line.key == self._here
            if here:
                painter.fillRect(box, c.act_soft)
                painter.fillRect(QRectF(0, top, px(3), px(30)), c.act)
            ink = c.ink if here or box == self._over else c.ink2
            middle = box.center().y()
            paint_mark(painter, theme, line.mark, QPointF(centre, middle), ink)
            count = line.status.split(" ")[0]
            if count.isdigit():
                tone = getattr(c, "ink2" if here and line.tone == "ink3" else line.tone)
                write_right(painter, theme, "key", px(44), middle + px(12), count, tone)
            hint = f"{line.name}, {line.status}" if line.status else line.name
            self._hits.append(
                (
                    box,
                    partial(self.place_chosen.emit, line.key),
                    f"{hint} (Ctrl {index + 1})",
                )
            )
        box = QRectF(0, self.height() - px(42), px(44), px(32))
        ink = c.act if box == self._over else c.ink2
        paint_mark(painter, theme, "find", QPointF(centre, box.center().y()), ink)
        self._hits.append((box, self.find_asked.emit, "Find anything (Ctrl K)"))


def month_of(day: date) -> tuple[date, date]:
    """First and last day of the month that holds a day."""
    first = day.replace(day=1)
    return first, (first + timedelta(days=32)).replace(day=1) - timedelta(days=1)
