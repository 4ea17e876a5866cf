"""The head of a table: two-line heads over a line in second rule colour.

A click sorts by a column; its edge is dragged to another width, a double click on it fits it.
"""

from __future__ import annotations

from math import ceil

from PySide6.QtCore import QPointF, QRect, QRectF, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPolygonF
from PySide6.QtWidgets import QHeaderView, QWidget

from app.window.paper.brush import Brush
from app.window.paper.cells import Column
from app.window.paper.entrymodel import EntryModel
from app.window.paper.theme import Theme

HEAD_HEIGHT = 42
EDGE = 5  # pixels beside a column's edge where it is taken hold of


class EntryHead(QHeaderView):
    """Paints heads; the first line strong, the second plain; right over numbers."""

    sort_asked = Signal(int)  # column
    sized = Signal(int, int)  # column, pixels
    fit_asked = Signal(int)  # column

    def __init__(self, theme: Theme, model: EntryModel, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self._theme = theme
        self._model = model
        self._aside: tuple[int, str] | None = None
        self._order: tuple[int, bool] | None = None
        self._held: tuple[int, int] | None = None  # the column whose edge is held, and from where
        self._pressed = -1
        self.setMouseTracking(True)
        self.setFixedHeight(theme.px(HEAD_HEIGHT))
        self.setSectionsClickable(False)
        self.setHighlightSections(False)
        self.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.setMinimumSectionSize(1)

    def say_aside(self, column: int | None, before: int, after: int) -> None:
        """At a column, how many like it stand aside before and after those in sight."""
        words = [f"‹ {before}" if before else "", f"{after} ›" if after else ""]
        said = (column, "  ".join(one for one in words if one)) if column is not None else None
        if said != self._aside:
            self._aside = said
            self.viewport().update()

    def say_order(self, column: int | None, *, falling: bool) -> None:
        """The column that the rows are sorted by, if any."""
        said = (column, falling) if column is not None else None
        if said != self._order:
            self._order = said
            self.viewport().update()

    # mouse ---------------------------------------------------------------------------------
    def _edge_at(self, x: int) -> int:
        """The column whose right edge is at a place; -1 where none is."""
        for at in range(self.count()):
            edge = self.sectionViewportPosition(at) + self.sectionSize(at)
            if not self.isSectionHidden(at) and abs(x - edge) <= self._theme.px(EDGE):
                return at
        return -1

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        x = round(event.position().x())
        if self._held is not None:
            at, start = self._held
            self.sized.emit(at, max(1, x - start))
            return
        shape = Qt.CursorShape.ArrowCursor
        if self._edge_at(x) >= 0:
            shape = Qt.CursorShape.SplitHCursor
        elif self.logicalIndexAt(x) >= 0:
            shape = Qt.CursorShape.PointingHandCursor
        self.viewport().setCursor(shape)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            event.ignore()
            return
        x = round(event.position().x())
        at = self._edge_at(x)
        self._pressed = self.logicalIndexAt(x) if at < 0 else -1
        self._held = (at, x - self.sectionSize(at)) if at >= 0 else None

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        x = round(event.position().x())
        if self._held is None and self._pressed >= 0 and self.logicalIndexAt(x) == self._pressed:
            self.sort_asked.emit(self._pressed)
        self._held, self._pressed = None, -1

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        at = self._edge_at(round(event.position().x()))
        if at >= 0:
            self.fit_asked.emit(at)
        else:
            self.mousePressEvent(event)

    # paint ---------------------------------------------------------------------------------
    @staticmethod
    def need_of(theme: Theme, column: Column, *, first: bool) -> int:
        """The width at which neither line of a head is cut."""
        if column.paint_head is not None:
            return 0
        pad = theme.px(10) if first else theme.px(column.pad)
        lines = max(theme.width("head", column.head), theme.width("tick", column.subhead))
        return ceil(lines) + pad + theme.px(2)

    def paintSection(self, painter: QPainter, rect: QRect, logical: int) -> None:
        if not rect.isValid() or logical >= len(self._model.columns):
            return
        brush = Brush(painter, self._theme)
        c, px = brush.c, brush.px
        column = self._model.columns[logical]
        box = QRectF(rect)
        painter.save()
        brush.hairline(box.left(), box.bottom() - px(1), box.width(), c.rule2)
        if self._order is not None and self._order[0] == logical:
            self._draw_order(brush, box, column, falling=self._order[1])
        if column.paint_head is not None:
            column.paint_head(brush, box)
            painter.restore()
            return
        pad = px(10) if logical == 0 else px(column.pad)
        room = box.width() - pad - px(2)
        lines = [(column.head, "head", c.ink2)]
        if column.subhead:
            lines.append((column.subhead, "tick", c.ink3))
        base = box.bottom() - px(9)
        if self._aside is not None and self._aside[0] == logical and self._aside[1]:
            end = brush.write("key", box.left() + px(4), base, self._aside[1], c.act)
            room -= max(0.0, end - box.left())
        for text, role, ink in reversed(lines):
            if column.right:
                brush.write_right(role, box.right() - pad, base, text, ink, room)
            else:
                brush.write(role, box.left() + pad, base, text, ink, room)
            base -= px(16)
        painter.restore()

    def _draw_order(self, brush: Brush, box: QRectF, column: Column, *, falling: bool) -> None:
        """A small triangle in the room beside the words, which they never take, over a line."""
        c, px = brush.c, brush.px
        brush.fill(box.left(), box.bottom() - px(2), box.width(), px(2), c.act)
        left = box.right() - px(8) if column.right else box.left() + px(1)
        top, high, wide = box.bottom() - px(17), px(5), px(6)
        tip, foot = (top + high, top) if falling else (top, top + high)
        corners = [QPointF(left, foot), QPointF(left + wide, foot), QPointF(left + wide / 2, tip)]
        brush.painter.setPen(Qt.PenStyle.NoPen)
        brush.painter.setBrush(c.act)
        brush.painter.drawPolygon(QPolygonF(corners))
