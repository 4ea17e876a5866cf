"""The Figures place: four findings of a year, a month or a week, each with its table and jobs."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from app.actions.figures import figures
from app.actions.figures.figures import Figures, FigureTable
from app.window.figures.chartplots import (
    LEGENDS,
    SUBTITLES,
    hours_plot,
    money_plot,
    services_plot,
    supplies_plot,
)
from app.window.figures.chartview import ChartView
from app.window.house.acting import in_background
from app.window.house.filechoice import FileChoice
from app.window.house.office import Office
from app.window.house.place import Place
from app.window.paper.action import ActionRow
from app.window.paper.notes import Block, Facts, Note, NoteHeading, Offer, Plain, Rule, Voice
from app.window.paper.pagepdf import write_page
from app.window.paper.runs import Run
from app.window.paper.theme import Theme

PERIODS = {"Y": ("year", "one year"), "M": ("month", "one month"), "W": ("week", "one week")}
TIME_KEYS = (
    ("PgUp", "earlier"),
    ("PgDn", "later"),
    *((key, words) for key, (_, words) in PERIODS.items()),
)
PAGE_KEYS = (
    ("→", "next figure"),
    ("T", "show its numbers as a table"),
    ("↵", "open the jobs behind it"),
    ("F1", "all keys"),
)
HOW = {
    1: "Earned: done jobs before tax, on the day they were done; no deposits, no tips.",
    2: "What a job earned, less its supplies, by the hours worked on it. A kind of job is the "
    "services sold together; jobs without hours or supplies recorded are left out.",
    3: "The hours filled in for a job against those worked, of the last jobs done. The finding is "
    "the median; a triangle ran more than 15 % over.",
    4: "The booked uses of each supply at the cost they were closed with.",
}
MOST_JOBS = 14
GAP = 28
LEAST_WIDE, LEAST_HIGH = 340, 200  # of a figure, at scale 1, that can still be read


class _Grid(QWidget):
    """Two by two, with the action's row beneath; one at a time where four would be too small."""

    room_changed = Signal()  # from four to one, or back

    def __init__(self, views: Sequence[ChartView], row: ActionRow, theme: Theme) -> None:
        super().__init__()
        self._views, self._row, self._theme = views, row, theme
        self._here, self._was_single = 0, False
        for view in (*views, row):
            view.setParent(self)

    @property
    def single(self) -> bool:
        """Whether there is room for one figure only."""
        px = self._theme.px
        return self.width() < 2 * px(LEAST_WIDE) + px(GAP) or self.height() < 2 * px(LEAST_HIGH)

    def show_one(self, at: int) -> None:
        """The figure that stands there where there is room for one."""
        self._here = at
        self._lay()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay()

    def _lay(self) -> None:
        gap, foot = self._theme.px(GAP), self._row.height()
        top = gap // 2
        single = self.single
        if single != self._was_single:
            self._was_single = single
            self.room_changed.emit()
        across = 1 if single else 2
        wide = (self.width() - (across - 1) * gap) // across
        high = (self.height() - foot - top - gap // 3) // across
        for at, view in enumerate(self._views):
            left, line = (0, 0) if single else (at % 2, at // 2)
            view.setGeometry(left * (wide + gap), top + line * (high + gap // 3), wide, high)
            view.setVisible(not single or at == self._here)
        self._row.setGeometry(0, self.height() - foot, self.width(), foot)


class FiguresPlace(Place):
    """Four figures; the margin adds up the period and explains the figure with the focus."""

    shows_money = True
    shows = frozenset({"days", "money", "uses", "hours", "jobs"})
    keys = (("Figures", PAGE_KEYS), ("The time shown", TIME_KEYS))

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._kind = "year"
        self._last: date = office.desk.today
        self._shown: Figures | None = None
        self._tables: dict[int, FigureTable] = {}
        self._here = 1
        self.views = tuple(ChartView(office.theme, office.runner, n) for n in (1, 2, 3, 4))
        for view in self.views:
            view.chosen.connect(self._choose)
            view.opened.connect(self._behind)
        self.row = ActionRow(office.theme, "Keep this page as PDF")
        self.row.button.clicked.connect(self.primary)
        self.grid = _Grid(self.views, self.row, office.theme)
        self.grid.room_changed.connect(self._show_hints)
        self.set_body(self.grid)
        for key, (kind, _) in PERIODS.items():
            self.on_key(key, partial(self.show_period, kind))
        self.on_key("PgUp", partial(self._step, -1))
        self.on_key("PgDown", partial(self._step, 1))
        self.on_key("Right", partial(self._next, 1))
        self.on_key("Left", partial(self._next, -1))
        self.on_key("Return", self._open_here)
        self.on_key("T", lambda: self.views[self._here - 1].swap())

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        desk, kind, last = self.office.desk, self._kind, self._last

        def work() -> tuple[Figures, dict[int, FigureTable]]:
            shown = figures.figures(desk, kind, last)
            return shown, {n: figures.table(desk, shown, n) for n in (1, 2, 3, 4)}

        in_background(self.office, self, "Adding up the figures", work, self._show)

    def _show(self, found: tuple[Figures, dict[int, FigureTable]]) -> None:
        shown, self._tables = found
        self._shown = shown
        currency = shown.currency
        plots = (
            (shown.money.finding, money_plot(shown.money, currency)),
            (shown.services.finding, services_plot(shown.services, currency)),
            (shown.hours.finding, hours_plot(shown.hours)),
            (shown.supplies.finding, supplies_plot(shown.supplies, currency)),
        )
        for view, (finding, plot) in zip(self.views, plots, strict=True):
            n = view.number
            subtitle, legend = SUBTITLES.get(n, ""), LEGENDS.get(n, ())
            view.show_figure(finding, plot, self._tables[n], subtitle=subtitle, legend=legend)
        periods = []
        for kind, words in PERIODS.values():
            role, tone = ("total", "ink") if kind == self._kind else ("row", "ink2")
            choose = partial(self.show_period, kind)
            periods.append(Run(words, role, tone, on_click=choose, gap=14))
        self.set_head("Figures", shown.title, periods)
        self._show_hints()
        self.say_remaining(shown.behind)
        self._explain()

    def _show_hints(self) -> None:
        earlier = Run("Earlier", "unit", key="PgUp", on_click=partial(self._step, -1), gap=16)
        later = Run("Later", "unit", key="PgDn", on_click=partial(self._step, 1), gap=16)
        others = Run("Other figures", "unit", key="→", on_click=partial(self._next, 1))
        self.row.show_hints([earlier, later, *([others] if self.grid.single else [])])

    def entered(self) -> None:
        self.views[self._here - 1].setFocus()

    def keep(self) -> object:
        return self._kind, self._last, self._here

    def resume(self, kept: object) -> None:
        if isinstance(kept, tuple):
            self._kind, self._last, self._here = kept

    # moving --------------------------------------------------------------------------------
    def show_period(self, kind: str) -> None:
        """A year, a month or a week that ends where the present one does."""
        self._kind = kind
        self.refresh(self.shows)

    def _step(self, by: int) -> None:
        self._last = min(figures.step(self._kind, self._last, by), self.office.desk.today)
        self.refresh(self.shows)

    def _next(self, by: int) -> None:
        view = self.views[(self._here - 1 + by) % 4]
        self.grid.show_one(view.number - 1)
        view.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _choose(self, number: int) -> None:
        self._here = number
        self.grid.show_one(number - 1)
        self._explain()

    # the margin ----------------------------------------------------------------------------
    def _explain(self) -> None:
        shown = self._shown
        if shown is None:
            return
        blocks: list[Block] = [Voice(words) for words in shown.voice]
        blocks += [Rule(), Facts(shown.facts), Rule()]
        if self._here == 1:
            blocks += [NoteHeading("Earned and received"), Facts(shown.reconciliation), Rule()]
        blocks += [Plain("How it is worked out"), Voice(HOW[self._here])]
        self.margin.say(Note("Money and supplies", tuple(blocks), PAGE_KEYS))

    def _open_here(self) -> None:
        """Enter on a figure: its table, where each row opens into the jobs behind it."""
        view = self.views[self._here - 1]
        if not view.shows_table:
            view.swap()

    def _behind(self, number: int, index: int) -> None:
        """The jobs that make one number, each a step away."""
        table = self._tables.get(number)
        if table is None or index >= len(table.jobs):
            return
        ids = table.jobs[index]
        if not ids:
            self.office.say_trouble("These are many small ones together; a month shows them apart.")
            return
        jobs = self.office.read(partial(figures.jobs_behind, self.office.desk, ids)) or ()
        if len(jobs) == 1:
            self.office.go("jobs", jobs[0][0])
            return
        blocks: list[Block] = [
            Offer("", text, partial(self.office.go, "jobs", job)) for job, text in jobs[:MOST_JOBS]
        ]
        if len(jobs) > MOST_JOBS:
            blocks.append(Voice(f"and {len(jobs) - MOST_JOBS} before these."))
        self.margin.say(Note(f"{table.rows[index][0]}: the jobs behind", tuple(blocks), PAGE_KEYS))

    # keeping -------------------------------------------------------------------------------
    def primary(self) -> None:
        """Keep the page as a PDF, where the person says."""
        name = f"figures {self._last:%Y-%m}.pdf"
        choice = FileChoice(self.theme, self, "figures")
        chosen = choice.save("Keep this page as", name, "PDF (*.pdf)")
        if chosen is not None:
            self.keep_as_pdf(chosen)

    def keep_as_pdf(self, path: Path) -> None:
        """Write the figures that stand there on one landscape page."""
        shown = self._shown
        if shown is None:
            return
        if self.office.act_now(lambda: write_page(path, self.body, f"Figures, {shown.title}")):
            what = f"Figure {self._here} kept" if self.grid.single else "Kept"
            self.office.say(f"{what} as {path.name}")
