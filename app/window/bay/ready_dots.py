"""When a job is ready, as far as jobs like it strayed: dots along the open hours.

They are ways of which the chance of the promise counts how many keep it, so both agree.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF

from app.actions.bay.plan_of_shop import DayOfPlan, PlannedJob, ShopPlan, clock_words, worked_out
from app.actions.desk.desk import Desk
from app.window.bay.calendar import Calendar, calendar_of
from app.window.paper.brush import Brush
from app.window.paper.notes import Drawing

WAYS = 10
MOST = 20  # dots, however many jobs were like it
_HIGH, _FLOOR, _BAND = 84, 50, 28  # pixels at scale 1
_MOST_DAYS = 4  # that have room in the margin


def ready_drawing(desk: Desk, plan: ShopPlan, row: PlannedJob) -> Drawing | None:
    """A dot for each; hollow ones miss the promise. None where they lie beyond what is shown."""
    found = worked_out(desk, plan.effect.move if plan.effect is not None else None)
    times = found.times.get(row.job_id)
    if times is None or row.low is None or row.high is None:
        return None
    count = WAYS if row.few else min(row.n, MOST)
    ways = [float(times[int((at + 0.5) / count * len(times))]) for at in range(count)]
    words = "ready, as such jobs usually stray"
    if not row.few:
        words = f"ready, as {row.n} such jobs strayed"
    marks = [*ways, *([row.promised] if row.promised is not None else [])]
    days = [one for one in plan.days if one.end > min(marks) and one.start <= max(marks)]
    if not days or not days[0].start <= min(ways) or len(days) > _MOST_DAYS + 3:
        return None
    missed = sum(row.promised is not None and way > row.promised for way in ways)
    said = (
        f"{words}: {missed} of {len(ways)} miss the promise" if row.promised is not None else words
    )

    def paint(brush: Brush, box: QRectF) -> None:
        _paint(brush, box, days, ways, row, words)

    return Drawing(_HIGH, paint, f"{said}; {clock_words(desk, row.low)} to "
                   f"{clock_words(desk, row.high)} four times in five")  # fmt: skip


def _paint(
    brush: Brush,
    box: QRectF,
    days: Sequence[DayOfPlan],
    ways: Sequence[float],
    row: PlannedJob,
    words: str,
) -> None:
    c, px = brush.c, brush.px
    calendar = calendar_of(days, box.left() + px(5), box.right() - px(5))
    floor = box.top() + px(_FLOOR)
    left, right = calendar.x(row.low or 0), calendar.x(row.high or 0)
    brush.fill(left, floor - px(_BAND), max(right - left, px(2)), px(_BAND), c.act_soft)
    _axis(brush, calendar, box, floor)
    stacked: list[tuple[float, float]] = []
    with brush.smooth():
        for way in ways:
            missed = row.promised is not None and way > row.promised
            x, y = _place(calendar.x(int(way)), floor, stacked, px(8), box.right() - px(4))
            stacked.append((x, y))
            if missed:
                brush.stroke(c.look, 1.5, fill=c.paper)
            else:
                brush.stroke(None, fill=c.ink2)
            brush.dot(x, y, 3.2 if missed else 3.5)
    if row.promised is not None:
        x = calendar.x(row.promised)
        brush.fill(x - px(1), floor - px(_BAND + 4), px(2), px(_BAND + 8), c.act)
        wide = brush.theme.width("key", "promised")
        start = min(max(x - wide / 2, box.left()), box.right() - wide)
        brush.write("key", start, box.top() + px(12), "promised", c.act)
    brush.write("tick", box.left(), box.bottom() - px(3), words, c.ink2, box.width())


def _place(
    x: float, floor: float, taken: Sequence[tuple[float, float]], wide: int, right: float
) -> tuple[float, float]:
    """Where a dot stands free: three over each other, then beside them."""
    back = 1 if x + 3 * wide <= right else -1
    for column in range(MOST):
        for level in range(3):
            at = x + back * column * wide, floor - wide * (level + 0.85)
            if all(abs(at[0] - one) >= wide or abs(at[1] - two) >= wide for one, two in taken):
                return at
    return x, floor - wide


def _axis(brush: Brush, calendar: Calendar, box: QRectF, floor: float) -> None:
    """A line for each day's open hours, with a gap where the shop is closed; the day under it."""
    px, free = brush.px, box.left()
    for at, day in enumerate(calendar.days):
        left, right = calendar.open_span(at)
        if day.window is None:
            continue
        brush.fill(left, floor, right - left, px(1), brush.c.rule2)
        words = f"{day.day:%a}"
        if len(calendar.days) == 1:
            _hours(brush, calendar, day, floor)
        elif left >= free:
            free = brush.write("tick", left, floor + px(15), words, brush.c.ink2) + px(4)


def _hours(brush: Brush, calendar: Calendar, day: DayOfPlan, floor: float) -> None:
    assert day.window is not None
    opens, closes = day.window
    for minute in range(opens, closes + 1, 120):
        hour = (minute - day.start) // 60
        brush.write_centred("tick", calendar.x(minute), floor + brush.px(15), str(hour),
                            brush.c.ink2)  # fmt: skip
