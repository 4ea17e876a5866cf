"""Station 2: supplies by jobs, typed over where they differ."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QTimer

from app.actions.day.supplies_used import (
    SuppliesUsed,
    SupplyUsed,
    UseCell,
    add_supply,
    clear_use,
    set_use,
    supplies_used,
)
from app.actions.day.use_note import UseNote, use_note
from app.actions.desk.amounts import all_supplies, number_of, supply_of
from app.actions.desk.desk import Changed, Desk
from app.errors import Mendable
from app.window.day.station import Station, closed_cell
from app.window.paper.cells import Cell, Column, EmptyText, State, TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.finder import FoundLine
from app.window.paper.notes import (
    Alert,
    Block,
    DotStrip,
    Facts,
    Note,
    Plain,
    Rule,
    StripLine,
    Voice,
)
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.window.day.place import DaySheet

_KEYS = (
    ("0–9", "write over the number"),
    ("↵", "next supply below"),
    ("Esc", "put the filled-in back"),
    ("F8", "next one worth a look"),
)
_BEFORE = (Column("name", "Supply", least=126), Column("unit", width=44, least=32, unit=True))
_AFTER = (
    Column("today", "Today", width=72, least=52, right=True),
    Column("left", "Left", width=80, least=60, right=True),
    Column("cover", "Days", "of cover", width=76, least=62, right=True, pad=8),
)
_MOST_FOUND = 40


class SuppliesStation(Station):
    """What each job took of each supply."""

    key = "supplies"
    keys = _KEYS

    def __init__(self, place: DaySheet) -> None:
        table = EntryTable(place.theme, (*_BEFORE, *_AFTER), rows_from=25, rows_to=32)
        super().__init__(place, table, "Supplies are right")
        self._view: SuppliesUsed | None = None
        self._jobs: dict[str, int] = {}  # the job of each column
        self._added: list[tuple[int, str, str]] = []  # supply, name, unit: not yet written
        table.add_asked.connect(self.add)
        table.teach_when_empty(
            EmptyText(
                "Nothing to fill in yet",
                "Put a job on this day and its recipes fill this page. Until a recipe is written, "
                "type what was used; a guess is worth keeping.",
                "Alt 1",
                "Jobs worked",
                lambda: place.strip.open("jobs"),
            )
        )

    # view ----------------------------------------------------------------------------------
    def read(self, desk: Desk, day: date) -> SuppliesUsed:
        return supplies_used(desk, day)

    def show_view(self, view: SuppliesUsed) -> None:
        self._view = view
        here = {row.supply_id for row in view.rows}
        self._added = [one for one in self._added if one[0] not in here]
        self._jobs = {f"job {head.job.job_id}": head.job.job_id for head in view.heads}
        columns = (
            *_BEFORE,
            *(
                Column(
                    column,
                    f"{head.job.number_text} {head.name}".strip(),
                    head.services,
                    width=118 if len(view.heads) < 5 else 96,
                    least=62,
                    right=True,
                )
                for column, head in zip(self._jobs, view.heads, strict=True)
            ),
            *_AFTER,
        )
        rows = [self._row(row) for row in view.rows]
        rows += [self._blank_row(view, one) for one in self._added]
        self.table.show_rows(rows, columns)
        self._show_hints(view)

    def _show_hints(self, view: SuppliesUsed) -> None:
        runs = []
        if view.changed_count:
            runs.append(
                Run(f"{view.changed_count} changed", "unit_total", "ink", mark="changed", gap=20)
            )
        if view.few_count:
            runs.append(
                Run(
                    f"{view.few_count} from few jobs, worth a look",
                    "unit",
                    mark="few jobs",
                    key="F8",
                    on_click=self.table.next_worth_a_look,
                    gap=20,
                )
            )
        if not self.closed and view.heads:
            runs.append(Run("Add a supply", "unit", key="Ins", on_click=self.add))
        self.row.show_hints(runs)

    def _row(self, row: SupplyUsed) -> TableRow:
        cover = "" if row.cover_days is None else f"{row.cover_days:,}"
        alarm = {"look": State.LOOK, "wrong": State.ALARM}.get(row.alert, State.QUIET)
        left = State.ALARM if row.left < 0 else State.QUIET
        return TableRow(
            row.supply_id,
            (
                Cell(row.name),
                Cell(row.unit),
                *(self._use(row, cell) for cell in row.cells),
                Cell(row.today_text if row.today else "", bold=True),
                Cell(row.left_text, left),
                Cell(cover, alarm, mark=row.alert if cover else ""),
            ),
        )

    def _use(self, row: SupplyUsed, cell: UseCell) -> Cell:
        supply = supply_of(self.desk, row.supply_id)
        old = number_of(self.desk, supply, cell.expected) if cell.expected else ""
        if cell.state == "blank":
            shown = Cell("", State.UNUSED, editable=True)
        elif cell.state == "unused":
            state = State.CHANGED if old else State.UNUSED
            shown = Cell("0" if old else "", state, old, editable=True)
        elif cell.changed:
            shown = Cell(cell.text, State.CHANGED, old, editable=True)
        else:
            state = State.FEW if cell.few else State.PLAIN
            shown = Cell(cell.text, state, editable=True)
        return closed_cell(shown) if self.closed else shown

    def _blank_row(self, view: SuppliesUsed, added: tuple[int, str, str]) -> TableRow:
        supply_id, name, unit = added
        blank = tuple(Cell("", State.UNUSED, editable=True) for _ in view.heads)
        return TableRow(supply_id, (Cell(name), Cell(unit), *blank, Cell(), Cell(), Cell()))

    # writing -------------------------------------------------------------------------------
    def write(self, key: Hashable, column: str, text: str) -> Changed:
        job_id, supply_id = self._jobs[column], _number(key)
        if any(one[0] == supply_id for one in self._added):
            return add_supply(self.desk, self.day, job_id, supply_id, text)
        return set_use(self.desk, self.day, job_id, supply_id, text)

    def put_back(self, key: Hashable, column: str) -> Changed:
        return clear_use(self.desk, self.day, self._jobs[column], _number(key))

    def add(self) -> None:
        """Choose a supply that no recipe foresaw, then type how much of it was used."""
        if self.closed or self._view is None or not self._view.heads:
            return
        here = {row.supply_id for row in self._view.rows} | {one[0] for one in self._added}
        desk = self.desk
        supplies = self.office.read(lambda: all_supplies(desk)) or {}
        choice = sorted(
            (s.name, supply_id) for supply_id, s in supplies.items() if supply_id not in here
        )

        def look_up(text: str) -> list[FoundLine]:
            low = text.lower()
            return [
                FoundLine("Supplies", name, "", partial(self._begin, supply_id))
                for name, supply_id in choice
                if low in name.lower()
            ][:_MOST_FOUND]

        self.place.pick("the supply's name", look_up)

    def _begin(self, supply_id: int) -> None:
        if self._view is None:
            return
        from app.actions.desk.amounts import supply_of, unit_of

        supply = supply_of(self.desk, supply_id)
        column = self.table.current_column()
        if column not in self._jobs:
            column = next(iter(self._jobs))
        self._added.append((supply_id, supply.name, unit_of(self.desk, supply)))
        self.show_view(self._view)
        self.table.setFocus()
        self.table.go(supply_id, column)
        self.table.scrollTo(self.table.currentIndex())
        QTimer.singleShot(0, self, lambda: self.table.edit(self.table.currentIndex()))

    # note ----------------------------------------------------------------------------------
    def read_note(self, desk: Desk, day: date, key: Hashable, column: str) -> Any:
        job_id = self._jobs.get(column)
        if job_id is None:
            return None
        try:
            return use_note(desk, day, job_id, _number(key))
        except Mendable:
            return None

    def show_note(self, found: UseNote | None) -> Note:
        if found is None:
            return Note("Supplies used", (), _KEYS)
        blocks: list[Block] = []
        if self.office.question:
            blocks.append(Alert(self.office.question))
        if found.read_as:
            blocks += [Plain("As you typed it"), Voice(found.read_as)]
        blocks.append(Voice(" ".join(found.origin)))
        if len(found.past) >= 2:
            blocks.append(_strip(found))
        if found.advice:
            blocks.append(Voice(" ".join(found.advice)))
        blocks += [Alert(caution) for caution in found.cautions]
        blocks += [Rule(), Facts(found.facts)]
        keys = _KEYS
        if found.yours is not None:
            back = f"put the {_plain(found.filled)} back" if found.filled else "take it away again"
            keys = (*_KEYS[:2], ("Esc", back), _KEYS[3])
        return Note(found.title, tuple(blocks), keys)

    def title(self) -> str:
        return "Supplies used"


def _strip(note: UseNote) -> DotStrip:
    lines = [StripLine(note.filled, f"{_plain(note.filled)} filled in")]
    if note.yours is not None:
        lines.append(StripLine(note.yours, f"{_plain(note.yours)} you", "act", True))
    caption = f"{note.unit}, each of the last {len(note.past)}"
    return DotStrip(note.past, note.low, note.high, tuple(lines), caption)


def _plain(number: float) -> str:
    return f"{number:,.2f}".rstrip("0").rstrip(".") if number < 10 else f"{number:,.0f}"


def _number(key: Hashable) -> int:
    assert isinstance(key, int)
    return key
