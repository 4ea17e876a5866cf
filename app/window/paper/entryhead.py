"""The head of a table: two-line heads over a line in second rule colour."""

from __future__ import annotations

from math import ceil

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QHeaderView, QWidget

from app.window.paper.brush import Brush
from app.window.paper.cells import Column
from app.window.paper.entrymodel import EntryModel
from app.window.paper.theme import Theme

HEAD_HEIGHT = 42


class EntryHead(QHeaderView):
    """Paints heads; the first line strong, the second plain; right over numbers."""

    def __init__(self, theme: Theme, model: EntryModel, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self._theme = theme
        self._model = model
        self._aside: tuple[int, str] | None = None
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
