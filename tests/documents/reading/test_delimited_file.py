"""Text tables in the encodings and with the delimiters that programs write."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.documents.reading.delimited_file import read_grid
from app.documents.reading.options import Options, ReadingStopped
from app.errors import Mendable

TEXT = "Name;Ort\r\nJörg Müller;Tannstadt\r\n"


@pytest.mark.parametrize(
    "raw",
    [
        TEXT.encode("utf-8"), TEXT.encode("utf-8-sig"), TEXT.encode("utf-16"),
        TEXT.encode("utf-16-le"),
        TEXT.encode("utf-16-be"), TEXT.encode("cp1252"), TEXT.replace("\r\n", "\n").encode("utf-8"),
        TEXT.replace("\r\n", "\r").encode("utf-8"),
    ],
)  # fmt: skip
def test_every_usual_encoding_and_line_end_gives_the_same_table(tmp_path: Path, raw: bytes) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(raw)
    assert read_grid(path, Options()).rows == [("Name", "Ort"), ("Jörg Müller", "Tannstadt")]


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_the_delimiter_is_found(tmp_path: Path, delimiter: str) -> None:
    path = tmp_path / "list.txt"
    rows = [["Product", "Price", "Qty"], ["Wax", "1.50", "3"], ["Soap", "2.25", "1"]]
    path.write_text("\n".join(delimiter.join(row) for row in rows))
    assert read_grid(path, Options()).rows == [tuple(row) for row in rows]


def test_decimal_commas_do_not_part_cells_when_semicolons_do(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("Artikel;Preis\nWachs;1.234,50\nSeife;2,25\n")
    assert read_grid(path, Options()).rows[1] == ("Wachs", "1.234,50")


def test_a_first_line_may_declare_the_delimiter_and_rows_keep_their_numbers(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("sep=|\nName|Phone\nAnn|1\n")
    assert read_grid(path, Options()).rows == [(), ("Name", "Phone"), ("Ann", "1")]


def test_quoted_cells_keep_delimiters_quotes_and_lines(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text('Name,Note\nAnn,"says ""hi"", and\nleaves"\n')
    assert read_grid(path, Options()).rows[1] == ("Ann", 'says "hi", and\nleaves')


def test_a_quotation_mark_that_is_never_closed_swallows_no_lines(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text('Name,Note\nAnn,"oops\n' + "".join(f"Bob{i},x\n" for i in range(200)))
    grid = read_grid(path, Options())
    assert len(grid.rows) == 202
    assert any("quotation mark" in note for note in grid.notes)


def test_binary_files_and_too_large_ones_get_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(bytes(range(256)) * 20)
    with pytest.raises(Mendable, match="not a text file"):
        read_grid(path, Options())
    path.write_text("a,b,c\n" * 200)
    with pytest.raises(Mendable, match="more cells than can be read"):
        read_grid(path, Options(most_cells=100))


@pytest.mark.slow
def test_a_million_rows_are_read_and_can_be_stopped(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    path.write_text("Name,Phone\n" + "Ann,1\n" * 1_000_000)
    assert len(read_grid(path, Options()).rows) == 1_000_001
    with pytest.raises(ReadingStopped):
        read_grid(path, Options(), lambda done, total: done < 1000)


def test_words_for_nothing_are_empty_cells(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("Name,A,B,C,D,E\nAnn,n/a,-,?,None,k.A.\n")
    assert read_grid(path, Options()).rows[1] == ("Ann",)


def test_a_row_of_very_many_cells_is_cut_and_told(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("Name,Phone\nAnn,1" + ",x" * 100_000 + "\n")
    grid = read_grid(path, Options())
    assert len(grid.rows[1]) == 256
    assert any("wider than 256 columns" in note for note in grid.notes)


def test_more_rows_than_a_sheet_can_have_get_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("Name\n" + "\n" * 1_048_576)
    with pytest.raises(Mendable, match="more than 1,048,576 rows; split it"):
        read_grid(path, Options())


def test_one_line_as_long_as_the_file_is_cut(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("Name,Notes\nAnn," + "1/2 " * 500_000 + "\nBob,short\n")
    grid = read_grid(path, Options())
    assert len(str(grid.rows[1][1])) <= 10_000
    assert grid.rows[2] == ("Bob", "short")


def test_a_quotation_mark_that_is_never_closed_loses_no_row(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text('Name,Phone\n"Ann,1\n' + "Bob,2\n" * 5000)
    grid = read_grid(path, Options())
    assert len(grid.rows) == 5002
    assert any("never closed" in note for note in grid.notes)


def test_zero_bytes_between_the_letters_are_no_letters(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"Name,Phone\nAnn\0 Marlow,1\n")
    assert read_grid(path, Options()).rows[1] == ("Ann Marlow", "1")
