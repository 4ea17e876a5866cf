"""Three weeks of days with what each holds against its open hours, and a job that may come."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import partial

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent

from app.actions.bay.earliest_days import Begin
from app.actions.bay.plan_of_shop import DayOfPlan
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.durations import quarter_hours, shown_duration
from app.calculations.plan.load import DayLoad, with_job
from app.window.bay.bars import draw_bar, draw_flag
from app.window.bay.calendar import Calendar
from app.window.paper.brush import Brush, Spot, Spotted
from app.window.paper.theme import Theme

DAYS = 21
HIGH = 178
_STRIP, _ONE = 16, 10  # of a bay under the days, and of its bar
_LEFT, _TOP, _BARS, _FOOT = 40, 22, 84, 56
_SPANS = (DAYS, 14, 10, 7)  # days shown: as many as have room for their figures
_LEAST = 36  # of a day that is open
_OPEN, _CLOSED = 40, 26  # how wide a day is drawn beside others; a hand must hit each


class LoadDrawing(Spotted):
    """Booked: soft with its top edge. This job: solid on top. Open: dashed. Beyond: hatched.

    Tab comes here; arrows go from day to day, Enter begins the job on it; PgUp and PgDn are other
    weeks.
    """

    day_chosen = Signal(object)  # date
    turned = Signal(int)  # weeks

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._days: tuple[DayLoad, ...] = ()
        self._begins: date | None = None
        self._today: date | None = None
        self._planned: tuple[DayOfPlan, ...] = ()
        self._bays = 0
        self._stays: Sequence[tuple[int, int, int, str]] = ()
        self._begin: Begin | None = None
        self.setFixedHeight(theme.px(HIGH))
        self.setAccessibleName("What each day holds")
        self.reach_by_tab(True)

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(400), self._theme.px(HIGH))

    def show_load(
        self,
        days: Mapping[date, DayLoad],
        added: Mapping[date, int],
        begins: date | None,
        today: date,
    ) -> None:
        """The days, the minutes that the job adds to each, and the day on which it begins."""
        self._days = with_job(days, added)
        self._begins, self._today = begins, today
        self._lay_spots()
        self.update()

    def show_bays(
        self,
        days: Sequence[DayOfPlan],
        bays: int,
        stays: Sequence[tuple[int, int, int, str]],
        begin: Begin | None,
    ) -> None:
        """Below the days a strip for each bay: who stands there, as (bay, from, to, number), and
        the job that may come."""
        self._planned, self._bays, self._stays, self._begin = tuple(days), bays, stays, begin
        self.setFixedHeight(self._theme.px(HIGH + _STRIP * bays))
        self._lay_spots()

    @property
    def count(self) -> int:
        """How many days have room."""
        return len(self._boxes()) or DAYS

    @property
    def shown(self) -> tuple[DayLoad, ...]:
        """The days that are drawn."""
        return self._days

    def first_spot(self) -> int:
        return next((at for at, one in enumerate(self._days) if one.day == self._begins), 0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay_spots()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        weeks = {Qt.Key.Key_PageDown: 1, Qt.Key.Key_PageUp: -1}.get(Qt.Key(event.key()))
        if weeks is not None:
            self.turned.emit(weeks)
        else:
            super().keyPressEvent(event)

    def _lay_spots(self) -> None:
        self.spots = [
            Spot(
                box.adjusted(0, 0, 0, self._theme.px(_FOOT - 20 + _STRIP * self._bays)),
                partial(self.day_chosen.emit, one.day),
                day_said(one),
            )
            for one, box in self._boxes()
        ]

    def _boxes(self) -> list[tuple[DayLoad, QRectF]]:
        px = self._theme.px
        left, room = float(px(_LEFT)), self.width() - px(_LEFT + 2)
        days, weights = self._days, [1]
        for count in _SPANS:
            days = self._days[:count]
            weights = [_OPEN if one.open_minutes or one.held else _CLOSED for one in days]
            if not weights or room * _OPEN / sum(weights) >= px(_LEAST):
                break
        found = []
        for one, weight in zip(days, weights, strict=True):
            wide = room * weight / sum(weights)
            found.append((one, QRectF(left, px(_TOP), wide, px(_BARS))))
            left += wide
        return found

    def draw(self, brush: Brush) -> None:
        boxes = self._boxes()
        if not boxes:
            return
        c, px = brush.c, brush.px
        usual = max(one.open_minutes for one, _box in boxes) or 480
        top = max(usual, *(one.held for one, _box in boxes))
        foot = px(_TOP + _BARS)
        scale = px(_BARS) / top

        def y(minutes: float) -> float:
            return foot - minutes * scale

        for minutes in (0, usual // 2, usual):
            words = f"{usual // 60} h" if minutes == usual else f"{minutes / 60:g}"
            brush.write_right("tick", px(_LEFT - 10), brush.base("tick", y(minutes)), words, c.ink2)
        brush.hairline(px(_LEFT), round(y(usual)), self.width() - px(_LEFT), c.rule)
        for one, box in boxes:
            self._draw_day(brush, one, box, y)
        brush.fill(px(_LEFT), foot, self.width() - px(_LEFT), px(1), c.rule2)
        self._draw_bays(brush, boxes)
        self._draw_begin(brush, boxes)
        self._draw_key(brush, [one for one, _box in boxes])

    def _draw_day(
        self, brush: Brush, one: DayLoad, box: QRectF, y: Callable[[float], float]
    ) -> None:
        c, px = brush.c, brush.px
        middle, foot = box.center().x(), y(0)
        named = foot + px(_STRIP * self._bays)
        bar = box.adjusted(px(4), 0, -px(4), 0)
        if not one.open_minutes and not one.held:
            brush.fill(box.left(), box.top(), box.width(), named - box.top() + px(36), c.leaf)
        if one.open_minutes > one.held:
            with brush.smooth():
                brush.stroke(c.rule2, 1, dash=(3, 2.4), flat=True)
                at = round(y(one.open_minutes)) + 0.5
                brush.draw_line(bar.left(), at, bar.right(), at)
                for side in (bar.left() + 0.5, bar.right() - 0.5):
                    brush.draw_line(side, at, side, y(one.held))
        if one.booked:
            high = foot - y(one.booked)
            brush.fill(bar.left(), y(one.booked), bar.width(), high, c.act_soft)
            brush.fill(bar.left(), y(one.booked), bar.width(), px(2), c.bar)
        if one.added:
            high = y(one.booked) - y(one.held)
            brush.fill(bar.left(), y(one.held), bar.width(), high, c.act)
        if one.held > one.open_minutes:
            above = QRectF(bar.left(), y(one.held), bar.width(), y(one.open_minutes) - y(one.held))
            brush.fill(above.left(), above.top(), above.width(), above.height(), c.paper)
            brush.hatch(above, c.look, 4)
            with brush.smooth():
                brush.stroke(c.look, 1.2)
                brush.painter.drawRect(above.adjusted(0.5, 0.5, -0.5, -0.5))
        if one.added:
            with brush.smooth():
                brush.stroke(c.act, 2)
                come = QRectF(bar.left(), y(one.held), bar.width(), y(one.booked) - y(one.held))
                brush.painter.drawRect(come.adjusted(1, 1, -1, -1))
        here = one.day == self._begins
        tone = c.ink if here or one.day == self._today else c.ink2
        letter = f"{one.day:%a}"[:1]
        brush.write_centred("key", middle, named + px(15), letter, tone)
        number = str(one.day.day)
        brush.write_centred("key" if here else "tick", middle, named + px(30), number, tone)
        if one.held:
            role, ink = ("key", c.act) if one.added else ("tick", c.ink2)
            ink = c.look if one.held > one.open_minutes else ink
            brush.write_centred(role, middle, named + px(45), quarter_hours(one.held), ink)

    def _calendar(self, boxes: Sequence[tuple[DayLoad, QRectF]]) -> Calendar:
        """Minutes along the days: open hours within the bar of a day, the night between."""
        by_day = {one.day: one for one in self._planned}
        inset = self._theme.px(4)
        known = [(by_day[one.day], box) for one, box in boxes if one.day in by_day]
        return Calendar(
            [day for day, _box in known],
            [(box.left() + inset, box.right() - inset, box.right()) for _day, box in known],
        )

    def _draw_bays(self, brush: Brush, boxes: Sequence[tuple[DayLoad, QRectF]]) -> None:
        """Who stands in each bay when; the job that may come in act, with its cure and its flag."""
        px, calendar = brush.px, self._calendar(boxes)
        if not calendar.days:
            return
        top = px(_TOP + _BARS + 4)
        words = "bay" if self._bays == 1 else "bays"
        if self._bays:
            brush.write("unit_total", 0, brush.base("unit_total", top + px(_ONE / 2)), words,
                        brush.c.ink)  # fmt: skip
        for bay, start, end, _number in self._stays:
            left, right = round(calendar.x(start)), round(calendar.x(end))
            if right > left and bay < self._bays:
                y = top + px(_STRIP) * bay
                brush.fill(left, y, max(right - left - 1, 1), px(_ONE), brush.c.bar)
        begin = self._begin
        if begin is None:
            return
        if begin.bay is not None and begin.bay < self._bays:
            middle = top + px(_STRIP) * begin.bay + px(_ONE) / 2
            left, right = round(calendar.x(begin.begin)), round(calendar.x(begin.ready))
            brush.fill(left, round(middle) - 1, right - left, px(1.5), brush.c.act)
            for bar in begin.bars:
                draw_bar(brush, calendar, bar, middle, brush.c.act)
            if calendar.first <= begin.promised < calendar.last:
                draw_flag(brush, calendar.x(begin.promised), middle, brush.c.ink)

    def _draw_begin(self, brush: Brush, boxes: Sequence[tuple[DayLoad, QRectF]]) -> None:
        c, px = brush.c, brush.px
        box = next((box for one, box in boxes if one.day == self._begins), None)
        if box is None:
            return
        calendar = self._calendar(boxes)
        at = box.left() + px(3)
        if self._begin is not None and calendar.days:
            at = calendar.x(self._begin.begin)
        with brush.smooth():
            brush.stroke(None, fill=c.act)
            brush.polygon((at - px(6), px(6)), (at + px(6), px(6)), (at, px(14)))
            brush.stroke(c.act, 2, flat=True)
            brush.draw_line(at, px(10), at, px(_TOP + _BARS + _STRIP * self._bays))

    def _draw_key(self, brush: Brush, days: Sequence[DayLoad]) -> None:
        """What the marks mean, of those that stand here."""
        c, px = brush.c, brush.px
        base = self.height() - px(6)
        month = f"{days[0].day:%b}"
        if days[-1].day.month != days[0].day.month:
            month = f"{month}–{days[-1].day:%b}"
        brush.write("tick", 0, px(_TOP + _BARS + _STRIP * self._bays + 30), month, c.ink2)
        left = float(px(_LEFT))

        def sample() -> QRectF:
            return QRectF(left, base - px(10), px(22), px(11))

        box = sample()
        brush.fill(box.left(), box.top(), box.width(), box.height(), c.act_soft)
        brush.fill(box.left(), box.top(), box.width(), px(2), c.bar)
        left = brush.write("tick", box.right() + px(8), base, "booked", c.ink2) + px(22)
        box = sample()
        with brush.smooth():
            brush.stroke(c.rule2, 1, dash=(3, 2.4), flat=True)
            brush.painter.drawRect(box)
        left = brush.write("tick", box.right() + px(8), base, "open", c.ink2) + px(22)
        if any(one.added for one in days):
            box = sample()
            brush.fill(box.left(), box.top(), box.width(), box.height(), c.act)
            left = brush.write("tick", box.right() + px(8), base, "this job", c.ink2) + px(22)
        if any(one.held > one.open_minutes for one in days):
            box = sample()
            brush.hatch(box, c.look, 4)
            with brush.smooth():
                brush.stroke(c.look, 1.2)
                brush.painter.drawRect(box)
            brush.write("tick", box.right() + px(8), base, "more than it has", c.look)


def day_said(one: DayLoad) -> str:
    """A day in words: `Thursday 14 August: 5 h of 8 h booked`."""
    held = shown_duration(one.held)
    if not one.open_minutes:
        return f"{weekday_day(one.day)}: no working day" + (f", {held} booked" if one.held else "")
    return f"{weekday_day(one.day)}: {held} of {shown_duration(one.open_minutes)} booked"
