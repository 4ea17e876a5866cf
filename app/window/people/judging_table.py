"""The table in which a vehicle that is back is judged: two written cells to a surface group.

Beside it stands the body seen from above (`LeftBody`). The chances of both are those of Renewals
and come in the background, for they need what is known of all vehicles.
"""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QWidget

from app.actions.layers.judging import AFTER, BEFORE, Judging, JudgingRow, judging, set_judged
from app.calculations.layers.bodies import Body
from app.calculations.numbers.wording import capital, count_of
from app.window.house.acting import in_background
from app.window.house.office import Office
from app.window.house.runner import Task
from app.window.paper.brush import Brush
from app.window.paper.cells import (
    Cell,
    Column,
    EmptyText,
    Outcome,
    State,
    TableRow,
    entry,
    row_of,
)
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Block, Facts, Note, Rule, Voice
from app.window.people.body_above import BodyAbove
from app.window.renewals.layerbars import (
    LayerBar,
    LayerCalendar,
    draw_layer_bar,
    layer_head,
    spoken_layer,
)

if TYPE_CHECKING:
    from app.actions.letters.left_on_vehicle import LeftOn, LeftOnVehicle

JUDGE_KEYS = (
    ("H ↵", "holding"),
    ("F ↵", "fading"),
    ("G ↵", "gone"),
    ("Del", "take it back"),
)
_STATES = {"holding": State.GOOD, "fading": State.LOOK, "gone": State.ALARM}
_FADES = 0.8  # below this chance a layer is due; see `Due`
_ROW, _MOST = 40, 52  # a row's least and greatest height
_GAP = 12  # between the body and the table
_LEAST_TABLE = 420  # pixels at scale 1 in which the table can be read beside the body


class JudgingTable(EntryTable):
    """Rows for one vehicle; every cell is saved when it is left."""

    explained = Signal(object)  # a Note
    left_read = Signal()  # the chances are known now

    def __init__(self, office: Office) -> None:
        self.left: LeftOnVehicle | None = None
        super().__init__(
            office.theme,
            self._columns_of(),
            rows_from=_ROW,
            rows_to=_MOST,
            empty=EmptyText(
                "Nothing is on it",
                "When a job puts a layer on, its surfaces appear here to be judged "
                "the next time the vehicle is back.",
            ),
        )
        self._office = office
        self._vehicle: int | None = None
        self._view: Judging | None = None
        self._asked: Task | None = None
        self.on_commit = self._typed
        self.row_entered.connect(lambda _key, _column: self.explain())

    def _columns_of(self) -> tuple[Column, ...]:
        return (
            Column("group", "Surface", subhead="what protects it", width=0, least=120),
            Column("life", width=116, least=76, pad=0, paint=self._paint_life,
                   paint_head=self._paint_head, say=_spoken),
            Column("still", "Still", subhead="protects", width=62, least=54, right=True),
            Column("before", "Before", subhead="cleaning", width=72, least=66),
            Column("after", "After", subhead="cleaning", width=72, least=66),
        )  # fmt: skip

    def _calendar(self) -> LayerCalendar | None:
        left = self.left
        return LayerCalendar(left.first, left.last, self._office.day) if left is not None else None

    def _paint_head(self, brush: Brush, box: QRectF) -> None:
        calendar = self._calendar()
        if calendar is not None:
            layer_head(calendar)(brush, box)

    def _paint_life(self, brush: Brush, box: QRectF, data: object, selected: bool) -> None:
        calendar = self._calendar()
        if calendar is not None and isinstance(data, LayerBar):
            draw_layer_bar(brush, box, data, calendar, selected)

    def show_vehicle(self, vehicle_id: int | None) -> None:
        """Show one vehicle as it stands on the office's day; nothing without one."""
        office = self._office
        if vehicle_id != self._vehicle:
            self.left = None  # what is known of another says nothing of this one
        self._vehicle, self._view = vehicle_id, None
        if vehicle_id is not None:
            self._view = office.read(partial(judging, office.desk, office.day, vehicle_id))
        self._show()
        if self.isVisible():
            self.read_left()

    def _show(self) -> None:
        left = self.left.groups if self.left is not None else {}
        self.show_rows([_row(row, left.get(row.group)) for row in self._judged()])
        self.left_read.emit()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self.left is None:
            self.read_left()

    def read_left(self) -> None:
        """Read the chances of what stands on it, in the background."""
        office, vehicle = self._office, self._vehicle
        if self._asked is not None:
            self._asked.stop()
            self._asked = None
        if vehicle is None or not self._judged():
            return
        desk, day = office.desk, office.day

        def read() -> LeftOnVehicle:
            from app.actions.letters.left_on_vehicle import left_on_vehicle  # imports numpy

            return left_on_vehicle(desk, day, vehicle)

        def show(found: LeftOnVehicle) -> None:
            self._asked = None
            if self._vehicle == vehicle and office.day == day:
                self.left = found
                self._show()

        self._asked = in_background(office, self, "What is left", read, show, quiet=True)

    @property
    def standing(self) -> frozenset[str]:
        """The surface groups on which something stands."""
        return frozenset(row.group for row in self._judged())

    @property
    def body(self) -> Body:
        """How the vehicle is drawn."""
        return self._view.body if self._view else Body.WAGON

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
            return "nothing on it"
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
            facts = [("Together", row.meaning)] if row.meaning else []
            facts += [("Put on", row.applied_text)]
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


class LeftBody(QWidget):
    """The body seen from above and the table beside it; the table alone where there is no room."""

    def __init__(self, office: Office, table: JudgingTable) -> None:
        super().__init__()
        self._theme = office.theme
        self.table = table
        self.above = BodyAbove(office.theme)
        for part in (self.above, table):
            part.setParent(self)
            part.show()
        table.left_read.connect(self._tell)
        table.row_entered.connect(lambda key, _column: self.above.set_here(str(key)))
        self.above.group_chosen.connect(self._choose)

    def _tell(self) -> None:
        left = self.table.left
        chances = {group: one.still for group, one in left.groups.items()} if left else {}
        self.above.show_left(self.table.standing, chances, self.table.body)

    def _choose(self, group: str) -> None:
        self.table.go(group, "before")
        self.table.setFocus()

    def _beside(self, width: int) -> bool:
        px = self._theme.px
        return width >= self.above.sizeHint().width() + px(_GAP) + px(_LEAST_TABLE)

    def natural_height(self, width: int) -> int:
        """As high as the body, or the table where it needs more."""
        beside = self._beside(width)
        wide = width - self.above.sizeHint().width() - self._theme.px(_GAP) if beside else width
        high = self.table.natural_height(wide)
        return max(high, self.above.sizeHint().height()) if beside else high

    def resizeEvent(self, event: QResizeEvent) -> None:
        body, width, high = self.above.sizeHint(), self.width(), self.height()
        beside = self._beside(width) and 3 * high >= 2 * body.height()
        self.above.setVisible(beside)
        left = body.width() + self._theme.px(_GAP) if beside else 0
        self.above.setGeometry(0, 0, body.width(), min(high, body.height()))
        room = min(high, max(self.table.natural_height(width - left), self._theme.px(96)))
        self.table.setGeometry(left, 0, width - left, room)

    def entered(self) -> None:
        """Begin to judge."""
        self.table.setFocus()


def _row(row: JudgingRow, left: LeftOn | None) -> TableRow:
    layer = ", under ".join([row.layer, *row.over])
    bar, still = None, Cell("", State.UNUSED)
    if left is not None:
        bar = LayerBar(left.curve, cut_left=left.cut_left, due=left.due, checks=left.checks,
                       still=left.still, unanswered=left.still < _FADES)  # fmt: skip
        state = State.LOOK if left.still < _FADES else State.QUIET
        still = Cell(f"{round(100 * left.still)} %", state)
    return row_of(
        row.group,
        Cell(capital(row.group), bold=True, under=row.layer, tip=f"{layer}, {row.applied_text}"),
        Cell(data=bar),
        still,
        _verdict(row.before),
        _verdict(row.after),
    )


def _spoken(data: object) -> str:
    return spoken_layer(data) if isinstance(data, LayerBar) else ""


def _verdict(word: str) -> Cell:
    return entry(word, _STATES[word], bold=True) if word else entry("", State.UNUSED)
