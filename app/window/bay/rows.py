"""The rows of the plan: a line for each bay, and one for each job."""

from __future__ import annotations

from dataclasses import dataclass, field

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor

from app.actions.bay.plan_of_shop import Effect, PlannedJob, ShopPlan, Unplaced
from app.calculations.bay.planning import Clash
from app.calculations.numbers.durations import shown_duration
from app.window.bay.bars import (
    THICK,
    draw_bracket,
    draw_clash,
    draw_flag,
    draw_run,
    draw_was,
)
from app.window.bay.calendar import Calendar
from app.window.bay.head import NUMBER_AT
from app.window.bay.shown import PlanGroup
from app.window.paper.brush import Brush

GROUP_HIGH, ROW_HIGH, ROW_MOST = 27, 25, 32  # pixels at scale 1
_STRIPE = 6  # of a bay's bar


Said = tuple[str, str, QColor, str]  # role, words, ink, mark


@dataclass(frozen=True)
class Line:
    """A line of the plan with its place; a group's has no row."""

    top: float
    high: float
    group: PlanGroup
    row: PlannedJob | Unplaced | None = None

    @property
    def middle(self) -> float:
        """Half way down."""
        return self.top + self.high / 2


@dataclass
class RowsPainter:
    """Paints lines; `taken` are the boxes that words over closed days must keep away from."""

    brush: Brush
    calendar: Calendar
    plan: ShopPlan
    name_at: float
    right: float
    here: int | None
    focus: bool
    taken: list[QRectF] = field(default_factory=list)

    # a bay -----------------------------------------------------------------------------------
    def draw_group(self, line: Line) -> None:
        """Its name, and a bar wherever a vehicle stands inside."""
        brush, c, px = self.brush, self.brush.c, self.brush.px
        group, base = line.group, brush.base("group", line.middle + px(1))
        room = self.calendar.left - px(6)
        end = brush.write("group", 0, base, group.title, c.ink, room)
        if group.note and room - end > px(40):
            brush.write("aside", end + px(8), base, group.note, c.ink2, room - end - px(8))
        bottom = line.top + line.high - px(1)
        brush.hairline(0, bottom, self.right + px(7), c.rule2)
        if not group.in_bay:
            return
        high, top = px(_STRIPE), round(line.middle - px(_STRIPE) / 2)
        for row in group.rows:
            assert isinstance(row, PlannedJob)
            left, right = self._span(row.begin, row.ready)
            if right > left:
                brush.fill(left, top, max(right - left - 1, 1), high, c.bar)
        for clash in group.clashes:
            left, right = self._span(clash.start, clash.end)
            if right > left:
                draw_clash(brush, QRectF(left, top - px(1), right - left, high + px(2)))

    def _span(self, start: int, end: int) -> tuple[int, int]:
        return round(self.calendar.x(start)), round(self.calendar.x(end))

    # a job -----------------------------------------------------------------------------------
    def draw_row(self, line: Line) -> None:
        """Number and name, its bars with what is known of them, and the chance."""
        row, brush = line.row, self.brush
        assert row is not None
        c, px, middle = brush.c, brush.px, line.middle
        base = brush.base("dense", middle)
        here = row.job_id == self.here
        if self.name_at > px(NUMBER_AT):
            brush.write("dense", px(NUMBER_AT), base, row.number, c.ink if here else c.ink2)
        room = self.calendar.left - self.name_at - px(4)
        who = row.customer or "no customer yet"
        brush.write("dense_total", self.name_at, base, who, c.ink, room)
        if isinstance(row, PlannedJob):
            self._draw_chance(row, middle)
            self._draw_bars(row, middle)
        else:
            words = f"{shown_duration(row.minutes)}: {row.work}" if row.work else ""
            self._say(("unit", words, c.ink2, ""), self.calendar.left + px(8), middle,
                      self.calendar.right - self.calendar.left)  # fmt: skip
        brush.hairline(0, line.top + line.high - px(1), self.right + px(7), c.rule)

    def _effect_of(self, row: PlannedJob) -> Effect | None:
        effect = self.plan.effect
        return effect if effect is not None and effect.move.job_id == row.job_id else None

    def draw_ground(self, line: Line) -> None:
        """The ground of the row with the focus."""
        brush, px = self.brush, self.brush.px
        assert line.row is not None
        if line.row.job_id == self.here:
            brush.fill(0, line.top, self.right + px(7), line.high - px(1), brush.c.sel)
            if self.focus:
                brush.fill(0, line.top, px(3), line.high - px(1), brush.c.act)

    def _draw_chance(self, row: PlannedJob, middle: float) -> None:
        brush, c, px = self.brush, self.brush.c, self.brush.px
        if row.chance is None:
            return
        words, role, tone, mark = f"{round(100 * row.chance)} %", "dense", c.ink, ""
        if row.clashes:  # as the margin says it: no chance is told of what cannot both stand
            words, role, tone, mark = "clash", "changed", c.alarm, "wrong"
        elif row.verdict == "no":
            words, role, tone, mark = "no", "changed", c.alarm, "wrong"
        elif row.verdict == "look":
            role, tone, mark = "dense_changed", c.look, "look"
        left = brush.write_right(role, self.right, brush.base(role, middle), words, tone)
        if mark:
            brush.mark(mark, left - px(11), middle, size=14)
        if row.few and row.verdict != "no" and not row.clashes:
            wide = self.right - left
            with brush.smooth():
                brush.stroke(c.look, 1.5, dash=(1, 1.6), flat=True)
                brush.draw_line(left, middle + px(7), left + wide, middle + px(7))

    def _draw_bars(self, row: PlannedJob, middle: float) -> None:
        brush, c, px, calendar = self.brush, self.brush.c, self.brush.px, self.calendar
        effect = self._effect_of(row)
        was = effect.before if effect is not None else None
        left, right, thick = calendar.x(row.begin), calendar.x(row.ready), px(THICK)
        draw_run(brush, calendar, row, middle, moved=effect is not None)
        if effect is not None:
            self._draw_ring(QRectF(left, middle - thick / 2, right - left, thick))
        end = max(right, left + px(3))
        if row.low is not None and row.high is not None:
            ready, y = (row.low, row.high), middle + thick / 2 + px(4)
            tone = c.look if row.verdict == "look" else c.ink2
            draw_bracket(brush, calendar, ready, y, tone, few=row.few)
            end = max(end, calendar.x(row.high)) if row.low < calendar.last else end
        if row.promised is not None and calendar.first <= row.promised <= calendar.last:
            x, tone = calendar.x(row.promised), c.alarm if row.verdict == "no" else c.ink
            end, left = max(end, draw_flag(brush, x, middle, tone)), min(left, x)
        if was is not None and was.begin != row.begin:
            was_left, was_right = calendar.x(was.begin), calendar.x(was.ready)
            draw_was(brush, calendar, was, middle)
            self._draw_arrow(was_left, was_right, calendar.x(row.begin), right, middle)
            left, end = min(left, was_left), max(end, was_right)
        self.taken.append(QRectF(left, middle - px(10), end - left, px(20)))
        self._draw_words(row, left - px(8), end + px(8), middle, effect)

    def _draw_ring(self, box: QRectF) -> None:
        brush, px = self.brush, self.brush.px
        with brush.smooth():
            brush.stroke(brush.c.act, 2)
            out = px(2.5)
            brush.rounded(box.adjusted(-out, -out, out, out), 3)

    def _draw_arrow(
        self, was_left: float, was_right: float, left: float, right: float, middle: float
    ) -> None:
        """From where it stood to where it is tried, where there is room between."""
        brush, px = self.brush, self.brush.px
        start, end = (was_right, left - px(5)) if left > was_left else (was_left, right + px(5))
        if abs(end - start) < px(7) or (end - start) * (left - was_left) < 0:
            return
        way = 1 if end > start else -1
        with brush.smooth():
            brush.stroke(brush.c.act, 1.5, flat=True)
            brush.draw_line(start + way * px(1), middle, end, middle)
            brush.draw_line(end, middle, end - way * px(4), middle - px(3.5))
            brush.draw_line(end, middle, end - way * px(4), middle + px(3.5))

    def _draw_words(
        self, row: PlannedJob, before: float, after: float, middle: float, effect: Effect | None
    ) -> None:
        """The work on the free side of the bar, and what is wrong or new."""
        c = self.brush.c
        right, left = self.calendar.right - after, before - self.calendar.left
        if self.calendar.first <= self.plan.now < row.begin:  # no word crosses today's line
            left = before - self.calendar.x(self.plan.now) - self.brush.px(8)
        work = ("unit", row.work or row.vehicle, c.ink2, "")
        firm = None
        clash = ("dense_total", "clash in the bay", c.alarm, "wrong")
        if effect is not None:
            firm = ("aside", "moved, not kept yet", c.ink2, "")
            work = clash if row.clashes or effect.gone else work
        elif any(row.job_id == one.second for one in self.plan.clashes):
            firm = clash
        elif row.said and not row.clashes:
            firm = ("dense_total", row.said, c.alarm if row.verdict == "no" else c.look, "")
        if firm is None:
            to_right = right >= min(self._wide(work), left)
            self._say_beside(work, before, after, middle, right if to_right else left, to_right)
            return
        to_right = right >= self._wide(firm) or right >= left
        for words, side in ((firm, to_right), (work, not to_right)):
            self._say_beside(words, before, after, middle, right if side else left, side)

    def _say_beside(
        self, said: Said, before: float, after: float, middle: float, room: float, to_right: bool
    ) -> None:
        wide = min(self._wide(said), room)
        self._say(said, after if to_right else before - wide, middle, wide)

    def _wide(self, said: Said) -> float:
        mark = self.brush.px(20) if said[3] else 0
        return self.brush.theme.width(said[0], said[1]) + mark

    def _say(self, said: Said, left: float, middle: float, room: float) -> None:
        role, text, tone, mark = said
        brush, px = self.brush, self.brush.px
        if room < px(34) or not text:
            return
        high = px(16)
        wide = min(self._wide(said), room)
        box = QRectF(left - px(3), middle - high / 2, wide + px(6), high)
        ground = brush.c.sel if self._is_here(middle) else brush.c.paper
        brush.painter.fillRect(box, ground)
        self.taken.append(box)
        if mark:
            brush.mark(mark, left + px(7), middle, size=14)
            left, room = left + px(20), room - px(20)
        brush.write(role, left, brush.base(role, middle), text, tone, room)

    def _is_here(self, middle: float) -> bool:
        return self.here_span[0] <= middle < self.here_span[1]

    here_span: tuple[float, float] = (0.0, -1.0)  # of the row with the focus

    # clashes ---------------------------------------------------------------------------------
    def draw_clashes(self, lines: list[Line]) -> None:
        """Hatched between the two rows for the hours that both are inside."""
        by_job = {line.row.job_id: line for line in lines if line.row is not None}
        for clash in self.plan.clashes:
            self._draw_clash(clash, by_job)
        effect = self.plan.effect
        for clash in effect.gone if effect is not None else ():
            self._draw_clash(clash, by_job)

    def _draw_clash(self, clash: Clash, by_job: dict[int, Line]) -> None:
        brush, px = self.brush, self.brush.px
        left, right = self._span(clash.start, clash.end)
        if right <= left:
            return
        lines = [by_job[job] for job in (clash.first, clash.second) if job in by_job]
        lines.sort(key=lambda line: line.top)
        if len(lines) == 2 and lines[1].top - lines[0].top <= lines[0].high + 1:
            top = lines[0].middle + px(THICK) / 2
            bottom = lines[1].middle - px(THICK) / 2
            draw_clash(brush, QRectF(left, top, right - left, max(bottom - top, px(6))))
            return
        for line in lines:
            top = line.middle - px(THICK) / 2 - px(6)
            draw_clash(brush, QRectF(left, top, right - left, px(6)))
