"""Workbooks: merged cells, saved formulas, number formats, and what is not opened."""

from __future__ import annotations

import zipfile
from datetime import date, datetime, time
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from app.documents.reading.grid import FAILED, UNSAVED, Trouble
from app.documents.reading.options import Options, ReadingStopped
from app.documents.reading.workbook_file import read_grids
from app.errors import Mendable
from tests.files.messy import with_formula


@pytest.fixture
def sheet() -> Worksheet:
    made = Workbook().active
    assert isinstance(made, Worksheet)
    return made


def saved(sheet: Worksheet, path: Path) -> Path:
    assert sheet.parent is not None
    sheet.parent.save(path)
    return path


def test_values_keep_their_kind(sheet: Worksheet, tmp_path: Path) -> None:
    sheet.append(["text", 3, 2.5, True, datetime(2024, 3, 5, 9, 30), date(2024, 3, 5), time(2, 30)])
    (grid,) = read_grids(saved(sheet, tmp_path / "a.xlsx"), Options())
    assert grid.rows[0] == (
        "text", 3, 2.5, True, datetime(2024, 3, 5, 9, 30), datetime(2024, 3, 5), time(2, 30),
    )  # fmt: skip


def test_a_formula_counts_with_its_saved_result(sheet: Worksheet, tmp_path: Path) -> None:
    sheet.append([2, 3, 5])
    path = saved(sheet, tmp_path / "a.xlsx")
    with_formula(path, 1, "C1", "A1+B1")
    (grid,) = read_grids(path, Options())
    assert grid.rows[0] == (2, 3, 5)


def test_a_formula_without_a_saved_result_says_so(sheet: Worksheet, tmp_path: Path) -> None:
    sheet.append([2, 3, "=A1+B1"])
    (grid,) = read_grids(saved(sheet, tmp_path / "a.xlsx"), Options())
    assert isinstance(grid.rows[0][2], Trouble)
    assert grid.rows[0][2] == UNSAVED


def test_an_error_in_a_cell_says_so_and_not_available_is_empty(
    sheet: Worksheet, tmp_path: Path
) -> None:
    sheet.append(["#REF!", "#N/A", "x"])
    for cell in sheet[1][:2]:
        cell.data_type = "e"
    (grid,) = read_grids(saved(sheet, tmp_path / "a.xlsx"), Options())
    assert grid.rows[0] == (Trouble(FAILED), None, "x")


def test_units_in_a_number_format_belong_to_the_value(sheet: Worksheet, tmp_path: Path) -> None:
    sheet.append([32, 7008, 12.5])
    sheet["A1"].number_format = '0" fl oz"'
    sheet["B1"].number_format = "00000"
    sheet["C1"].number_format = '"$"#,##0.00'
    (grid,) = read_grids(saved(sheet, tmp_path / "a.xlsx"), Options())
    assert grid.rows[0] == ("32 fl oz", "07008", 12.5)


def test_a_cell_merged_downwards_is_filled_and_one_to_the_side_is_not(
    sheet: Worksheet, tmp_path: Path
) -> None:
    sheet.append(["Ann", "blue wagon", "x"])
    sheet.append([None, "red coupe", None])
    sheet.merge_cells("A1:A2")
    sheet.merge_cells("C1:E1")
    (grid,) = read_grids(saved(sheet, tmp_path / "a.xlsx"), Options())
    assert grid.rows == [("Ann", "blue wagon", "x"), ("Ann", "red coupe")]


def test_hidden_sheets_are_marked(sheet: Worksheet, tmp_path: Path) -> None:
    assert isinstance(sheet.parent, Workbook)
    sheet.append(["x"])
    other = sheet.parent.create_sheet("old")
    other.append(["y"])
    other.sheet_state = "hidden"
    grids = read_grids(saved(sheet, tmp_path / "a.xlsx"), Options())
    assert [grid.hidden for grid in grids] == [False, True]


def test_a_locked_workbook_a_renamed_one_and_a_broken_one_get_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    path.write_bytes(b"PK\x03\x04 not really")
    with pytest.raises(Mendable, match="damaged"):
        read_grids(path, Options())
    with zipfile.ZipFile(path, "w") as package:
        package.writestr("readme.txt", "hello")
    with pytest.raises(Mendable, match="no workbook inside"):
        read_grids(path, Options())
    with zipfile.ZipFile(path, "w") as package:
        package.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        package.writestr("content.xml", "<x/>")
    with pytest.raises(Mendable, match=r"save it as \.xlsx"):
        read_grids(path, Options())


def test_an_archive_that_would_unpack_to_far_too_much_is_not_opened(tmp_path: Path) -> None:
    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("[Content_Types].xml", "<Types/>")
        package.writestr("xl/worksheets/sheet1.xml", b"0" * 100_000_000)
    assert path.stat().st_size < 200_000
    with pytest.raises(Mendable, match="would unpack to"):
        read_grids(path, Options())


def test_a_part_with_definitions_of_its_own_is_not_opened(sheet: Worksheet, tmp_path: Path) -> None:
    sheet.append(["x"])
    path = saved(sheet, tmp_path / "a.xlsx")
    with zipfile.ZipFile(path, "a") as package:
        package.writestr("xl/evil.xml", '<!DOCTYPE a [<!ENTITY b "bbbb">]><a>&b;</a>')
    with pytest.raises(Mendable, match="definitions that no spreadsheet writes"):
        read_grids(path, Options())


def test_deeply_nested_xml_does_no_harm(sheet: Worksheet, tmp_path: Path) -> None:
    sheet.append(["x"])
    path = saved(sheet, tmp_path / "a.xlsx")
    deep = "<a>" * 200_000 + "</a>" * 200_000
    with zipfile.ZipFile(path) as old:
        parts = {item.filename: old.read(item.filename) for item in old.infolist()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name, data in parts.items():
            if name == "xl/worksheets/sheet1.xml":
                data = data.replace(b"<sheetData>", b"<sheetData>" + deep.encode())
            new.writestr(name, data)
    # The reader passes over what it does not know, without falling into it.
    (grid,) = read_grids(path, Options())
    assert grid.rows == [("x",)]


def test_a_cell_far_out_costs_nothing_and_is_told(sheet: Worksheet, tmp_path: Path) -> None:
    sheet["A1"] = "Name"
    sheet["XFD1048576"] = "far out"
    (grid,) = read_grids(saved(sheet, tmp_path / "a.xlsx"), Options())
    assert grid.rows[0] == ("Name",)
    assert any("wider than" in note for note in grid.notes)


def test_more_cells_than_the_limit_get_a_sentence(sheet: Worksheet, tmp_path: Path) -> None:
    for _ in range(50):
        sheet.append([1, 2, 3])
    with pytest.raises(Mendable, match="more cells than can be read"):
        read_grids(saved(sheet, tmp_path / "a.xlsx"), Options(most_cells=100))


def test_reading_can_be_stopped(sheet: Worksheet, tmp_path: Path) -> None:
    for row in range(30_000):
        sheet.append([row, "x", "y"])
    path = saved(sheet, tmp_path / "a.xlsx")
    with pytest.raises(ReadingStopped, match="nothing was changed"):
        read_grids(path, Options(), lambda done, total: False)
