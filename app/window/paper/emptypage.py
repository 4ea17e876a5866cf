"""An empty page teaches: what will appear here, how, and one key that begins it."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.window.paper.cells import EmptyText
from app.window.paper.marks import paint_keycap
from app.window.paper.strokes import hairline, middle_base, write, write_wrapped
from app.window.paper.theme import Theme


class EmptyPage(QWidget):
    """Serif title, two italic sentences, one key in act colour."""

    def __init__(self, theme: Theme, text: EmptyText, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("empty page")
        self._theme = theme
        self._text = text
        self._link = QRectF()
        self.setMouseTracking(True)
        theme.recoloured.connect(self.update)

    def teach(self, text: EmptyText) -> None:
        """Say something else."""
        self._text = text
        self.setAccessibleName(f"{text.title}. {text.text}")
        self.update()

    def _words_height(self, width: float) -> float:
        box = QRectF(0, 0, width, 10_000)
        flags = Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap
        return self._theme.metrics("voice").boundingRect(box, int(flags), self._text.text).height()

    def natural_height(self, width: int) -> int:
        """How high it is at a width."""
        px = self._theme.px
        inner = min(width - px(20), px(420))
        return round(px(34) + self._words_height(inner) + px(36 if self._text.label else 12))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), self._theme
        px, c = theme.px, theme.palette
        write(painter, theme, "entry", px(10), px(24), self._text.title, c.ink)
        inner = min(self.width() - px(20), px(420))
        high = self._words_height(inner)
        box = QRectF(px(10), px(34), inner, high)
        write_wrapped(painter, theme, "voice", box, self._text.text, c.ink2)
        bottom = box.bottom() + px(8)
        self._link = QRectF()
        if self._text.label:
            middle = box.bottom() + px(17)
            at: float = px(10)
            if self._text.key:
                at += paint_keycap(painter, theme, self._text.key, at, middle) + px(8)
            base = middle_base(theme, "dense_total", middle)
            end = write(painter, theme, "dense_total", at, base, self._text.label, c.act)
            self._link = QRectF(px(10), middle - px(12), end - px(10), px(24))
            bottom = middle + px(17)
        hairline(painter, theme, 0, bottom, self.width(), c.rule)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        over = self._link.contains(event.position())
        self.setCursor(Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()  # else the release would go to the parent

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._link.contains(event.position()) and self._text.on_click is not None:
            self._text.on_click()
