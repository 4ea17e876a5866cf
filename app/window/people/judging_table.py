"""The table in which a vehicle that is back is judged: two written cells to a surface group."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial

from PySide6.QtCore import Signal

from app.actions.layers.judging import AFTER, BEFORE, Judging, JudgingRow, judging, set_judged
from app.window.house.office import Office
from app.window.paper.cells import Cell, Column, EmptyText, Outcome, State, TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Facts, Note, Rule, Voice

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
    Column("before", "Before", "cleaning", width=88, least=72),
    Column("after", "After", "cleaning", width=88, least=72),
    Column("said", "Together", width=166, least=100, dense=True),
    Column("last", "Seen before", width=150, least=90, dense=True),
)


class JudgingTable(EntryTable):
    """Rows for one vehicle; every cell is saved when it is left."""

    explained = Signal(object)  # a Note

    def __init__(self, office: Office) -> None:
        super().__init__(office.theme, _COLUMNS, rows_from=25, rows_to=32)
        self._office = office
        self._vehicle: int | None = None
        self._view: Judging | None = None
        self.on_commit = self._typed
        self.row_entered.connect(lambda _key, _column: self.explain())
        self.teach_when_empty(
            EmptyText(
                "Nothing stands on it",
                "When a job puts a layer on, its surfaces appear here to be judged "
                "the next time the vehicle is back.",
            )
        )

    def show_vehicle(self, vehicle_id: int | None) -> None:
        """Show one vehicle as it stands on the office's day; nothing without one."""
        self._vehicle = vehicle_id
        office = self._office
        self._view = None
        if vehicle_id is not None:
            self._view = office.read(lambda: judging(office.desk, office.day, vehicle_id))
        rows = self._view.rows if self._view else ()
        self.show_rows([_row(row) for row in rows])

    @property
    def judged_words(self) -> str:
        """What was judged on this day, for the head of the entry."""
        rows = self._view.rows if self._view else ()
        done = sum(1 for row in rows if row.before or row.after)
        if not rows:
            return "nothing stands"
        noun = "surface" if len(rows) == 1 else "surfaces"
        return f"{done} of {len(rows)} {noun} judged" if done else f"{len(rows)} {noun}"

    @property
    def judged_any(self) -> bool:
        """Whether anything was judged on this day."""
        return any(row.before or row.after for row in (self._view.rows if self._view else ()))

    def explain(self) -> None:
        """Say what the row with the focus is about."""
        view = self._view
        if view is None:
            return
        blocks = [
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
            blocks += [Rule(), Facts(tuple(facts))]  # type: ignore[list-item]
        self.explained.emit(Note(f"What is left on the {view.title}", tuple(blocks), JUDGE_KEYS))

    def _typed(self, key: Hashable, column: str, text: str) -> Outcome:
        assert self._vehicle is not None
        desk, day, vehicle = self._office.desk, self._office.day, self._vehicle
        when = {"before": BEFORE, "after": AFTER}[column]
        return self._office.typed(
            partial(set_judged, desk, day, vehicle, str(key), when, text), text
        )


def _row(row: JudgingRow) -> TableRow:
    layer = ", under ".join([row.layer, *row.over])
    return TableRow(
        row.group,
        (
            Cell(row.group),
            Cell(layer, State.QUIET, detail=row.applied_text, tip=layer),
            _verdict(row.before),
            _verdict(row.after),
            Cell(row.meaning, State.QUIET),
            Cell(row.last, State.QUIET, tip=row.last),
        ),
    )


def _verdict(word: str) -> Cell:
    if not word:
        return Cell("", State.UNUSED, editable=True)
    return Cell(word, _STATES[word], bold=True, editable=True)
