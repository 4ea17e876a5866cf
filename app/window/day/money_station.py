"""Station 3: what each job paid today."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from PySide6.QtCore import QTimer

from app.actions.day.money_taken import (
    METHODS,
    MoneyRow,
    MoneyTaken,
    OwedJob,
    money_taken,
    set_money,
)
from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk
from app.window.day.station import Station, closed_cell
from app.window.paper.cells import Cell, Column, EmptyText, State, TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.finder import FoundLine
from app.window.paper.notes import Facts, Note, Rule, Voice
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.window.day.place import DaySheet

_KEYS = (
    ("0–9", "write over the amount"),
    ("↵", "next job below"),
    ("M", "how it was paid"),
    ("Ins", "money for another job"),
)
_COLUMNS = (
    Column("job", "Job", least=150),
    Column("gross", "With tax", width=96, least=76, right=True),
    Column("before", "Paid", "before", width=96, least=76, right=True),
    Column("due", "Due", width=96, least=76, right=True),
    Column("taken", "Taken", "today", width=124, least=96, right=True),
    Column("method", "How", width=104, least=80, pad=16),
)


class MoneyStation(Station):
    """Filled in with what falls due; typed over with what came."""

    key = "money"
    keys = _KEYS
    letters: ClassVar[dict[str, str]] = {"M": "method_here"}

    def __init__(self, place: DaySheet) -> None:
        table = EntryTable(place.theme, _COLUMNS, rows_from=25, rows_to=32)
        super().__init__(place, table, "Money is right")
        self._view: MoneyTaken | None = None
        self._added: list[OwedJob] = []
        table.add_asked.connect(self.add)
        table.cell_clicked.connect(self._clicked)
        table.teach_when_empty(
            EmptyText(
                "No money is expected today",
                "When a job is finished, what it still owes stands here, filled in. "
                "A deposit, or money for an older job, can be added.",
                "Ins",
                "Money for another job",
                self.add,
            )
        )

    def read(self, desk: Desk, day: date) -> MoneyTaken:
        return money_taken(desk, day)

    def show_view(self, view: MoneyTaken) -> None:
        self._view = view
        here = {row.job.job_id for row in view.rows}
        self._added = [one for one in self._added if one.job.job_id not in here]
        rows = [self._row(row) for row in view.rows]
        rows += [self._owed_row(one) for one in self._added]
        self.table.show_rows(rows)
        runs = []
        changed = sum(row.changed for row in view.rows)
        if changed:
            runs.append(Run(f"{changed} changed", "unit_total", "ink", mark="changed", gap=20))
        if not self.closed:
            runs.append(Run("Money for another job", "unit", key="Ins", on_click=self.add))
        self.row.show_hints(runs)
        self.row.show_total([Run(view.expected_text, "row")] if view.rows else [])

    def _row(self, row: MoneyRow) -> TableRow:
        text = partial(money, self.desk)
        if row.changed:
            taken = Cell(text(row.taken), State.CHANGED, text(row.filled), editable=True)
        elif row.state == "blank":
            taken = Cell("", State.UNUSED, editable=True)
        else:
            taken = Cell(text(row.taken), editable=True)
        before, due = row.paid_before, row.sums.due
        return TableRow(
            row.job.job_id,
            (
                Cell(f"{row.job.number_text} {row.job.customer or 'no name'}"),
                Cell(text(row.sums.gross), State.QUIET),
                Cell(text(before), State.QUIET) if before else Cell("", State.UNUSED),
                Cell(text(due), State.LOOK if due < 0 else State.PLAIN, bold=True),
                closed_cell(taken) if self.closed else taken,
                Cell(row.method if row.taken else "", State.QUIET),
            ),
        )

    def _owed_row(self, owed: OwedJob) -> TableRow:
        job, state = owed.job, _state(owed)
        return TableRow(
            job.job_id,
            (
                Cell(f"{job.number_text} {job.customer}", detail=state),
                Cell("", State.UNUSED),
                Cell("", State.UNUSED),
                Cell(money(self.desk, owed.due), bold=True),
                Cell("", State.UNUSED, editable=True),
                Cell(),
            ),
        )

    def write(self, key: Hashable, column: str, text: str) -> Changed:
        assert isinstance(key, int)
        return set_money(self.desk, self.day, key, text)

    # method --------------------------------------------------------------------------------
    def method_here(self) -> None:
        """The next way of paying for the job with the focus."""
        key = self.table.current_key()
        if isinstance(key, int):
            self.next_method(key)

    def _clicked(self, key: object, column: str) -> None:
        if column == "method" and isinstance(key, int):
            self.next_method(key)

    def next_method(self, job_id: int) -> None:
        """The next way of paying: cash, check, card, transfer, around."""
        view = self._view
        row = next((r for r in view.rows if r.job.job_id == job_id), None) if view else None
        if row is None or not row.taken or not self.table.finish():
            return
        at = METHODS.index(row.method) + 1 if row.method in METHODS else 0
        method = METHODS[at % len(METHODS)]
        desk, day, text = self.desk, self.day, money(self.desk, row.taken)
        self.act(lambda: set_money(desk, day, job_id, text, method))

    # another job ---------------------------------------------------------------------------
    def add(self) -> None:
        """Choose a job that is not on this day and has money to come."""
        view = self._view
        if self.closed or view is None:
            return

        def look_up(text: str) -> list[FoundLine]:
            low = text.lower()
            return [
                FoundLine(
                    "Jobs with money to come",
                    name,
                    f"{money(self.desk, owed.due)} due, {_state(owed)}",
                    partial(self._begin, owed),
                )
                for owed in view.others
                if low in (name := f"{owed.job.number_text} {owed.job.customer}").lower()
            ]

        self.place.pick("job number or name", look_up)

    def _begin(self, owed: OwedJob) -> None:
        if self._view is None:
            return
        self._added.append(owed)
        self.show_view(self._view)
        self.place.strip.relay()
        self.table.setFocus()
        self.table.go(owed.job.job_id, "taken")
        QTimer.singleShot(0, self, lambda: self.table.edit(self.table.currentIndex()))

    # note ----------------------------------------------------------------------------------
    def read_note(self, desk: Desk, day: date, key: Hashable, column: str) -> Any:
        return key

    def show_note(self, found: Any) -> Note:
        rows = self._view.rows if self._view else ()
        row = next((one for one in rows if one.job.job_id == found), None)
        if row is None:
            return Note(
                "Money taken",
                (Voice("Type an amount, and a word for how it came: 400 check."),),
                _KEYS,
            )
        voice = {
            "expected": f"Filled in with the {money(self.desk, row.filled)} that falls due when "
            "the job is finished. What is not confirmed is booked as expected.",
            "typed": "As you typed it.",
            "booked": "Booked.",
            "blank": "Nothing falls due today. What is typed before the job is done is a deposit.",
        }[row.state]
        sums = row.sums
        amounts = (
            ("Net", sums.net),
            ("Tax", sums.tax),
            ("With tax", sums.gross),
            ("Paid before", row.paid_before),
            ("Due", sums.due),
        )
        facts = tuple((label, money(self.desk, amount)) for label, amount in amounts)
        title = f"{row.job.number_text} {row.job.customer}".strip()
        return Note(title, (Voice(voice), Rule(), Facts(facts)), _KEYS)

    def title(self) -> str:
        return "Money taken"


def _state(owed: OwedJob) -> str:
    return "done" if owed.job.state == "done" else "booked"
