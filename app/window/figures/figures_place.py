"""The Figures place: findings of a year, a month or a week, each with its table and jobs."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt

from app.actions.figures import figures
from app.actions.figures.figures import Figures
from app.calculations.numbers.wording import capital
from app.window.figures.behind import go_or_list
from app.window.figures.chartview import ChartView
from app.window.figures.figures_grid import FiguresGrid
from app.window.figures.keeping import PICTURES, write_picture
from app.window.figures.pages import (
    FIGURES,
    HOW,
    LEADS_TO,
    PAGES,
    READ,
    READING,
    Said,
    first_page,
    page_of,
)
from app.window.house.acting import in_background
from app.window.house.filechoice import FileChoice
from app.window.house.office import Office
from app.window.house.place import Place
from app.window.house.runner import Task
from app.window.paper.action import ActionRow
from app.window.paper.notes import Block, Facts, Note, NoteHeading, Plain, Rule, Voice
from app.window.paper.pagepdf import write_page
from app.window.paper.runs import Run

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
TURN_KEYS = (
    ("Alt 1–9", "go to a figure"),
    ("Ctrl PgDn", "the next page of figures"),
    ("Ctrl PgUp", "the page before"),
)
KEEP_KEYS = (("P", "keep it as a picture"), ("B", "keep all as a workbook"))
PAGES_BESIDE = (("C", "charge", "what to charge"), ("Q", "quiet", "who has gone quiet"))
BESIDE_KEYS = tuple((key, words) for key, _, words in PAGES_BESIDE)
BESIDE = {1: "CQ", 2: "C", 3: "C", 12: "C", 5: "Q", 6: "Q"}  # figures that lead to these pages


class FiguresPlace(Place):
    """Figures on four pages; the margin adds up the time and explains the one in focus."""

    shows_money = True
    shows = frozenset(
        {"days", "money", "uses", "hours", "jobs", "reminders", "stock", "orders", "layers"}
    )
    keys = (
        ("Figures", PAGE_KEYS + TURN_KEYS + KEEP_KEYS + BESIDE_KEYS),
        ("The time shown", TIME_KEYS),
    )

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._kind = "year"
        self._last: date = office.desk.today
        self._shown: Figures | None = None
        self._said: dict[int, Said] = {}  # by figure, of the time shown
        self._asked: dict[int, Task] = {}  # by page, what reads it
        self._read: set[int] = set()  # the pages that show the present time
        self._here = 1
        self.views = tuple(ChartView(office.theme, office.runner, n) for n in range(1, FIGURES + 1))
        for view in self.views:
            view.chosen.connect(self._choose)
            view.opened.connect(self._behind)
        self.row = ActionRow(office.theme, "Keep this page as PDF")
        self.row.button.clicked.connect(self.primary)
        self.grid = FiguresGrid(self.views, self.row, office.theme)
        self.grid.room_changed.connect(self._show_hints)
        self.set_body(self.grid)
        for key, (kind, _) in PERIODS.items():
            self.on_key(key, partial(self.show_period, kind))
        for key, page, _words in PAGES_BESIDE:
            self.on_key(key, partial(office.go, page))
        for number in range(1, 10):
            self.on_key(f"Alt+{number}", partial(self.turn, number))
        self.on_key("PgUp", partial(self._step, -1))
        self.on_key("PgDown", partial(self._step, 1))
        self.on_key("Ctrl+PgDown", partial(self._turn_page, 1))
        self.on_key("Ctrl+PgUp", partial(self._turn_page, -1))
        self.on_key("Right", partial(self._next, 1))
        self.on_key("Left", partial(self._next, -1))
        self.on_key("Return", self._open_here)
        self.on_key("P", self.keep_picture)
        self.on_key("B", self.keep_workbook)
        self.on_key("T", lambda: self.views[self._here - 1].swap())

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        desk, kind, last = self.office.desk, self._kind, self._last

        def work() -> tuple[Figures, list[Said]]:
            shown = figures.figures(desk, kind, last)
            return shown, first_page(desk, shown)

        in_background(self.office, self, f"Adding up {READING[0]}", work, self._show)

    def _show(self, found: tuple[Figures, list[Said]]) -> None:
        shown, said = found
        self._shown, self._read = shown, {0}
        self._take_page(0, said)
        here = page_of(self._here)
        self._ask_for(here or 1, later=not here)
        periods = []
        for kind, words in PERIODS.values():
            role, tone = ("total", "ink") if kind == self._kind else ("row", "ink2")
            choose = partial(self.show_period, kind)
            periods.append(Run(words, role, tone, on_click=choose, gap=14))
        self.set_head("Figures", shown.title, periods)
        self._show_hints()
        self.say_remaining(shown.behind)
        self._explain()

    def _take_page(self, page: int, said: Sequence[Said]) -> None:
        for number, one in zip(PAGES[page], said, strict=True):
            self._said[number] = one
            view = self.views[number - 1]
            view.show_figure(
                one.finding, one.plot, one.table, subtitle=one.subtitle, legend=one.legend
            )

    def _ask_for(self, page: int, *, later: bool) -> None:
        """Read what another page shows: after all else, unless it lies open."""
        desk, shown = self.office.desk, self._shown
        if shown is None:
            return
        for asked in self._asked.values():
            asked.drop()

        def take(said: Sequence[Said]) -> None:
            self._asked.pop(page, None)
            if shown is not self._shown:
                return
            self._take_page(page, said)
            self._read.add(page)
            self._explain()
            self._ask_for_rest()

        self._asked = {
            page: in_background(
                self.office, self, f"Adding up {READING[page]}", lambda: READ[page](desk, shown),
                take, quiet=later, later=later,
            )
        }  # fmt: skip

    def _ask_for_rest(self) -> None:
        """Read the next page that is not read yet, when nothing else is to do."""
        left = next((page for page in range(len(PAGES)) if page not in self._read), None)
        if left is not None and not self._asked:
            self._ask_for(left, later=True)

    def _show_hints(self) -> None:
        earlier = Run("Earlier", "unit", key="PgUp", on_click=partial(self._step, -1), gap=16)
        later = Run("Later", "unit", key="PgDn", on_click=partial(self._step, 1), gap=16)
        others = Run("Other figures", "unit", key="→", on_click=partial(self._next, 1))
        if not self.grid.single:
            words = LEADS_TO[(page_of(self._here) + 1) % len(PAGES)]
            turn = partial(self._turn_page, 1)
            others = Run(words, "unit", key="Ctrl PgDn", on_click=turn)
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

    def _turn_page(self, by: int) -> None:
        self.turn(PAGES[(page_of(self._here) + by) % len(PAGES)][0])

    def _choose(self, number: int) -> None:
        self._here = number
        page = page_of(number)
        asked = self._asked.get(page)
        if page not in self._read and (asked is None or asked.later):
            self._ask_for(page, later=False)
        self.grid.show_one(number - 1)
        self._show_hints()
        self._explain()

    # the margin ----------------------------------------------------------------------------
    def _explain(self) -> None:
        shown, said = self._shown, self._said.get(self._here)
        if shown is None or said is None or page_of(self._here) not in self._read:
            return  # it is being read, and then explained
        blocks: list[Block] = [Voice(words) for words in said.voice if words]
        blocks += [Rule(), Facts(said.facts), Rule()] if said.facts else []
        if self._here == 1:
            blocks += [NoteHeading("Earned and received"), Facts(shown.reconciliation), Rule()]
        blocks += [Plain("How it is worked out"), Voice(HOW[self._here])]
        leads = tuple(one for one in BESIDE_KEYS if one[0] in BESIDE.get(self._here, ""))
        keys = PAGE_KEYS[:3] + KEEP_KEYS + leads + PAGE_KEYS[3:]
        self.margin.say(Note(said.title, tuple(blocks), keys))

    def _open_here(self) -> None:
        """Enter on a figure: its table, where each row opens into the jobs behind it."""
        view = self.views[self._here - 1]
        if not view.shows_table:
            view.swap()

    def _behind(self, number: int, index: int) -> None:
        """The jobs that make one number, each a step away."""
        table = self._said[number].table if number in self._said else None
        if table is None or index >= len(table.jobs):
            return
        ids = table.jobs[index]
        if not ids:
            many = "These are many small ones together; a month shows them apart."
            self.office.say_trouble(many if number == 4 else "Nothing stands behind it.")
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

    def keep_picture(self) -> None:
        """Keep the figure in focus as a picture, where and as what the person says."""
        choice = FileChoice(self.theme, self, "figures")
        name = f"figure {self._here} {self._last:%Y-%m}.png"
        chosen = choice.save("Keep this figure as", name, PICTURES)
        if chosen is not None:
            self.keep_as_picture(chosen)

    def keep_as_picture(self, path: Path) -> None:
        """Write the figure in focus; in the background, for it is drawn anew."""
        said, shown, here = self._said.get(self._here), self._shown, self._here
        if said is None or shown is None or page_of(here) not in self._read:
            self.office.say_trouble("This figure is still being added up.")
            return
        in_background(
            self.office, self, f"Keeping figure {here}",
            lambda: write_picture(path, said, f"Figure {here}, {shown.title}"),
            lambda _: self.office.say(f"Figure {here} kept as {path.name}"),
        )  # fmt: skip

    def keep_workbook(self) -> None:
        """Keep all figures of the time shown as a workbook, where the person says."""
        choice = FileChoice(self.theme, self, "figures")
        name = f"figures {self._last:%Y-%m}.xlsx"
        chosen = choice.save("Keep the figures as a workbook", name, "Workbook (*.xlsx)")
        if chosen is not None:
            self.keep_as_workbook(chosen)

    def keep_as_workbook(self, path: Path) -> None:
        """Write the workbook in the background: it adds up all pages."""
        # openpyxl: not before it is asked for
        from app.actions.figures.workbook_of_figures import write_all

        desk, shown = self.office.desk, self._shown
        if shown is not None:
            in_background(
                self.office, self, "Writing the workbook", lambda: write_all(desk, shown, path),
                lambda written: self.office.say(f"The figures are kept as {written.name}"),
            )  # fmt: skip
