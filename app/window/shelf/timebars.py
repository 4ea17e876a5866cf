"""Time bars of the shelf: what is on hand, drawn along the coming five weeks.

A calendar shared by all rows, an ink line for today, and bars that lose height and ink with
certainty. `shelf_column(calendar)` gives the three painters that a table's column takes.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, floor

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QLinearGradient,
    QPainter,
    QPainterPath,
    QPen,
    QPixmap,
    QPolygonF,
)

from app.calculations.numbers.dates import day_short
from app.window.paper.cells import CellPainter, HeadPainter
from app.window.paper.palette import faded
from app.window.paper.strokes import write
from app.window.paper.theme import Theme

BAR_HEIGHT = 12


@dataclass(frozen=True)
class ShelfCalendar:
    """The days drawn: from `today` on, `days` of them."""

    today: date
    days: int = 35


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


@dataclass(frozen=True)
class _Axis:
    left: float
    step: float
    days: int

    def x(self, day: float) -> float:
        return self.left + day * self.step

    @property
    def right(self) -> float:
        return self.x(self.days)


def _axis(box: QRectF, theme: Theme, calendar: ShelfCalendar) -> _Axis:
    left = box.left() + theme.px(24)
    width = box.right() - theme.px(12) - left
    return _Axis(round(left), width / calendar.days, calendar.days)


def _mondays(calendar: ShelfCalendar) -> list[int]:
    first = (7 - calendar.today.weekday()) % 7 or 7
    return list(range(first, calendar.days + 1, 7))


def shelf_column(calendar: ShelfCalendar) -> tuple[CellPainter, CellPainter, HeadPainter]:
    """Painters for a cell (`ShelfBar`), for a group line (its deliveries) and for the head."""

    def cell(painter: QPainter, box: QRectF, bar: ShelfBar, theme: Theme, _selected: bool) -> None:
        paint_shelf_bar(painter, box, bar, theme, calendar)

    def group(
        painter: QPainter, box: QRectF, deliveries: object, theme: Theme, _selected: bool
    ) -> None:
        if isinstance(deliveries, tuple):
            paint_deliveries(painter, box, deliveries, theme, calendar)

    def head(painter: QPainter, box: QRectF, theme: Theme) -> None:
        paint_shelf_head(painter, box, theme, calendar)

    return cell, group, head


def paint_shelf_head(painter: QPainter, box: QRectF, theme: Theme, calendar: ShelfCalendar) -> None:
    """The calendar over the bars: today, then Mondays that have room for their words."""
    axis, c, px = _axis(box, theme, calendar), theme.palette, theme.px
    floor = box.bottom() - px(1)
    base = box.bottom() - px(12)
    wide = theme.width("head", "today")
    write(painter, theme, "head", axis.x(0) - wide / 2, base, "today", c.ink)
    painter.fillRect(QRectF(axis.x(0), floor - px(4), px(1), px(4)), c.rule2)
    taken = axis.x(0) + wide / 2
    for day in _mondays(calendar):
        label = day_short(calendar.today + timedelta(days=day))
        wide = theme.width("tick", label)
        start = axis.x(day) - wide / 2
        if start < taken + px(12) or start + wide > box.right() + px(12):
            continue
        taken = start + wide
        painter.fillRect(QRectF(round(axis.x(day)), floor - px(4), px(1), px(4)), c.rule2)
        write(painter, theme, "tick", start, base, label, c.ink3)


def paint_deliveries(
    painter: QPainter,
    box: QRectF,
    deliveries: tuple[float, ...],
    theme: Theme,
    calendar: ShelfCalendar,
) -> None:
    """Triangles on a group line: the next delivery filled, the following hollow."""
    axis, c, px = _axis(box, theme, calendar), theme.palette, theme.px
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for at, day in enumerate(deliveries[:2]):
        if not 0 <= day <= calendar.days:
            continue
        x, floor = axis.x(day), box.bottom() - px(1)
        shape = QPolygonF(
            [
                QPointF(x - px(4), floor - px(8)),
                QPointF(x + px(4), floor - px(8)),
                QPointF(x, floor - px(1)),
            ]
        )
        painter.setPen(QPen(c.act, 1.2 * theme.scale))
        painter.setBrush(c.paper if at else c.act)
        painter.drawPolygon(shape)
    painter.restore()


def paint_shelf_bar(
    painter: QPainter, box: QRectF, bar: ShelfBar, theme: Theme, calendar: ShelfCalendar
) -> None:
    """One supply's bar in a row."""
    axis, c, px = _axis(box, theme, calendar), theme.palette, theme.px
    painter.save()
    for monday in _mondays(calendar):
        painter.fillRect(QRectF(round(axis.x(monday)), box.top(), px(1), box.height()), c.rule)
    painter.fillRect(QRectF(axis.x(0), box.top(), px(1), box.height()), c.ink)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    middle = (box.top() + box.bottom()) / 2
    top = round(middle - px(BAR_HEIGHT) / 2)
    bottom = top + px(BAR_HEIGHT)
    start = axis.x(0)
    if bar.reorder is not None and bar.reorder <= 0:
        start = axis.x(0) + px(3)
    if bar.high > 0:
        _paint_certainty(painter, axis, bar, start, top, bottom, theme)
    if bar.on_order is not None:
        _paint_on_order(painter, axis, bar.on_order, top, bottom, theme)
    if bar.gap is not None:
        _paint_gap(painter, axis, bar.gap, top, bottom, theme)
    for at, day in enumerate(bar.deliveries[:2]):
        if 0 <= day <= calendar.days:
            pen = QPen(c.act, (1.6 if at == 0 else 1.3) * theme.scale)
            pen.setCapStyle(Qt.PenCapStyle.FlatCap)
            if at:
                pen.setDashPattern([2.2, 1.6])
            painter.setPen(pen)
            line = round(axis.x(day)) + 0.5
            painter.drawLine(QPointF(line, box.top()), QPointF(line, box.bottom()))
    if bar.reorder is not None and bar.reorder <= calendar.days:
        _paint_reorder(painter, axis.x(max(bar.reorder, 0.0)), top, bottom, theme)
    painter.restore()


def _paint_certainty(
    painter: QPainter,
    axis: _Axis,
    bar: ShelfBar,
    start: float,
    top: float,
    bottom: float,
    theme: Theme,
) -> None:
    c, px = theme.palette, theme.px
    end = axis.right
    low, high = axis.x(max(bar.low, 0.0)), axis.x(max(bar.high, bar.low))
    beyond = high > end + px(8)
    solid = min(max(low, start), end)
    painter.fillRect(QRectF(start, top, max(solid - start, 0), bottom - top), c.bar)
    if high > solid or beyond:
        tip = min(high, end + px(8))
        _paint_wedge(painter, solid, tip, top, bottom, theme)
    if beyond:
        pen = QPen(c.paper, 1.8 * theme.scale)
        painter.setPen(pen)
        for shift in (0.0, 4.0):
            x = end - px(8) + shift * theme.scale
            painter.drawLine(QPointF(x - px(1), bottom + px(1)), QPointF(x + px(2), top - px(1)))


_wedges: dict[tuple[object, ...], QPixmap] = {}
MOST_WEDGES = 1000  # kept drawn; a list of five hundred supplies has as many bars


def _paint_wedge(
    painter: QPainter, solid: float, tip: float, top: float, bottom: float, theme: Theme
) -> None:
    """What fades out: drawn once, for a list that is narrowed by typing shows the same bars again.

    A smooth slope with a gradient takes half a millisecond, twenty of them half a frame.
    """
    bar, dots = theme.palette.bar, painter.device().devicePixelRatioF()
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
        brush = QPainter(drawn)
        brush.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush.fillPath(slope, shade)
        brush.end()
        if len(_wedges) >= MOST_WEDGES:
            _wedges.clear()
        _wedges[key] = drawn
    painter.drawPixmap(QPointF(left, top), drawn)


def _paint_gap(
    painter: QPainter,
    axis: _Axis,
    gap: tuple[float, float],
    top: float,
    bottom: float,
    theme: Theme,
) -> None:
    c = theme.palette
    left, right = axis.x(max(gap[0], 0.0)), min(axis.x(gap[1]), axis.right)
    if right - left < 2:
        return
    area = QRectF(left, top, right - left, bottom - top)
    hatch(painter, area, c.alarm, theme)
    painter.setPen(QPen(c.alarm, 1.2 * theme.scale))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(area.adjusted(0.5, 0.5, -0.5, -0.5))


def hatch(
    painter: QPainter,
    area: QRectF,
    colour: QColor,
    theme: Theme,
    gap: float = 5,
    width: float = 1.3,
) -> None:
    """Rising 45 degree lines within an area, `gap` apart (pixels at scale 1)."""
    painter.save()
    painter.setClipRect(area, Qt.ClipOperation.IntersectClip)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(colour, width * theme.scale))
    step, high = gap * theme.scale, area.height()
    x = area.left() - high
    while x < area.right():
        painter.drawLine(QPointF(x, area.bottom()), QPointF(x + high, area.top()))
        x += step
    painter.restore()


def _paint_on_order(
    painter: QPainter,
    axis: _Axis,
    span: tuple[float, float],
    top: float,
    bottom: float,
    theme: Theme,
) -> None:
    left, right = axis.x(span[0]), min(axis.x(span[1]), axis.right)
    if right - left < 2:
        return
    pen = QPen(theme.palette.bar, 1.4 * theme.scale)
    pen.setDashPattern([4, 2.4])
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(QRectF(left, top + 0.5, right - left, bottom - top - 1))


def _paint_reorder(painter: QPainter, x: float, top: float, bottom: float, theme: Theme) -> None:
    c, px = theme.palette, theme.px
    painter.fillRect(QRectF(x - px(2), top, px(4), bottom - top), c.paper)  # the halo
    painter.fillRect(QRectF(x - px(1) + 0.25, top - px(4), px(1.5), bottom - top + px(6)), c.ink)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(c.ink)
    painter.drawPolygon(
        QPolygonF(
            [
                QPointF(x - px(3.6), top - px(6)),
                QPointF(x + px(3.6), top - px(6)),
                QPointF(x, top - px(1)),
            ]
        )
    )


def paint_shelf_legend(painter: QPainter, box: QRectF, theme: Theme) -> None:
    """The four signs and their words, in one line."""
    c, px = theme.palette, theme.px
    middle = box.center().y()
    top, bottom = middle - px(5), middle + px(5)
    base = round(middle + theme.metrics("unit").capHeight() / 2)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    at = float(box.left())
    axis = _Axis(at, 1.0 * theme.scale, 35)
    _paint_certainty(painter, axis, ShelfBar(13, 34), at, top, bottom, theme)
    at = write(painter, theme, "unit", at + px(40), base, "lasts to about here", c.ink2)
    _paint_reorder(painter, at + px(24), top, bottom, theme)
    at = write(painter, theme, "unit", at + px(34), base, "reorder", c.ink2)
    painter.fillRect(QRectF(at + px(22), top - px(2), px(1.6), px(15)), c.act)
    at = write(painter, theme, "unit", at + px(32), base, "delivery", c.ink2)
    area = QRectF(at + px(16), top, px(18), bottom - top)
    hatch(painter, area, c.alarm, theme)
    painter.setPen(QPen(c.alarm, 1.2 * theme.scale))
    painter.drawRect(area.adjusted(0.5, 0.5, -0.5, -0.5))
    write(painter, theme, "unit", at + px(42), base, "nothing left", c.ink2)
    painter.restore()
