"""What a supply's card draws: its level over time, days until it comes, what a unit cost."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QPolygonF

from app.actions.shelf.supply_level import SupplyLevel
from app.calculations.numbers.dates import day_short
from app.calculations.numbers.wording import MINUS
from app.window.paper.brush import Brush, Drawn
from app.window.paper.dotstrip import axis_ticks
from app.window.paper.palette import faded, mix
from app.window.paper.theme import Theme

_LEFT, _RIGHT = 48, 40


Across = Callable[[date], float]  # where a day stands
Up = Callable[[float], float]  # where an amount stands


def _number(value: float, step: float) -> str:
    decimals = 0 if step >= 1 else 1 if step >= 0.1 else 2
    return f"{value:,.{decimals}f}".replace("-", MINUS)


def _months(first: date, last: date) -> Iterator[date]:
    year, month = first.year, first.month
    while True:
        year, month = (year, month + 1) if month < 12 else (year + 1, 1)
        if date(year, month, 1) > last:
            return
        yield date(year, month, 1)


class _Drawing(Drawn):
    """A drawing of a fixed height."""

    high = 0

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self.setFixedHeight(theme.px(self.high))

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(400), self._theme.px(self.high))


class LevelDrawing(_Drawing):
    """Steps down by jobs and up by deliveries; what is booked fades, with its jobs' numbers."""

    high = 176

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._level: SupplyLevel | None = None

    def show_level(self, level: SupplyLevel | None) -> None:
        """Show a supply's level."""
        self._level = level
        self.setAccessibleName(level.words if level else "")
        self.update()

    def draw(self, brush: Brush) -> None:
        level = self._level
        if level is None:
            return
        c, px = brush.c, brush.px
        box = QRectF(px(_LEFT), px(20), self.width() - px(_LEFT + _RIGHT), 0)
        box.setBottom(self.height() - px(56))
        values = [left for _day, left in level.steps] + [one.left for one in level.booked]
        ticks = axis_ticks(min(0.0, *values), max([level.reorder, 1e-9, *values]), 5)
        span = max((level.last - level.first).days, 1)

        def x(day: date) -> float:
            return box.left() + box.width() * (day - level.first).days / span

        def y(left: float) -> float:
            return box.bottom() - box.height() * (left - ticks[0]) / (ticks[-1] - ticks[0])

        for tick in ticks:
            brush.hairline(box.left(), round(y(tick)), box.width(), c.rule)
            base = brush.base("tick", y(tick))
            words = _number(tick, ticks[1] - ticks[0])
            brush.write_right("tick", box.left() - px(8), base, words, c.ink2)
        brush.write_right("tick", box.left() - px(8), px(11), level.unit, c.ink3)
        self._draw_past(brush, level, x, y)
        self._draw_booked(brush, level, x, y)
        self._draw_reorder(brush, level, box, x, y)
        today = x(level.today)
        brush.fill(round(today), px(14), px(1.5), box.bottom() - px(14), c.ink)
        brush.write_right("head", today + px(2), px(11), "today", c.ink)
        with brush.smooth():
            brush.stroke(c.paper, 1.6, fill=c.ink)
            brush.dot(round(today) + px(1) / 2, y(level.steps[-1][1]), 4.2)
        self._draw_days(brush, level, box, x)

    @staticmethod
    def _draw_past(brush: Brush, level: SupplyLevel, x: Across, y: Up) -> None:
        line, before = [], level.steps[0][1]
        for day, left in level.steps:
            line += [QPointF(x(day), y(before)), QPointF(x(day), y(left))]
            before = left
        floor = y(0.0)
        shape = [QPointF(line[0].x(), floor), *line, QPointF(line[-1].x(), floor)]
        with brush.smooth():
            brush.stroke(None, fill=mix(brush.c.paper, brush.c.bar, 0.32))
            brush.painter.drawPolygon(QPolygonF(shape))
            brush.stroke(brush.c.bar, 1.8)
            brush.painter.drawPolyline(QPolygonF(line))

    @staticmethod
    def _draw_booked(brush: Brush, level: SupplyLevel, x: Across, y: Up) -> None:
        c, px = brush.c, brush.px
        before, at = level.steps[-1][1], x(level.today)
        taken = -1e9
        with brush.smooth():
            for one in level.booked:
                step = x(one.day)
                brush.fill(at, y(before), step - at, y(0.0) - y(before), faded(c.bar, 0.14))
                brush.stroke(c.bar, 1.4, dash=(3, 2), flat=True)
                brush.draw_line(at, y(before), step, y(before))
                brush.draw_line(step, y(before), step, y(one.left))
                left = step + px(4)
                if left > taken:
                    base = y((before + one.left) / 2) + px(4)
                    wide = brush.theme.width("tick", one.job)
                    brush.fill(left, base - px(11), wide, px(14), faded(c.paper, 0.72))
                    taken = brush.write("tick", left, base, one.job, c.ink2) + px(4)
                before, at = one.left, step

    @staticmethod
    def _draw_reorder(brush: Brush, level: SupplyLevel, box: QRectF, x: Across, y: Up) -> None:
        if level.reorder <= 0:
            return
        c, px, at = brush.c, brush.px, y(level.reorder)
        with brush.smooth():
            brush.stroke(c.ink, 1.2, dash=(2, 2), flat=True)
            brush.draw_line(box.left(), at, box.right(), at)
            words = "reorder below"
            wide = brush.theme.width("key", words)
            brush.fill(box.left() + px(6), at - px(16), wide + px(4), px(14), faded(c.paper, 0.72))
            brush.write("key", box.left() + px(8), at - px(5), words, c.ink)
            if level.order_about is not None and level.order_about > level.today:
                when = x(level.order_about)
                brush.stroke(c.act, 1.3, dash=(1.5, 1.8), flat=True)
                brush.draw_line(when, px(18), when, box.bottom())
                brush.stroke(c.act, 1.3, fill=c.paper)
                brush.polygon((when - px(4), px(14)), (when + px(4), px(14)), (when, px(21)))
                words = f"order about {day_short(level.order_about)}"
                room = brush.theme.width("key", words)
                left = when + px(8) if when + px(8) + room <= box.right() + px(_RIGHT) else 0.0
                if left:
                    brush.write("key", left, px(22), words, c.act)

    @staticmethod
    def _draw_days(brush: Brush, level: SupplyLevel, box: QRectF, x: Across) -> None:
        c, px = brush.c, brush.px
        brush.fill(box.left(), box.bottom(), box.width(), px(1), c.rule2)
        with brush.smooth():
            brush.stroke(None, fill=c.layer)
            for day in level.deliveries:
                at = x(day)
                foot = box.bottom() + px(9)
                brush.polygon((at - px(4), foot), (at + px(4), foot), (at, foot - px(7)))
        starts = [level.first, *_months(level.first, level.last)]
        ends = [*starts[1:], level.last]
        for month, end in zip(starts, ends, strict=True):
            if month != level.first:
                brush.fill(round(x(month)), box.bottom(), px(1), px(4), c.rule2)
            words = f"{month:%b}"
            wide, middle = x(end) - x(month), (x(month) + x(end)) / 2
            if wide < brush.theme.width("tick", words) + px(4):
                continue
            brush.write_centred("tick", middle, box.bottom() + px(24), words, c.ink2)
            if month.month == 1:
                brush.write_centred("head", middle, box.bottom() + px(40), str(month.year), c.ink2)
        at, base = float(box.left() + px(2)), box.bottom() + px(40)
        with brush.smooth():
            brush.stroke(None, fill=c.layer)
            brush.polygon((at, base), (at + px(8), base), (at + px(4), base - px(7)))
        at = brush.write("tick", at + px(14), base, "a delivery", c.ink2) + px(20)
        with brush.smooth():
            brush.stroke(c.bar, 1.4, dash=(3, 2), flat=True)
            brush.draw_line(at, base - px(4), at + px(20), base - px(4))
        brush.write("tick", at + px(26), base, "booked, not used yet", c.ink2)


class LeadDrawing(_Drawing):
    """One dot a delivery, over the days that it took; a band to nine in ten from five on."""

    high = 104

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._days: tuple[tuple[int, str], ...] = ()
        self._within: tuple[int, int] | None = None

    def show_leads(
        self, days: Sequence[tuple[int, str]], middle: int | None, nine_in_ten: int | None
    ) -> None:
        """(Days, supplier) of each delivery; the middle one and nine in ten, where known."""
        self._days = tuple(days)
        known = middle is not None and nine_in_ten is not None and len(days) >= 5
        self._within = (middle or 0, nine_in_ten or 0) if known else None
        self.setVisible(bool(days))
        if days:
            least, most = min(days)[0], max(days)[0]
            self.setAccessibleName(f"{len(days)} deliveries, in {least} to {most} days.")
        self.update()

    def draw(self, brush: Brush) -> None:
        if not self._days:
            return
        c, px = brush.c, brush.px
        names = list(dict.fromkeys(name for _days, name in sorted(self._days, key=_named)))
        beside = max(brush.theme.width("tick", f"{name}, 00") for name in names[:2]) + px(30)
        box = QRectF(px(_LEFT), px(6), self.width() - px(_LEFT) - beside, 0)
        box.setBottom(self.height() - px(26))
        ticks = axis_ticks(0, max(days for days, _name in self._days), 8)

        def x(days: float) -> float:
            return box.left() + box.width() * days / ticks[-1]

        if self._within is not None:
            middle, most = self._within
            least = min(days for days, _name in self._days)
            brush.fill(x(least), box.top(), x(most) - x(least), box.height(), c.act_soft)
            for at in (least, most):
                brush.fill(round(x(at)), box.top(), px(1), box.height(), c.rule2)
            brush.fill(round(x(middle)), box.top(), px(1.5), box.height(), c.ink)
        brush.fill(box.left(), box.bottom(), box.width(), px(1), c.rule2)
        stacked: Counter[int] = Counter()
        pitch = min(
            float(px(9)), (box.height() - px(8)) / max(Counter(d for d, _ in self._days).values())
        )
        with brush.smooth():
            for days, name in sorted(self._days, key=_named):
                stacked[days] += 1
                top = box.bottom() + px(2) - px(8) - pitch * (stacked[days] - 1)
                _dot(brush, x(days), top, hollow=name != names[0])
        for tick in ticks:
            words = f"{tick:g} days" if tick == ticks[-1] else f"{tick:g}"
            brush.write_centred("tick", x(tick), box.bottom() + px(17), words, c.ink2)
        for nth, name in enumerate(names[:2]):
            height = box.top() + px(12 + 20 * nth)
            with brush.smooth():
                _dot(brush, box.right() + px(18), height, hollow=bool(nth))
            many = sum(name == one for _days, one in self._days)
            left, base = box.right() + px(28), brush.base("tick", height)
            brush.write("tick", left, base, f"{name}, {many}", c.ink2, self.width() - left)


def _named(one: tuple[int, str]) -> tuple[str, int]:
    return one[1], one[0]


def _dot(brush: Brush, x: float, y: float, *, hollow: bool) -> None:
    brush.stroke(brush.c.bar, 1.5, fill=brush.c.paper if hollow else brush.c.bar)
    brush.dot(x, y, 3.2)


@dataclass(frozen=True)
class PriceLine:
    """What a unit cost over time in one pack of one supplier, the last price as it is said."""

    title: str
    prices: tuple[tuple[date, float], ...]
    last: str


class PriceDrawing(_Drawing):
    """A small drawing for each pack and supplier, all on one scale; at most three."""

    high = 118

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._lines: tuple[PriceLine, ...] = ()

    def show_prices(self, lines: Sequence[PriceLine]) -> None:
        """Show the packs bought last."""
        self._lines = tuple(lines[:3])
        self.setVisible(bool(lines))
        self.setAccessibleName("; ".join(f"{one.title}: {one.last}" for one in self._lines))
        self.update()

    def draw(self, brush: Brush) -> None:
        if not self._lines:
            return
        c, px = brush.c, brush.px
        every = [pair for line in self._lines for pair in line.prices]
        low, high = (pick(price for _day, price in every) for pick in (min, max))
        ticks = axis_ticks(low, max(high, low * 1.02 + 1e-9), 3)
        first, last = (pick(day for day, _price in every) for pick in (min, max))
        span = max((last - first).days, 1)
        gap, count = px(44), len(self._lines)
        wide = min((self.width() - px(_LEFT) - gap * count) / count, px(220))
        for nth, line in enumerate(self._lines):
            box = QRectF(px(_LEFT) + nth * (wide + gap), px(28), wide, self.height() - px(28 + 26))
            brush.write("key", box.left(), px(14), line.title, c.ink, wide + gap - px(10))
            points = []
            for tick in ticks:
                at = box.bottom() - box.height() * (tick - ticks[0]) / (ticks[-1] - ticks[0])
                brush.hairline(box.left(), round(at), wide, c.rule)
                if nth == 0:
                    words = _number(tick, min(ticks[1] - ticks[0], 0.05))
                    base = brush.base("tick", at)
                    brush.write_right("tick", box.left() - px(8), base, words, c.ink2)
            for day, price in line.prices:
                share = (price - ticks[0]) / (ticks[-1] - ticks[0])
                left = box.left() + wide * (day - first).days / span
                points.append(QPointF(left, box.bottom() - box.height() * share))
            with brush.smooth():
                brush.stroke(c.bar, 1.4)
                brush.painter.drawPolyline(QPolygonF(points))
                for point in points:
                    _dot(brush, point.x(), point.y(), hollow=False)
            end = points[-1]
            told = brush.theme.width("key", line.last)
            left = min(end.x() + px(8), box.right() + gap - px(6) - told)
            brush.write("key", left, end.y() - px(6), line.last, c.ink)
            for year in range(first.year, last.year + 1):
                begins = max(date(year, 1, 1), first)
                middle = begins + (min(date(year, 12, 31), last) - begins) / 2
                at = box.left() + wide * (middle - first).days / span
                room = wide * (min(date(year, 12, 31), last) - begins).days / span
                if room > brush.theme.width("tick", str(year)) or first.year == last.year:
                    brush.write_centred("tick", at, box.bottom() + px(18), str(year), c.ink2)
