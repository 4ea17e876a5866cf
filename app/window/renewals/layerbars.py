"""Time bars of the renewals: the chance that a layer still protects, over thirty-six months."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QLinearGradient, QPainterPath, QPolygonF

from app.window.paper.brush import Brush
from app.window.paper.cells import HeadPainter
from app.window.paper.palette import mix


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
    look colour. `checks`: days on which it was seen and still good.
    """

    curve: tuple[tuple[date, float], ...]
    cut_left: bool = False
    due: tuple[date, date] | None = None
    unanswered: bool = False
    checks: tuple[date, ...] = ()
    still: float | None = None


def spoken_layer(bar: LayerBar) -> str:
    """What a bar shows, in words."""
    said = []
    if bar.still is not None:
        said.append(f"protects today with a chance of {round(100 * bar.still)} %")
    if bar.due is not None:
        first, last = (f"{day:%B} {day.year}" for day in bar.due)
        said.append(f"due {first} to {last}")
    said += [f"seen still good {day.day} {day:%B} {day.year}" for day in bar.checks]
    return "; ".join(said)


class _DatesAxis:
    """Dates along a box."""

    def __init__(self, brush: Brush, box: QRectF, calendar: LayerCalendar) -> None:
        self.calendar = calendar
        self.left, self.right = box.left() + brush.px(12), box.right() - brush.px(12)

    def x(self, day: date) -> float:
        c = self.calendar
        share = (day - c.left).days / max((c.right - c.left).days, 1)
        return self.left + share * (self.right - self.left)


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


def _is_narrow(brush: Brush, axis: _DatesAxis) -> bool:
    """Whether half years stand too close for their months: then only years are drawn."""
    half_year = axis.x(axis.calendar.left + timedelta(days=183)) - axis.left
    return half_year < 2 * brush.theme.width("tick", "Mar")


def _ticks(brush: Brush, axis: _DatesAxis) -> list[date]:
    """The first days of the quarters, or of the years, that have a line."""
    narrow = _is_narrow(brush, axis)
    return [day for day in _quarters(axis.calendar) if day.month == 1 or not narrow]


def layer_head(calendar: LayerCalendar) -> HeadPainter:
    """The painter of the column's head: quarters under their years; today in ink."""

    def draw(brush: Brush, box: QRectF) -> None:
        axis, c, px = _DatesAxis(brush, box, calendar), brush.c, brush.px
        tick, base = box.bottom() - px(1) - px(4), box.bottom() - px(11)
        today = axis.x(calendar.today)
        wide = brush.theme.width("head", "today")
        brush.write_centred("head", today, base, "today", c.ink)
        narrow, quarters = _is_narrow(brush, axis), list(_quarters(calendar))
        longest = max(brush.theme.width("tick", f"{day:%b}") for day in quarters)
        close = axis.x(quarters[1]) - axis.x(quarters[0]) < longest + px(6)
        free = box.left()  # where the next year may begin
        for day in quarters:
            x, label = axis.x(day), f"{day:%b}"
            if narrow and day.month > 1:
                continue
            brush.fill(round(x), tick, px(1), px(4), c.rule2)
            half = brush.theme.width("tick", label) / 2
            named = not narrow and (day.month in (1, 7) or not close)
            if named and abs(x - today) > half + wide / 2 + px(3):
                brush.write("tick", x - half, base, label, c.ink3)
            if day.month == 1:
                long = brush.theme.width("head", str(day.year))
                if x - long / 2 >= free:
                    free = brush.write_centred("head", x, base - px(16), str(day.year), c.ink2)
                    free += px(5)

    return draw


def draw_layer_bar(
    brush: Brush, box: QRectF, bar: LayerBar, calendar: LayerCalendar, selected: bool = False
) -> None:
    """One layer in a row: height and ink are the chance that it still protects."""
    axis, c, px = _DatesAxis(brush, box, calendar), brush.c, brush.px
    ground = c.sel if selected else c.paper
    for day in _ticks(brush, axis):
        brush.fill(round(axis.x(day)), box.top(), px(1), box.height(), c.rule)
    floor = box.bottom() - px(9)
    tall = floor - box.top() - px(6)
    points = [QPointF(axis.x(day), floor - tall * chance) for day, chance in bar.curve]
    today = round(axis.x(calendar.today)) + 0.5
    with brush.smooth():
        if len(points) > 1:
            _draw_body(brush, points, bar, floor, ground)
            if bar.cut_left:
                brush.stroke(ground, 2)
                for shift in (1.0, 5.0):
                    x = points[0].x() + shift * brush.theme.scale
                    brush.draw_line(x - px(1), floor + px(2), x + px(2), floor - tall - px(2))
            else:
                start = points[0]
                high = floor - start.y() + px(4)
                brush.fill(start.x() - px(1), start.y() - px(2), px(2), high, c.layer)
        brush.fill(today - px(1), box.top(), px(1.5), box.height(), c.ink)
        if bar.due is not None:
            _draw_bracket(brush, axis, bar.due, floor + px(4), unanswered=bar.unanswered)
        for day in bar.checks:
            if calendar.left <= day <= calendar.right:
                _draw_seen(brush, axis.x(day), floor - tall + px(1))
        if bar.still is not None:
            brush.stroke(c.paper, 1.6, fill=c.ink)
            brush.dot(today, floor - tall * bar.still, 4.2)


def _draw_seen(brush: Brush, x: float, y: float) -> None:
    half = 5.0 * brush.theme.scale
    brush.stroke(brush.c.act, 1.5, fill=brush.c.paper)
    brush.polygon((x, y - half), (x + half, y), (x, y + half), (x - half, y))


def _draw_body(
    brush: Brush, points: list[QPointF], bar: LayerBar, floor: float, ground: QColor
) -> None:
    layer = brush.c.layer
    left, right = points[0].x(), points[-1].x()
    shape = QPainterPath(QPointF(left, floor))
    for point in (*points, QPointF(right, floor)):
        shape.lineTo(point)
    shape.closeSubpath()
    shade = QLinearGradient(left, 0, right, 0)
    for point, (_day, chance) in zip(points, bar.curve, strict=True):
        share = (point.x() - left) / max(right - left, 1e-6)
        shade.setColorAt(min(max(share, 0.0), 1.0), mix(ground, layer, 0.06 + 0.80 * chance))
    brush.painter.fillPath(shape, shade)
    brush.stroke(layer, 1.2)
    brush.painter.drawPolyline(QPolygonF(points))


def _draw_bracket(
    brush: Brush, axis: _DatesAxis, due: tuple[date, date], y: float, *, unanswered: bool
) -> None:
    px, colour = brush.px, brush.c.look if unanswered else brush.c.ink3
    width = px(2.4 if unanswered else 1.5)
    left, right = axis.x(due[0]), axis.x(due[1])
    if right < axis.left or left > axis.right:
        return
    begin, end = max(left, axis.left), min(right, axis.right)
    brush.fill(begin, y - width / 2, end - begin, width, colour)
    for x, inside in ((left, left >= axis.left), (right, right <= axis.right)):
        if inside:
            brush.fill(x - px(1) / 2, y - px(4), px(1.5), px(8), colour)


def draw_still_sample(brush: Brush, box: QRectF) -> None:
    """A layer's body, for the key of the drawing."""
    floor, tall = box.bottom() - brush.px(4), box.height() - brush.px(8)
    falls = ((0.0, 1.0), (0.3, 0.96), (0.5, 0.75), (0.7, 0.35), (0.85, 0.1), (1.0, 0.03))
    bar = LayerBar(tuple((date.min, chance) for _share, chance in falls))
    points = [
        QPointF(box.left() + share * box.width(), floor - tall * chance) for share, chance in falls
    ]
    with brush.smooth():
        _draw_body(brush, points, bar, floor, brush.c.paper)


def draw_due_sample(brush: Brush, box: QRectF) -> None:
    """The bracket of what is due and may be asked."""
    px, y = brush.px, box.center().y()
    brush.fill(box.left(), y - px(1.2), box.width(), px(2.4), brush.c.look)
    for x in (box.left(), box.right() - px(1.5)):
        brush.fill(x, y - px(4), px(1.5), px(8), brush.c.look)


def draw_seen_sample(brush: Brush, box: QRectF) -> None:
    """The diamond of a day on which it was seen and held."""
    with brush.smooth():
        _draw_seen(brush, box.center().x(), box.center().y())


def draw_today_sample(brush: Brush, box: QRectF) -> None:
    """The dot at today on its line."""
    x = box.center().x()
    with brush.smooth():
        brush.fill(x - brush.px(1) / 2, box.top(), brush.px(1.5), box.height(), brush.c.ink)
        brush.stroke(brush.c.paper, 1.6, fill=brush.c.ink)
        brush.dot(x, box.center().y(), 4.2)
