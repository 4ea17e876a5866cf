"""What is owed by age: one bar an invoice or job, the oldest left, each band's sum above."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QColor

from app.calculations.figures.owed_ages import BANDS, OwedBand, band_of
from app.calculations.numbers.wording import count_of
from app.window.paper.brush import Brush, Drawn
from app.window.paper.dotstrip import axis_ticks
from app.window.paper.palette import mix
from app.window.paper.theme import Theme

HIGH = 152
_LEFT, _TOP, _FOOT = 70, 46, 26
_BAR = 10


@dataclass(frozen=True)
class OwedBar:
    """An invoice or job that is not wholly paid: days since it was issued or done, minor units,
    and whose it is."""

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
        self._unit, self._noun = 1, "job"
        self.setFixedHeight(theme.px(HIGH))

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(400), self._theme.px(HIGH))

    def show_owed(
        self,
        bands: Sequence[tuple[OwedBand, str]],
        bars: Sequence[OwedBar],
        unit: int,
        noun: str = "job",
    ) -> None:
        """The bands with their sums in words, newest first, and what is owed, each a `noun`;
        `unit` minor units are one of the currency."""
        self._bands, self._bars, self._unit = tuple(bands), tuple(bars), max(unit, 1)
        self._noun = noun
        told = (f"{band.words}: {words}, {self._count(band)}" for band, words in self._bands)
        self.setAccessibleName(f"Owed by age. {'; '.join(told)}.")
        self.update()

    def draw(self, brush: Brush) -> None:
        if not self._bands:
            return
        c, px = brush.c, brush.px
        box = QRectF(px(_LEFT), px(_TOP), self.width() - px(_LEFT + 14), 0)
        box.setBottom(self.height() - px(_FOOT))
        piles: dict[float, list[OwedBar]] = defaultdict(list)
        for bar in self._bars:
            piles[self._place(box, bar.days)].append(bar)
        most = max((sum(one.due for one in pile) for pile in piles.values()), default=1)
        ticks = axis_ticks(0, most / self._unit, 4)
        for tick in ticks:
            at = box.bottom() - box.height() * tick / ticks[-1]
            if tick:
                brush.hairline(box.left(), round(at), box.width(), c.rule)
            base = brush.base("tick", at)
            brush.write_right("tick", box.left() - px(10), base, f"{tick:,.0f}", c.ink2)
        high = ticks[-1] * self._unit
        for left, pile in piles.items():
            foot = box.bottom()
            for one in sorted(pile, key=lambda one: -one.days):
                foot = self._draw_bar(brush, one, left, foot, box.height() * one.due / high)
        self._name_worst(brush, box, piles, high)
        brush.fill(box.left(), box.bottom(), box.width(), px(1), c.rule2)
        self._draw_bands(brush, box)

    def _count(self, band: OwedBand) -> str:
        return count_of(band.count, self._noun) if self._noun else f"{band.count} open"

    @property
    def _oldest(self) -> int:
        """Days at the left edge: beyond 90 they stand the closer the older they are."""
        return max(120, *(bar.days for bar in self._bars)) if self._bars else 120

    def _place(self, box: QRectF, days: int) -> float:
        """The left edge of a bar of that age; a band has places side by side, shared by ages."""
        at, quarter = band_of(days), box.width() / len(BANDS)
        first, last = BANDS[at]
        if last is None:
            share = math.log(days / (first - 1)) / math.log(self._oldest / (first - 1))
        else:
            share = (days - first + 0.5) / (last - first + 1)
        wide = self._theme.px(_BAR) + self._theme.px(2)
        places = max(1, int((quarter - self._theme.px(4)) // wide))
        place = min(int(max(share, 0.0) * places), places - 1)
        right = box.right() - quarter * at - self._theme.px(3)
        return right - place * wide - self._theme.px(_BAR)

    def _draw_bar(self, brush: Brush, one: OwedBar, left: float, foot: float, high: float) -> float:
        """A job, on those of its place with a gap of paper between; where it ends."""
        high = max(high, brush.px(2))
        bar = QRectF(left, foot - high, brush.px(_BAR), high)
        tone, hatched = _tone(brush, one.days)
        if hatched and high < brush.px(6):  # too low for an edge and lines within
            brush.fill(bar.left(), bar.top(), bar.width(), high, mix(brush.c.paper, tone, 0.6))
            brush.fill(bar.left(), bar.top(), bar.width(), brush.px(1), brush.c.paper)
        elif hatched:
            brush.hatch(bar, tone, 4)
            with brush.smooth():
                brush.stroke(tone, 1.2)
                brush.painter.drawRect(bar.adjusted(0.5, 0.5, -0.5, -0.5))
        else:
            brush.fill(bar.left(), bar.top(), bar.width(), bar.height(), tone)
            brush.fill(bar.left(), bar.top(), bar.width(), brush.px(1), brush.c.paper)
        return bar.top()

    def _name_worst(
        self, brush: Brush, box: QRectF, piles: Mapping[float, Sequence[OwedBar]], high: float
    ) -> None:
        """Whose the largest debt over 90 days is, beside its bar where that stands alone."""
        old = [bar for bar in self._bars if BANDS[band_of(bar.days)][1] is None and bar.who]
        if not old:
            return
        worst = max(old, key=lambda bar: bar.due)
        place = self._place(box, worst.days)
        left, wide = place + brush.px(_BAR + 7), brush.theme.width("key", worst.who)
        room = box.left() + box.width() / len(BANDS) - brush.px(6)
        crowded = any(place < at < left + wide for at in piles) or len(piles[place]) > 1
        if not crowded and left + wide <= room:
            top = box.bottom() - box.height() * worst.due / high
            base = max(top + brush.px(11), box.top() + brush.px(9))
            brush.write("key", left, base, worst.who, brush.c.alarm)

    def _draw_bands(self, brush: Brush, box: QRectF) -> None:
        c, px = brush.c, brush.px
        base, quarter = box.bottom() + px(17), box.width() / len(BANDS)
        for at, (band, words) in enumerate(self._bands):
            left = box.right() - quarter * (at + 1)
            if band.last is not None:
                brush.fill(round(left), px(4), px(1), box.bottom() - px(4), c.rule2)
                brush.write_centred("tick", left, base, f"{band.last} days", c.ink2)
            tone = _ink(brush, band)
            text = left + px(10)
            end = brush.write("key", text, px(17), band.words, c.ink2 if band.count else c.ink3)
            if band.count and at > 1:
                brush.mark("wrong" if band.last is None else "look", end + px(14), px(12), tone, 14)
            end = brush.write("total", text, px(37), words if band.count else "·", tone) + px(8)
            jobs = self._count(band)
            if band.count and end + brush.theme.width("unit", jobs) < left + quarter:
                brush.write("unit", end, px(37), jobs, c.ink3)
        brush.fill(round(box.right()), px(4), px(2), box.bottom() - px(4), c.ink)
        brush.write_right("key", box.right() + px(12), base, "today", c.ink)
        brush.write("tick", box.left(), base, f"{self._oldest:,} days", c.ink2)


def _tone(brush: Brush, days: int) -> tuple[QColor, bool]:
    """The colour of a bar of that age, and whether it is hatched."""
    c, at = brush.c, band_of(days)
    return (c.bar, c.bar, c.look, c.alarm)[at], at > 0


def _ink(brush: Brush, band: OwedBand) -> QColor:
    c = brush.c
    return (c.ink, c.ink, c.look, c.alarm)[band_of(band.first)] if band.count else c.ink3
