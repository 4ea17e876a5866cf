"""A list on paper: every row and head on it, on as many pages as it needs."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import QSizeF
from PySide6.QtGui import QPageLayout, QPageSize
from PySide6.QtPrintSupport import QPrinter

from app.window.paper.cells import Cell, Column, GroupRow, TableRow, row_of
from app.window.paper.listpaper import ListPaper
from app.window.paper.theme import Theme

COLUMNS = (Column("name", "Supply"), Column("bar"), Column("left", "Left", right=True))


def paper(count: int, name: str = "Supply", columns: tuple[Column, ...] = COLUMNS) -> ListPaper:
    rows: list[TableRow | GroupRow] = [GroupRow("g", "Polishes")]
    rows += [
        row_of(at, f"{name} {at}", Cell(data=1), *[Cell(f"{at:,}", unit="mL")] * (len(columns) - 2))
        for at in range(count)
    ]
    return ListPaper("Shelf", "by need", "Lindmoor, 14 August 2025", columns, tuple(rows))


@pytest.fixture
def printer(theme: Theme, tmp_path: Path) -> QPrinter:
    made = QPrinter(QPrinter.PrinterMode.HighResolution)
    made.setPageSize(QPageSize(QPageSize.PageSizeId.Letter))
    made.setOutputFileName(str(tmp_path / "list.pdf"))
    return made


def pages(printer: QPrinter) -> list[str]:
    found = PdfReader(printer.outputFileName()).pages
    return [" ".join(page.extract_text().split()) for page in found]


def test_every_row_stands_there_once_and_each_page_has_the_heads(printer: QPrinter) -> None:
    count = paper(120).print_on(printer)
    said = pages(printer)
    assert len(said) == count > 1
    assert all("Supply" in page and "Left" in page for page in said)
    assert [f"Page {at + 1}" in page for at, page in enumerate(said)] == [True] * count
    whole = "\n".join(said)
    assert "Polishes" in whole
    for at in range(120):
        assert len(re.findall(rf"Supply {at} {at} mL", whole)) == 1, at
    assert "Lindmoor, 14 August 2025" in said[0]


def test_what_is_too_wide_is_broken_and_not_cut(printer: QPrinter) -> None:
    words = " ".join(f"word{at}" for at in range(60))
    paper(1, words).print_on(printer)
    assert f"{words} 0" in pages(printer)[0]


def test_a_wide_list_turns_the_paper_on_its_side(printer: QPrinter) -> None:
    paper(3).lay_on(printer)
    assert printer.pageLayout().orientation() is QPageLayout.Orientation.Portrait
    many = (*COLUMNS, *(Column(f"c{at}", f"Column {at}") for at in range(12)))
    paper(3, columns=many).lay_on(printer)
    assert printer.pageLayout().orientation() is QPageLayout.Orientation.Landscape
    size = printer.pageLayout().fullRect(QPageLayout.Unit.Point).size()
    assert size == QSizeF(792, 612)
