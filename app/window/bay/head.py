"""The head of the plan: its days, and how many hours each of them holds."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from itertools import groupby

from PySide6.QtCore import QRectF

from app.actions.bay.plan_of_shop import DayOfPlan
from app.calculations.numbers.durations import quarter_hours
from app.window.bay.calendar import Calendar
from app.window.paper.brush import Brush

DAYS_HIGH, HOURS_HIGH = 39, 46  # pixels at scale 1
_FLOOR, _HIGHEST = 29, 24  # of the hours' bars: their foot from the top of the row, the longest
NUMBER_AT, NAME_AT = 10, 48


def draw_days(brush: Brush, calendar: Calendar, today: date, name_at: float) -> None:
    """Weekday over number, each over its open hours; closed days small."""
    c, px = brush.c, brush.px
    first, second = brush.base("head", px(12)), brush.base("head", px(28))
    if name_at > px(NUMBER_AT):
        brush.write("head", px(NUMBER_AT), second, "Job", c.ink2)
    brush.write("head", name_at, second, "Customer", c.ink2, calendar.left - name_at)
    for at, day in enumerate(calendar.days):
        left, right = calendar.open_span(at)
        centre = (left + right) / 2
        if day.day == today:
            wide = brush.theme.width("head", "today")
            centre = max(centre, calendar.left + wide / 2)
            brush.write_centred("head", centre, first, "today", c.ink)
            brush.write_centred("head", centre, second, str(day.day.day), c.ink)
            continue
        words = f"{day.day:%a}" if day.window else f"{day.day:%a}"[:2]
        role, tone = ("head", c.ink2) if day.window else ("tick", c.ink3)
        brush.write_centred(role, centre, first, words, tone)
        if day.weather:
            brush.mark("look", right + px(1), px(12), size=11)
        number = str(day.day.day)
        if day.window and (at == 0 or day.day.day == 1):  # the month, where it begins
            number = f"{number} {day.day:%b}"
        brush.write_centred("tick", centre, second, number, tone)


def draw_hours(
    brush: Brush,
    calendar: Calendar,
    was: Mapping[date, int],
    top: float,
    right: float,
    *,
    focus: bool,
) -> None:
    """Booked hours against open ones, of each day, and of all together; `was` is what they were
    before the move that is tried, `focus` where no row has it."""
    c, px = brush.c, brush.px
    room = calendar.left - px(NUMBER_AT) - px(8)
    brush.write("dense_total", px(NUMBER_AT), top + px(20), "Hours booked", c.ink, room)
    brush.write("unit", px(NUMBER_AT), top + px(38), "dashed line: open", c.ink2, room)
    most = max([480, *was.values(), *(max(day.open_minutes, day.booked) for day in calendar.days)])
    for at, day in enumerate(calendar.days):
        before = was.get(day.day, day.booked)
        if day.window or day.booked or before:
            left, end = (round(x) for x in calendar.open_span(at))
            _draw_day(
                brush, QRectF(left, top, end - left, px(_FLOOR)), day, before, most, focus=focus
            )
    total = sum(day.booked for day in calendar.days)
    brush.write_right("dense_total", right, top + px(38), f"{quarter_hours(total)} h", c.ink)


def _draw_day(
    brush: Brush, box: QRectF, day: DayOfPlan, was: int, most: int, *, focus: bool
) -> None:
    c, px = brush.c, brush.px
    top, floor, is_open = box.top(), box.bottom(), day.open_minutes

    def y(minutes: int) -> float:
        return floor - round(minutes / most * px(_HIGHEST))

    stands = min(day.booked, was)
    if stands:
        brush.fill(box.left(), y(stands), box.width(), floor - y(stands), c.act_soft)
        brush.fill(box.left(), y(stands), box.width(), px(1.5), c.bar)
    if is_open > day.booked:
        with brush.smooth():
            brush.stroke(c.ink3, 1, dash=(2.5, 2), flat=True)
            brush.draw_line(box.left(), y(is_open) + 0.5, box.right(), y(is_open) + 0.5)
    over = day.booked > is_open
    if over:
        above = QRectF(box.left(), y(day.booked), box.width(), y(is_open) - y(day.booked))
        above.setHeight(max(above.height(), px(3)))
        brush.painter.fillRect(above, c.paper)
        brush.hatch(above, c.look, 3.5, 1.1)
        with brush.smooth():
            brush.stroke(c.look, 1)
            brush.painter.drawRect(above.adjusted(0.5, 0.5, -0.5, -0.5))
    if day.booked != was:
        _draw_change(brush, box, y(was), y(day.booked), leaves=was > day.booked)
    role, tone = ("dense_changed", c.act) if day.booked != was else ("unit", c.ink2)
    if over:
        tone = c.look
        brush.mark("look", box.center().x() - px(14), top + px(37), c.look, 11)
    centre = box.center().x() + (px(5) if over else 0)
    figure = quarter_hours(day.booked) if day.booked or day.window else ""
    ground = c.sel if focus else c.paper
    wide = brush.theme.width(role, figure) + px(4)  # today's line keeps away from it
    brush.fill(centre - wide / 2, top + px(31), wide if figure else 0, px(13), ground)
    brush.write_centred(role, centre, brush.base(role, top + px(37)), figure, tone)


def _draw_change(brush: Brush, box: QRectF, was: float, now: float, *, leaves: bool) -> None:
    """Hours that leave a day are dashed, those that come have a firm edge."""
    c, px = brush.c, brush.px
    high, low = min(was, now), max(was, now)
    with brush.smooth():
        edge = QRectF(box.left(), high, box.width(), max(low - high, px(4)))
        if leaves:
            brush.stroke(c.ink2, 1, dash=(3, 2), flat=True)
        else:
            brush.stroke(c.act, 1.6)
        brush.painter.drawRect(edge.adjusted(0.5, 0.5, -0.5, -0.5))


def closed_spans(calendar: Calendar) -> list[tuple[float, float]]:
    """From where to where closed days reach, those that follow each other as one."""
    spans = []
    of_days = zip(calendar.days, calendar.spans, strict=True)
    for is_open, group in groupby(of_days, key=lambda one: one[0].window is not None):
        found = [span for _day, span in group]
        if not is_open:
            spans.append((found[0][0], found[-1][1]))
    return spans
