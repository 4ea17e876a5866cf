"""What the marks of the plan mean, in one line."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QRectF, QSize

from app.calculations.bay.runs import Kind
from app.window.bay.bars import THICK, draw_clash, draw_flag, draw_kind
from app.window.paper.brush import Brush, Drawn
from app.window.paper.theme import Theme

_GAP, _WIDE = 16, 26


class PlanLegend(Drawn):
    """Samples with their words; what has no room is left out from the end."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self.clash = False  # whether one stands in the plan
        self.setAccessibleName("Solid: hands on. Lines: cures. Dots: dries. Bracket: ready, four "
                               "times in five. Flag: promised.")  # fmt: skip

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(480), self._theme.px(24))

    def _samples(self) -> list[tuple[str, int, Callable[[Brush, QRectF], object]]]:
        """Words, width of the sample at scale 1, and what paints it."""
        kinds: list[tuple[str, int, Callable[[Brush, QRectF], object]]] = [
            (kind.value, _WIDE, lambda brush, box, kind=kind: draw_kind(brush, kind, box,
                                                                       brush.c.bar))
            for kind in Kind
        ]  # fmt: skip
        kinds.append(("ready, four in five", 20, _draw_bracket))
        kinds.append(("promised", 8, _draw_flag))
        if self.clash:
            kinds.insert(3, ("clash", 20, draw_clash))
        return kinds

    def draw(self, brush: Brush) -> None:
        px, middle, left = brush.px, self.height() / 2, 0.0
        for words, wide, paint in self._samples():
            need = px(wide + 7) + brush.theme.width("unit", words)
            if left + need > self.width():
                break
            top = round(middle - px(THICK) / 2)
            paint(brush, QRectF(round(left), top, px(wide), px(THICK)))
            end = left + px(wide + 7)
            left = brush.write("unit", end, brush.base("unit", middle), words, brush.c.ink2)
            left += px(_GAP)


def _draw_bracket(brush: Brush, box: QRectF) -> None:
    y = round(box.center().y()) + 0.5
    with brush.smooth():
        brush.stroke(brush.c.ink2, 1.2, flat=True)
        brush.draw_line(box.left(), y, box.right(), y)
        for x in (box.left() + 0.5, box.right() - 0.5):
            brush.draw_line(x, y - brush.px(3), x, y + brush.px(3))


def _draw_flag(brush: Brush, box: QRectF) -> None:
    draw_flag(brush, box.left(), box.center().y() + brush.px(2), brush.c.ink)
