"""The rows of a workbook's sheet, one by one, past a cell that cannot be read.

openpyxl's own parser gives up the whole workbook at one bad number, and takes in all that follows
the rows, such as a million merged ranges, for what is not asked here.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from openpyxl.utils.cell import coordinate_to_tuple
from openpyxl.worksheet._reader import DATA_TAG, ROW_TAG, WorkSheetParser
from openpyxl.xml.functions import iterparse

from app.documents.reading.grid import BROKEN, Trouble

_Row = tuple[int, list[dict[str, Any]]]


class SheetParser(WorkSheetParser):
    """Hands out rows as (number from 1, cells); a cell that cannot be read holds a `Trouble`."""

    def rows(self) -> Iterator[_Row]:
        """The rows up to the end of the sheet's data."""
        for _, element in iterparse(self.source):
            if element.tag == ROW_TAG:
                row: _Row = self.parse_row(element)
                element.clear()
                yield row
            elif element.tag == DATA_TAG:
                return

    def parse_cell(self, element: Any) -> dict[str, Any]:
        """A cell as openpyxl reads it."""
        before = self.col_counter
        try:
            found: dict[str, Any] = super().parse_cell(element)
        except (ValueError, LookupError, TypeError, ArithmeticError):
            self.col_counter = before + 1
            row, column = self.row_counter, self.col_counter
            place = element.get("r")
            if place:
                row, column = coordinate_to_tuple(place)  # without a place the sheet is not read
                self.col_counter = column
            found = {"row": row, "column": column, "data_type": "e", "style_id": 0}
            found["value"] = Trouble(BROKEN)
        return found
