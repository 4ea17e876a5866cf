"""The hours of the next fortnight, a bar for each day: how much of it is booked."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from functools import partial

from PySide6.QtCore import QRectF, QSize

from app.actions.plan.load import Load, load
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.durations import quarter_hours, shown_duration
from app.calculations.plan.load import DayLoad
from app.window.house.acting import in_background
from app.window.house.office import Office
from app.window.paper.brush import Brush, Spot, Spotted

DAYS = 14
_HIGH, _TRACK, _THICK = 54, 20, 10  # pixels at scale 1: all of it, where a bar begins, its height
_LEAST = 74  # of a day, in which its hours can be read


class FortnightStrip(Spotted):
    """From today on. A press on a day with jobs goes to the first, on a free one begins a booking.

    The outline is what the day has, solid what is booked of it, hatched what is booked beyond.
    """

    def __init__(
        self, office: Office, go: Callable[[int], object], book: Callable[[], object]
    ) -> None:
        super().__init__(office.theme)
        self._office, self._go, self._book = office, go, book
        self._load = Load({}, {}, {})
        self.setAccessibleName("Hours booked in the next fortnight")
        self.setFixedHeight(office.theme.px(_HIGH))
        self.reach_by_tab(True)

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(400), self._theme.px(_HIGH))

    def read(self) -> None:
        """Read the days anew."""
        desk = self._office.desk
        first = desk.today
        last = first + timedelta(days=DAYS - 1)
        read = partial(load, desk, first, last)
        in_background(self._office, self, "The hours booked", read, self._show, quiet=True)

    def _show(self, found: Load) -> None:
        self._load = found
        self.update()

    def _press(self, day: DayLoad) -> None:
        jobs = self._load.ids.get(day.day, ())
        if jobs:
            self._go(jobs[0])
        else:
            self._book()

    # paint -----------------------------------------------------------------------------------
    def draw(self, brush: Brush) -> None:
        self.spots = []
        px = brush.px
        fit = max(1, int(self.width() // px(_LEAST)))
        days = self._load.days.values()
        shown = [one for one in days if one.open_minutes or one.booked][:fit]
        if not shown:
            return
        wide = self.width() / len(shown)
        most = max(max(one.open_minutes, one.booked) for one in shown)
        for at, day in enumerate(shown):
            if at and (day.day - shown[at - 1].day).days > 1:  # a weekend lies between
                brush.fill(round(at * wide), px(4), px(1), px(_HIGH - 8), brush.c.rule2)
            self._day(brush, QRectF(at * wide, 0, wide, px(_HIGH - 2)), day, most)

    def _day(self, brush: Brush, box: QRectF, day: DayLoad, most: int) -> None:
        c, px = brush.c, brush.px
        left = box.left() + px(8)
        unit = (box.width() - px(18)) / most

        def part(low: int, high: int) -> QRectF:
            begins, ends = round(left + low * unit), round(left + high * unit)
            return QRectF(begins, px(_TRACK), ends - begins, px(_THICK))

        brush.painter.fillRect(part(0, min(day.booked, day.open_minutes)), c.bar)
        with brush.smooth():
            if day.beyond:
                beyond = part(day.open_minutes, day.booked)
                brush.hatch(beyond, c.look, 4)
                brush.stroke(c.look, 1)
                brush.painter.drawRect(beyond.adjusted(0.5, 0.5, -0.5, -0.5))
            if day.booked < day.open_minutes:
                brush.stroke(c.rule2, 1, dash=(3, 2))
                free = part(day.booked, day.open_minutes)
                brush.painter.drawRect(free.adjusted(0.5, 0.5, -0.5, -0.5))
        today = day.day == self._office.desk.today
        name = "Today" if today else f"{day.day:%a} {day.day.day}"
        brush.write("head" if today else "tick", left, px(14), name, c.ink if today else c.ink2)
        words = f"{quarter_hours(day.booked)} of {quarter_hours(day.open_minutes)} h"
        role, tone = ("head", c.look) if day.beyond else ("tick", c.ink2)
        brush.write(role, left, px(_TRACK + _THICK + 15), words, tone)
        told = f"{shown_duration(day.booked)} of {shown_duration(day.open_minutes)} booked"
        if day.beyond:
            told += f", {shown_duration(day.beyond)} beyond its hours"
        words = f"{weekday_day(day.day)}: {told}"
        self.spots.append(Spot(box, partial(self._press, day), words, words))
