"""The workbook of the figures: each formula, worked out anew, gives what is saved beside it."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from app.actions.desk.desk import Desk
from app.actions.figures import figures
from app.actions.figures.workbook_of_figures import sheets_of, write_all
from tests.actions.figures.conftest import TODAY

_OF_RANGE = {
    "SUM": lambda numbers: sum(numbers),
    "MEDIAN": lambda numbers: float(np.median(numbers)),
    "COUNT": lambda numbers: float(len(numbers)),
    "MAX": lambda numbers: max(numbers),
}


class Sums:
    """Works out the formulas of one sheet: sums, middles and quantiles of ranges, and + - * /."""

    def __init__(self, sheet: Worksheet) -> None:
        self.sheet = sheet

    def cell(self, name: str) -> float:
        value = self.sheet[name.replace("$", "")].value
        if isinstance(value, str):
            assert value.startswith("="), f"{name} is no number: {value}"
            return self.formula(value[1:])
        return float(value or 0)

    def range(self, text: str) -> list[float]:
        cells = [cell for row in self.sheet[text.replace("$", "")] for cell in row]
        return [self.cell(cell.coordinate) for cell in cells]

    def formula(self, text: str) -> float:
        def of_range(found: re.Match[str]) -> str:
            numbers = self.range(found[2])
            if found[1] == "PERCENTILE":
                return repr(float(np.quantile(numbers, float(found[3]))))
            return repr(_OF_RANGE[found[1]](numbers))

        plain = re.sub(r"([A-Z]{3,})\((\$?[A-Z]+\$?\d+:\$?[A-Z]+\$?\d+)(?:,([\d.]+))?\)", of_range,
                       text)  # fmt: skip
        plain = re.sub(r"(?<![\w.])\$?[A-Z]{1,2}\$?\d+", lambda one: repr(self.cell(one[0])), plain)
        assert re.fullmatch(r"(?:MAX|[-+*/(),.\d e])+", plain), plain
        return float(eval(plain, {"MAX": max}))


@pytest.fixture(scope="module")
def kept(demo: Desk, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("kept") / "figures.xlsx"
    return write_all(demo, figures.figures(demo, "year", TODAY), path)


def test_each_formula_gives_what_is_saved_beside_it(kept: Path) -> None:
    live, saved, worked = load_workbook(kept), load_workbook(kept, data_only=True), 0
    for sheet in live:
        sums = Sums(sheet)
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value.startswith("="):
                    assert sums.formula(cell.value[1:]) == pytest.approx(
                        saved[sheet.title][cell.coordinate].value, abs=1e-6
                    ), f"{sheet.title} {cell.coordinate} {cell.value}"
                    worked += 1
    assert worked > 500


def test_each_figure_has_a_sheet_with_its_finding_and_a_chart_of_its_own_cells(
    kept: Path, demo: Desk
) -> None:
    shown = figures.figures(demo, "year", TODAY)
    book = load_workbook(kept)
    assert len(book.sheetnames) == 15
    for sheet, made in zip(book, sheets_of(demo, shown), strict=True):
        words = [row[0].value for row in sheet.iter_rows(max_col=1)]
        assert made.finding in words
        assert tuple(cell.value for cell in sheet[1][: len(made.heads)]) == made.heads
        assert len(sheet._charts) == (1 if made.rows else 0)
        for chart in sheet._charts:
            drawn = chart.series[0].val.numRef.f
            assert drawn.endswith(f"${len(made.rows) + 1}"), "to the last row, without the sum"
            assert f"'{sheet.title}'!" in drawn
    money = book["1 Money"]
    last = len(shown.money.bars) + 1
    assert money[f"C{last + 1}"].value == f"=SUM(C2:C{last})"
    earned = sum(bar.earned for bar in shown.money.bars)
    assert load_workbook(kept, data_only=True)["1 Money"][f"C{last + 1}"].value == earned / 100
