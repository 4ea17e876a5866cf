"""The earliest begin of a new job, and the begins that fit with why not sooner."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QRectF, QSize, Signal

from app.actions.bay.earliest_days import Begin, EarliestDays
from app.calculations.numbers.wording import noun
from app.window.paper.brush import Brush, Drawn, Spot, Spotted
from app.window.paper.theme import Theme

_FIND, _HEAD, _LINE, _FOOT = 28, 22, 28, 26  # pixels at scale 1
LIKELY = 0.8


class Finding(Drawn):
    """One sentence: the earliest begin, and its reason in italics."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._words, self._why = "", ""
        self.setFixedHeight(theme.px(_FIND))

    def show_finding(self, found: EarliestDays | None) -> None:
        """What was found; without it what to say first."""
        self._words = found.finding if found is not None else ""
        self._why = f"because {found.why}" if found is not None and found.why else ""
        if not self._words:
            self._why = "Say what is sold, and the day is found."
        self.setAccessibleName(f"{self._words} {self._why}".strip())
        self.update()

    def draw(self, brush: Brush) -> None:
        base, px, c = brush.base("entry", self.height() / 2), brush.px, brush.c
        end: float = 0
        if self._words:
            end = brush.write("entry", 0, base, self._words, c.ink, self.width()) + px(12)
        if self.width() - end > px(60):
            brush.write("voice", end, base, self._why, c.ink2, self.width() - end)


class FoundDays(Spotted):
    """Up to three begins; a press takes one. Below them a gap that is too short, and why."""

    chosen = Signal(int)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._begins: tuple[Begin, ...] = ()
        self._short = ""
        self._at = -1
        self._few = False
        self.say: Callable[[int], str] = str
        self.setAccessibleName("Days that fit")
        self.hide()

    def show_begins(self, found: EarliestDays | None, at: int) -> None:
        """The begins, and which of them is taken (-1: another, that was typed)."""
        self._begins = found.begins if found is not None else ()
        self._short = found.too_short if found is not None else ""
        self._few = found is not None and found.few
        self._at = at
        self.setVisible(bool(self._begins))
        self._lay()
        self.update()

    def natural_height(self, _width: int) -> int:
        """With all lines."""
        px = self._theme.px
        return px(_HEAD) + px(_LINE) * len(self._begins) + (px(_FOOT) if self._short else 0)

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(400), self.natural_height(0))

    def resizeEvent(self, event: object) -> None:
        self._lay()

    def _lay(self) -> None:
        px = self._theme.px
        self.spots = [
            Spot(QRectF(0, px(_HEAD) + px(_LINE) * at, self.width(), px(_LINE)),
                 partial(self.chosen.emit, at), name=self._spoken(one),
                 states=frozenset({"selectable", "selected"} if at == self._at else {"selectable"}))
            for at, one in enumerate(self._begins)
        ]  # fmt: skip

    def _spoken(self, one: Begin) -> str:
        nights = f", {one.nights} {noun(one.nights, 'night')} in the bay" if one.nights else ""
        kept = f"promise kept with {round(100 * one.chance)} %"
        return (
            f"begins {self.say(one.begin)}: {one.why}, ready {self.say(one.ready)}{nights}, {kept}"
        )

    def draw(self, brush: Brush) -> None:
        if not self._begins:
            return
        c, px = brush.c, brush.px
        right = self.width() - px(8)
        kept, nights = right, right - px(116)
        ready = nights - px(74)
        narrow = self.width() < px(620)
        why = px(150)
        base = brush.base("head", px(_HEAD) / 2)
        brush.write("head", px(10), base, "Begins", c.ink2)
        if not narrow:
            brush.write("head", why, base, "Why not sooner", c.ink2)
        brush.write_right("head", ready, base, "Ready", c.ink2)
        brush.write_right("head", nights, base, "In the bay", c.ink2)
        brush.write_right("head", kept, base, "Promise kept", c.ink2)
        brush.hairline(0, px(_HEAD) - px(1), self.width(), c.rule2)
        for at, (one, spot) in enumerate(zip(self._begins, self.spots, strict=True)):
            self._draw_line(brush, one, spot.box, at == self._at, (why, ready, nights, kept),
                            narrow=narrow)  # fmt: skip
        if self._short:
            middle = px(_HEAD) + px(_LINE) * len(self._begins) + px(_FOOT) / 2
            brush.mark("look", px(8), middle, size=14)
            base = brush.base("dense", middle)
            brush.write("dense", px(22), base, self._short, c.ink2, self.width() - px(24))

    def _draw_line(
        self,
        brush: Brush,
        one: Begin,
        box: QRectF,
        taken: bool,
        columns: tuple[float, ...],
        *,
        narrow: bool,
    ) -> None:
        c, px, middle = brush.c, brush.px, box.center().y()
        why, ready, nights, kept = columns
        if taken or box == self.over:
            brush.painter.fillRect(box.adjusted(0, 0, 0, -px(1)), c.sel)
        if taken:
            brush.fill(0, box.top(), px(3), box.height() - px(1), c.act)
        base = brush.base("dense", middle)
        role = "dense_total" if taken else "dense"
        brush.write(role, px(10), base, self.say(one.begin), c.ink, why - px(16))
        left = brush.write_right("dense", ready, base, self.say(one.ready), c.ink)
        if not narrow:
            brush.write("dense", why, base, one.why, c.ink2, left - why - px(16))
        if one.nights:
            words = f"{one.nights} {noun(one.nights, 'night')}"
            brush.write_right("dense", nights, base, words, c.ink2)
        tone = c.ink if one.chance >= LIKELY else c.look
        start = brush.write_right(role, kept, base, f"{round(100 * one.chance)} %", tone)
        if self._few:
            with brush.smooth():
                brush.stroke(c.look, 1.5, dash=(1, 1.6), flat=True)
                brush.draw_line(start, middle + px(7), kept, middle + px(7))
        brush.hairline(0, box.bottom() - px(1), self.width(), c.rule)
