"""An empty page teaches: what will appear here, how, and one key that begins it."""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtWidgets import QWidget

from app.window.paper.brush import Brush, Spot, Spotted
from app.window.paper.cells import EmptyText
from app.window.paper.theme import Theme


def _spoken(text: EmptyText) -> str:
    return f"{text.label}, {text.key}" if text.key else text.label


class EmptyPage(Spotted):
    """Serif title, two italic sentences, one key in act colour."""

    def __init__(self, theme: Theme, text: EmptyText, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self.setObjectName("empty page")
        self._text = text

    def teach(self, text: EmptyText) -> None:
        """Say something else."""
        self._text = text
        self.setAccessibleName(f"{text.title}. {text.text}")
        self.reach_by_tab(text.on_click is not None and not text.key)
        self.update()

    def _words(self, width: int) -> QRectF:
        px = self._theme.px
        inner = min(width - px(20), px(420))
        high = self._theme.wrapped_height("voice", self._text.text, inner)
        return QRectF(px(10), px(34), inner, high)

    def natural_height(self, width: int) -> int:
        """How high it is at a width."""
        room = self._theme.px(36 if self._text.label else 12)
        return round(self._words(width).bottom() + room)

    def draw(self, brush: Brush) -> None:
        px, c, text = brush.px, brush.c, self._text
        brush.write("entry", px(10), px(24), text.title, c.ink)
        box = self._words(self.width())
        brush.write_wrapped("voice", box, text.text, c.ink2)
        bottom = box.bottom() + px(8)
        self.spots = []
        if text.label:
            middle = box.bottom() + px(17)
            at: float = px(10)
            if text.key:
                at += brush.keycap(text.key, at, middle) + px(8)
            base = brush.base("dense_total", middle)
            end = brush.write("dense_total", at, base, text.label, c.act)
            link = QRectF(px(10), middle - px(12), end - px(10), px(24))
            if text.on_click is not None:
                self.spots = [Spot(link, text.on_click, name=_spoken(text))]
            bottom = middle + px(17)
        brush.hairline(0, bottom, self.width(), c.rule)
