"""Rows of a table for the clipboard: as lines of text, and as a table for a spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QMimeData

from app.window.paper.cells import Cell, Column, GroupRow, TableRow

TSV = "text/tab-separated-values"


def lines_of(
    columns: Sequence[Column], rows: Sequence[TableRow | GroupRow]
) -> tuple[list[str], list[list[str]]]:
    """Heads, and the texts of each row; a column in which nothing is written is left out.

    A group line is a row of one text.
    """
    tables = [row for row in rows if isinstance(row, TableRow)]
    spoken = [
        at
        for at in range(len(columns))
        if any(at < len(row.cells) and said(row.cells[at]) for row in tables)
    ]
    heads = [" ".join((columns[at].head, columns[at].subhead)).strip() for at in spoken]
    made = []
    for row in rows:
        if isinstance(row, GroupRow):
            made.append([row.title])
        else:
            made.append([said(row.cells[at]) if at < len(row.cells) else "" for at in spoken])
    return heads, made


def copied(columns: Sequence[Column], rows: Sequence[TableRow | GroupRow]) -> QMimeData:
    """The rows alone as text, and under their heads as tab-separated values.

    Programs that paste a table take the tabs of plain text too; so both have them.
    """
    heads, lines = lines_of(columns, [row for row in rows if isinstance(row, TableRow)])
    body = "\n".join("\t".join(line) for line in lines)
    data = QMimeData()
    data.setText(body)
    # Lines end as text/tab-separated-values is registered (IANA, media types): each with its end.
    data.setData(TSV, "\n".join(("\t".join(heads), body, "")).encode())
    return data


def said(cell: Cell) -> str:
    """All that a cell says, in one line without tabs."""
    amount = " ".join(part for part in (cell.text, cell.unit) if part)
    words = ", ".join(part for part in (amount, cell.detail) if part)
    return " ".join(words.split())
