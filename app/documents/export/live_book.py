"""A workbook whose sums are live formulas, each with its result saved beside it.

So a program that only reads shows the same as one that works it out anew.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from io import BytesIO
from typing import TYPE_CHECKING, BinaryIO
from zipfile import ZIP_DEFLATED, ZipFile

from app.calculations.numbers.money import minor_digits
from app.documents.export.exact import MOST_IN_A_CELL, escaped

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

_FORMULA = re.compile(r'<c r="([A-Z]+\d+)"([^>]*)><f>(.*?)</f><v\s*(?:/>|></v>)')


@dataclass(frozen=True)
class Live:
    """A formula, with its result: minor units of money where whole, else a plain number."""

    formula: str
    result: int | Decimal


Value = str | int | date | None | Live | Decimal


class LiveBook:
    """The workbook while it is written, and the results of its formulas."""

    def __init__(self, currency: str) -> None:
        from openpyxl import Workbook

        self.digits = minor_digits(currency)
        self._book: Workbook = Workbook()
        self._results: list[dict[str, str]] = []
        self._book.remove(self._book.worksheets[0])

    def sheet(self, title: str, heads: Sequence[str], wide: Sequence[int]) -> Worksheet:
        """Another sheet, with a head over each column and how wide it is."""
        from openpyxl.styles import Font

        made = self._book.create_sheet(title)
        self._results.append({})
        for at, (head, width) in enumerate(zip(heads, wide, strict=True), 1):
            made.cell(1, at, head).font = Font(bold=True)
            made.column_dimensions[made.cell(1, at).column_letter].width = width
        made.freeze_panes = "A2"
        return made

    def amount(self, minor: int) -> Decimal:
        """Minor units as the number that a cell holds."""
        return Decimal(minor).scaleb(-self.digits)

    def end(self, sheet: Worksheet) -> int:
        """The last row of what was written under the head; of nothing a row that says so, lest the
        sum beneath it be its own."""
        if sheet.max_row == 1:
            self.row(sheet, ("none",))
        return int(sheet.max_row)

    def row(self, sheet: Worksheet, values: Iterable[Value], *, bold: bool = False) -> None:
        """Another row under the last; whole numbers are minor units of money."""
        self.row_at(sheet, sheet.max_row + 1, values, bold=bold)

    def row_at(
        self, sheet: Worksheet, at: int, values: Iterable[Value], *, bold: bool = False
    ) -> None:
        """The row of that number, from 1; whole numbers are minor units of money."""
        from openpyxl.styles import Font

        for column, value in enumerate(values, 1):
            cell = sheet.cell(at, column)
            if isinstance(value, Live):
                result = value.result
                cell.value = f"={value.formula}"
                money = isinstance(result, int)
                shown = self.amount(result) if isinstance(result, int) else result
                self._results[-1][cell.coordinate] = f"{shown:f}"
                cell.number_format = self._format if money else "#,##0.##"
            elif isinstance(value, int):
                cell.value, cell.number_format = self.amount(value), self._format
            elif isinstance(value, date):
                cell.value, cell.number_format = value, "yyyy-mm-dd"
            elif isinstance(value, str):
                cell.value = escaped(value[:MOST_IN_A_CELL])
                cell.data_type = "s"  # a name that begins with = is no formula
            elif value is not None:
                cell.value = value
            if bold:
                cell.font = Font(bold=True)

    @property
    def _format(self) -> str:
        return "#,##0" + (f".{'0' * self.digits}" if self.digits else "")

    def write(self, file: BinaryIO) -> None:
        """Write it, each formula with its result, which openpyxl leaves out."""
        plain = BytesIO()
        self._book.save(plain)
        with ZipFile(plain) as made, ZipFile(file, "w", ZIP_DEFLATED) as out:
            for name in made.namelist():
                data = made.read(name)
                sheet = re.fullmatch(r"xl/worksheets/sheet(\d+)\.xml", name)
                if sheet is not None:
                    results = self._results[int(sheet[1]) - 1]
                    data = _FORMULA.sub(_with(results), data.decode("utf-8")).encode("utf-8")
                out.writestr(name, data)


def _with(results: dict[str, str]) -> Callable[[re.Match[str]], str]:
    return lambda found: f'<c r="{found[1]}"{found[2]}><f>{found[3]}</f><v>{results[found[1]]}</v>'
