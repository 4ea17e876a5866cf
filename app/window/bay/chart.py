"""The plan as a drawing: two weeks of days, one line for each bay, one for each job.

↑ ↓ go from job to job, ← → move one by half an hour and with Shift by a day, Enter opens it, PgUp
and PgDn are other weeks. A bar is also dragged along its row. Rows scroll under the head.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QApplication, QScrollBar

from app.actions.bay.plan_of_shop import PlannedJob, ShopPlan, Unplaced
from app.window.bay.bars import THICK
from app.window.bay.calendar import Calendar, begin_at, calendar_of
from app.window.bay.head import DAYS_HIGH, HOURS_HIGH, NAME_AT, closed_spans, draw_days, draw_hours
from app.window.bay.rows import GROUP_HIGH, ROW_HIGH, ROW_MOST, Line, RowsPainter
from app.window.bay.shown import PlanGroup, groups_of, was_booked
from app.window.bay.spoken import spoken_days, spoken_row
from app.window.paper.accessible import Part, Role, say_focus
from app.window.paper.brush import Brush, Drawn
from app.window.paper.theme import Theme

Key, Modifier = Qt.Key, Qt.KeyboardModifier
_LEFT, _NARROW_LEFT, _RIGHT = 168, 108, 56  # beside the calendar
_SPANS = (14, 10, 7, 5)  # days shown: as many as have room
_LEAST = 36  # of an open day
_NARROW = 560  # a width below which the numbers of jobs have no column
_HEAD = DAYS_HIGH + HOURS_HIGH
_LEAST_ROWS = 60
_OWN_KEYS = frozenset(
    {Key.Key_Up, Key.Key_Down, Key.Key_Left, Key.Key_Right, Key.Key_Home, Key.Key_End}
    | {Key.Key_PageUp, Key.Key_PageDown, Key.Key_Return, Key.Key_Enter}
)


def days_that_fit(theme: Theme, width: int) -> int:
    """How many days a plan of this width shows, most of them open."""
    left = _NARROW_LEFT if width < theme.px(_NARROW) else _LEFT
    room = width - theme.px(left + _RIGHT)
    return next((days for days in _SPANS if room >= days * theme.px(_LEAST)), _SPANS[-1])


class PlanChart(Drawn):
    """Draws a `ShopPlan`; what is pressed goes to whoever made it."""

    row_entered = Signal(object)  # a job's id
    row_opened = Signal(object)
    stepped = Signal(int, bool)  # later or sooner; by a day, else by half an hour
    placed = Signal(object, int)  # a bar was dragged: the job, and the minute of its begin
    turned = Signal(int)  # other weeks
    pressed = Signal(str)  # a letter
    refused = Signal()  # another row was to have the focus while a move is tried

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self.plan: ShopPlan | None = None
        self.groups: tuple[PlanGroup, ...] = ()
        self.say: Callable[[int], str] = str  # a minute in words
        self.here: int | None = None
        self.held = False  # while a move is tried its row keeps the focus
        self._lines: list[Line] = []
        self._offset = 0
        self._drag: tuple[int, float, int] | None = None  # job, where it was taken, its begin
        self._bar = QScrollBar(Qt.Orientation.Vertical, self)
        self._bar.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._bar.hide()
        self._bar.valueChanged.connect(self._scrolled)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setAccessibleName("The plan")

    # what it shows ---------------------------------------------------------------------------
    def show_plan(self, plan: ShopPlan) -> None:
        """Show this plan; the job with the focus keeps it, else the first has it."""
        self.plan, self.groups = plan, groups_of(plan)
        ids = [row.job_id for row in self.rows]
        if self.here not in ids:
            self.here = ids[0] if ids else None
        self._lay()
        self.update()

    def go(self, job_id: int | None) -> bool:
        """Give a job's row the focus; False where it stands nowhere here."""
        ids = [row.job_id for row in self.rows]
        if job_id is None or job_id not in ids:
            return False
        if self.held and job_id != self.here:
            self.refused.emit()
            return False
        self.here = job_id
        self._lay()
        self._show_line()
        self.update()
        say_focus(self, ids.index(job_id) + 1)
        self.row_entered.emit(job_id)
        return True

    @property
    def rows(self) -> list[PlannedJob | Unplaced]:
        """The rows in the order in which they stand."""
        return [row for group in self.groups for row in group.rows]

    @property
    def row_here(self) -> PlannedJob | Unplaced | None:
        """The row with the focus."""
        return next((row for row in self.rows if row.job_id == self.here), None)

    def natural_height(self, _width: int) -> int:
        """With all rows as high as they become."""
        px = self._theme.px
        rows = len(self.rows)
        return px(_HEAD + 4) + px(GROUP_HIGH) * len(self.groups) + px(ROW_HIGH + 2) * rows

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(400), self.natural_height(0))

    # where things stand ----------------------------------------------------------------------
    @property
    def _narrow(self) -> bool:
        return self.width() < self._theme.px(_NARROW)

    @property
    def _name_at(self) -> float:
        return self._theme.px(4 if self._narrow else NAME_AT)

    def calendar(self) -> Calendar:
        """The days along the width."""
        px = self._theme.px
        left = px(_NARROW_LEFT if self._narrow else _LEFT)
        days = self.plan.days if self.plan is not None else ()
        return calendar_of(days, left, self._right - px(_RIGHT - 7))

    @property
    def _right(self) -> float:
        bar = self._bar.sizeHint().width() if not self._bar.isHidden() else 0
        return float(self.width() - self._theme.px(7) - bar)

    def _lay(self) -> None:
        """Place the lines: rows take spare height first, and scroll where there is too little."""
        px = self._theme.px
        groups, rows = self.groups, len(self.rows)
        room = self.height() - px(_HEAD)
        spare = (room - px(GROUP_HIGH) * len(groups)) / max(rows, 1)
        high = min(max(int(spare), px(ROW_HIGH)), px(ROW_MOST))
        need = px(GROUP_HIGH) * len(groups) + high * rows
        over = max(0, need - max(room, px(_LEAST_ROWS)))
        self._bar.blockSignals(True)
        self._bar.setRange(0, over)
        self._bar.setPageStep(max(1, room))
        self._bar.setSingleStep(high)
        self._bar.blockSignals(False)
        self._bar.setVisible(bool(over))
        wide = self._bar.sizeHint().width()
        self._bar.setGeometry(self.width() - wide, px(_HEAD), wide, max(0, room))
        self._offset = min(self._offset, over)
        top, lines = float(px(_HEAD) - self._offset), []
        for group in groups:
            lines.append(Line(top, px(GROUP_HIGH), group))
            top += px(GROUP_HIGH)
            for row in group.rows:
                lines.append(Line(top, high, group, row))
                top += high
        self._lines = lines

    def _scrolled(self, value: int) -> None:
        self._offset = value
        self._lay()
        self.update()

    def _show_line(self) -> None:
        """Scroll so far that the row with the focus is seen."""
        line = next((one for one in self._lines if one.row and one.row.job_id == self.here), None)
        if line is None or self._bar.isHidden():
            return
        head = self._theme.px(_HEAD)
        if line.top < head:
            first = line is self._lines[1]
            self._bar.setValue(0 if first else self._bar.value() + round(line.top - head))
        elif line.top + line.high > self.height():
            self._bar.setValue(self._bar.value() + round(line.top + line.high - self.height()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay()
        self._show_line()

    # paint -----------------------------------------------------------------------------------
    def draw(self, brush: Brush) -> None:
        plan, c, px, calendar = self.plan, brush.c, brush.px, self.calendar()
        right = self._right
        if self.hasFocus() and self.row_here is None:  # no row says where the focus is
            top = px(DAYS_HIGH) if self.height() > px(_HEAD) else 0
            brush.fill(0, top, right + px(7), px(HOURS_HIGH), c.sel)
            brush.fill(0, top, px(3), px(HOURS_HIGH), c.act)
        if plan is None:
            return
        head = px(_HEAD)
        bottom = min(self.height(), self._lines[-1].top + self._lines[-1].high if self._lines
                     else self.height())  # fmt: skip
        painter = RowsPainter(brush, calendar, plan, self._name_at, right, self.here,
                              self.hasFocus())  # fmt: skip
        seen = [one for one in self._lines if one.top + one.high > head and one.top < self.height()]
        rows = [one for one in seen if one.row is not None]
        brush.painter.save()
        brush.painter.setClipRect(QRectF(0, head, self.width(), self.height() - head))
        for line in rows:
            painter.draw_ground(line)
            if line.row is not None and line.row.job_id == self.here:
                painter.here_span = (line.top, line.top + line.high)
        brush.painter.restore()
        self._draw_days(brush, calendar, bottom)
        brush.painter.save()
        brush.painter.setClipRect(QRectF(0, head, self.width(), self.height() - head))
        for line in seen:
            if line.row is None:
                painter.draw_group(line)
        for line in rows:
            painter.draw_row(line)
        painter.draw_clashes(self._lines)
        self._draw_closed(brush, calendar, painter, bottom)
        brush.painter.restore()
        draw_days(brush, calendar, plan.today, self._name_at)
        if calendar.first <= plan.now < calendar.last:
            x = round(calendar.x(plan.now))
            brush.fill(x, px(DAYS_HIGH - 4), px(2), bottom - px(DAYS_HIGH - 4), c.ink)
        draw_hours(brush, calendar, was_booked(plan), px(DAYS_HIGH), right,
                   focus=self.hasFocus() and self.row_here is None)  # fmt: skip
        brush.hairline(0, px(DAYS_HIGH) - px(1), right + px(7), c.rule2)
        brush.hairline(0, head - px(1), right + px(7), c.rule)

    def _draw_days(self, brush: Brush, calendar: Calendar, bottom: float) -> None:
        """A line where each day opens, and the ground of closed days."""
        px, top = brush.px, brush.px(DAYS_HIGH)
        for left, right in closed_spans(calendar):
            brush.fill(round(left), top, round(right) - round(left), bottom - top, brush.c.leaf)
            brush.fill(round(right), top, px(1), bottom - top, brush.c.rule)
        for left, _right in calendar.spans:
            brush.fill(round(left), top, px(1), bottom - top, brush.c.rule)

    def _draw_closed(
        self, brush: Brush, calendar: Calendar, painter: RowsPainter, bottom: float
    ) -> None:
        """The word for it, upright, where no bar crosses the day."""
        px, wide = brush.px, brush.theme.width("unit", "closed")
        head = px(_HEAD)
        for left, right in closed_spans(calendar):
            if right - left < px(13):
                continue
            column = QRectF(left, head, right - left, bottom - head)
            y = bottom - wide - px(10)
            while y > head and any(
                one.intersects(QRectF(left, y - px(2), right - left, wide + px(4)))
                for one in painter.taken
                if one.intersects(column)
            ):
                y -= px(6)
            if y <= head + px(GROUP_HIGH):
                continue
            brush.painter.save()
            brush.painter.translate((left + right) / 2, y + wide)
            brush.painter.rotate(-90)
            base = brush.base("unit", 0)
            brush.write("unit", 0, base, "closed", brush.c.ink2)
            brush.painter.restore()

    # keys ------------------------------------------------------------------------------------
    def event(self, event: QEvent) -> bool:
        """Arrows and Enter are the plan's own before they are the page's."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            held = event.modifiers() & ~(Modifier.KeypadModifier | Modifier.ShiftModifier)
            if not held and event.key() in _OWN_KEYS:
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Key(event.key())
        held = event.modifiers() & ~Modifier.KeypadModifier
        steps = {Key.Key_Left: -1, Key.Key_Right: 1}
        moves = {Key.Key_Up: -1, Key.Key_Down: 1, Key.Key_Home: -999, Key.Key_End: 999}
        weeks = {Key.Key_PageUp: -1, Key.Key_PageDown: 1}
        if key in steps and held in (Modifier.NoModifier, Modifier.ShiftModifier):
            self.stepped.emit(steps[key], bool(held))
        elif held:
            super().keyPressEvent(event)
        elif key in moves:
            self._step_row(moves[key])
        elif key in weeks:
            self.turned.emit(weeks[key])
        elif key in (Key.Key_Return, Key.Key_Enter):
            if self.here is not None and not event.isAutoRepeat():
                self.row_opened.emit(self.here)
        elif event.text().isalpha():
            self.pressed.emit(event.text().upper())
        else:
            super().keyPressEvent(event)

    def _step_row(self, by: int) -> None:
        ids = [row.job_id for row in self.rows]
        if self.here in ids:
            self.go(ids[min(max(ids.index(self.here) + by, 0), len(ids) - 1)])

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()
        self.row_entered.emit(self.here)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()

    # mouse -----------------------------------------------------------------------------------
    def _line_at(self, point: QPointF) -> Line | None:
        if point.y() < self._theme.px(_HEAD):
            return None
        return next((one for one in self._lines if one.top <= point.y() < one.top + one.high), None)

    def _bar_box(self, line: Line) -> QRectF:
        if not isinstance(line.row, PlannedJob):
            return QRectF()
        calendar, px = self.calendar(), self._theme.px
        left, right = calendar.x(line.row.begin), calendar.x(line.row.ready)
        return QRectF(left, line.middle - px(THICK), max(right - left, px(6)), px(2 * THICK))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()
        line = self._line_at(event.position())
        if line is None or line.row is None or event.button() != Qt.MouseButton.LeftButton:
            return
        if not self.go(line.row.job_id):
            return
        if self._bar_box(line).contains(event.position()) and isinstance(line.row, PlannedJob):
            self._drag = line.row.job_id, event.position().x(), line.row.begin

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._drag is None:
            line = self._line_at(event.position())
            over = line is not None and self._bar_box(line).contains(event.position())
            shapes = Qt.CursorShape
            self.setCursor(shapes.OpenHandCursor if over else shapes.ArrowCursor)
            return
        job, taken, begin = self._drag
        if abs(event.position().x() - taken) < QApplication.startDragDistance() / 2:
            return
        calendar = self.calendar()
        to = calendar.minute(calendar.x(begin) + event.position().x() - taken)
        self.setCursor(Qt.CursorShape.ClosedHandCursor)
        self.placed.emit(job, begin_at(calendar.days, to))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._drag = None
        self.setCursor(Qt.CursorShape.ArrowCursor)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        line = self._line_at(event.position())
        if line is not None and line.row is not None:
            self._drag = None
            self.row_opened.emit(line.row.job_id)

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self._bar.isHidden():
            event.ignore()
        else:
            QApplication.sendEvent(self._bar, event)

    # for who cannot see it -------------------------------------------------------------------
    def told_parts(self) -> tuple[Part, ...]:
        if self.plan is None:
            return ()
        head = QRectF(0, 0, self.width(), self._theme.px(_HEAD))
        parts = [Part(spoken_days(self.plan), head)]
        for line in self._lines:
            if line.row is None:
                continue
            states = {"selectable"}
            if line.row.job_id == self.here:
                states |= {"selected"} | ({"focused"} if self.hasFocus() else set())
            box = QRectF(0, line.top, self.width(), line.high).intersected(QRectF(self.rect()))
            words = spoken_row(line.row, line.group.title, self.plan, self.say)
            go = partial(self.go, line.row.job_id)
            parts.append(Part(words, box, go, Role.ListItem, frozenset(states)))
        return tuple(parts)
