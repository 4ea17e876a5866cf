"""What the clipboard holds after Ctrl+C."""

from __future__ import annotations

from app.window.paper.cells import Cell, Column, GroupRow, row_of
from app.window.paper.copying import TSV, copied

COLUMNS = (Column("name", "Supply"), Column("bar"), Column("left", "Left", subhead="today"))


def test_rows_are_text_and_a_table_under_its_heads():
    rows = [
        GroupRow("g", "Polishes"),
        row_of(1, "Wax\tsoft", Cell(data=3), Cell("1,140", unit="mL")),
        row_of(2, "Clay", Cell(data=4), Cell("3", detail="one open")),
    ]
    data = copied(COLUMNS, rows)
    assert data.text() == "Wax soft\t1,140 mL\nClay\t3, one open"
    table = bytes(data.data(TSV).data()).decode()
    assert table == "Supply\tLeft today\nWax soft\t1,140 mL\nClay\t3, one open\n"
