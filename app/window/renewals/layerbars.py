"""Time bars of the renewals: the chance that a layer still protects, over thirty-six months."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QLinearGradient, QPainter, QPainterPath, QPen, QPolygonF

from app.window.paper.cells import CellPainter, HeadPainter
from app.window.paper.palette import mix
from app.window.paper.strokes import write
from app.window.paper.theme import Theme


@dataclass(frozen=True)
class LayerCalendar:
    """The span drawn, and today within it."""

    left: date
    right: date
    today: date


@dataclass(frozen=True)
class LayerBar:
    """One layer: `curve` of (day, chance 0 to 1) from its start or the calendar's left edge.

    `cut_left`: it began before the edge. `due`: from 80 down to 50 %; `unanswered` draws that in
    look colour. `checks`: days on which it was seen and still good. `planned`: starts today, only
    outlined.
    """

    curve: tuple[tuple[date, float], ...]
    cut_left: bool = False
    due: tuple[date, date] | None = None
    unanswered: bool = False
    checks: tuple[date, ...] = ()
    still: float | None = None
    planned: bool = False


@dataclass(frozen=True)
class _Axis:
    calendar: LayerCalendar
    left: float
    right: float

    def x(self, day: date) -> float:
        c = self.calendar
        share = (day - c.left).days / max((c.right - c.left).days, 1)
        return self.left + share * (self.right - self.left)


def _axis(box: QRectF, theme: Theme, calendar: LayerCalendar) -> _Axis:
    return _Axis(calendar, box.left() + theme.px(12), box.right() - theme.px(12))


def _quarters(calendar: LayerCalendar) -> Iterator[date]:
    year, month = calendar.left.year, 1 + 3 * ((calendar.left.month - 1) // 3)
    while True:
        day = date(year, month, 1)
        if day > calendar.right:
            return
        if day >= calendar.left:
            yield day
        month += 3
        if month > 12:
            year, month = year + 1, 1


def layer_column(calendar: LayerCalendar) -> tuple[CellPainter, HeadPainter]:
    """Painters for a cell (`LayerBar`) and for the head."""

    def cell(painter: QPainter, box: QRectF, bar: LayerBar, theme: Theme, selected: bool) -> None:
        paint_layer_bar(painter, box, bar, theme, calendar, selected)

    def head(painter: QPainter, box: QRectF, theme: Theme) -> None:
        paint_layer_head(painter, box, theme, calendar)

    return cell, head


def paint_layer_head(painter: QPainter, box: QRectF, theme: Theme, calendar: LayerCalendar) -> None:
    """Quarters under their years; today in ink."""
    axis, c, px = _axis(box, theme, calendar), theme.palette, theme.px
    floor, base = box.bottom() - px(1), box.bottom() - px(11)
    today = axis.x(calendar.today)
    wide = theme.width("head", "today")
    write(painter, theme, "head", today - wide / 2, base, "today", c.ink)
    for day in _quarters(calendar):
        x = axis.x(day)
        painter.fillRect(QRectF(round(x), floor - px(4), px(1), px(4)), c.rule2)
        label = f"{day:%b}"
        half = theme.width("tick", label) / 2
        if abs(x - today) > half + wide / 2 + px(3):
            write(painter, theme, "tick", x - half, base, label, c.ink3)
        if day.month == 1:
            year = str(day.year)
            left = x - theme.width("head", year) / 2
            write(painter, theme, "head", left, base - px(16), year, c.ink2)


def paint_layer_bar(
    painter: QPainter,
    box: QRectF,
    bar: LayerBar,
    theme: Theme,
    calendar: LayerCalendar,
    selected: bool = False,
) -> None:
    """One layer in a row: height and ink are the chance that it still protects."""
    axis, c, px = _axis(box, theme, calendar), theme.palette, theme.px
    painter.save()
    for day in _quarters(calendar):
        painter.fillRect(QRectF(round(axis.x(day)), box.top(), px(1), box.height()), c.rule)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    floor = box.bottom() - px(9)
    tall = floor - box.top() - px(6)
    points = [QPointF(axis.x(day), floor - tall * chance) for day, chance in bar.curve]
    today = round(axis.x(calendar.today)) + 0.5
    if len(points) > 1 and bar.planned:
        _paint_planned(painter, points, floor, theme)
    elif len(points) > 1:
        _paint_body(painter, points, bar, floor, theme, selected)
        if bar.cut_left:
            _paint_cut(painter, points[0].x(), floor - tall, floor, theme, selected)
        else:
            start = points[0]
            painter.fillRect(
                QRectF(start.x() - px(1), start.y() - px(2), px(2), floor - start.y() + px(4)),
                c.layer,
            )
    painter.fillRect(QRectF(today - px(1), box.top(), px(1.5), box.height()), c.ink)
    if bar.due is not None:
        _paint_bracket(painter, axis, bar, floor + px(4), theme)
    for day in bar.checks:
        if calendar.left <= day <= calendar.right:
            _paint_diamond(painter, QPointF(axis.x(day), floor - tall + px(1)), theme)
    if bar.still is not None:
        painter.setPen(QPen(c.paper, 1.6 * theme.scale))
        painter.setBrush(c.ink)
        size = 4.2 * theme.scale
        painter.drawEllipse(QPointF(today, floor - tall * bar.still), size, size)
    painter.restore()


def _paint_body(
    painter: QPainter,
    points: list[QPointF],
    bar: LayerBar,
    floor: float,
    theme: Theme,
    selected: bool,
) -> None:
    c = theme.palette
    ground = c.sel if selected else c.paper
    shape = QPainterPath(QPointF(points[0].x(), floor))
    for point in points:
        shape.lineTo(point)
    shape.lineTo(points[-1].x(), floor)
    shape.closeSubpath()
    left, right = points[0].x(), points[-1].x()
    shade = QLinearGradient(left, 0, right, 0)
    for point, (_day, chance) in zip(points, bar.curve, strict=True):
        share = (point.x() - left) / max(right - left, 1e-6)
        shade.setColorAt(min(max(share, 0.0), 1.0), mix(ground, c.layer, 0.06 + 0.80 * chance))
    painter.fillPath(shape, shade)
    painter.setPen(QPen(c.layer, 1.2 * theme.scale))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolyline(QPolygonF(points))


def _paint_planned(painter: QPainter, points: list[QPointF], floor: float, theme: Theme) -> None:
    pen = QPen(theme.palette.layer, 1.2 * theme.scale)
    pen.setDashPattern([4, 3])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    first, last = QPointF(points[0].x(), floor), QPointF(points[-1].x(), floor)
    painter.drawPolygon(QPolygonF([first, *points, last]))


def _paint_cut(
    painter: QPainter, x: float, top: float, floor: float, theme: Theme, selected: bool
) -> None:
    px = theme.px
    painter.setPen(QPen(theme.palette.sel if selected else theme.palette.paper, 2 * theme.scale))
    for shift in (1.0, 5.0):
        at = x + shift * theme.scale
        painter.drawLine(QPointF(at - px(1), floor + px(2)), QPointF(at + px(2), top - px(2)))


def _paint_bracket(painter: QPainter, axis: _Axis, bar: LayerBar, y: float, theme: Theme) -> None:
    assert bar.due is not None
    c, px = theme.palette, theme.px
    colour = c.look if bar.unanswered else c.ink3
    width = px(2.4 if bar.unanswered else 1.5)
    left, right = axis.x(bar.due[0]), axis.x(bar.due[1])
    if right < axis.left or left > axis.right:
        return
    inside_left, inside_right = max(left, axis.left), min(right, axis.right)
    painter.fillRect(QRectF(inside_left, y - width / 2, inside_right - inside_left, width), colour)
    for x, inside in ((left, left >= axis.left), (right, right <= axis.right)):
        if inside:
            painter.fillRect(QRectF(x - px(1) / 2, y - px(4), px(1.5), px(8)), colour)


def _paint_diamond(painter: QPainter, centre: QPointF, theme: Theme) -> None:
    half = 5.0 * theme.scale
    painter.setPen(QPen(theme.palette.act, 1.5 * theme.scale))
    painter.setBrush(theme.palette.paper)
    painter.drawPolygon(
        QPolygonF(
            [
                centre + QPointF(0, -half),
                centre + QPointF(half, 0),
                centre + QPointF(0, half),
                centre + QPointF(-half, 0),
            ]
        )
    )


def paint_layer_legend(painter: QPainter, box: QRectF, theme: Theme) -> None:
    """The signs of the drawing and their words, in one line."""
    c, px = theme.palette, theme.px
    middle = box.center().y()
    base = round(middle + theme.metrics("unit").capHeight() / 2)
    floor = middle + px(7)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    left = box.left()
    chances = [1.0, 0.99, 0.95, 0.85, 0.68, 0.48, 0.30, 0.17, 0.09, 0.05, 0.03]
    points = [
        QPointF(left + px(7) * at, floor - px(13) * chance) for at, chance in enumerate(chances)
    ]
    day = date(2000, 1, 1)
    curve = tuple((day, chance) for chance in chances)
    _paint_body(painter, points, LayerBar(curve), floor, theme, False)
    at = left + px(78)
    at = write(painter, theme, "unit", at, base, "height and ink: chance it still protects", c.ink2)
    at += px(20)
    painter.fillRect(QRectF(at, middle - px(1), px(26), px(1.5)), c.ink3)
    for x in (at, at + px(26)):
        painter.fillRect(QRectF(x, middle - px(5), px(1.5), px(10)), c.ink3)
    at = write(painter, theme, "unit", at + px(34), base, "due: 80 % down to 50 %", c.ink2)
    _paint_diamond(painter, QPointF(at + px(24), middle), theme)
    write(painter, theme, "unit", at + px(36), base, "checked", c.ink2)
    painter.restore()
