"""Figures of plain rows: a name, a bar, and two numbers; a bar below nothing goes to the left."""

from __future__ import annotations

from app.actions.figures.row_figure import Row, RowFigure, shown_cell
from app.calculations.numbers.wording import count_of
from app.window.figures.chartplots import STRONG
from app.window.paper.charts import Paper, Plot, hex_of

_LEAST_NAMES, _MOST_NAMES, _LETTER = 90, 186, 6.6  # pixels left of the bars, and of a letter
_LEAST_ROW, _MOST_ROW, _FOOT = 21, 34, 26
_FIRST, _SECOND = 74, 128  # where the numbers end, right of the bars


def rows_plot(figure: RowFigure, currency: str) -> Plot:
    """A row each; those that would not stand clear, and the rest, are left to the table."""

    def plot(paper: Paper) -> None:
        c = paper.palette
        columns = [figure.columns[at] for at in figure.beside]
        wide = _SECOND if len(columns) > 1 else _FIRST
        room = paper.height - 28
        fit = max(1, int(room // _LEAST_ROW))
        left = len(figure.all_rows) - min(fit, len(figure.rows))
        if left:
            room -= _FOOT
            fit = max(1, int(room // _LEAST_ROW))
            left = len(figure.all_rows) - min(fit, len(figure.rows))
            paper.write_foot(f"{count_of(left, 'other')} not drawn; T lists all.")
        rows = figure.rows[:fit]
        if not rows:
            return
        longest = max(len(row.name) for row in rows)
        names = min(_MOST_NAMES, max(_LEAST_NAMES, 14 + _LETTER * longest))
        high = min(room, _MOST_ROW * len(rows))
        axes = paper.axes(names, 22, max(20.0, paper.width - names - wide - 6), high)
        axes.spines["bottom"].set_visible(False)
        axes.set_xticks([])
        axes.set_yticks([])
        axes.set_ylim(len(rows) - 0.5, -0.5)
        most = max((row.size for row in rows), default=0.0)
        least = min([0.0, *(row.size for row in rows)])
        axes.set_xlim(least, most if most > 0 or least < 0 else 1.0)
        axes.axvline(0.0, color=hex_of(c.rule2), linewidth=0.75)
        for at, row in enumerate(rows):
            _bar(paper, axes, row, at)
            told = [
                shown_cell(row.cells[cell], column.kind, currency, short=True)
                for cell, column in zip(figure.beside, columns, strict=True)
            ]
            name = paper.write_beside(axes, row.name, at, -8, size=13, tone="ink")
            paper.shorten(name, names - 10)
            strong = {**STRONG, "tone": "look"} if row.look else STRONG
            paper.write_beside(axes, told[0], at, _FIRST, **strong)
            if len(told) > 1:
                paper.write_beside(axes, told[1], at, _SECOND, tone="ink2")
        for head, right in zip(columns, (_FIRST, _SECOND), strict=False):
            paper.write(axes, head.brief, (1, 1), frame="axes fraction", shift=(right, 9),
                        align="right", tone="ink3")  # fmt: skip

    def _bar(paper: Paper, axes: object, row: Row, at: int) -> None:
        c = paper.palette
        tone = hex_of(c.look if row.look else c.bar)
        (patch,) = axes.barh([at], [row.size], height=0.52, facecolor=tone, linewidth=0.0)  # type: ignore[attr-defined]
        if row.open:
            patch.set(facecolor=hex_of(c.paper), edgecolor=tone, hatch="////", linewidth=0.9)
            if hasattr(patch, "set_hatch_linewidth"):
                patch.set_hatch_linewidth(0.7)
        cells = ", ".join(
            f"{column.head.lower()} {shown_cell(cell, column.kind, currency)}"
            for column, cell in zip(figure.columns, row.cells, strict=True)
            if cell is not None
        )
        paper.region(patch, at, f"{row.name}: {cells}")

    return plot
