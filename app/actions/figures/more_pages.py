"""The third and fourth page of figures: their numbers, and each figure's table."""

from __future__ import annotations

from datetime import date, timedelta

from app.actions.desk.desk import Desk
from app.actions.figures.figures import Figures, FigureTable
from app.actions.figures.row_figure import RowFigure, shown_cell
from app.actions.figures.shelf_figures import DeliveryFigure, ShelfFigures, shelf_figures
from app.actions.figures.work_figures import WorkFigures, work_figures


def compared(shown: Figures, today: date) -> tuple[date, date]:
    """The days a year before that the time shown is compared with, as far as it has gone."""
    days = timedelta(days=364)  # the same weekdays
    return shown.first - days, max(shown.first, min(shown.last, today)) - days


def work_page(desk: Desk, shown: Figures) -> WorkFigures:
    """The third page, of the time of the first."""
    then = compared(shown, desk.today)
    return work_figures(desk, shown.jobs, shown.first, shown.last, then)


def shelf_page(desk: Desk, shown: Figures) -> ShelfFigures:
    """The fourth page, of the time of the first; the stock as it is today."""
    then = compared(shown, desk.today)
    return shelf_figures(desk, shown.jobs, shown.first, shown.last, then)


def row_table(figure: RowFigure, currency: str) -> FigureTable:
    """A figure of plain rows as a table, with what stands behind each row."""
    return FigureTable(
        (figure.first_head, *(column.head for column in figure.columns)),
        tuple(
            (
                row.name,
                *(
                    shown_cell(cell, column.kind, currency)
                    for cell, column in zip(row.cells, figure.columns, strict=True)
                ),
            )
            for row in figure.all_rows
        ),
        tuple(row.ids for row in figure.all_rows),
        figure.of,
    )


def delivery_table(figure: DeliveryFigure) -> FigureTable:
    """Lead times by supplier; each row opens the supplier."""
    bars = figure.spans.kinds
    return FigureTable(
        ("Supplier", "Deliveries", "Days", "Promised", "Four in five\nfrom", "\nto"),
        tuple(
            (
                bar.name,
                str(bar.jobs),
                f"{bar.middle:.0f}",
                "" if (days := figure.promised.get(bar.name)) is None else str(days),
                f"{bar.low:.0f}",
                f"{bar.high:.0f}",
            )
            for bar in bars
        ),
        tuple(bar.job_ids for bar in bars),
        "suppliers",
    )
