"""The rows of the Renewals place: cells, columns, groups, the drawing's key, the page's keys."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import QRectF

from app.actions.letters import renewing
from app.actions.letters.renewal_groups import ASK, LATER, NOT_NOW, GroupedRow, RenewalGroup
from app.window.paper.brush import Brush
from app.window.paper.cells import Cell, Column, GroupRow, State, TableRow, row_of
from app.window.paper.runs import Run
from app.window.renewals.layerbars import (
    LayerBar,
    LayerCalendar,
    draw_due_sample,
    draw_layer_bar,
    draw_seen_sample,
    draw_still_sample,
    draw_today_sample,
    layer_head,
    spoken_layer,
)

ROW, MOST, GROUP = 40, 44, 32  # heights: a row's least and greatest, a group line's
ANSWER_KEYS = (
    ("B", "booked", "booked a visit"),
    ("A", "later", "later: ask in three months"),
    ("F", "fine", "fine, thanks"),
    ("X", "no", "no"),
    ("S", "sold", "sold the vehicle"),
    ("U", "undeliverable", "did not arrive"),
    ("P", "stop", "stop writing"),
)
FOLDS = {ASK: "Space", NOT_NOW: "W", LATER: "L"}  # the key that opens a part, and folds it again
PAGE_KEYS = (
    ("↵", "read this letter"),
    ("J", "judge it by surface"),
    ("N", "not now, ask in four weeks"),
    ("O", "open the customer"),
)
_MARKS = {
    "mail": "reminded",
    "letter": "sheet",
    "phone": "phone",
    "text": "phone",
    "asked": "reminded",
    "wait": "hours",
    "peace": "peace",
}


def renewal_columns(day: date) -> tuple[Column, ...]:
    """The columns with the 36 months around a day."""
    left, right = renewing.drawing_span(day)
    calendar = LayerCalendar(left, right, day)

    def cell(brush: Brush, box: QRectF, data: tuple[GroupedRow, bool], selected: bool) -> None:
        draw_layer_bar(brush, box, _bar(*data), calendar, selected)

    return (
        Column("vehicle", "Vehicle", width=220, least=92),
        Column("layer", "Layer and where", width=170, least=60),
        Column(
            "life",
            width=0,
            least=116,
            pad=0,
            paint=cell,
            paint_head=layer_head(calendar),
            say=_spoken,
        ),
        Column("still", "Still", subhead="protects", width=62, right=True),
        Column("due", "Due", subhead="how asked, or why not", width=146, least=130),
    )


def fold_key(group: str) -> tuple[str, str]:
    """The key of the row that says what is folded away of a part."""
    return "fold", group


def group_lines(group: RenewalGroup, shown: int) -> list[TableRow | GroupRow]:
    """A part with its first rows, and what the rest are in one sentence."""
    lines: list[TableRow | GroupRow] = [GroupRow(group.key, group.title, group.note)]
    lines += [_line(one, asks=group.key == ASK) for one in group.rows[:shown]]
    if shown < len(group.rows):
        cell = Cell(group.folded(shown), State.QUIET, detail="Show them", key=FOLDS[group.key])
        lines.append(TableRow(fold_key(group.key), (cell,), low=True))
    return lines


def opened_lines(group: RenewalGroup) -> list[TableRow | GroupRow]:
    """A part with all its rows, and the way to fold them again."""
    lines = group_lines(group, len(group.rows))
    cell = Cell("", detail="Fold them again", key=FOLDS[group.key])
    return [*lines, TableRow(fold_key(group.key), (cell,), low=True)]


def _line(one: GroupedRow, *, asks: bool) -> TableRow:
    row = one.row
    who, what = row.layer.holder.customer, row.layer.holder.description
    layer = row.layer.supply_name
    state = State.LOOK if asks else State.QUIET
    mark = _MARKS.get(one.mark, "")
    return row_of(
        row.key,
        Cell(who, bold=True, under=what, tip=f"{who}, {what}", order=who.casefold()),
        Cell(layer, under=row.where, tip=f"{layer} on {row.where}"),
        Cell(data=(one, asks)),
        Cell(f"{round(100 * row.due.still)} %", state),
        Cell(row.due_text, state, under=one.words, mark=mark, order=row.due.due_to),
    )


def _spoken(data: tuple[GroupedRow, bool]) -> str:
    return spoken_layer(_bar(*data))


def _bar(one: GroupedRow, asks: bool) -> LayerBar:
    row = one.row
    return LayerBar(
        row.curve,
        cut_left=row.cut_left,
        due=(row.due.due_from, row.due.due_to),
        unanswered=asks,
        checks=row.checks,
        still=row.due.still,
    )


def drawing_key() -> list[Run]:
    """What the drawing's shapes mean, each as it is drawn."""
    return [
        Run("chance it still protects", "unit", gap=16, sample=draw_still_sample),
        Run("due: 80 to 50 %", "unit", gap=16, sample=draw_due_sample),
        Run("seen, holding", "unit", gap=16, sample=draw_seen_sample, wide=12),
        Run("today", "unit", sample=draw_today_sample, wide=10),
    ]
