"""A workbook is in its place only when it is on the disk."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet import _writer

from app.documents.export.workbook import About, Records, save, write_export
from app.errors import Mendable


def workbook(words: str) -> Workbook:
    book = Workbook()
    book.active["A1"] = words  # type: ignore[index]
    return book


def test_a_workbook_is_on_the_disk_before_it_takes_its_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "all.xlsx"
    flushed: list[tuple[int, bool]] = []
    flush = os.fsync

    def note(handle: int) -> None:
        flushed.append((os.fstat(handle).st_ino, path.exists()))
        flush(handle)

    monkeypatch.setattr(os, "fsync", note)
    assert save(workbook("Tolk").save, path) is None
    assert flushed[0] == (path.stat().st_ino, False)
    assert len(flushed) > 1
    assert load_workbook(path).active["A1"].value == "Tolk"  # type: ignore[index]


def test_a_disk_that_fails_when_it_is_flushed_leaves_what_stood_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "all.xlsx"
    path.write_text("what stood there")

    def fail(_handle: int) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(Mendable, match="the disk has a fault"):
        save(workbook("Tolk").save, path)
    assert path.read_text() == "what stood there"
    assert list(tmp_path.iterdir()) == [path]


def test_the_package_makes_as_many_cells_for_two_hundred_rows_as_for_two(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # An object and a tree for each cell made ten years of a shop last a minute and a half.
    made: list[object] = []
    write_cell = _writer.write_cell

    def note(file: object, sheet: object, cell: object, styled: object) -> None:
        made.append(cell)
        write_cell(file, sheet, cell, styled)

    monkeypatch.setattr(_writer, "write_cell", note)

    def cells(rows: int) -> int:
        made.clear()
        path = tmp_path / f"{rows}.xlsx"
        records = [{"id": f"word {at}", "name": f"word {at}", "value": at} for at in range(rows)]
        about = About("", "USD", date(2025, 8, 14))
        write_export(path, about, [Records("settings", rows, records.__iter__)], {})
        assert load_workbook(path)["Settings"].max_row == rows + 1
        return len(made)

    assert cells(200) == cells(2)
