"""Station 2: supplies by jobs, typed over where they differ."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

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
from app.actions.desk.amounts import all_supplies, unit_of
from app.actions.desk.desk import Changed, Desk
from app.actions.shelf.pools import WashedView, set_washed, washed_on
from app.calculations.numbers.wording import MINUS, noun, short_number
from app.errors import Mendable
from app.window.day.station import Station
from app.window.paper.cells import (
    Cell,
    Column,
    EmptyText,
    GroupRow,
    State,
    TableRow,
    entry,
    given_entry,
    quiet,
    row_of,
)
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
    from app.records.queries.stock import SupplyRow
    from app.window.day.place import DayPlace

_BEFORE = (Column("name", "Supply", least=126), Column("unit", width=44, least=32, unit=True))
_AFTER = (
    Column("today", "Today", width=72, least=52, right=True),
    Column("left", "Left", width=80, least=60, right=True),
    Column("cover", "Days", subhead="of cover", width=76, least=62, right=True, pad=8),
)


_WASH = "wash"  # begins the key of a row of the wash; the supply's number follows


def _read(desk: Desk, day: date) -> tuple[SuppliesUsed, tuple[WashedView, ...]]:
    return supplies_used(desk, day), washed_on(desk, day)


class SuppliesStation(Station):
    """What each job took of each supply."""

    key = "supplies"
    title = "Supplies used"
    keys = (
        ("0–9", "write over the number"),
        ("↵", "next supply below"),
        ("Esc", "put the filled-in back"),
        ("F8", "next one worth a look"),
    )
    columns = (*_BEFORE, *_AFTER)
    letters: ClassVar[dict[str, str]] = {"L": "wash"}

    def __init__(self, place: DayPlace) -> None:
        empty = EmptyText(
            "Nothing to fill in yet",
            "Put a job on this day and its recipes fill this page. Until a recipe is written, "
            "type what was used; a guess is worth keeping.",
            "Alt 1",
            "Jobs worked",
            lambda: place.strip.open("jobs"),
        )
        super().__init__(place, "Supplies are right", _read, empty)
        self._view: SuppliesUsed | None = None
        self._washed: tuple[WashedView, ...] = ()
        self._jobs: dict[str, int] = {}  # the job of each column
        self._added: dict[int, tuple[str, str]] = {}  # supply to name and unit: not yet written
        self.table.add_asked.connect(self.add)

    # view ----------------------------------------------------------------------------------
    def show_view(self, view: tuple[SuppliesUsed, tuple[WashedView, ...]]) -> None:
        self._view, self._washed = view
        self._show(self._view)

    def _show(self, view: SuppliesUsed) -> None:
        for row in view.rows:
            self._added.pop(row.supply_id, None)
        self._jobs = {f"job {head.job.job_id}": head.job.job_id for head in view.heads}
        columns = (
            *_BEFORE,
            *(
                Column(
                    column,
                    f"{head.job.number_text} {head.name}".strip(),
                    subhead=head.services,
                    width=118 if len(view.heads) < 5 else 96,
                    least=62,
                    right=True,
                    folds=True,
                )
                for column, head in zip(self._jobs, view.heads, strict=True)
            ),
            *_AFTER,
        )
        rows: list[TableRow | GroupRow] = [self._row(row) for row in view.rows]
        blank = [given_entry("")] * len(view.heads)
        for supply_id, (name, unit) in self._added.items():
            rows.append(row_of(supply_id, name, unit, *blank, "", "", ""))
        if self._washed:
            rows.append(GroupRow("wash", "Washed today", "type the loads that went in"))
            rows += [self._wash_row(one, len(view.heads)) for one in self._washed]
        self.table.show_rows(rows, columns)
        self._show_hints(view)

    def _wash_row(self, one: WashedView, jobs: int) -> TableRow:
        """A pool whose loads are typed under *Today*; what is clean stands under *Left*."""
        loads = self.as_shown(given_entry(str(one.loads) if one.loads else "", bold=True))
        unit = noun(one.loads, "load", "loads")
        used = f"{one.in_use} in use" if one.in_use else ""
        name = Cell(one.name, detail=used, tip=f"{one.name}, {one.clean} clean, {used}")
        clean = quiet(f"{one.clean} clean")
        return row_of((_WASH, one.supply_id), name, unit, *[""] * jobs, loads, clean, "")

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
            runs.append(Run("Add a supply", "unit", key="Ins", on_click=self.add, gap=20))
        if self._washed and not self.closed:
            runs.append(Run("Loads washed", "unit", key="L", on_click=self.wash))
        self.row.show_hints(runs)

    def wash(self) -> None:
        """Write in how many loads were washed, of the first pool."""
        if self._washed and self.may_write():
            self.table.write_in((_WASH, self._washed[0].supply_id), "today")

    def _row(self, row: SupplyUsed) -> TableRow:
        cover = "" if row.cover_days is None else f"{row.cover_days:,}"
        alarm = {"look": State.LOOK, "wrong": State.ALARM}.get(row.alert, State.QUIET)
        # The shelf counts a pool's towels in use too; here those that are clean.
        left = f"{row.left_text} clean" if row.pool else row.left_text
        return row_of(
            row.supply_id,
            row.name,
            row.unit,
            *(self._use(cell) for cell in row.cells),
            Cell(row.today_text if row.today else "", bold=True),
            Cell(left, State.ALARM if row.left_text.startswith(MINUS) else State.QUIET),
            Cell(cover, alarm, mark=row.alert if cover else ""),
        )

    def _use(self, cell: UseCell) -> Cell:
        old = cell.expected_text
        if cell.state == "blank" or (cell.state == "unused" and not old):
            shown = given_entry("")
        elif cell.state == "unused" or cell.changed:
            text = "0" if cell.state == "unused" else cell.text
            mark, tip = ("look", "far off the usual") if cell.far else ("", "")
            shown = Cell(text, State.CHANGED, old=old, editable=True, mark=mark, tip=tip)
        else:
            shown = entry(cell.text, State.FEW if cell.few else State.PLAIN)
        return self.as_shown(shown)

    # writing -------------------------------------------------------------------------------
    def write(self, key: Hashable, column: str, text: str) -> Changed:
        if isinstance(key, tuple):
            return set_washed(self.desk, self.day, key[1], text)
        do = add_supply if key in self._added else set_use
        return do(self.desk, self.day, self._jobs[column], _number(key), text)

    def put_back(self, key: Hashable, column: str) -> Changed:
        if isinstance(key, tuple):
            return set_washed(self.desk, self.day, key[1], "")
        return clear_use(self.desk, self.day, self._jobs[column], _number(key))

    def add(self) -> None:
        """Choose a supply that no recipe foresaw, then type how much of it was used."""
        if self.closed or self._view is None or not self._view.heads:
            return
        here = {row.supply_id for row in self._view.rows} | self._added.keys()
        supplies = self.office.read(partial(all_supplies, self.desk)) or {}
        lines = [
            FoundLine("Supplies", supply.name, "", partial(self._begin, supply))
            for supply in supplies.values()
            if supply.supply_id not in here and supply.archived_on is None
        ]
        self.choose("the supply's name", lines, most=40)

    def _begin(self, supply: SupplyRow) -> None:
        if self._view is not None:
            column = self.table.current_column()
            if column not in self._jobs:
                column = next(iter(self._jobs))
            self._added[supply.supply_id] = supply.name, unit_of(self.desk, supply)
            self._show(self._view)
            self.write_in(supply.supply_id, column)

    # note ----------------------------------------------------------------------------------
    def read_note(self, desk: Desk, day: date, key: Hashable, column: str) -> Any:
        job_id = self._jobs.get(column)
        if isinstance(key, tuple):
            return next((one for one in washed_on(desk, day) if one.supply_id == key[1]), None)
        if job_id is None:
            return None
        try:
            return use_note(desk, day, job_id, _number(key))
        except Mendable:
            return None

    def show_note(self, found: UseNote | WashedView | None) -> Note:
        if found is None:
            return super().show_note(found)
        if isinstance(found, WashedView):
            voice = (
                "The loads that were washed on this day, all together. What is in use comes back "
                "clean, as many pieces as go in."
            )
            facts = (("Clean", f"{found.clean:,}"), ("In use", f"{found.in_use:,}"))
            return Note(found.name, (Voice(voice), Rule(), Facts(facts)), self.keys[:3])
        blocks: list[Block] = []
        if asked := self.asked_here():
            blocks.append(Alert(asked))
        if found.read_as:
            blocks += [Plain("As you typed it"), Voice(found.read_as)]
        blocks.append(Voice(" ".join(found.origin)))
        if len(found.past) >= 2:
            blocks.append(_strip(found))
        if found.advice:
            blocks.append(Voice(" ".join(found.advice)))
        blocks += [Alert(caution) for caution in found.cautions]
        blocks += [Rule(), Facts(found.facts)]
        keys = self.keys
        if found.yours is not None:
            filled = short_number(found.filled)
            back = f"put the {filled} back" if found.filled else "take it away again"
            keys = (*keys[:2], ("Esc", back), keys[3])
        return Note(found.title, tuple(blocks), keys)


def _strip(note: UseNote) -> DotStrip:
    lines = [StripLine(note.filled, f"{short_number(note.filled)} filled in")]
    if note.yours is not None:
        lines.append(StripLine(note.yours, f"{short_number(note.yours)} you", "act", True))
    caption = f"{note.unit}, each of the last {len(note.past)}"
    return DotStrip(note.past, note.low, note.high, tuple(lines), caption)


def _number(key: Hashable) -> int:
    assert isinstance(key, int)
    return key
