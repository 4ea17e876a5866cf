"""Station 3: what each job paid today."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from app.actions.day.money_taken import (
    METHODS,
    MoneyRow,
    MoneyTaken,
    OwedJob,
    money_taken,
    set_money,
)
from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed
from app.window.day.station import Station
from app.window.paper.cells import (
    Cell,
    Column,
    EmptyText,
    State,
    TableRow,
    given,
    given_entry,
    quiet,
    row_of,
)
from app.window.paper.finder import FoundLine
from app.window.paper.notes import Facts, Note, Rule, Voice
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.window.day.place import DayPlace


class MoneyStation(Station):
    """Filled in with what falls due; typed over with what came."""

    key = "money"
    quick = True
    title = "Money taken"
    keys = (
        ("0–9", "write over: 105 tip 10"),
        ("↵", "next job below"),
        ("M", "how it was paid"),
        ("Ins", "money for another job"),
    )
    columns = (
        Column("job", "Job", least=110),
        Column("gross", "With tax", width=96, least=76, right=True, aside=1),
        Column("before", "Paid", subhead="before", width=96, least=76, right=True, aside=2),
        Column("due", "Due", width=96, least=76, right=True),
        Column("taken", "Taken", subhead="today", width=164, least=96, right=True),
        Column("method", "How", width=104, least=80, pad=16),
    )
    letters: ClassVar[dict[str, str]] = {"M": "method_here"}

    def __init__(self, place: DayPlace) -> None:
        empty = EmptyText(
            "No money is expected today",
            "When a job is finished, what it still owes stands here, filled in. "
            "A deposit, or money for an older job, can be added.",
            "Ins",
            "Money for another job",
            self.add,
        )
        super().__init__(place, "Money is right", money_taken, empty)
        self._view: MoneyTaken | None = None
        self._rows: dict[Hashable, MoneyRow] = {}
        self._added: list[OwedJob] = []
        self.table.add_asked.connect(self.add)
        self.table.cell_clicked.connect(self._clicked)

    def show_view(self, view: MoneyTaken) -> None:
        self._view = view
        self._rows = {row.job.job_id: row for row in view.rows}
        self._added = [one for one in self._added if one.job.job_id not in self._rows]
        rows = [self._row(row) for row in view.rows]
        self.table.show_rows(rows + [self._owed_row(one) for one in self._added])
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
            taken = Cell(row.taken_text, State.CHANGED, old=text(row.filled), editable=True)
        else:
            taken = given_entry(row.taken_text)
        due = row.sums.due
        return row_of(
            row.job.job_id,
            f"{row.job.number_text} {row.job.customer or 'no name'}",
            quiet(text(row.sums.gross)),
            given(text(row.paid_before) if row.paid_before else "", State.QUIET),
            Cell(text(due), State.LOOK if due < 0 else State.PLAIN, bold=True),
            self.as_shown(taken),
            quiet(row.method if row.taken else ""),
        )

    def _owed_row(self, owed: OwedJob) -> TableRow:
        return row_of(
            owed.job.job_id,
            Cell(f"{owed.job.number_text} {owed.job.customer}", detail=_state(owed)),
            given(""),
            given(""),
            Cell(money(self.desk, owed.due), bold=True),
            given_entry(""),
            "",
        )

    def write(self, key: Hashable, column: str, text: str) -> Changed:
        assert isinstance(key, int)
        return set_money(self.desk, self.day, key, text)

    def method_here(self) -> None:
        """The next way of paying for the job with the focus, and around."""
        self._next_method(self.table.current_key())

    def _clicked(self, key: Hashable, column: str) -> None:
        if column == "method":
            self._next_method(key)

    def _next_method(self, key: Hashable) -> None:
        row = self._rows.get(key)
        if row is not None and row.taken and self.table.finish():
            at = METHODS.index(row.method) + 1 if row.method in METHODS else 0
            method = METHODS[at % len(METHODS)]
            self.act(set_money, row.job.job_id, row.taken_text, method)

    def add(self) -> None:
        """Choose a job that is not on this day and has money to come."""
        if self.closed or self._view is None:
            return
        lines = [
            FoundLine(
                "Jobs with money to come",
                f"{owed.job.number_text} {owed.job.customer}",
                f"{money(self.desk, owed.due)} due, {_state(owed)}",
                partial(self._begin, owed),
            )
            for owed in self._view.others
        ]
        self.choose("job number or name", lines)

    def _begin(self, owed: OwedJob) -> None:
        if self._view is not None:
            self._added.append(owed)
            self.show_view(self._view)
            self.write_in(owed.job.job_id, "taken")

    def show_note(self, found: Any) -> Note:
        row = self._rows.get(found)
        if row is None:
            voices = (
                Voice("Type an amount, and a word for how it came: 400 check."),
                Voice("A tip: 105 tip 10. To keep some for later: 105 credit 10."),
            )
            return Note(self.title, voices, self.keys)
        voice = {
            "expected": f"Filled in with the {money(self.desk, row.filled)} that falls due when "
            "the job is finished. What is not confirmed is booked as expected.",
            "typed": "As you typed it.",
            "booked": "Booked.",
            "blank": "Nothing falls due today. What is typed before the job is done is a deposit.",
        }[row.state]
        if row.not_filled and row.state == "blank":
            voice = (
                f"{row.not_filled}, so no payment is filled in. Type what comes, or "
                "with a minus what you give back."
            )
        sums = row.sums
        amounts = (
            ("Net", sums.net),
            ("Tax", sums.tax),
            ("With tax", sums.gross),
            ("Paid before", row.paid_before),
            ("Due", sums.due),
        )
        facts = tuple((label, money(self.desk, amount)) for label, amount in amounts)
        beside = (("Tip", row.tip), ("Credit held", row.held))
        facts += tuple((label, money(self.desk, amount)) for label, amount in beside if amount)
        title = f"{row.job.number_text} {row.job.customer}".strip()
        return Note(title, (Voice(voice), Rule(), Facts(facts)), self.keys)


def _state(owed: OwedJob) -> str:
    return "done" if owed.job.state == "done" else "booked"
