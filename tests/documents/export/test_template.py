"""The empty workbook is read back as the meanings that it was written for."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import load_workbook

from app.documents.export.template import HOW, SHEETS, write_template
from app.documents.incoming import read_file
from app.documents.reading.lines import CustomerLine, JobLine, LayerLine, ReceiptLine, SupplyLine
from app.documents.reading.options import Options
from app.errors import Mendable


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("template") / "template.xlsx"
    write_template(path)
    return path


@pytest.mark.parametrize("title", list(SHEETS))
def test_every_heading_of_the_template_is_read_as_what_it_was_written_for(
    template: Path, title: str
) -> None:
    (table,) = (table for table in read_file(template).tables if table.sheet == title)
    assert [column.meaning for column in table.columns] == [key for key, _ in SHEETS[title]]


def test_an_empty_template_brings_nothing_and_complains_of_nothing(template: Path) -> None:
    reading = read_file(template)
    assert reading.lines == ()
    assert reading.notes == ()


def test_notes_stand_at_the_headings_and_on_a_sheet_of_their_own(template: Path) -> None:
    book = load_workbook(template)
    pack = next(cell for cell in book["Supplies"][1] if cell.value == "Pack")
    assert pack.comment is not None
    assert "32 oz" in pack.comment.text
    told = [row[1].value for row in book[HOW].iter_rows(min_row=5)]
    assert "Pack" in told


def test_a_template_that_was_filled_in_is_read(template: Path, tmp_path: Path) -> None:
    book = load_workbook(template)
    filled = {
        "Customers": {"Name": "Marlow, Ann", "Phone": "212 555 0142", "City": "Millbrook",
        "May remind": "no"},
        "Supplies": {"Supply": "Glass cleaner", "On hand": "2", "Pack": "32 oz", "Price": "$9.50"},
        "Past jobs": {"Date": "2025-03-14", "Customer": "Ann Marlow", "Services": "Wash",
        "Net": 100, "Tax": 7.25,
                      "Total": 107.25, "Paid": "yes", "Hours": "2:30"},
        "Applied layers": {"Applied on": "2025-03-14", "Customer": "Ann Marlow",
        "Vehicle": "blue wagon",
                           "Protection applied": "Carnauba wax", "Surfaces": "paint"},
        "Payments": {"Date": "2025-03-14", "Customer": "Ann Marlow", "Amount": "50",
        "Method": "cash"},
    }  # fmt: skip
    for title, cells in filled.items():
        sheet = book[title]
        places = {heading: i + 1 for i, (_, heading) in enumerate(SHEETS[title])}
        for heading, value in cells.items():
            sheet.cell(2, places[heading], value)
    book.save(tmp_path / "mine.xlsx")
    lines = read_file(tmp_path / "mine.xlsx", Options()).lines
    customer = next(line for line in lines if isinstance(line, CustomerLine))
    assert (customer.name, customer.phones, customer.do_not_write) == (
        "Ann Marlow",
        ("+12125550142",),
        True,
    )
    supply = next(line for line in lines if isinstance(line, SupplyLine))
    assert (supply.stock, supply.packs[0].price) == (1_892_706, 950)
    job = next(line for line in lines if isinstance(line, JobLine))
    assert (job.minutes, job.charges[0].tax_rate, job.paid[0].amount) == (150, 7250, 10_725)
    layer = next(line for line in lines if isinstance(line, LayerLine))
    assert layer.surface_groups == ("upper horizontals", "upper sides", "lowers")
    receipt = next(line for line in lines if isinstance(line, ReceiptLine))
    assert (receipt.amount, receipt.method) == (5000, "cash")


def test_a_place_that_cannot_be_written_gets_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(Mendable, match="cannot be written"):
        write_template(tmp_path / "no folder" / "a.xlsx")
