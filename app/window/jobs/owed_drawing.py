"""What is owed by age: one bar a job, the oldest on the left, and the sum of each band above."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QColor

from app.calculations.figures.owed_ages import BANDS, OwedBand
from app.calculations.numbers.wording import count_of
from app.window.paper.brush import Brush, Drawn
from app.window.paper.dotstrip import axis_ticks
from app.window.paper.theme import Theme

HIGH = 152
_LEFT, _TOP, _FOOT = 70, 46, 26
_BAR = 10
SHOWN_DAYS = 120  # what is older stands at the left edge

Across = Callable[[float], float]  # where an age in days stands


@dataclass(frozen=True)
class OwedBar:
    """A job that is not wholly paid: days since it was done, minor units, and whose it is."""

    days: int
    due: int
    who: str


class OwedDrawing(Drawn):
    """Four bands of age; solid up to 30 days, hatched beyond, and marked from 61 on.

    Money is drawn in whole units of the currency; `words` of a band is what it comes to.
    """

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._bands: tuple[tuple[OwedBand, str], ...] = ()
        self._bars: tuple[OwedBar, ...] = ()
        self._unit = 1
        self.setFixedHeight(theme.px(HIGH))

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(400), self._theme.px(HIGH))

    def show_owed(
        self, bands: Sequence[tuple[OwedBand, str]], bars: Sequence[OwedBar], unit: int
    ) -> None:
        """The bands with their sums in words, newest first, and the jobs; `unit` minor units are
        one of the currency."""
        self._bands, self._bars, self._unit = tuple(bands), tuple(bars), max(unit, 1)
        told = (f"{band.words}: {words}, {_jobs(band)}" for band, words in self._bands)
        self.setAccessibleName(f"Owed by age. {'; '.join(told)}.")
        self.update()

    def draw(self, brush: Brush) -> None:
        if not self._bands:
            return
        c, px = brush.c, brush.px
        box = QRectF(px(_LEFT), px(_TOP), self.width() - px(_LEFT + 14), 0)
        box.setBottom(self.height() - px(_FOOT))
        piles: dict[int, list[OwedBar]] = defaultdict(list)
        for bar in self._bars:
            piles[min(max(bar.days, 0), SHOWN_DAYS)].append(bar)
        most = max((sum(one.due for one in pile) for pile in piles.values()), default=1)
        ticks = axis_ticks(0, most / self._unit, 4)
        for tick in ticks:
            at = box.bottom() - box.height() * tick / ticks[-1]
            if tick:
                brush.hairline(box.left(), round(at), box.width(), c.rule)
            base = brush.base("tick", at)
            brush.write_right("tick", box.left() - px(10), base, f"{tick:,.0f}", c.ink2)

        def x(days: float) -> float:
            return box.right() - box.width() * days / SHOWN_DAYS

        high = ticks[-1] * self._unit
        for days, pile in sorted(piles.items()):
            self._draw_pile(brush, box, x(days), [one.due / high for one in pile], days)
        self._name_oldest(brush, box, x, piles, high)
        brush.fill(box.left(), box.bottom(), box.width(), px(1), c.rule2)
        self._draw_bands(brush, box, x)

    def _draw_pile(
        self, brush: Brush, box: QRectF, at: float, shares: Sequence[float], days: int
    ) -> None:
        """The jobs of one day, one on the other with a gap of paper between."""
        px, wide = brush.px, brush.px(_BAR)
        left = min(max(at - wide, box.left() + px(2)), box.right() - wide)
        foot = box.bottom()
        tone, hatched = _tone(brush, days)
        for share in shares:
            high = max(box.height() * share, px(2))
            bar = QRectF(left, foot - high, wide, high)
            if hatched:
                brush.fill(bar.left(), bar.top(), bar.width(), bar.height(), brush.c.paper)
                brush.hatch(bar, tone, 4)
                brush.stroke(tone, 1.2)
                brush.painter.drawRect(bar.adjusted(0.5, 0.5, -0.5, -0.5))
            else:
                brush.fill(bar.left(), bar.top(), bar.width(), bar.height(), tone)
            foot -= high
            brush.fill(left, foot, wide, px(1), brush.c.paper)

    def _name_oldest(
        self, brush: Brush, box: QRectF, x: Across, piles: Mapping[int, Sequence[OwedBar]],
        high: float,
    ) -> None:  # fmt: skip
        """Whose the largest debt over 90 days is, beside its bar where there is room."""
        old = [bar for bar in self._bars if bar.days > (BANDS[2][1] or 0) and bar.who]
        if not old:
            return
        worst = max(old, key=lambda bar: bar.due)
        days = min(worst.days, SHOWN_DAYS)
        if len(piles[days]) > 1:
            return
        left = max(x(days), box.left() + brush.px(_BAR + 2)) + brush.px(7)
        room = x(BANDS[2][1] or 0) - brush.px(8) - left
        others = any(
            at != days and left < x(at) < left + brush.theme.width("key", worst.who) for at in piles
        )
        if brush.theme.width("key", worst.who) <= room and not others:
            pile = sum(one.due for one in piles[days])
            top = box.bottom() - box.height() * pile / high
            brush.write("key", left, max(top + brush.px(11), box.top() + brush.px(9)), worst.who,
                        brush.c.alarm)  # fmt: skip

    def _draw_bands(self, brush: Brush, box: QRectF, x: Across) -> None:
        c, px = brush.c, brush.px
        base = box.bottom() + px(17)
        for band, words in self._bands:
            end = x(SHOWN_DAYS if band.last is None else band.last + 0.5)
            left = box.left() if band.last is None else end
            begin = x(band.first - 0.5) if band.first else box.right()
            if band.last is not None:
                brush.fill(round(left), px(4), px(1), box.bottom() - px(4), c.rule2)
                brush.write_centred("tick", left, base, f"{band.last} days", c.ink2)
            tone = _ink(brush, band)
            at = left + px(10)
            end = brush.write("key", at, px(17), band.words, c.ink2 if band.count else c.ink3)
            if band.count and band.first > 60:
                mark = "wrong" if band.last is None else "look"
                brush.mark(mark, at + (end - at) + px(14), px(12), tone, 14)
            sum_end = brush.write("total", at, px(37), words if band.count else "·", tone)
            jobs = _jobs(band)
            if band.count and sum_end + px(8) + brush.theme.width("unit", jobs) < begin:
                brush.write("unit", sum_end + px(8), px(37), jobs, c.ink3)
        brush.fill(round(box.right()), px(4), px(2), box.bottom() - px(4), c.ink)
        brush.write_right("key", box.right() + px(12), base, "today", c.ink)
        brush.write("tick", box.left(), base, "older", c.ink2)


def _jobs(band: OwedBand) -> str:
    return count_of(band.count, "job")


def _tone(brush: Brush, days: int) -> tuple[QColor, bool]:
    """The colour of a bar of that age, and whether it is hatched."""
    c = brush.c
    if days > (BANDS[2][1] or 0):
        return c.alarm, True
    if days > (BANDS[1][1] or 0):
        return c.look, True
    return c.bar, days > (BANDS[0][1] or 0)


def _ink(brush: Brush, band: OwedBand) -> QColor:
    c = brush.c
    if not band.count:
        return c.ink3
    return c.alarm if band.last is None else c.look if band.first > 60 else c.ink
