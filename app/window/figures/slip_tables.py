"""The tables of the slip: its steps with their bars, how it came, of the tax, what is held."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QRectF
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from app.calculations.numbers.dates import day_month
from app.documents.papers.slip_sheet import SlipSheet, SlipStep, bars_axis
from app.window.paper.brush import Brush
from app.window.paper.cells import Cell, Column, TableRow, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.theme import Theme

Money = Callable[[int], str]
_PAD = 10


def step_columns(steps: Sequence[SlipStep], to: str, money: Money) -> tuple[Column, ...]:
    """Sign and words, amount, and bars along one axis; `to` is what they lead to."""
    start, end = bars_axis(steps)

    def place(brush: Brush, box: QRectF, value: int) -> float:
        left, wide = box.left() + brush.px(_PAD), box.width() - brush.px(2 * _PAD)
        return left + wide * (max(value, start) - start) / max(end - start, 1)

    def cell(brush: Brush, box: QRectF, step: SlipStep, _selected: bool) -> None:
        begin = max(start, 0) if step.sum else step.before
        low, far = sorted((place(brush, box, begin), place(brush, box, step.after)))
        high = brush.px(11)
        bar = QRectF(round(low), round(box.center().y() - high / 2), max(far - low, 2), high)
        ink = brush.c.ink
        if step.sum:
            brush.fill(bar.left(), bar.top(), bar.width(), high, brush.c.bar)
            return
        if step.amount < 0:
            brush.hatch(bar, ink, 4)
        with brush.smooth():
            brush.stroke(ink, 1.2)
            brush.painter.drawRect(bar.adjusted(0.5, 0.5, -0.5, -0.5))

    def head(brush: Brush, box: QRectF) -> None:
        base = box.bottom() - brush.px(9)
        left, right = box.left() + brush.px(_PAD), box.right() - brush.px(_PAD)
        whole = money(start).partition(".")[0]
        end_at = brush.write("unit", left, base, f"from {whole}", brush.c.ink3)
        last = money(end).partition(".")[0]
        if right - brush.theme.width("unit", last) > end_at + brush.px(12):
            brush.write_right("unit", right, base, last, brush.c.ink3)

    return (
        Column("words", f"From earned to {to}", width=330, least=210),
        Column("amount", "Amount", width=120, least=96, right=True),
        Column("bar", width=0, least=90, pad=0, paint=cell, paint_head=head, say=_said),
    )


def _said(step: SlipStep) -> str:
    return "sum" if step.sum else "takes away" if step.amount < 0 else "adds"


def step_rows(steps: Sequence[SlipStep], money: Money) -> list[TableRow]:
    """One row a step; sums are bold."""
    rows = []
    for at, step in enumerate(steps):
        words = f"{step.sign}   {step.words}" if at else step.words
        shown = (
            Cell(words, bold=step.sum, tip=step.words),
            Cell(money(step.amount), bold=step.sum),
        )
        rows.append(row_of(("step", at), *shown, Cell(data=step)))
    return rows


WAY_COLUMNS = (
    Column("way", "How it came", width=0, least=96),
    Column("amount", "Amount", width=118, least=90, right=True),
)


def way_rows(sheet: SlipSheet, money: Money) -> list[TableRow]:
    """One row a way, the sum last."""
    last = len(sheet.ways) - 1
    return [
        row_of(("way", at), Cell(words, bold=at == last), Cell(money(amount), bold=at == last))
        for at, (words, amount) in enumerate(sheet.ways)
    ]


def tax_columns(sheet: SlipSheet) -> tuple[Column, ...]:
    """Of the tax: on what, and how much."""
    return (
        Column("words", "Of the tax", subhead=sheet.rounding, width=0, least=96),
        Column("on", "On", width=112, least=90, right=True),
        Column("tax", "Tax", width=104, least=84, right=True),
    )


def tax_rows(sheet: SlipSheet, money: Money) -> list[TableRow]:
    """One row a rate, and their sum; then what counts by the money, and what was bought untaxed."""
    return [
        row_of(
            ("tax", at),
            Cell(one.words, bold=bold, tip=one.words),
            Cell(money(one.on), bold=bold),
            Cell(money(one.tax), bold=bold),
        )
        for at, (one, bold) in enumerate(sheet.tax_rows)
    ]


def held_columns(sheet: SlipSheet) -> tuple[Column, ...]:
    """What is held on the first morning, what came and went, on the last evening."""
    return (
        Column("words", "Held, not ours to spend", width=0, least=190),
        Column("start", f"on {day_month(sheet.first)}", width=128, least=96, right=True, aside=1),
        Column("came", "came", width=112, least=90, right=True),
        Column("went", "went", width=112, least=90, right=True),
        Column("end", f"on {day_month(sheet.last)}", width=128, least=96, right=True),
    )


def held_rows(sheet: SlipSheet, money: Money) -> list[TableRow]:
    """One row a kind; where there are more than one, the sum last."""
    rows = []
    for at, one in enumerate(sheet.held):
        bold = len(sheet.held) > 1 and at == len(sheet.held) - 1
        sums = (one.start, one.came, one.went, one.end)
        cells = (Cell(money(amount), bold=bold) for amount in sums)
        rows.append(row_of(("held", at), Cell(one.words, bold=bold), *cells))
    return rows


class SideBySide(QWidget):
    """Two tables beside each other; the second is a little wider."""

    def __init__(self, theme: Theme, left: EntryTable, right: EntryTable) -> None:
        super().__init__()
        self._theme, self._tables = theme, (left, right)
        for table in self._tables:
            table.setParent(self)
            table.show()

    def natural_height(self, width: int) -> int:
        """The height of the higher one."""
        return max(table.natural_height(width // 2) for table in self._tables)

    def resizeEvent(self, event: QResizeEvent) -> None:
        gap = self._theme.px(32)
        first = round((self.width() - gap) * 0.44)
        self._tables[0].setGeometry(0, 0, first, self.height())
        left = first + gap
        self._tables[1].setGeometry(left, 0, self.width() - left, self.height())
