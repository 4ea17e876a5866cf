"""The plan in the Jobs place: read, looked through, and a job of it moved before that is kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from app.actions.bay.keeping import SURE, Change, would_keep
from app.actions.bay.moving import keep_move, move_words, moves_of, no_show
from app.actions.bay.plan_of_shop import (
    PlannedJob,
    ShopPlan,
    clock_words,
    plan_of_shop,
    tried,
)
from app.actions.bay.plan_papers import write_week
from app.actions.bay.standing import Move
from app.actions.bay.waiting import first_begin
from app.actions.desk.desk import Changed, Desk
from app.actions.people.left_bookings import why_left
from app.calculations.bay.opening import instant_of
from app.calculations.numbers.dates import day_month
from app.window.bay.bars import legend
from app.window.bay.calendar import day_step, working_step
from app.window.bay.chart import PlanChart, days_that_fit
from app.window.bay.head import DAYS_HIGH
from app.window.bay.plan_picks import late_lines, weather_lines
from app.window.bay.shown import hours_of, plan_sentence
from app.window.house.acting import in_background, on_book
from app.window.house.office import Office
from app.window.house.outside import open_outside
from app.window.paper.accessible import say_aloud
from app.window.paper.action import ActionRow
from app.window.paper.cells import EmptyText
from app.window.paper.emptypage import EmptyPage
from app.window.paper.notes import Note
from app.window.paper.pause import Pause
from app.window.paper.runs import Run

_EMPTY = EmptyText(
    "Nothing is booked",
    "Each job stands here with a bar for its work and for what dries or cures, and with the chance "
    "that its promise is kept. Book the first; its day is found for you.",
)


THINK_PAUSE = 150  # ms without moving before it is looked for what would keep a promise


@dataclass(frozen=True)
class _Ideas:
    """What would keep the promise of a job, which of it is tried, what moved of it before, and why
    nobody may bring its vehicle."""

    job_id: int | None = None
    changes: tuple[Change, ...] = ()
    before: tuple[str, ...] = ()
    left: str = ""
    at: int = -1


def _moved_before(desk: Desk, job_id: int) -> tuple[str, ...]:
    return tuple(move_words(desk, row) for row in moves_of(desk, job_id))


class PlanBody(QWidget):
    """The drawing, what its marks mean, and the action: book a job, or keep the move."""

    job_opened = Signal(int)
    add_asked = Signal()
    row_entered = Signal(object)
    pick_asked = Signal(str, object)  # a hint, and what finds lines for what is typed
    changed = Signal()  # another plan, or another move: head, foot and margin speak anew

    def __init__(self, office: Office) -> None:
        super().__init__()
        theme, self.office = office.theme, office
        self.plan: ShopPlan | None = None
        self.trying: Move | None = None
        self.asked_by = ""  # whose wish the move is
        self._ideas = _Ideas()
        self._think = Pause(self, THINK_PAUSE, self._look_for_ideas)
        self._first: date | None = None  # none: from today on
        self.chart = PlanChart(theme)
        self.chart.say = partial(clock_words, office.desk, long=True)
        self.chart.setParent(self)
        self.chart.row_entered.connect(self._row_entered)
        self.chart.pressed.connect(self._press)
        self.chart.refused.connect(self._refuse)
        self.chart.row_opened.connect(self._open)
        self.chart.stepped.connect(self._step)
        self.chart.placed.connect(self._place)
        self.chart.turned.connect(self._turn)
        self.empty = EmptyPage(theme, _EMPTY, self)
        self.empty.teach(_EMPTY)
        self.empty.hide()
        self.row = ActionRow(theme, "Book a job", "Ins")
        self.row.setParent(self)
        self.row.button.clicked.connect(self.primary)

    # reading ---------------------------------------------------------------------------------
    @property
    def count(self) -> int:
        """How many days have room."""
        return days_that_fit(self.office.theme, self.width())

    def read(self) -> None:
        """Read the plan anew, in the background; a move that is tried is tried on it."""
        desk, move, first, count = self.office.desk, self.trying, self._first, self.count
        look: Callable[[], ShopPlan] = partial(plan_of_shop, desk, first, count)
        if move is not None:
            look = partial(tried, desk, move, first, count)

        def show(found: ShopPlan) -> None:
            if self.trying == move and self._first == first:
                self.show_plan(found)

        in_background(self.office, self, "Planning the bay", look, show, quiet=True)

    def show_plan(self, found: ShopPlan) -> None:
        """Show this plan, and say what is different now."""
        self.plan = found
        self.chart.held = False
        self.chart.show_plan(found)
        if self.trying is not None:
            self.chart.go(self.trying.job_id)
            self.chart.held = True
        moving = self.trying is not None
        self.row.button.set_label("Keep the move" if moving else "Book a job")
        self.row.button.set_key("Ctrl ↵" if moving else "Ins")
        self.row.show_hints(legend(clash=bool(found.clashes)) if self.chart.rows else [])
        self.empty.setVisible(not self.chart.rows)
        self._lay()
        self.changed.emit()

    @property
    def here(self) -> int | None:
        """The job with the focus."""
        return self.chart.here

    # what stands around it -------------------------------------------------------------------
    @property
    def result(self) -> str:
        """What the folded entry says."""
        return plan_sentence(self.plan) if self.plan is not None else ""

    @property
    def alert(self) -> str:
        """The mark before it."""
        return "wrong" if self.plan is not None and self.plan.clashes else ""

    @property
    def subtitle(self) -> str:
        """What the open entry says."""
        weeks = {14: "Two weeks", 10: "Ten days", 7: "A week", 5: "Five days"}[self.count]
        return f"{weeks}. Nights and closed days are drawn narrow."

    def fact(self) -> list[Run]:
        """What the head of the page says."""
        plan = self.plan
        if plan is None or not plan.days:
            return []
        first, last = plan.days[0].day, plan.days[-1].day
        begins = str(first.day) if first.month == last.month else day_month(first)
        return [
            Run(f"{begins} to {day_month(last)}:", "row", gap=6),
            Run(hours_of(plan), "total", "ink", gap=5),
            Run("open hours booked", "row"),
        ]

    def note(self) -> Note:
        """What the margin says of the job with the focus, or of the move that is tried."""
        from app.window.bay.plan_note import move_note, row_note

        ideas = self._ideas
        if self.plan is not None and self.plan.effect is not None:
            return move_note(self.office.desk, self.plan, ideas.changes, self.asked_by)
        row = self.chart.row_here
        known = ideas if row is not None and ideas.job_id == row.job_id else _Ideas()
        return row_note(self.office.desk, self.plan, row, known.changes, known.before, known.left)

    # moving ----------------------------------------------------------------------------------
    def _step(self, by: int, a_day: bool) -> None:
        row, plan = self.chart.row_here, self.plan
        if row is None or plan is None:
            return
        if not isinstance(row, PlannedJob):
            # A job that has no day yet is given the first that fits by the first key.
            look = partial(first_begin, self.office.desk, row.job_id, plan.days[0].start)
            first = self.office.read(look)
            if first is not None:
                self._begin_at(row.job_id, first)
                return
        begin = row.begin if isinstance(row, PlannedJob) else plan.now
        step = day_step if a_day else working_step
        self._begin_at(row.job_id, step(plan.days, begin, by))

    def _place(self, job_id: object, begin: int) -> None:
        row = self.chart.row_here
        if isinstance(row, PlannedJob) and row.job_id == job_id and begin != row.begin:
            self._begin_at(row.job_id, begin)

    def _begin_at(self, job_id: int, begin: int) -> None:
        """Show the job begun at a minute; nothing of it is saved."""
        row = self.chart.row_here
        if isinstance(row, PlannedJob) and row.begun:
            self.office.say_trouble("This job is begun; what is left of it goes on from now.")
        elif self.plan is None or begin < self.plan.now:
            self.office.say_trouble("Nothing can begin before now.")
        else:
            move = self.trying or Move(job_id)
            self._ideas = _Ideas()
            self._try(replace(move, begins_at=instant_of(begin)))

    def _try(self, move: Move) -> None:
        """At once, as the hand moves: it is worked out in about the time of a picture."""
        if self.office.reading:
            self.office.say_trouble(self.office.reading)
            return
        found = self.office.read(partial(tried, self.office.desk, move, self._first, self.count))
        if found is None:
            return
        self.trying = move
        self.office.turn_page()
        self.show_plan(found)
        self._think.start()
        effect = found.effect
        if effect is not None and effect.after is not None:
            say, after = self.chart.say, effect.after
            kept = f", kept with {round(100 * after.chance)} %" if after.chance is not None else ""
            begins = f"begins {say(after.begin)}, ready {say(after.ready)}{kept}"
            say_aloud(self.chart, f"{begins}. {effect.said}")

    def back(self) -> bool:
        """Put a move back that is not kept; False where none is tried."""
        if self.trying is None:
            return False
        self._leave_move()
        self.read()
        return True

    def _leave_move(self) -> None:
        self.trying, self._ideas, self.asked_by = None, _Ideas(), ""
        self.office.turn_page()

    def primary(self) -> None:
        """Keep the move, else book a job."""
        if self.trying is None:
            self.add_asked.emit()
            return
        move, asked_by = self.trying, self.asked_by

        def kept(_changed: Changed) -> None:
            if self.trying == move:
                self.trying, self._ideas, self.asked_by = None, _Ideas(), ""
                self.read()

        keep = partial(keep_move, self.office.desk, move, asked_by)
        self.office.act_then(keep, kept, "the move", ("move", move.job_id))

    # what would keep it ----------------------------------------------------------------------
    def _row_entered(self, job_id: object) -> None:
        if self.trying is None and self._ideas.job_id != job_id:
            self._ideas = _Ideas()
            self._think.start()
        self.row_entered.emit(job_id)

    def _look_for_ideas(self) -> None:
        """Read in the background what would keep the promise, and what moved before."""
        row, desk = self.chart.row_here, self.office.desk
        if row is None or self._ideas.at >= 0:
            return
        move = self.trying or Move(row.job_id)

        def look() -> _Ideas:
            before, left = _moved_before(desk, row.job_id), why_left(desk, row.job_id)
            return _Ideas(row.job_id, would_keep(desk, move), before, left)

        def show(found: _Ideas) -> None:
            same = self.chart.here == row.job_id and self._ideas.at < 0
            if same and (self.trying or Move(row.job_id)) == move:
                self._ideas = found
                self.row_entered.emit(found.job_id)

        in_background(self.office, self, "What would keep it", look, show, quiet=True, later=True)

    def _try_idea(self) -> None:
        """The next change that would keep the promise."""
        ideas, row = self._ideas, self.chart.row_here
        if row is not None and ideas.job_id != row.job_id:
            move = self.trying or Move(row.job_id)
            changes = self.office.read(partial(would_keep, self.office.desk, move)) or ()
            ideas = _Ideas(row.job_id, changes)
        if not ideas.changes:
            sure = isinstance(row, PlannedJob) and not row.clashes and (row.chance or 0) >= SURE
            words = "Nothing that was tried would keep it better."
            self.office.say_trouble("Its promise is kept as it stands." if sure else words)
            return
        at = (ideas.at + 1) % len(ideas.changes)
        self._ideas = replace(ideas, at=at)
        self._try(ideas.changes[at].move)

    # keys ------------------------------------------------------------------------------------
    def print_week(self) -> None:
        """Write the sheet of the week in view for the wall, and open it."""
        first = self.plan.first if self.plan is not None else self.office.desk.today
        monday = first - timedelta(days=first.weekday())
        path = self.office.act_now(partial(write_week, self.office.desk, monday))
        if path is not None:
            self.office.say(f"The week stands in {path}")
            self.office.act(lambda: open_outside(path))

    def _press(self, letter: str) -> None:
        row = self.chart.row_here
        if letter == "W":
            self._try_idea()
        elif letter == "A" and self.trying is not None:
            order = ("", "customer", "shop")
            self.asked_by = order[(order.index(self.asked_by) + 1) % len(order)]
            self.changed.emit()
        elif letter in ("N", "L", "H") and self.trying is not None:
            self._refuse()
        elif letter == "N" and row is not None:
            on_book(self.office, no_show, row.job_id)
        elif letter == "L" and row is not None:
            self.pick_asked.emit("how late: 20m, 1h", partial(late_lines, self.office, row.job_id))
        elif letter == "H" and row is not None:
            begins = row.begin if isinstance(row, PlannedJob) else self.plan.now if self.plan else 0
            hint = "rain, hail; or the low at night: 41 F"
            self.pick_asked.emit(hint, partial(weather_lines, self.office, begins))

    def _open(self, job_id: object) -> None:
        if self.trying is not None:
            self._refuse()
        elif isinstance(job_id, int):
            self.job_opened.emit(job_id)

    def _refuse(self) -> None:
        self.office.say_trouble("Ctrl ↵ keeps the move, Esc puts it back.")

    def _turn(self, weeks: int) -> None:
        today = self.office.desk.today
        first = (self._first or today) + timedelta(weeks=weeks)
        self._first = first if first > today else None
        self.read()

    def go(self, job_id: object) -> None:
        """Give a job's row the focus."""
        if isinstance(job_id, int):
            self.chart.go(job_id)
        self.chart.setFocus()

    def entered(self) -> None:
        """Set the focus."""
        self.chart.setFocus()

    # layout ----------------------------------------------------------------------------------
    def natural_height(self, width: int) -> int:
        """What the drawing and the action need together."""
        high = self.chart.natural_height(width) + self.row.height()
        return high + (self.empty.natural_height(width) if not self.chart.rows else 0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        before = days_that_fit(self.office.theme, event.oldSize().width())
        self._lay()
        if self.plan is not None and before != self.count:
            self.read()

    def _lay(self) -> None:
        foot = self.row.height()
        high = max(0, self.height() - foot)
        if not self.chart.rows:
            need = self.chart.natural_height(self.width())
            rest = self.empty.natural_height(self.width())
            if need + rest > high:  # with large type its days alone
                need = min(high, self.office.theme.px(DAYS_HIGH))
            self.empty.setGeometry(0, need, self.width(), min(rest, max(0, high - need)))
            high = need
        self.chart.setGeometry(0, 0, self.width(), high)
        self.row.setGeometry(0, self.height() - foot, self.width(), foot)
