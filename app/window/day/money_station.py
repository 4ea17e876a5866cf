"""Station 3: what each job paid today."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from PySide6.QtCore import QTimer

from app.actions.day.money_taken import MoneyRow, MoneyTaken, OwedJob, money_taken, set_money
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
    ("0–9", "write over: 105 tip 10"),
    ("↵", "next job below"),
    ("M", "how it was paid"),
    ("Ins", "money for another job"),
)
_COLUMNS = (
    Column("job", "Job", least=150),
    Column("gross", "With tax", width=96, least=76, right=True),
    Column("before", "Paid", "before", width=96, least=76, right=True),
    Column("due", "Due", width=96, least=76, right=True),
    Column("taken", "Taken", "today", width=164, least=96, right=True),
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
        here = {row.job_id for row in view.rows}
        self._added = [one for one in self._added if one.job_id not in here]
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
        if row.changed:
            taken = Cell(row.taken_text, State.CHANGED, row.filled_text, editable=True)
        elif row.state == "blank":
            taken = Cell("", State.UNUSED, editable=True)
        else:
            taken = Cell(row.taken_text, editable=True)
        before = (
            Cell(row.paid_before_text, State.QUIET) if row.paid_before else Cell("", State.UNUSED)
        )
        name = row.customer or "no name"
        return TableRow(
            row.job_id,
            (
                Cell(f"{row.number_text} {name}"),
                Cell(row.gross_text, State.QUIET),
                before,
                Cell(row.due_text, State.LOOK if row.due < 0 else State.PLAIN, bold=True),
                closed_cell(taken) if self.closed else taken,
                Cell(row.method if row.taken else "", State.QUIET),
            ),
        )

    def _owed_row(self, job: OwedJob) -> TableRow:
        return TableRow(
            job.job_id,
            (
                Cell(f"{job.number_text} {job.customer}", detail="done" if job.done else "booked"),
                Cell("", State.UNUSED),
                Cell("", State.UNUSED),
                Cell(job.due_text, bold=True),
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
        row = next((r for r in view.rows if r.job_id == job_id), None) if view else None
        if row is None or not row.taken or not self.table.finish():
            return
        at = row.methods.index(row.method) + 1 if row.method in row.methods else 0
        method = row.methods[at % len(row.methods)]
        desk, day, text = self.desk, self.day, row.taken_text
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
                    f"{job.number_text} {job.customer}",
                    f"{job.due_text} due, {'done' if job.done else 'booked'}",
                    partial(self._begin, job),
                )
                for job in view.others
                if low in f"{job.number_text} {job.customer}".lower()
            ]

        self.place.pick("job number or name", look_up)

    def _begin(self, job: OwedJob) -> None:
        if self._view is None:
            return
        self._added.append(job)
        self.show_view(self._view)
        self.place.strip.relay()
        self.table.setFocus()
        self.table.go(job.job_id, "taken")
        QTimer.singleShot(0, self, lambda: self.table.edit(self.table.currentIndex()))

    # note ----------------------------------------------------------------------------------
    def read_note(self, desk: Desk, day: date, key: Hashable, column: str) -> Any:
        return key

    def show_note(self, found: Any) -> Note:
        row = next((r for r in self._view.rows if r.job_id == found), None) if self._view else None
        if row is None:
            return Note(
                "Money taken",
                (
                    Voice("Type an amount, and a word for how it came: 400 check."),
                    Voice("A tip: 105 tip 10. To keep some for later: 105 credit 10."),
                ),
                _KEYS,
            )
        voice = {
            "expected": f"Filled in with the {row.filled_text} that falls due when the job is "
            "finished. What is not confirmed is booked as expected.",
            "typed": "As you typed it.",
            "booked": "Booked.",
            "blank": "Nothing falls due today. What is typed before the job is done is a deposit.",
        }[row.state]
        facts: tuple[tuple[str, str], ...] = (
            ("Net", row.net_text),
            ("Tax", row.tax_text),
            ("With tax", row.gross_text),
            ("Paid before", row.paid_before_text),
            ("Due", row.due_text),
        )
        if row.tip:
            facts += (("Tip", money(self.desk, row.tip)),)
        if row.held:
            facts += (("Credit held", row.held_text),)
        title = f"{row.number_text} {row.customer}".strip()
        return Note(title, (Voice(voice), Rule(), Facts(facts)), _KEYS)

    def title(self) -> str:
        return "Money taken"
