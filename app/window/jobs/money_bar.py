"""What a job is charged, as a bar against its estimate: what came, what is due, the ceiling."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize

from app.window.paper.brush import Brush, Drawn
from app.window.paper.theme import Theme

HIGH = 74
_BAR, _THICK, _BRACKET = 26, 14, 50


@dataclass(frozen=True)
class MoneyStands:
    """Minor units with their tax, and in `words`: charged, came, low, likely, not above, and what
    is to spare below it or above it."""

    charged: int
    came: int
    low: int
    likely: int
    ceiling: int
    agreed: str  # by whom and when; "" where nobody said yes yet
    words: tuple[str, str, str, str, str, str]


class MoneyBar(Drawn):
    """Solid is what came, hatched what is still due, a wall the ceiling; beneath it the range."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._stands: MoneyStands | None = None
        self.setFixedHeight(theme.px(HIGH))
        self.hide()

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(400), self._theme.px(HIGH))

    def show_money(self, stands: MoneyStands | None) -> None:
        """Draw how it stands; nothing without an estimate."""
        self._stands = stands
        self.setHidden(stands is None or stands.ceiling <= 0)
        if stands is not None:
            charged, came, low, likely, wall, rest = stands.words
            over = "above it by" if stands.charged > stands.ceiling else "to spare"
            self.setAccessibleName(
                f"Charged {charged}, of it came {came}. Low {low}, likely {likely}, not above "
                f"{wall}; {over} {rest}."
            )
        self.update()

    def draw(self, brush: Brush) -> None:
        stands = self._stands
        if stands is None:
            return
        c, px = brush.c, brush.px
        most = max(stands.ceiling, stands.charged, stands.came) * 1.04
        wide = self.width() - px(2)

        def at(value: int) -> float:
            return wide * max(0, value) / most

        charged, came, low, likely, wall, rest = stands.words
        top, over = px(_BAR), stands.charged > stands.ceiling
        brush.fill(0, top + px(_THICK), wide, 1, c.rule2)
        brush.fill(0, top, at(min(stands.came, stands.charged)), px(_THICK), c.bar)
        due = QRectF(at(stands.came), top, at(stands.charged) - at(stands.came), px(_THICK))
        if due.width() > 0:
            brush.hatch(due, c.alarm if over else c.bar)
            brush.painter.setPen(c.alarm if over else c.bar)
            brush.painter.drawRect(due)
        brush.fill(round(at(stands.ceiling)) - px(1), top - px(14), px(2), px(44), c.ink)
        base = px(14)
        end = brush.write("key", 0, base, f"charged {charged}", c.ink)
        brush.write("key", end + px(18), base, f"of it came {came}", c.ink2)
        side = at(stands.ceiling) - px(10)
        words = f"above by {rest}" if over else f"{rest} to spare"
        brush.write_right("key", side, base, words, c.alarm if over else c.ink2)
        line = px(_BRACKET)
        brush.fill(at(stands.low), line, at(stands.ceiling) - at(stands.low), px(1), c.ink)
        brush.fill(round(at(stands.low)), line - px(5), px(1), px(10), c.ink)
        with brush.smooth():
            brush.painter.setBrush(c.ink)
            brush.painter.setPen(c.paper)
            brush.dot(at(stands.likely), line + px(0.5), px(4))
        self._name(brush, at(stands.likely), side + px(10), (low, likely, wall))

    def _name(self, brush: Brush, likely: float, wall: float, words: tuple[str, str, str]) -> None:
        """The three words beneath, apart from each other, and who agreed at the left."""
        px, c, base = brush.px, brush.c, brush.px(_BRACKET + 19)
        texts = [
            f"{name} {word}"
            for name, word in zip(("low", "likely", "not above"), words, strict=True)
        ]
        wides = [brush.theme.width("key", one) for one in texts]
        gap, stands = px(16), self._stands
        last = max(wall - wides[2], sum(wides[:2]) + 2 * gap)
        middle = max(min(likely - wides[1] / 2, last - gap - wides[1]), wides[0] + gap)
        first = middle - gap - wides[0]
        agreed = stands.agreed if stands is not None else ""
        if agreed and brush.theme.width("key", agreed) + gap < first:
            brush.write("key", 0, base, agreed, c.ink2)
        brush.write("key", first, base, texts[0], c.ink2)
        brush.write("key", middle, base, texts[1], c.ink)
        brush.write("key", last, base, texts[2], c.ink)
