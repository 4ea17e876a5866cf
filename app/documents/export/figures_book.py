"""The figures as a workbook: a sheet each, live formulas over the numbers, and a native chart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path
from typing import TYPE_CHECKING

from app.documents.export.live_book import LiveBook, Value
from app.documents.export.workbook import save

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_WIDE, _NARROW = 38, 14  # of a column, in characters
_CHART_WIDE, _CHART_HIGH = 22, 11  # cm


@dataclass(frozen=True, kw_only=True)
class FigureSheet:
    """One figure: its rows from row 2 on, under them what they come to, beside them what they are
    worked out of, one column left free between.

    `drawn`: the columns (from 1) that the chart shows, against the first.
    """

    title: str
    finding: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Value, ...], ...]
    total: tuple[Value, ...] = ()
    drawn: tuple[int, ...] = ()
    beside_heads: tuple[str, ...] = ()
    beside: tuple[tuple[Value, ...], ...] = ()
    lying: bool = True  # bars from left to right


def write_figures(sheets: Sequence[FigureSheet], currency: str, path: Path) -> Path | None:
    """Write the workbook; returns where the file is now that stood there, if one did.

    Raises `Mendable` where it cannot be written.
    """
    book = LiveBook(currency)
    for one in sheets:
        _write(book, one)
    return save(book.write, path)


def _write(book: LiveBook, one: FigureSheet) -> None:
    gap = (("",), (2,)) if one.beside_heads else ((), ())
    heads = (*one.heads, *gap[0], *one.beside_heads)
    wide = [_WIDE, *[_NARROW] * (len(one.heads) - 1), *gap[1]]
    wide += [_NARROW] * len(one.beside_heads)
    sheet = book.sheet(one.title, heads, wide)
    main = [*one.rows, *([one.total] if one.total else []), (), (one.finding,)]
    pad = len(one.heads) + 1
    for at, (row, beside) in enumerate(zip_longest(main, one.beside, fillvalue=())):
        left = (*row, *(None,) * (pad - len(row))) if beside else row
        book.row_at(sheet, at + 2, (*left, *beside), bold=bool(one.total) and row is one.total)
    if one.drawn and one.rows:
        _draw(sheet, one)


def _draw(sheet: Worksheet, one: FigureSheet) -> None:
    from openpyxl.chart import BarChart, Reference

    chart = BarChart()
    chart.type = "bar" if one.lying else "col"
    chart.title = one.finding
    chart.width, chart.height = _CHART_WIDE, _CHART_HIGH
    last = len(one.rows) + 1
    for column in one.drawn:
        chart.add_data(Reference(sheet, min_col=column, min_row=1, max_row=last),
                       titles_from_data=True)  # fmt: skip
    chart.set_categories(Reference(sheet, min_col=1, min_row=2, max_row=last))
    chart.x_axis.delete = chart.y_axis.delete = False  # else some programs leave them out
    if one.lying:
        chart.x_axis.scaling.orientation = "maxMin"  # the first row at the top
    if len(one.drawn) == 1:
        chart.legend = None
    wide = len(one.heads) + (len(one.beside_heads) + 1 if one.beside_heads else 0)
    sheet.add_chart(chart, sheet.cell(2, wide + 2).coordinate)
