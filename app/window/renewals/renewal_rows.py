"""The rows of the Renewals place: cells, columns, groups and the words of its keys."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import QRectF

from app.actions.letters import renewing
from app.actions.letters.renewing import RenewalRow
from app.window.paper.brush import Brush
from app.window.paper.cells import Cell, Column, State, TableRow, row_of
from app.window.renewals.layerbars import (
    LayerBar,
    LayerCalendar,
    draw_layer_bar,
    layer_head,
    spoken_layer,
)

ANSWER_KEYS = (
    ("B", "booked", "booked a visit"),
    ("L", "later", "later: ask in three months"),
    ("F", "fine", "fine, thanks"),
    ("X", "no", "no"),
    ("S", "sold", "sold the vehicle"),
    ("U", "undeliverable", "did not arrive"),
    ("P", "stop", "stop writing"),
)
GROUPS = {
    "due": ("Due", "nobody is asked yet"),
    "reminded": ("Reminded", "an answer is to come"),
    "coming": ("To come", ""),
    "worn": ("Worn out", "by what such layers last here"),
}
PAGE_KEYS = (
    ("E", "change the words"),
    ("G", "checked, still good"),
    ("N", "not now, ask in four weeks"),
    ("O", "open the customer"),
)


def renewal_columns(day: date) -> tuple[Column, ...]:
    """The columns with the 36 months around a day."""
    left, right = renewing.drawing_span(day)
    calendar = LayerCalendar(left, right, day)

    def cell(brush: Brush, box: QRectF, row: RenewalRow, selected: bool) -> None:
        draw_layer_bar(brush, box, _bar(row), calendar, selected)

    return (
        Column("vehicle", "Vehicle", width=196, least=110),
        Column("layer", "Layer", width=122, least=80, dense=True),
        Column(
            "life",
            width=0,
            least=240,
            pad=0,
            paint=cell,
            paint_head=layer_head(calendar),
            say=_spoken,
        ),
        Column("still", "Still", subhead="protects", width=62, right=True, dense=True),
        Column("due", "Due", width=168, least=120, dense=True),
    )


def renewal_row(row: RenewalRow, *, named: bool) -> TableRow:
    """One layer's row; `named` when the row above is of another vehicle."""
    who, what = row.layer.holder.customer, row.layer.holder.description
    return row_of(
        row.key,
        Cell(who, bold=True, detail=what, tip=f"{who}, {what}") if named else "",
        Cell(row.layer.supply_name, tip=", ".join(row.groups)),
        Cell(data=row),
        Cell(f"{round(100 * row.due.still)} %", State.LOOK if row.state == "due" else State.PLAIN),
        _due_cell(row),
    )


def _spoken(row: RenewalRow) -> str:
    return spoken_layer(_bar(row))


def _bar(row: RenewalRow) -> LayerBar:
    return LayerBar(
        row.curve,
        cut_left=row.cut_left,
        due=(row.due.due_from, row.due.due_to),
        unanswered=row.state == "due",
        checks=row.checks,
        still=row.due.still,
    )


def _due_cell(row: RenewalRow) -> Cell:
    if row.state == "due":
        return Cell(row.due_text, State.LOOK, mark="look")
    mark = "reminded" if row.state == "reminded" else "done" if row.checks else ""
    return Cell(row.due_text, State.QUIET, mark=mark if row.state != "worn" else "")
