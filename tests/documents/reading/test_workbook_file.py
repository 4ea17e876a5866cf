"""Workbooks: merged cells, saved formulas, number formats, and what is not opened."""

from __future__ import annotations

import random
import zipfile
from datetime import date, datetime, time
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from app.documents.reading.grid import BROKEN, FAILED, UNSAVED, Trouble
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


def sheet_of(path: Path, rows: str) -> Path:
    """A workbook whose only sheet holds these rows as they stand in its XML."""
    Workbook().save(path)
    with zipfile.ZipFile(path) as old:
        parts = {item.filename: old.read(item.filename) for item in old.infolist()}
    name = "xl/worksheets/sheet1.xml"
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    parts[name] = f'<worksheet xmlns="{main}"><sheetData>{rows}</sheetData></worksheet>'.encode()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for part, data in parts.items():
            new.writestr(part, data)
    return path


@pytest.mark.parametrize("number", [1_048_576, 1_000_000_000])
def test_a_stray_cell_far_below_is_told_and_makes_no_rows(tmp_path: Path, number: int) -> None:
    path = sheet_of(
        tmp_path / "a.xlsx",
        f'<row r="1"><c><v>1</v></c></row><row r="3"><c><v>2</v></c></row>'
        f'<row r="{number}"><c><v>3</v></c></row>',
    )
    (grid,) = read_grids(path, Options())
    assert grid.rows == [(1,), (), (2,)]
    (note,) = grid.notes
    assert note.startswith(f"Sheet Sheet: row {number:,} was not read")
    assert "move it up" in note


def test_rows_that_are_only_coloured_make_no_rows(tmp_path: Path) -> None:
    empty = '<row><c s="0"/><c s="0"/></row>' * 30_000
    path = sheet_of(tmp_path / "a.xlsx", f"<row><c><v>1</v></c></row>{empty}")
    (grid,) = read_grids(path, Options())
    assert grid.rows == [(1,)]
    assert grid.notes == []


def test_more_rows_than_a_sheet_can_have_get_a_sentence(tmp_path: Path) -> None:
    numbers = range(15_000, 1_100_000, 15_000)
    rows = "".join(f'<row r="{number}"><c><v>1</v></c></row>' for number in numbers)
    path = sheet_of(tmp_path / "a.xlsx", rows)
    with pytest.raises(Mendable, match=r"more than 1,048,576 rows .*; split it into several files"):
        read_grids(path, Options())
    with pytest.raises(Mendable, match="more cells than can be read"):
        read_grids(path, Options(most_cells=6_000))


def test_a_formula_without_a_result_far_below_makes_no_rows(tmp_path: Path) -> None:
    path = sheet_of(
        tmp_path / "a.xlsx",
        '<row r="1"><c><v>1</v></c></row><row r="900000000"><c r="A900000000"><f>A1</f></c></row>',
    )
    (grid,) = read_grids(path, Options())
    assert grid.rows == [(1,)]


def test_one_long_text_in_many_cells_counts_each_time(tmp_path: Path) -> None:
    cell = f'<c t="inlineStr"><is><t>{"a b" * 2000}</t></is></c>'
    path = sheet_of(tmp_path / "a.xlsx", f"<row>{cell * 20}</row>" * 5)
    with pytest.raises(Mendable, match=r"holds more text .*row 4\); split it into several files"):
        read_grids(path, Options(most_text=400_000))


def test_a_workbook_of_a_few_megabytes_that_unpacks_to_far_more_is_not_opened(
    tmp_path: Path,
) -> None:
    path = tmp_path / "a.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("[Content_Types].xml", "<Types/>")
        for part in range(5):
            noise = random.Random(part).randbytes(700_000) + bytes(85_000_000)
            package.writestr(f"xl/media/{part}.bin", noise)
    # Seven times ten to the six bytes that unpack to 430 millions; ratio under all alarms.
    with pytest.raises(Mendable, match=r"would unpack to 428 MB.*Save the sheets you need"):
        read_grids(path, Options())


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


@pytest.mark.parametrize(
    "cell",
    [
        '<c r="B2"><v>NaN</v></c>',
        '<c r="B2"><v>abc</v></c>',
        '<c r="B2" t="s"><v>999</v></c>',
        '<c r="B2" t="s"><v>two</v></c>',
        '<c r="B2" t="b"><v>maybe</v></c>',
        '<c r="B2" t="d"><v>2014-13-45</v></c>',
        '<c r="B2" s="high"><v>7</v></c>',
    ],
)
def test_one_cell_that_cannot_be_read_is_named_and_the_others_are_read(
    tmp_path: Path, cell: str
) -> None:
    rows = (
        '<row r="1"><c r="A1" t="inlineStr"><is><t>Name</t></is></c></row>'
        f'<row r="2"><c r="A2"><v>7</v></c>{cell}<c r="C2"><v>9</v></c></row>'
        '<row r="3"><c r="A3"><v>8</v></c></row>'
    )
    (grid,) = read_grids(sheet_of(tmp_path / "bad.xlsx", rows), Options())
    assert grid.rows == [("Name",), (7, Trouble(BROKEN), 9), (8,)]
    assert isinstance(grid.rows[1][1], Trouble)
    (note,) = grid.notes
    assert "what stands in B2 is damaged and was not read" in note


def test_of_many_cells_that_cannot_be_read_some_are_named(tmp_path: Path) -> None:
    rows = "".join(f'<row r="{at}"><c r="A{at}"><v>x</v></c></row>' for at in range(1, 31))
    (grid,) = read_grids(sheet_of(tmp_path / "bad.xlsx", rows), Options())
    assert "A1, A2, A3, A4, A5, A6, A7, A8 and 22 more is damaged" in grid.notes[0]


def test_very_many_merged_cells_refuse_no_workbook_and_are_not_taken_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = []
    monkeypatch.setattr("openpyxl.worksheet.merge.MergeCell.__init__", lambda *_: made.append(1))
    merges = "".join(f'<mergeCell ref="A{at}:B{at}"/>' for at in range(1, 25_000))
    path = sheet_of(tmp_path / "merged.xlsx", '<row r="1"><c r="A1"><v>7</v></c></row>')
    with zipfile.ZipFile(path) as package:
        parts = {one.filename: package.read(one) for one in package.infolist()}
    with zipfile.ZipFile(path, "w") as package:
        for name, data in parts.items():
            if "worksheets/sheet" in name:
                data = data.replace(
                    b"</sheetData>", f"</sheetData><mergeCells>{merges}</mergeCells>".encode()
                )
                assert b"mergeCell ref" in data
            package.writestr(name, data)
    (grid,) = read_grids(path, Options())
    assert grid.rows == [(7,)]
    assert "more than 20,000 merged cells" in grid.notes[0]
    assert made == []
