"""Time bars of the shelf: what is on hand, drawn along the coming five weeks.

A calendar shared by all rows, an ink line for today, and bars that lose height and ink with
certainty. `shelf_column(calendar)` gives the three painters that a table's column takes.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, floor

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QLinearGradient, QPainter, QPainterPath, QPen, QPixmap

from app.calculations.numbers.dates import day_short
from app.window.paper.brush import Brush
from app.window.paper.cells import CellPainter, HeadPainter
from app.window.paper.palette import faded
from app.window.paper.runs import Run

BAR_HEIGHT = 12


@dataclass(frozen=True)
class ShelfCalendar:
    """The days drawn: from `today` on, `days` of them."""

    today: date
    days: int = 35

    def mondays(self) -> list[int]:
        """The Mondays to come, in days from today."""
        first = (7 - self.today.weekday()) % 7 or 7
        return list(range(first, self.days + 1, 7))


@dataclass(frozen=True)
class ShelfBar:
    """One supply along the calendar; every number is days from today.

    It lasts for sure to `low` (the 10 % run-out day) and hardly beyond `high` (the 90 %).
    `reorder` is where the reorder level is met; `deliveries` the supplier's next ones, nearest
    first; `gap` spans days with nothing left until goods come; `on_order` what those cover.
    """

    low: float
    high: float
    reorder: float | None = None
    deliveries: tuple[float, ...] = ()
    gap: tuple[float, float] | None = None
    on_order: tuple[float, float] | None = None


def spoken_bar(bar: ShelfBar, today: date) -> str:
    """What a bar shows, in words."""

    def on(day: float) -> str:
        return day_short(today + timedelta(days=max(0, floor(day))))

    said = [f"lasts until {on(bar.low)}, at most {on(bar.high)}" if bar.high > 0 else "used up"]
    if bar.gap is not None:
        said.append(f"nothing left {on(bar.gap[0])} to {on(bar.gap[1])}")
    if bar.reorder is not None:
        said.append(f"to be ordered {'now' if bar.reorder <= 0 else on(bar.reorder)}")
    if bar.on_order is not None:
        said.append(f"on order, from {on(bar.on_order[0])}")
    return "; ".join(said)


class _DaysAxis:
    """Days from today along a box."""

    def __init__(self, brush: Brush, box: QRectF, calendar: ShelfCalendar) -> None:
        left = box.left() + brush.px(24)
        self.left = round(left)
        self.step = (box.right() - brush.px(12) - left) / calendar.days
        self.right = self.x(calendar.days)

    def x(self, day: float) -> float:
        return self.left + day * self.step


def shelf_column(calendar: ShelfCalendar) -> tuple[CellPainter, CellPainter, HeadPainter]:
    """Painters for a cell (`ShelfBar`), for a group line (its deliveries) and for the head."""

    def cell(brush: Brush, box: QRectF, bar: ShelfBar, _selected: bool) -> None:
        _draw_bar(brush, box, bar, calendar)

    def group(brush: Brush, box: QRectF, deliveries: object, _selected: bool) -> None:
        if isinstance(deliveries, tuple):
            _draw_deliveries(brush, box, deliveries, calendar)

    def head(brush: Brush, box: QRectF) -> None:
        _draw_head(brush, box, calendar)

    return cell, group, head


def _draw_head(brush: Brush, box: QRectF, calendar: ShelfCalendar) -> None:
    """The calendar over the bars: today, then Mondays that have room for their words."""
    axis, c, px = _DaysAxis(brush, box, calendar), brush.c, brush.px
    tick, base = box.bottom() - px(1) - px(4), box.bottom() - px(12)
    taken = brush.write_centred("head", axis.x(0), base, "today", c.ink)
    brush.fill(axis.x(0), tick, px(1), px(4), c.rule2)
    for day in calendar.mondays():
        label = day_short(calendar.today + timedelta(days=day))
        half = brush.theme.width("tick", label) / 2
        start, end = axis.x(day) - half, axis.x(day) + half
        if start < taken + px(12) or end > box.right() + px(12):
            continue
        taken = end
        brush.fill(round(axis.x(day)), tick, px(1), px(4), c.rule2)
        brush.write("tick", start, base, label, c.ink3)


def _draw_deliveries(
    brush: Brush, box: QRectF, deliveries: tuple[float, ...], calendar: ShelfCalendar
) -> None:
    """Triangles on a group line: the next delivery filled, the following hollow."""
    axis, c, px = _DaysAxis(brush, box, calendar), brush.c, brush.px
    ground = box.bottom() - px(1)
    with brush.smooth():
        for at, day in enumerate(deliveries[:2]):
            if 0 <= day <= calendar.days:
                x = axis.x(day)
                brush.stroke(c.act, 1.2, fill=c.paper if at else c.act)
                top = ground - px(8)
                brush.polygon((x - px(4), top), (x + px(4), top), (x, ground - px(1)))


def _draw_bar(brush: Brush, box: QRectF, bar: ShelfBar, calendar: ShelfCalendar) -> None:
    axis, c, px = _DaysAxis(brush, box, calendar), brush.c, brush.px
    for monday in calendar.mondays():
        brush.fill(round(axis.x(monday)), box.top(), px(1), box.height(), c.rule)
    start = axis.x(0)
    brush.fill(start, box.top(), px(1), box.height(), c.ink)
    top = round((box.top() + box.bottom()) / 2 - px(BAR_HEIGHT) / 2)
    bottom = top + px(BAR_HEIGHT)
    with brush.smooth():
        if bar.reorder is not None and bar.reorder <= 0:
            start += px(3)
        if bar.high > 0:
            _draw_certainty(brush, axis, bar, start, top, bottom)
        for span, draw in ((bar.on_order, _draw_on_order), (bar.gap, _draw_gap)):
            if span is None:
                continue
            left, right = axis.x(span[0]), min(axis.x(span[1]), axis.right)
            if right - left >= 2:
                draw(brush, QRectF(left, top, right - left, bottom - top))
        for at, day in enumerate(bar.deliveries[:2]):
            if 0 <= day <= calendar.days:
                brush.stroke(c.act, 1.3 if at else 1.6, dash=(2.2, 1.6) if at else (), flat=True)
                x = round(axis.x(day)) + 0.5
                brush.draw_line(x, box.top(), x, box.bottom())
        if bar.reorder is not None and bar.reorder <= calendar.days:
            draw_level(brush, axis.x(max(bar.reorder, 0.0)), top, bottom)


def _draw_certainty(
    brush: Brush, axis: _DaysAxis, bar: ShelfBar, start: float, top: float, bottom: float
) -> None:
    px, end = brush.px, axis.right
    low, high = axis.x(max(bar.low, 0.0)), axis.x(max(bar.high, bar.low))
    beyond = high > end + px(8)
    solid = min(max(low, start), end)
    brush.fill(start, top, max(solid - start, 0), bottom - top, brush.c.bar)
    if high > solid or beyond:
        _draw_wedge(brush, solid, min(high, end + px(8)), top, bottom)
    if beyond:
        brush.stroke(brush.c.paper, 1.8)
        for shift in (0.0, 4.0):
            x = end - px(8) + shift * brush.theme.scale
            brush.draw_line(x - px(1), bottom + px(1), x + px(2), top - px(1))


_wedges: dict[tuple[object, ...], QPixmap] = {}
MOST_WEDGES = 1000  # kept drawn; a list of five hundred supplies has as many bars


def _draw_wedge(brush: Brush, solid: float, tip: float, top: float, bottom: float) -> None:
    """What fades out: drawn once, for a list that is narrowed by typing shows the same bars again.

    A smooth slope with a gradient takes half a millisecond, twenty of them half a frame.
    """
    bar, dots = brush.c.bar, brush.painter.device().devicePixelRatioF()
    left, wide, high = floor(solid), ceil(tip) + 1 - floor(solid), ceil(bottom - top)
    key = (round((solid - left) * 8), round((tip - left) * 8), high, dots, bar.rgba())
    drawn = _wedges.get(key)
    if drawn is None:
        drawn = QPixmap(max(1, round(wide * dots)), max(1, round(high * dots)))
        drawn.setDevicePixelRatio(dots)
        drawn.fill(Qt.GlobalColor.transparent)
        begin, end = solid - left, tip - left
        slope = QPainterPath(QPointF(begin, 0))
        slope.lineTo(end, high)
        slope.lineTo(begin, high)
        slope.closeSubpath()
        shade = QLinearGradient(begin, 0, max(end, begin + 1), 0)
        shade.setColorAt(0.0, bar)
        shade.setColorAt(1.0, faded(bar, 0.12))
        painter = QPainter(drawn)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillPath(slope, shade)
        painter.setPen(QPen(bar, high / BAR_HEIGHT))  # where it fades it is seen by its edge
        painter.drawLine(QPointF(begin, 0.5), QPointF(end, high - 0.5))
        painter.end()
        if len(_wedges) >= MOST_WEDGES:
            _wedges.clear()
        _wedges[key] = drawn
    brush.painter.drawPixmap(QPointF(left, top), drawn)


def _draw_gap(brush: Brush, area: QRectF) -> None:
    brush.hatch(area, brush.c.alarm)
    brush.stroke(brush.c.alarm, 1.2)
    brush.painter.drawRect(area.adjusted(0.5, 0.5, -0.5, -0.5))


def _draw_on_order(brush: Brush, area: QRectF) -> None:
    brush.stroke(brush.c.bar, 1.4, dash=(4, 2.4), flat=True)
    brush.painter.drawRect(area.adjusted(0, 0.5, 0, -0.5))


def bars_key() -> list[Run]:
    """What the shapes of the bars mean, each as it is drawn."""
    return [
        Run("lasts to about here", "unit", gap=16, sample=_lasts_sample, wide=34),
        Run("reorder", "unit", gap=16, sample=_level_sample, wide=8),
        Run("delivery, next and following", "unit", gap=16, sample=_delivery_sample, wide=12),
        Run("nothing left", "unit", gap=16, sample=_gap_sample, wide=20),
        Run("on order", "unit", sample=_order_sample, wide=24),
    ]


def _bar_of(brush: Brush, box: QRectF) -> QRectF:
    high = brush.px(BAR_HEIGHT - 2)
    return QRectF(box.left(), round(box.center().y() - high / 2), box.width(), high)


def _lasts_sample(brush: Brush, box: QRectF) -> None:
    bar = _bar_of(brush, box)
    brush.fill(bar.left(), bar.top(), bar.width() / 2, bar.height(), brush.c.bar)
    with brush.smooth():
        _draw_wedge(brush, bar.center().x(), bar.right(), bar.top(), bar.bottom())


def _level_sample(brush: Brush, box: QRectF) -> None:
    bar = _bar_of(brush, box)
    with brush.smooth():
        draw_level(brush, box.center().x(), bar.top() + brush.px(2), bar.bottom())


def _delivery_sample(brush: Brush, box: QRectF) -> None:
    with brush.smooth():
        for at, share in enumerate((0.2, 0.8)):
            dash = (2.2, 1.6) if at else ()
            brush.stroke(brush.c.act, 1.3 if at else 1.6, dash=dash, flat=True)
            x = round(box.left() + share * box.width()) + 0.5
            brush.draw_line(x, box.top() + brush.px(3), x, box.bottom() - brush.px(3))


def _gap_sample(brush: Brush, box: QRectF) -> None:
    with brush.smooth():
        _draw_gap(brush, _bar_of(brush, box))


def _order_sample(brush: Brush, box: QRectF) -> None:
    with brush.smooth():
        _draw_on_order(brush, _bar_of(brush, box))


def draw_level(
    brush: Brush, x: float, top: float, bottom: float, *, rise: int = 4, tip: int = 1
) -> None:
    """The mark of a level at which more is bought: an upright with a head and a paper halo."""
    c, px = brush.c, brush.px
    brush.fill(x - px(2), top, px(4), bottom - top, c.paper)
    brush.fill(x - px(1) + 0.25, top - px(rise), px(1.5), bottom - top + px(6), c.ink)
    brush.stroke(None, fill=c.ink)
    reach = px(3.6)
    brush.polygon((x - reach, top - px(6)), (x + reach, top - px(6)), (x, top - px(tip)))
