"""The table in which a vehicle that is back is judged: two written cells to a surface group."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial

from PySide6.QtCore import Signal

from app.actions.layers.judging import AFTER, BEFORE, Judging, JudgingRow, judging, set_judged
from app.calculations.numbers.wording import count_of
from app.window.house.office import Office
from app.window.paper.cells import (
    Cell,
    Column,
    EmptyText,
    Outcome,
    State,
    TableRow,
    entry,
    quiet,
    row_of,
)
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Block, Facts, Note, Rule, Voice

JUDGE_KEYS = (
    ("H", "holding"),
    ("F", "fading"),
    ("G", "gone"),
    ("Del", "take it back"),
)
_STATES = {"holding": State.GOOD, "fading": State.LOOK, "gone": State.ALARM}
_COLUMNS = (
    Column("group", "Surface", width=136, least=100),
    Column("layer", "What protects it", width=0, least=130, dense=True),
    Column("before", "Before", subhead="cleaning", width=88, least=72),
    Column("after", "After", subhead="cleaning", width=88, least=72),
    Column("said", "Together", width=166, least=100, dense=True),
    Column("last", "Seen before", width=150, least=90, dense=True),
)


class JudgingTable(EntryTable):
    """Rows for one vehicle; every cell is saved when it is left."""

    explained = Signal(object)  # a Note

    def __init__(self, office: Office) -> None:
        super().__init__(
            office.theme,
            _COLUMNS,
            empty=EmptyText(
                "Nothing stands on it",
                "When a job puts a layer on, its surfaces appear here to be judged "
                "the next time the vehicle is back.",
            ),
        )
        self._office = office
        self._vehicle: int | None = None
        self._view: Judging | None = None
        self.on_commit = self._typed
        self.row_entered.connect(lambda _key, _column: self.explain())

    def show_vehicle(self, vehicle_id: int | None) -> None:
        """Show one vehicle as it stands on the office's day; nothing without one."""
        office = self._office
        self._vehicle, self._view = vehicle_id, None
        if vehicle_id is not None:
            self._view = office.read(partial(judging, office.desk, office.day, vehicle_id))
        self.show_rows([_row(row) for row in self._judged()])

    def _judged(self) -> tuple[JudgingRow, ...]:
        return self._view.rows if self._view else ()

    @property
    def judged(self) -> int:
        """How many surfaces were judged on this day."""
        return sum(bool(row.before or row.after) for row in self._judged())

    @property
    def judged_words(self) -> str:
        """What was judged on this day, for the head of the entry."""
        surfaces = count_of(len(self._judged()), "surface")
        if not self._judged():
            return "nothing stands"
        return f"{self.judged} of {surfaces} judged" if self.judged else surfaces

    def explain(self) -> None:
        view = self._view
        if view is None:
            return
        blocks: list[Block] = [
            Voice(
                "Look at it dirty, then clean and decontaminate and look again, surface by "
                "surface. What recovers was dirty, not gone; what was seen after counts."
            ),
            Voice("How water runs off says nothing of thickness, nor of shade from the sun."),
        ]
        row = next((one for one in view.rows if one.group == self.current_key()), None)
        if row is not None:
            facts = [("Put on", row.applied_text)]
            facts += [("Over it, for gloss", name) for name in row.over]
            facts += [("Seen before", row.last or "not since")]
            blocks += [Rule(), Facts(tuple(facts))]
        self.explained.emit(Note(f"What is left on the {view.title}", tuple(blocks), JUDGE_KEYS))

    def _typed(self, key: Hashable, column: str, text: str) -> Outcome:
        assert self._vehicle is not None
        desk, day = self._office.desk, self._office.day
        when = {"before": BEFORE, "after": AFTER}[column]
        return self._office.typed(
            partial(set_judged, desk, day, self._vehicle, str(key), when, text), text
        )


def _row(row: JudgingRow) -> TableRow:
    layer = ", under ".join([row.layer, *row.over])
    return row_of(
        row.group,
        row.group,
        Cell(layer, State.QUIET, detail=row.applied_text, tip=layer),
        _verdict(row.before),
        _verdict(row.after),
        quiet(row.meaning),
        quiet(row.last, tip=row.last),
    )


def _verdict(word: str) -> Cell:
    return entry(word, _STATES[word], bold=True) if word else entry("", State.UNUSED)
