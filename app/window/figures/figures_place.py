"""The Figures place: seven findings of a year, a month or a week, each with its table and jobs."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QApplication, QWidget

from app.actions.figures import figures
from app.actions.figures.figures import Figures, FigureTable, MoreFigures
from app.actions.figures.kinds import FEW_JOBS
from app.calculations.numbers.wording import capital
from app.window.figures.behind import go_or_list
from app.window.figures.chartplots import money_legend, money_plot, supplies_plot
from app.window.figures.chartview import ChartView
from app.window.figures.kindplots import hours_plot, services_plot
from app.window.figures.letterplots import ahead_plot, letters_plot
from app.window.figures.referralplot import referrals_plot
from app.window.house.acting import in_background
from app.window.house.filechoice import FileChoice
from app.window.house.office import Office
from app.window.house.place import Place
from app.window.house.runner import Task
from app.window.paper.action import ActionRow
from app.window.paper.charts import Plot
from app.window.paper.notes import Block, Facts, Note, NoteHeading, Plain, Rule, Voice
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
FIGURES = 7
TURN_KEYS = (("Alt 1–7", "a figure; 5 to 7 on the next page"),)
PAGES_BESIDE = (("C", "charge", "what to charge"), ("Q", "quiet", "who has gone quiet"))
BESIDE_KEYS = tuple((key, words) for key, _, words in PAGES_BESIDE)
_KINDS = "A kind of job is the services sold together; those of few jobs stand last."
HOW = {
    1: "Earned: done jobs before tax, on the day they were done; no deposits, no tips.",
    2: f"What a job earned, less its supplies, by the hours worked on it. {_KINDS} Jobs without "
    "hours or supplies recorded are left out.",
    3: f"The hours worked on a job, divided by those filled in for it. {_KINDS} A triangle runs "
    "more than 15 % over.",
    4: "The booked uses of each supply at the cost they were closed with.",
    5: "A booking counts for the last letter to the household, when it came within 45 days. "
    "Earned: the jobs of these bookings that are done, before tax.",
    6: "Done jobs before tax, by who is noted as having sent the customer. New: the first done job "
    "in this book came in this time, and they are not noted as a customer since earlier. Here "
    "before: a done job more than 30 days earlier.",
    7: "Booked: what the jobs of a day are expected to take on it. Open: the hours a day of the "
    "settings, on the weekdays that you work. From today on, whatever time is shown.",
}
SUBTITLES = {
    2: f"A bar holds four jobs in five; dashed: under {FEW_JOBS} jobs",
    3: "Hours worked for each hour expected; four jobs in five",
    4: "Supply cost; at the right the running share",
    5: "Height is the number of letters; booked within 45 days",
    6: "Earned from those whom each one sent; most new ones first",
    7: "A day each; outline open, solid booked, hatched beyond the day’s hours",
}
PAGES = ((1, 2, 3, 4), (5, 6, 7))  # two by two; the odd one has a whole line
GAP = 28
LEAST_WIDE, LEAST_HIGH = 340, 200  # of a figure, at scale 1, that can still be read


class _Grid(QWidget):
    """A page of figures with the action's row beneath; one alone where they would be small."""

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

    @property
    def page(self) -> tuple[int, ...]:
        """The numbers of the figures that stand on the open page."""
        return next(page for page in PAGES if self._here + 1 in page)

    def show_one(self, at: int) -> None:
        """Turn to a figure's page; where there is room for one, it is this."""
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
        page = (self._here + 1,) if single else self.page
        across = min(2, len(page))
        down = -(-len(page) // across)
        wide = (self.width() - (across - 1) * gap) // across
        high = (self.height() - foot - top - gap // 3) // down
        for view in self._views:
            if view.number in page:
                at = page.index(view.number)
                left, line = at % across, at // across
                alone = at == len(page) - 1 and left == 0
                broad = self.width() if alone else wide
                view.setGeometry(left * (wide + gap), top + line * (high + gap // 3), broad, high)
                view.show()
        here = self._views[self._here]
        for view in self._views:
            if view.number not in page:
                if view.isAncestorOf(QApplication.focusWidget() or self):
                    here.setFocus()  # else the next one that is still shown would take it
                view.hide()
        self._row.setGeometry(0, self.height() - foot, self.width(), foot)


class FiguresPlace(Place):
    """Seven figures on two pages; the margin adds up the time and explains the one in focus."""

    shows_money = True
    shows = frozenset({"days", "money", "uses", "hours", "jobs", "reminders"})
    keys = (("Figures", PAGE_KEYS + TURN_KEYS + BESIDE_KEYS), ("The time shown", TIME_KEYS))

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._kind = "year"
        self._last: date = office.desk.today
        self._shown: Figures | None = None
        self._more: MoreFigures | None = None  # what stands on the second page
        self._asked: Task | None = None  # what reads it, when nothing else is read
        self._tables: dict[int, FigureTable] = {}
        self._here = 1
        self.views = tuple(ChartView(office.theme, office.runner, n) for n in range(1, FIGURES + 1))
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
        for key, page, _words in PAGES_BESIDE:
            self.on_key(key, partial(office.go, page))
        for number in range(1, FIGURES + 1):
            self.on_key(f"Alt+{number}", partial(self.turn, number))
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
            return shown, {n: figures.table(desk, shown, n) for n in PAGES[0]}

        in_background(self.office, self, "Adding up the figures", work, self._show)

    def _show(self, found: tuple[Figures, dict[int, FigureTable]]) -> None:
        shown, tables = found
        self._shown = shown
        currency = shown.currency
        plots = (
            (shown.money.finding, money_plot(shown.money, currency)),
            (shown.services.finding, services_plot(shown.services, currency)),
            (shown.hours.finding, hours_plot(shown.hours)),
            (shown.supplies.finding, supplies_plot(shown.supplies, currency)),
        )
        self._show_page(PAGES[0], plots, tables, money_legend(shown.money))
        self._ask_for_more(later=self._here in PAGES[0])
        periods = []
        for kind, words in PERIODS.values():
            role, tone = ("total", "ink") if kind == self._kind else ("row", "ink2")
            choose = partial(self.show_period, kind)
            periods.append(Run(words, role, tone, on_click=choose, gap=14))
        self.set_head("Figures", shown.title, periods)
        self._show_hints()
        self.say_remaining(shown.behind)
        self._explain()

    def _show_page(
        self,
        page: Sequence[int],
        plots: Sequence[tuple[str, Plot]],
        tables: dict[int, FigureTable],
        legend: Sequence[tuple[str, str]] = (),
    ) -> None:
        self._tables |= tables
        for n, (finding, plot) in zip(page, plots, strict=True):
            own = legend if n == 1 else ()
            view, numbers = self.views[n - 1], tables[n]
            view.show_figure(finding, plot, numbers, subtitle=SUBTITLES.get(n, ""), legend=own)

    def _ask_for_more(self, *, later: bool) -> None:
        """Read what the second page shows: after all else, unless it lies open."""
        desk, shown = self.office.desk, self._shown
        if shown is None:
            return
        if self._asked is not None:
            self._asked.drop()

        def work() -> tuple[Figures, MoreFigures, dict[int, FigureTable]]:
            more = figures.more_figures(desk, shown)
            return shown, more, {n: figures.more_table(shown, more, n) for n in PAGES[1]}

        self._asked = in_background(
            self.office, self, "Adding up the second page", work, self._show_more,
            quiet=later, later=later,
        )  # fmt: skip

    def _show_more(self, found: tuple[Figures, MoreFigures, dict[int, FigureTable]]) -> None:
        shown, more, tables = found
        self._more, self._asked = more, None
        plots = (
            (more.letters.finding, letters_plot(more.letters, shown.currency)),
            (more.referrals.finding, referrals_plot(more.referrals, shown.currency)),
            (more.ahead.finding, ahead_plot(more.ahead)),
        )
        self._show_page(PAGES[1], plots, tables)
        self._explain()

    def _show_hints(self) -> None:
        earlier = Run("Earlier", "unit", key="PgUp", on_click=partial(self._step, -1), gap=16)
        later = Run("Later", "unit", key="PgDn", on_click=partial(self._step, 1), gap=16)
        others = Run("Other figures", "unit", key="→", on_click=partial(self._next, 1))
        if not self.grid.single:
            first = self._here in PAGES[0]
            words, key = (
                ("Letters, who sends, hours ahead", "Alt 5")
                if first
                else ("Money and jobs", "Alt 1")
            )
            others = Run(words, "unit", key=key, on_click=partial(self.turn, 5 if first else 1))
        self.row.show_hints([earlier, later, others])

    def entered(self) -> None:
        self.views[self._here - 1].setFocus()

    def keep(self) -> object:
        return self._kind, self._last, self._here

    def resume(self, kept: object) -> None:
        if isinstance(kept, tuple):
            self._kind, self._last, self._here = kept
            self.grid.show_one(self._here - 1)

    # moving --------------------------------------------------------------------------------
    def show_period(self, kind: str) -> None:
        """A year, a month or a week that ends where the present one does."""
        self._kind = kind
        self.refresh(self.shows)

    def _step(self, by: int) -> None:
        self._last = min(figures.step(self._kind, self._last, by), self.office.desk.today)
        self.refresh(self.shows)

    def _next(self, by: int) -> None:
        self.turn((self._here - 1 + by) % FIGURES + 1)

    def turn(self, number: int) -> None:
        """Go to a figure, on whichever page it stands."""
        self.grid.show_one(number - 1)
        self.views[number - 1].setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _choose(self, number: int) -> None:
        self._here = number
        if number in PAGES[1] and self._asked is not None and self._asked.later:
            self._ask_for_more(later=False)
        self.grid.show_one(number - 1)
        self._show_hints()
        self._explain()

    # the margin ----------------------------------------------------------------------------
    def _explain(self) -> None:
        shown, more = self._shown, self._more
        if shown is None:
            return
        title, voice, facts = "Money and supplies", shown.voice, shown.facts
        if self._here in PAGES[1]:
            if more is None:
                return  # it is being read, and then explained
            title, voice, facts = {
                5: ("What letters brought", (more.letters.voice,), more.letters.facts),
                6: ("Who sends customers", (more.referrals.voice,), more.referrals.facts),
                7: ("The next four weeks", (more.ahead.said,), more.ahead.facts),
            }[self._here]
        elif self._here in (2, 3):
            others = (shown.services if self._here == 2 else shown.hours).others
            voice = (*voice, others)
        blocks: list[Block] = [Voice(words) for words in voice if words]
        blocks += [Rule(), Facts(facts), Rule()] if facts else []
        if self._here == 1:
            blocks += [NoteHeading("Earned and received"), Facts(shown.reconciliation), Rule()]
        blocks += [Plain("How it is worked out"), Voice(HOW[self._here])]
        self.margin.say(Note(title, tuple(blocks), PAGE_KEYS[:3] + BESIDE_KEYS + PAGE_KEYS[3:]))

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
            many = "These are many small ones together; a month shows them apart."
            self.office.say_trouble(many if number == 4 else "No job stands behind it.")
            return
        found = self.office.read(partial(figures.behind, self.office.desk, table, index)) or ()
        note = go_or_list(self.office, capital(table.rows[index][0]), found, table.of, PAGE_KEYS)
        if note is not None:
            self.margin.say(note)

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
