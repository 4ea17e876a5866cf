"""How a job is drawn along the calendar: work, cures, drying, waits, ready and promised."""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor

from app.actions.bay.plan_of_shop import PlannedJob
from app.calculations.bay.runs import Bar, Kind
from app.window.bay.calendar import Calendar
from app.window.paper.brush import Brush
from app.window.paper.runs import Run as Sample

THICK = 10  # of a bar, pixels at scale 1
_NIB = 3.0  # half the height of a bracket's ends
_LEAST = 3.0  # of a bar or a bracket, that it can be seen


def draw_run(
    brush: Brush, calendar: Calendar, one: PlannedJob, middle: float, *, moved: bool = False
) -> None:
    """A job's bars around a height: solid hands on, lines cures, dots dries, thin where it waits
    inside. `moved`: one that is not kept yet."""
    tone = brush.c.act if moved else brush.c.bar
    for start, end in one.waits:
        left, right = calendar.x(start), calendar.x(end)
        brush.fill(left, round(middle) - 1, right - left, brush.px(1.5), tone)
    for bar in one.bars:
        draw_bar(brush, calendar, bar, middle, tone)
    if one.begun or one.begin < calendar.first:
        draw_slashes(brush, calendar.left + brush.px(3), middle)
    if one.ready > calendar.last:
        draw_slashes(brush, calendar.right - brush.px(3), middle)


def draw_bar(brush: Brush, calendar: Calendar, bar: Bar, middle: float, tone: QColor) -> None:
    """One stretch of one kind."""
    if bar.end <= calendar.first or bar.start >= calendar.last:
        return
    left, right = round(calendar.x(bar.start)), round(calendar.x(bar.end))
    thick = brush.px(THICK)
    top = round(middle - thick / 2)
    box = QRectF(left, top, max(right - left, brush.px(_LEAST)), thick)
    draw_kind(brush, bar.kind, box, tone)


def draw_kind(brush: Brush, kind: Kind, box: QRectF, tone: QColor) -> None:
    """The pattern of a kind of stretch."""
    px, painter = brush.px, brush.painter
    if kind is Kind.HANDS:
        painter.fillRect(box, tone)
        return
    painter.fillRect(box, brush.c.paper)
    line = px(1)
    if kind is Kind.CURES:
        for share in (1, 2):
            y = round(box.top() + share * (box.height() - line) / 3)
            brush.fill(box.left(), y, box.width(), line, tone)
    else:
        step, row = px(4), 0
        down = box.top() + px(2)
        while down < box.bottom() - line:
            x = box.left() + px(2) + (row % 2) * step / 2
            while x < box.right() - line:
                brush.fill(round(x), round(down), px(1.2), px(1.2), tone)
                x += step
            down, row = down + px(2), row + 1
    for edge in (box.top(), box.bottom() - line):
        brush.fill(box.left(), edge, box.width(), line, tone)
    for edge in (box.left(), box.right() - line):
        brush.fill(edge, box.top(), line, box.height(), tone)


def draw_slashes(brush: Brush, x: float, middle: float) -> None:
    """Two slashes where a bar goes on beyond these days."""
    px = brush.px
    for at in (x - px(2), x + px(2)):
        with brush.smooth():
            brush.stroke(brush.c.paper, 4, flat=True)
            brush.draw_line(at - px(2), middle + px(8), at + px(2), middle - px(8))
            brush.stroke(brush.c.bar, 1.5, flat=True)
            brush.draw_line(at - px(2), middle + px(7), at + px(2), middle - px(7))


def draw_bracket(
    brush: Brush, calendar: Calendar, ready: tuple[int, int], y: float, tone: QColor, *, few: bool
) -> None:
    """When it is ready, four times in five; dashed where few such jobs tell."""
    low, high = (calendar.x(minute) for minute in ready)
    if ready[1] <= calendar.first or ready[0] >= calendar.last:
        return
    _bracket(brush, low, max(high, low + brush.px(_LEAST)), y, tone, few=few)


def _bracket(brush: Brush, low: float, high: float, y: float, tone: QColor, *, few: bool) -> None:
    y = round(y) + 0.5
    with brush.smooth():
        brush.stroke(tone, 1.2, dash=(3, 2) if few else (), flat=True)
        brush.draw_line(low, y, high, y)
        brush.stroke(tone, 1.2, flat=True)
        for x in (round(low) + 0.5, round(high) - 0.5):
            brush.draw_line(x, y - brush.px(_NIB), x, y + brush.px(_NIB))


def draw_flag(brush: Brush, x: float, middle: float, tone: QColor) -> float:
    """The flag of a promise on its pole; where it ends."""
    px = brush.px
    x = round(x)
    brush.fill(x, middle - px(10), px(1.5), px(16), tone)
    with brush.smooth():
        brush.stroke(None, fill=tone)
        top = middle - px(10)
        brush.polygon((x + 1, top), (x + px(7), top + px(3.5)), (x + 1, top + px(7)))
    return float(x + px(7))


def draw_clash(brush: Brush, box: QRectF) -> None:
    """Two vehicles in one bay: hatched, edged."""
    brush.painter.fillRect(box, brush.c.paper)
    brush.hatch(box, brush.c.alarm, 4, 1.2)
    with brush.smooth():
        brush.stroke(brush.c.alarm, 1.2)
        brush.painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))


def draw_was(brush: Brush, calendar: Calendar, was: PlannedJob, middle: float) -> None:
    """Where a job stood that is moved: its dashed outline."""
    left, right = round(calendar.x(was.begin)), round(calendar.x(was.ready))
    if right <= left:
        return
    thick = brush.px(THICK)
    with brush.smooth():
        brush.stroke(brush.c.ink2, 1, dash=(3, 2), flat=True)
        top = round(middle - thick / 2)
        brush.painter.drawRect(QRectF(left + 0.5, top + 0.5, right - left - 1, thick - 1))


def legend(*, clash: bool) -> list[Sample]:
    """What the marks of the plan mean, in one line; a clash only where one stands."""
    runs = [_kind_of_bar(kind) for kind in Kind]
    if clash:
        runs.append(Sample("clash", "unit", sample=_clash_sample, wide=20, gap=16))
    runs.append(Sample("ready, four in five", "unit", sample=_bracket_sample, wide=20, gap=16))
    runs.append(Sample("promised", "unit", sample=_flag_sample, wide=8))
    return runs


def _kind_of_bar(kind: Kind) -> Sample:
    def paint(brush: Brush, box: QRectF) -> None:
        draw_kind(brush, kind, _thick(brush, box), brush.c.bar)

    return Sample(kind.value, "unit", sample=paint, wide=26, gap=16)


def _thick(brush: Brush, box: QRectF) -> QRectF:
    thick = brush.px(THICK)
    top = round(box.center().y() - thick / 2)
    return QRectF(round(box.left()), top, round(box.width()), thick)


def _clash_sample(brush: Brush, box: QRectF) -> None:
    draw_clash(brush, _thick(brush, box))


def _bracket_sample(brush: Brush, box: QRectF) -> None:
    _bracket(brush, box.left(), box.right(), box.center().y(), brush.c.ink2, few=False)


def _flag_sample(brush: Brush, box: QRectF) -> None:
    draw_flag(brush, box.left(), box.center().y() + brush.px(2), brush.c.ink)
