"""The range of an estimate as a line: a tick is low, a ring likely, a thick wall the ceiling."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPen

from app.window.paper.brush import Brush, Drawn
from app.window.paper.dotstrip import axis_ticks
from app.window.paper.theme import Theme

HIGH = 76
_SIDE, _LINE = 36, 42


class RangeLine(Drawn):
    """Low, likely and not above, on an axis; the wall is dashed until it is agreed."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._three: tuple[int, int, int] | None = None
        self._words = ("", "", "")
        self._wall: tuple[int, bool] = (0, False)
        self._unit = 1
        self.setFixedHeight(theme.px(HIGH))
        self.hide()

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(400), self._theme.px(HIGH))

    def show_range(
        self, three: tuple[int, int, int], words: tuple[str, str, str], ceiling: int, unit: int,
        *, agreed: bool,
    ) -> None:  # fmt: skip
        """Minor units with their words; `unit` minor units are one of the currency."""
        self._three, self._words, self._unit = three, words, max(unit, 1)
        self._wall = (ceiling, agreed)
        how = "agreed" if agreed else "not agreed yet"
        self.setAccessibleName(f"Low {words[0]}, likely {words[1]}, not above {words[2]}, {how}.")
        self.setHidden(three[1] <= 0)
        self.update()

    def draw(self, brush: Brush) -> None:
        if self._three is None:
            return
        c, px = brush.c, brush.px
        low, likely, _high = self._three
        wall, agreed = self._wall
        hundred = 100 * self._unit
        first = (low // hundred) * hundred if wall - low > hundred else low - (wall - low or low)
        first = max(0, first)
        last = max(wall, likely) + max((wall - first) // 12, 1)
        left, wide = px(_SIDE), self.width() - 2 * px(_SIDE)
        line = px(_LINE)

        def at(value: float) -> float:
            return left + wide * (value - first) / (last - first)

        brush.fill(left, line, wide, 1, c.rule2)
        for tick in axis_ticks(first / self._unit, last / self._unit, 6):
            if first <= tick * self._unit <= last:
                brush.fill(round(at(tick * self._unit)), line, 1, px(4), c.rule2)
                brush.write_centred(
                    "tick", at(tick * self._unit), line + px(19), f"{tick:,.0f}", c.ink2
                )
        brush.fill(at(low), line - px(1), at(wall) - at(low), px(3), c.ink)
        brush.fill(round(at(low)), line - px(8), px(2), px(16), c.ink)
        if agreed:
            brush.fill(round(at(wall)) - px(1), line - px(16), px(4), px(26), c.ink)
        else:
            with brush.smooth():
                pen = QPen(c.ink, px(3), Qt.PenStyle.DashLine)
                brush.painter.setPen(pen)
                brush.painter.drawLine(
                    round(at(wall)), line - px(16), round(at(wall)), line + px(10)
                )
        with brush.smooth():
            brush.painter.setPen(QPen(c.paper, px(2)))
            brush.painter.setBrush(c.ink)
            brush.dot(at(likely), line + px(0.5), px(6))
        self._name(brush, at(low), at(likely), at(wall))

    def _name(self, brush: Brush, low: float, likely: float, wall: float) -> None:
        """The three words above the line, apart from each other."""
        c, base = brush.c, brush.px(_LINE) - brush.px(18)
        texts = [
            f"{name} {word}"
            for name, word in zip(("low", "likely", "not above"), self._words, strict=True)
        ]
        gap = brush.px(16)
        wides = [brush.theme.width("key", text) for text in texts]
        middle = likely - wides[1] / 2
        end = max(min(wall, self.width() - brush.px(4)), middle + wides[1] + gap + wides[2])
        if end > self.width():
            end = self.width() - brush.px(2)
            middle = min(middle, end - wides[2] - gap - wides[1])
        start = min(low, middle - gap - wides[0])
        brush.write("key", max(0, start), base, texts[0], c.ink2)
        brush.write("key", middle, base, texts[1], c.ink)
        brush.write_right("key", end, base, texts[2], c.ink)
