"""Bringing in files: choose them, set headings right, see line by line what would come, do it."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from functools import partial
from pathlib import Path
from typing import Any, ClassVar

from PySide6.QtWidgets import QWidget

from app.actions.desk.desk import Changed
from app.actions.exchange import bringing_in, headings_by_hand
from app.actions.exchange.preview_lines import OUTCOMES, Choices, LinePreview, Preview
from app.calculations.numbers.wording import count_of
from app.errors import Stopped
from app.window.exchange.bringing_in_tables import (
    FILE_COLUMNS,
    HEADING_COLUMNS,
    KEYS,
    LINE_COLUMNS,
    MOST_SHOWN,
    Laid,
    explain_column,
    file_row,
    heading_rows,
    lay_out,
    sum_words,
)
from app.window.exchange.template_offer import save_template
from app.window.exchange.title_table import TitleTable
from app.window.house.entriespage import EntriesPage
from app.window.house.filechoice import FileChoice
from app.window.house.first_run import SHEETS
from app.window.house.office import Office
from app.window.house.runner import Task
from app.window.paper.action import ActionRow
from app.window.paper.cells import Column, EmptyText
from app.window.paper.entrytable import EntryTable
from app.window.paper.finder import FoundLine
from app.window.paper.notes import Alert, Block, Facts, Note, Offer, Rule, Voice
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run


class BringingInPage(EntriesPage):
    """Three entries: files, headings, lines. Everything slow runs in the background."""

    entries: ClassVar = {
        "files": ("The files", "Workbooks, CSV and address cards, as you keep them."),
        "headings": ("What the columns mean", "Enter says it by hand where it was guessed wrong."),
        "lines": ("What would come in", "Nothing is in the book yet."),
        "titles": ("What the titles of jobs mean", "Confirmed once; then layers are reminded of."),
    }
    keys = (
        *zip((title for title, _ in entries.values()), KEYS.values(), strict=True),
        ("Everywhere on this page", (("Esc", "back to the place you came from"),)),
    )

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self.readings: tuple[Any, ...] = ()
        self.plan: Preview | None = None
        self._choices = Choices()
        self._without_same = True
        self._working = ""
        self._shown: tuple[LinePreview, ...] = ()
        self._changes = False  # bringing in what the plan says would write anything
        self._count = 0  # lines that would stand in the table if it took all
        self.files = self._table(
            FILE_COLUMNS,
            "No file is chosen yet",
            "Title rows, blank lines, merged cells and totals may stay in it. "
            "Customers, vehicles, supplies, suppliers, past jobs, payments and layers are "
            "understood by their headings.",
            ("Ins", "Choose files", self.choose),
        )
        self.files.add_asked.connect(self.choose)
        self.headings = self._table(
            HEADING_COLUMNS,
            "No columns to set right",
            "Choose a file first; address cards have none.",
        )
        self.headings.row_opened.connect(self._ask_meaning)
        self.lines = self._table(
            LINE_COLUMNS,
            "Nothing would come in",
            "Either no file is chosen yet, or the book says all of it already.",
        )
        self.titles = TitleTable(self, lambda said: self._choose(self._choices.with_said(said)))
        self.titles.row_entered.connect(lambda _key, _column: self.explain())
        self._rows: dict[str, ActionRow] = {}
        self.begin("files", self.office.go_back)
        office.runner.ended.connect(self._ended)
        self.on_key("Ins", self.choose)
        self.on_key("Del", self._leave_out)
        self.on_key("F4", self._f4)
        self.on_key("F5", self._turn_same)
        self.on_key("F6", partial(self._answer, True))
        self.on_key("F7", partial(self._answer, False))
        self.on_key("F9", self.titles.take_all)
        self._show()

    def _table(
        self, columns: Sequence[Column], title: str, text: str, offer: tuple[Any, ...] = ()
    ) -> EntryTable:
        empty = EmptyText(title, text, *offer)
        table = EntryTable(self.office.theme, columns, rows_from=24, rows_to=30, empty=empty)
        table.row_entered.connect(lambda _key, _column: self.explain())
        return table

    def make_body(self, key: str) -> QWidget:
        row = ActionRow(self.office.theme, "Bring it in")
        row.button.clicked.connect(self.primary)
        self._rows[key] = row
        table: EntryTable = getattr(self, key)
        if key == "files":
            empty = partial(save_template, self.office, self)
            row.show_hints(
                [
                    Run("Choose files", "unit", key="Ins", on_click=self.choose, gap=20),
                    Run("Empty workbook", "unit", key="F4", on_click=empty),
                ]
            )
        self._set_ready()
        return PartsBody(self.office.theme, table, row, gap=2)

    # files ---------------------------------------------------------------------------------
    def open_item(self, item: object) -> None:
        """Read these files (paths); `choose` them, or go on with the `lines` that wait."""
        if isinstance(item, tuple) and all(isinstance(one, Path) for one in item):
            self.take(item)
        elif item == "choose":
            self.choose()
        elif item == "lines":
            self.strip.open("lines", still=True)

    def choose(self) -> None:
        """Choose files in the system's own chooser."""
        choice = FileChoice(self.theme, self, "files to bring in")
        self.take(choice.open_many("Choose the files", SHEETS))

    def take(self, paths: Sequence[Path]) -> None:
        """Read files in the background, beside those that stand here; then look at all of them."""
        desk, before = self.office.desk, self.readings
        known = {reading.path for reading in before}
        wanted = [path for path in paths if path not in known]

        def work(task: Task) -> tuple[Any, ...]:
            found = list(before)
            for path in wanted:
                said = partial(_tell, task, f"Reading {path.name}")
                found.append(bringing_in.read(desk, path, said))
            return tuple(found)

        if wanted:
            self._run("reading the files", work, self._read)

    def _read(self, readings: tuple[Any, ...]) -> None:
        self.readings = readings
        self._look()

    def _leave_out(self) -> None:
        if self.strip.open_key == "lines" and (line := self._line()) is not None:
            self._choose(self._choices.with_line(line.key))
        elif self.strip.open_key == "files":
            at = self.files.current_key()
            if isinstance(at, int) and at < len(self.readings):
                self.readings = (*self.readings[:at], *self.readings[at + 1 :])
                self._look()

    def _f4(self) -> None:
        if self.strip.open_key == "titles":
            self.titles.choose_layer()
        else:
            save_template(self.office, self)

    def keep(self) -> object:
        return self.readings, self._choices, self.strip.open_key

    def resume(self, kept: object) -> None:
        if isinstance(kept, tuple):
            self.readings, self._choices, entry = kept
            self._look()
            self.strip.open(entry, still=True)

    # the preview ---------------------------------------------------------------------------
    def _look(self) -> None:
        """Work out what would come in."""
        self.plan, self._shown = None, ()
        self.office.look_at(None)
        self._show()
        if self.readings:
            self._look_on()
        else:
            self._choices = Choices()

    def _look_on(self) -> None:
        """Work it out with what was chosen; what is shown stays until then."""
        readings, desk, choices = self.readings, self.office.desk, self._choices

        before, without_same = self._shown, self._without_same

        def work(task: Task) -> tuple[Preview, bool, Laid]:
            told = partial(_tell, task, "Looking at it")
            plan = bringing_in.preview(desk, readings, told, choices)
            laid = lay_out(plan.lines, before, without_same=without_same)
            return plan, plan.changes_something(), laid

        self._run("looking at it", work, lambda found: self._looked(*found))

    def _line(self) -> LinePreview | None:
        """The line with the focus."""
        at = self.lines.current_key()
        return self._shown[at] if isinstance(at, int) and at < len(self._shown) else None

    def _choose(self, choices: Choices) -> None:
        self._choices = choices
        self._look_on()

    def _answer(self, same: bool) -> None:
        line = self._line()
        if self.strip.open_key == "titles":
            self.titles.answer(same)
        elif self.strip.open_key == "lines" and line is not None and line.asks is not None:
            self._choose(self._choices.with_answer(line.asks.pair, same))

    def _looked(self, plan: Preview, changes: bool, laid: Laid) -> None:
        self.plan, self._changes = plan, changes
        self.office.look_at(plan)
        self._show(laid if laid.without_same == self._without_same else None)
        if self.strip.open_key == "files" and plan.total("cannot") == 0:
            return
        self.explain()

    def _run(
        self,
        name: str,
        work: Callable[[Task], Any],
        done: Callable[[Any], object],
        *,
        writes: bool = False,
    ) -> None:
        self._set_working(name)

        def ended(result: Any) -> None:
            self._working = ""
            done(result)
            self._set_ready()

        def failed(sentence: str) -> None:
            self._set_working("")
            self.office.say_trouble(sentence)

        self.office.runner.run(name, work, ended, failed, self, writes=writes)

    def _set_working(self, name: str) -> None:
        self._working = name
        self._set_ready()

    def turned(self, key: str) -> None:
        if key == "lines":
            self._say_lines()
        self.explain()

    def _ended(self, _task: Task, how: str) -> None:
        if how in ("stopped", "bug") and self._working:
            self._set_working("")

    def _turn_same(self) -> None:
        self._without_same = not self._without_same
        self._shown = ()
        self._show_lines()

    # headings ------------------------------------------------------------------------------
    def _ask_meaning(self, key: Hashable) -> None:
        if not isinstance(key, tuple) or len(key) != 3:
            return
        readings, desk = self.readings, self.office.desk

        def say(meaning: str) -> None:
            def work(task: Task) -> tuple[Any, ...]:
                told = partial(_tell, task, "Reading it anew")
                return headings_by_hand.reassign(desk, readings, key, meaning, told)

            self._run("reading it anew", work, self._read)

        def look_up(text: str) -> list[FoundLine]:
            low = text.lower()
            return [
                FoundLine("This column means", words, "", partial(say, meaning))
                for meaning, words in headings_by_hand.meanings_for(readings, key[:2])
                if low in words.lower()
            ]

        self.pick("what the column means", look_up)

    def _say_dates(self, at: tuple[int, int], order: str) -> None:
        readings = self.readings
        read = partial(headings_by_hand.dates_read, readings, at, order)
        self._run("reading it anew", lambda _task: read(), self._read)

    # showing -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        """Show what stands."""
        self._show()

    def _show(self, laid: Laid | None = None) -> None:
        count = sum(len(reading.lines) for reading in self.readings)
        self.set_head("Bring in files", "nothing is written until you say so", "")
        self.files.show_rows([file_row(at, one) for at, one in enumerate(self.readings)])
        tables = headings_by_hand.tables_of(self.readings)
        rows, unsure = heading_rows(tables)
        self.headings.show_rows(rows)
        self._show_lines(laid)
        columns = sum(len(table.columns) for table in tables)
        by_values = f", {unsure} little certain" if unsure else ""
        lines = count_of(count, "line")
        results = {
            "files": f"{len(self.readings)} chosen, {lines}" if self.readings else "",
            "headings": count_of(columns, "column") + by_values if columns else "",
            "lines": sum_words(self.plan) or ("being looked at" if self._working else ""),
        }
        self.titles.show_plan(self.plan)
        results["titles"], waits = self.titles.sum()
        wrong = self.plan.total("cannot") + self.plan.asked() if self.plan else 0
        alerts = {"lines": "look"} if wrong else {}
        if waits:
            alerts["titles"] = "look"
        if unsure:
            alerts["headings"] = "look"
        self.show_entries(
            results, lambda key: key != "lines" and results[key], alerts=alerts or None
        )
        self._set_ready()
        self.explain()

    def _show_lines(self, laid: Laid | None = None) -> None:
        """Show the lines, which were laid out in the background where there may be many anew."""
        told = self.plan.lines if self.plan else ()
        laid = laid or lay_out(told, self._shown, without_same=self._without_same)
        self._shown, self._count = laid.shown, laid.count
        self.lines.show_rows(laid.rows)
        self._say_lines()

    def _say_lines(self) -> None:
        row = self._rows.get("lines")
        if row is not None:
            same = self.plan.total("same") if self.plan else 0
            words = "Show the same too" if self._without_same else "Leave the same out"
            runs = [Run(words, "unit", key="F5", on_click=self._turn_same)] if same else []
            if self._count > MOST_SHOWN:
                runs.append(Run(f"the first {MOST_SHOWN:,} of {self._count:,}", "unit"))
            row.show_hints(runs)
        self.strip.relay()

    def _set_ready(self) -> None:
        reason = self._reason()
        for row in self._rows.values():
            row.set_ready(reason)

    def _reason(self) -> str:
        if self._working:
            return f"Still {self._working}."
        if not self.readings:
            return "Choose the files first. Ins chooses them."
        if self.plan is None:
            return "It is not looked at yet."
        if not self._changes:
            return "The book says all of it already."
        return ""

    def explain(self) -> None:
        key = self.strip.open_key or "files"
        blocks: list[Block] = []
        title = "Before anything is written"
        if key == "lines":
            title = self._explain_line(blocks, title)
        elif key == "headings":
            tables, at = headings_by_hand.tables_of(self.readings), self.headings.current_key()
            title = explain_column(tables, at, blocks, self._say_dates) or title
        elif key == "titles":
            title = self.titles.explain(blocks) or title
        if not blocks:
            blocks.append(
                Voice(
                    "You see line by line what would come in. Lines that the book has already "
                    "change nothing. It is one action, and can be undone."
                )
            )
        if self.plan is not None and key != "headings":
            blocks += [Rule()] if blocks else []
            blocks += [Voice(" ".join(self.plan.sentences()))]
            blocks += [Voice(note) for note in self.plan.notes[:4]]
        self.margin.say(Note(title, tuple(blocks), KEYS[key]))

    def _explain_line(self, blocks: list[Block], title: str) -> str:
        line = self._line()
        if line is None:
            return title
        if line.asks is not None:
            blocks += [
                Alert(line.asks.sentence(), "look"),
                Offer("F6", "It is the same", partial(self._answer, True)),
                Offer("F7", "It is another", partial(self._answer, False)),
                Rule(),
            ]
        blocks += [Alert(problem, "wrong") for problem in line.problems[:4]]
        blocks += [Voice(detail) for detail in line.details[:6]]
        stands = (("File", line.file), ("Stands in", line.place))
        blocks.append(Facts((("Becomes", OUTCOMES[line.outcome]), *stands)))
        words = "Take it in again" if line.outcome == "left" else "Leave it out"
        blocks.append(Offer("Del", words, self._leave_out))
        return line.what

    # doing ---------------------------------------------------------------------------------
    def primary(self) -> None:
        """Bring in what the preview shows, all of it or nothing."""
        reason = self._reason()
        if reason:
            if not self.readings:
                self.choose()
            else:
                self.office.say_trouble(reason)
            return
        desk, plan = self.office.desk, self.plan
        assert plan is not None

        def work(task: Task) -> Changed:
            return bringing_in.bring_in(desk, plan, partial(_tell, task, "Bringing it in"))

        self._run("bringing it in", work, self._brought_in, writes=True)

    def _brought_in(self, changed: Changed) -> None:
        self.readings, self.plan, self._choices, self._shown = (), None, Choices(), ()
        self.office.look_at(None)
        self.office.note(changed)
        self._show()
        self.strip.open("files", still=True)


def _tell(task: Task, words: str, done: int, total: int) -> bool:
    """Progress for the readers: says how far it is, and whether to go on."""
    try:
        task.say(done / max(total, 1), words)
    except Stopped:
        return False
    return True
