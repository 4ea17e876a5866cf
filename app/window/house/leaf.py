"""The contents leaf: the date, the six places and more, the month, and where to find anything."""

from __future__ import annotations

from calendar import Calendar
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from PySide6.QtCore import QRectF, Signal
from PySide6.QtGui import QColor, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.house.office import Office
from app.window.paper.accessible import Part, Role
from app.window.paper.brush import Brush, Spot, Spotted
from app.window.paper.marks import keycap_width
from app.window.paper.theme import Theme

WIDE, NARROW, FOLDS_BELOW = 184, 48, 1180
MonthMarks = Callable[[date], tuple[Collection[date], Collection[date]]]
MonthLoad = Callable[[date], Mapping[date, float]]
_ROW, _FIRST_ROW = 32, 124
_DAY = 24  # a day's width: no less can be clicked (WCAG 2.2, success criterion 2.5.8)
LEFT, RIGHT = 15, 169  # where writing begins and ends on the unfolded leaf
_LINE = 177  # how far the ground of the open place's line reaches


@dataclass(frozen=True)
class Status:
    """What stands behind a place's name in the contents: `3 short`; nothing for none."""

    count: int = 0
    word: str = ""
    tone: str = "ink3"  # or "look"

    @property
    def text(self) -> str:
        """The count with its word."""
        return f"{self.count} {self.word}" if self.count else ""


@dataclass(frozen=True)
class LeafLine:
    """One place in the contents."""

    key: str
    name: str
    mark: str
    status: Status = Status()


class Leaf(Spotted):
    """The left leaf of the open book; folds to icons when the window is narrow."""

    place_chosen = Signal(str)
    day_chosen = Signal(object)  # a date
    month_shown = Signal(object)  # the first day of a month that is now shown
    find_asked = Signal()

    def __init__(self, theme: Theme, day: date, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self._lines: tuple[LeafLine, ...] = ()
        self._here = ""
        self._day = day
        self._today = day
        self._month = day.replace(day=1)
        self._closed: frozenset[date] = frozenset()
        self._left_open: frozenset[date] = frozenset()
        self._load: Mapping[date, float] = {}
        self.folded = False
        self.setAccessibleName("Contents")
        self.reach_by_tab(True)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self.setFixedWidth(theme.px(WIDE))

    # what it shows -------------------------------------------------------------------------
    def set_lines(self, lines: Sequence[LeafLine]) -> None:
        """The places, in order of their numbers."""
        self._lines = tuple(lines)
        self.update()

    def set_status(self, key: str, status: Status) -> None:
        """What stands behind a place's name."""
        self._lines = tuple(
            replace(line, status=status) if line.key == key else line for line in self._lines
        )
        self.update()

    def set_here(self, key: str) -> None:
        """Which place is open."""
        self._here = key
        self.update()

    def set_day(self, day: date, today: date | None = None) -> None:
        """The day that the book lies open at."""
        self._day = day
        self._today = today or self._today
        self._show_month(day.replace(day=1))

    def set_month_marks(self, closed: Iterable[date], left_open: Iterable[date]) -> None:
        """Days of the shown month that are closed, and those with work that were left open."""
        self._closed, self._left_open = frozenset(closed), frozenset(left_open)
        self.update()

    def set_load(self, load: Mapping[date, float]) -> None:
        """How much of the open hours of days to come is booked; above 1 it is more than they
        have."""
        self._load = load
        self.update()

    @property
    def month(self) -> date:
        """The first day of the month shown."""
        return self._month

    def fold(self, folded: bool) -> None:
        """Fold to icons, or unfold."""
        self.folded = folded
        self.setFixedWidth(self._theme.px(NARROW if folded else WIDE))
        self.update()

    def _show_month(self, first: date) -> None:
        changed = first != self._month
        self._month = first
        if changed:
            self._closed = self._left_open = frozenset()
            self._load = {}
        self.month_shown.emit(first)
        self.update()

    def step_month(self, by: int) -> None:
        """Turn the month shown, without changing the day."""
        count = self._month.year * 12 + self._month.month - 1 + by
        self._show_month(date(count // 12, count % 12 + 1, 1))

    def wheelEvent(self, event: QWheelEvent) -> None:
        if not self.folded and event.position().y() > self._theme.px(348):
            self.step_month(-1 if event.angleDelta().y() > 0 else 1)

    # paint ---------------------------------------------------------------------------------
    def draw(self, brush: Brush) -> None:
        self.spots = []
        brush.painter.fillRect(self.rect(), brush.c.leaf)
        brush.gutter(QRectF(self.rect()), leaf=True)
        if self.folded:
            self._draw_folded(brush)
        else:
            # In this order a spot keeps its number as well as can be: a reader goes by that.
            self._draw_places(brush)
            self._draw_find(brush)
            self._draw_month(brush)
            self._draw_date(brush)

    def _spot(
        self,
        box: QRectF,
        do: Callable[[], object],
        tip: str = "",
        name: str = "",
        states: frozenset[str] = frozenset(),
    ) -> None:
        self.spots.append(Spot(box, do, tip, name, states))

    def told_parts(self) -> tuple[Part, ...]:
        """The spots, then the date at the head, which is no spot while it is today's."""
        px = self._theme.px
        box = QRectF(px(LEFT), px(46), px(RIGHT - LEFT), px(60))
        head = Part(_day_words(self._day), box, role=Role.Heading)
        return (*super().told_parts(), head)

    def first_spot(self) -> int:
        """The line of the place that is open."""
        here = (at for at, spot in enumerate(self.spots) if "selected" in spot.states)
        return next(here, 0)

    def _draw_date(self, brush: Brush) -> None:
        draw_date(brush, self._day, self._today.year)
        if self._day != self._today:
            px = brush.px
            box = QRectF(px(LEFT), px(46), px(RIGHT - LEFT), px(60))
            do = partial(self.day_chosen.emit, self._today)
            self._spot(box, do, "Go to today (Ctrl T)", "Go to today, Ctrl T")

    def _draw_place(self, brush: Brush, at: int, width: int) -> tuple[float, QColor, QColor]:
        """The ground of a place's line; its middle, its ink, and the tone of its state."""
        c, px, line = brush.c, brush.px, self._lines[at]
        top = px(_FIRST_ROW + _ROW * at)
        box = QRectF(0, top, px(width), px(30))
        here = line.key == self._here
        if here:
            brush.painter.fillRect(box, c.act_soft)
            brush.fill(0, top, px(3), px(30), c.act)
        tip = ""
        if self.folded:
            tip = f"{line.name}, {line.status.text}" if line.status.count else line.name
            tip += f" (Ctrl {at + 1})"
        told = ", ".join(one for one in (line.name, line.status.text, f"Ctrl {at + 1}") if one)
        states = frozenset({"selectable", "selected"} if here else {"selectable"})
        self._spot(box, partial(self.place_chosen.emit, line.key), tip, told, states)
        ink = c.ink if here or box == self.over else c.ink2
        tone = line.status.tone
        return box.center().y(), ink, getattr(c, "ink2" if here and tone == "ink3" else tone)

    def _draw_places(self, brush: Brush) -> None:
        c, px = brush.c, brush.px
        for at, line in enumerate(self._lines):
            middle, ink, tone = self._draw_place(brush, at, _LINE)
            role = "total" if line.key == self._here else "row"
            end = brush.write(role, px(LEFT), brush.base(role, middle), line.name, ink)
            base = brush.base("row", middle)
            if line.status.count:
                end = brush.write("aside", end + px(8), base, line.status.text, tone)
            base = brush.base("unit_total", middle)
            start = brush.write_right("unit_total", px(RIGHT), base, str(at + 1), c.ink2)
            brush.leader(end + px(6), start - px(8), base, c.rule2)
        base = px(_FIRST_ROW + _ROW * len(self._lines) + 16)
        brush.write("aside", px(LEFT), base, "Ctrl and the number", c.ink3)

    def _draw_month(self, brush: Brush) -> None:
        c, px = brush.c, brush.px
        weeks = Calendar(firstweekday=0).monthdatescalendar(self._month.year, self._month.month)
        top = px(_FIRST_ROW + _ROW * len(self._lines) + 32)
        if self.height() < top + px(60 + 24 * len(weeks) + 80):
            return
        brush.hairline(px(LEFT), top, px(RIGHT - LEFT), c.rule)
        title = _month_words(self._month, self._today.year)
        brush.write("group", px(LEFT), top + px(22), title, c.ink)
        for at, by, hint in ((RIGHT - 29, -1, "Earlier month"), (RIGHT - 5, 1, "Later month")):
            box = QRectF(px(at - 12), top + px(5), px(24), px(24))
            ink = c.act if box == self.over else c.ink3
            base = brush.base("unit", box.center().y())
            brush.write_centred("unit", box.center().x(), base, "←" if by < 0 else "→", ink)
            self._spot(box, partial(self.step_month, by), hint, f"{hint} than {title}")
        for column, letter in enumerate("MTWTFSS"):
            brush.write_centred("tick", self._column(column), top + px(44), letter, c.ink3)
        for row, week in enumerate(weeks):
            for column, day in enumerate(week):
                if day.month == self._month.month:
                    self._draw_day(brush, self._column(column), top + px(65 + 24 * row), day)
        base = top + px(70 + 24 * len(weeks))
        line_y = base - self._theme.metrics("tick").xHeight() / 2
        brush.fill(px(LEFT - 1), line_y, px(9), px(1.5), c.ink3)
        end = brush.write("unit", px(LEFT + 13), base, "closed", c.ink3)
        self._draw_ring(brush, end + px(20), line_y + 1)
        end = brush.write("unit", end + px(28), base, "left open", c.ink3)
        if self._load:
            brush.fill(px(LEFT - 1), line_y + px(20), px(14), px(3), c.rule)
            brush.fill(px(LEFT - 1), line_y + px(20), px(9), px(3), c.bar)
            brush.write("unit", px(LEFT + 18), base + px(20), "booked ahead", c.ink3)

    def _column(self, column: int) -> float:
        """The centre of a weekday's column: seven of them are as wide as the lines above."""
        return self._theme.px((LEFT + RIGHT) / 2) + (column - 3) * _DAY * self._theme.scale

    @staticmethod
    def _draw_ring(brush: Brush, x: float, y: float) -> None:
        with brush.smooth():
            brush.stroke(brush.c.look, 1.5)
            brush.dot(x, y, 2.4)

    def _draw_day(self, brush: Brush, centre: float, base: float, day: date) -> None:
        c, px = brush.c, brush.px
        here = day == self._day
        hint = "closed" if day in self._closed else "left open" if day in self._left_open else ""
        ink = c.ink if hint or here else c.ink3
        middle = base - self._theme.metrics("tick").capHeight() / 2
        box = QRectF(centre - px(_DAY / 2), middle - px(12), px(_DAY), px(24))
        if here:
            with brush.smooth():
                brush.stroke(c.act, 2, fill=c.field)
                # Its upper edge stays below the ring of the week above.
                brush.rounded(QRectF(centre - px(11), middle - px(8.5), px(22), px(20.5)))
        elif box == self.over:
            ink = c.act
        role = "head" if day in (self._day, self._today) else "tick"
        brush.write_centred(role, centre, base, str(day.day), ink)
        if hint == "closed" and not here:
            brush.fill(centre - px(4.5), base + px(6), px(9), px(1.5), c.ink3)
        elif hint and not here:
            self._draw_ring(brush, centre, base + px(7))
        elif not here and (load := self._load.get(day, 0.0)):
            brush.fill(centre - px(7), base + px(6), px(14), px(3), c.rule)
            tone = c.look if load > 1 else c.bar
            brush.fill(centre - px(7), base + px(6), max(px(14) * min(load, 1), px(1)), px(3), tone)
        told = [_day_words(day), hint, "today" if day == self._today else ""]
        if not hint and (load := self._load.get(day, 0.0)):
            told.append(f"{round(100 * load)} % booked")
        name = ", ".join(one for one in told if one)
        states = frozenset({"selectable", "selected"} if here else {"selectable"})
        self._spot(box, partial(self.day_chosen.emit, day), hint, name, states)

    def _draw_find(self, brush: Brush) -> None:
        c, px = brush.c, brush.px
        middle = self.height() - px(26)
        box = QRectF(px(LEFT - 8), middle - px(14), px(RIGHT - LEFT + 16), px(28))
        ink = c.act if box == self.over else c.ink2
        brush.mark("find", px(LEFT + 8), middle, ink, 14)
        brush.write("unit", px(LEFT + 22), brush.base("unit", middle), "Find anything", ink)
        brush.keycap("Ctrl K", px(RIGHT) - keycap_width(self._theme, "Ctrl K"), middle)
        self._spot(box, self.find_asked.emit, name="Find anything, Ctrl K")

    def _draw_folded(self, brush: Brush) -> None:
        c, px = brush.c, brush.px
        centre = px(22)
        brush.write_centred("title", centre, px(74), str(self._day.day), c.ink)
        brush.write_centred("tick", centre, px(93), f"{self._day:%b}", c.ink2)
        brush.hairline(px(8), px(112), px(28), c.rule2)
        for at, line in enumerate(self._lines):
            middle, ink, tone = self._draw_place(brush, at, 40)
            brush.mark(line.mark, centre, middle, ink)
            if line.status.count:
                brush.write_right("key", px(44), middle + px(12), str(line.status.count), tone)
        box = QRectF(0, self.height() - px(42), px(44), px(32))
        brush.mark("find", centre, box.center().y(), c.act if box == self.over else c.ink2)
        self._spot(box, self.find_asked.emit, "Find anything (Ctrl K)")


def draw_date(brush: Brush, day: date, this_year: int) -> None:
    """The name of the book and a large date over a line, at the head of the left leaf."""
    c, px = brush.c, brush.px
    brush.write("name", px(LEFT), px(35), "Bayledger", c.ink)
    end = brush.write("day", px(LEFT), px(93), str(day.day), c.ink)
    brush.write("weekday", end + px(7), px(75), f"{day:%A}", c.ink)
    brush.write("month", end + px(7), px(93), _month_words(day, this_year), c.ink2)
    brush.hairline(px(LEFT), px(112), px(RIGHT - LEFT), c.rule2)


def _day_words(day: date) -> str:
    return f"{day:%A} {day.day} {day:%B} {day.year}"


def _month_words(day: date, this_year: int) -> str:
    """`August`, with its year where that is another one."""
    return f"{day:%B}" if day.year == this_year else f"{day:%B} {day.year}"


@dataclass(frozen=True)
class Month:
    """`marks(first of a month)` gives its closed days and those left open, `load` how much of each
    day to come is booked, which is read in the background."""

    office: Office
    marks: MonthMarks | None
    load: MonthLoad | None

    def show(self, leaf: Leaf) -> None:
        """Read the shown month anew."""
        month, marks, load = leaf.month, self.marks, self.load
        if marks is not None:
            found = self.office.read(lambda: marks(month))
            if found is not None:
                leaf.set_month_marks(*found)
        if load is None:
            return

        def show(booked: Mapping[date, float]) -> None:
            if leaf.month == month:
                leaf.set_load(booked)

        self.office.runner.run(
            "the load of the month", lambda _task: load(month), done=show, owner=leaf, later=True,
            quiet=True,
        )  # fmt: skip
