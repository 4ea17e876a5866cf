"""Papers, read back with pypdf, and the order as a workbook, read back with openpyxl."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import openpyxl
import pytest
from pypdf import PageObject, PdfReader

from app.documents.papers.call_list import CAUTION, Call
from app.documents.papers.call_paper import calls_pdf
from app.documents.papers.mail import Letter
from app.documents.papers.order_sheet import OrderSheet, SheetLine, write_workbook
from app.documents.papers.paper import letters_pdf, order_pdf
from app.errors import Mendable


def sheet(lines: int = 3, name: str = "Finishing polish") -> OrderSheet:
    return OrderSheet(
        number=41,
        day=date(2026, 8, 14),
        shop_name="Clearwater Finish",
        shop_address="12 Mill Lane\nEast Harrow",
        supplier="Harrow Trade Supply",
        supplier_address="4 Dock Road",
        supplier_mail="orders@example.org",
        account_no="C-118",
        lines=tuple(SheetLine(f"P{i}", name, "32 fl oz", 2, 4150) for i in range(lines)),
        freight=1400,
        currency="USD",
    )


def letter(**changes: str) -> Letter:
    values = {"name": "Ida Morrow", "subject": "A look", "text": "Hello Ida,\n\nshort.\n"}
    return Letter(
        uid="reminder-7",
        sender_name="Clearwater Finish",
        sender_mail="shop@example.org",
        sender_address="12 Mill Lane\nEast Harrow",
        mail="ida@example.org",
        address=("7 High Street", "East Harrow"),
        at=datetime(2026, 8, 14, 17, 0, tzinfo=UTC),
        **{**values, **changes},
    )


WHY = "It was judged fading in June and should be seen again by the end of August. " * 3


def words(path: Path) -> str:
    return "\n".join(page_words(page) for page in PdfReader(path).pages)


def page_words(page: PageObject) -> str:
    """Qt sets spaces as glyphs that the reader returns as tabs."""
    return page.extract_text().replace("\t", " ")


@pytest.mark.usefixtures("qapp")
def test_a_letter_on_paper_says_where_an_answer_goes(tmp_path: Path) -> None:
    one = letter(sender_phone="(312) 555-0100")
    text = words(letters_pdf([one], date(2026, 8, 14), tmp_path / "letters.pdf"))
    assert "(312) 555-0100, shop@example.org" in text


@pytest.mark.usefixtures("qapp")
def test_an_order_stands_on_paper_with_its_sums(tmp_path: Path) -> None:
    text = words(order_pdf(sheet(), tmp_path / "order.pdf"))
    assert "Order 0041" in text
    assert "Harrow Trade Supply" in text
    assert "249.00" in text, "three times two packs at 41.50"
    assert "263.00" in text, "with freight"


@pytest.mark.usefixtures("qapp")
def test_an_order_of_a_hundred_lines_runs_over_pages_and_loses_none(tmp_path: Path) -> None:
    path = order_pdf(sheet(100, "n" * 120), tmp_path / "order.pdf")
    assert len(PdfReader(path).pages) >= 3
    assert words(path).count("83.00") == 100
    assert words(path).count("n") > 100 * 120, "no name is cut short"


@pytest.mark.usefixtures("qapp")
def test_each_letter_begins_a_page_and_a_long_one_goes_on(tmp_path: Path) -> None:
    letters = [letter(), letter(text="word " * 3000)]
    path = letters_pdf(letters, date(2026, 8, 14), tmp_path / "letters.pdf")
    pages = PdfReader(path).pages
    assert len(pages) >= 4
    assert "Ida Morrow" in page_words(pages[0])
    assert "Ida Morrow" in page_words(pages[1])


@pytest.mark.usefixtures("qapp")
def test_an_order_says_where_a_question_goes_on_paper_and_in_the_workbook(tmp_path: Path) -> None:
    asked = replace(sheet(), shop_phone="(312) 555-0100", shop_mail="desk@clear.example")
    assert "(312) 555-0100, desk@clear.example" in words(order_pdf(asked, tmp_path / "order.pdf"))
    page = openpyxl.load_workbook(write_workbook(asked, tmp_path / "order.xlsx")).active
    assert page is not None
    assert page["A3"].value == "(312) 555-0100, desk@clear.example"


@pytest.mark.usefixtures("qapp")
def test_no_subject_or_name_on_a_letter_is_cut(tmp_path: Path) -> None:
    subject = "Time for a look at your " + "dark blue two-row family wagon and " * 4 + "coupe"
    name = "The very long Society for the Preservation of Waxed Wagons and Coupes, East Harrow"
    one = letter(subject=subject, name=name)
    path = letters_pdf([one], date(2026, 8, 14), tmp_path / "letters.pdf")
    told = " ".join(words(path).split())
    assert subject in told
    assert name in told


def test_no_letters_is_said(tmp_path: Path) -> None:
    with pytest.raises(Mendable, match="no letter"):
        letters_pdf([], date(2026, 8, 14), tmp_path / "letters.pdf")


@pytest.mark.usefixtures("qapp")
def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    with pytest.raises(Mendable, match="could not be written"):
        order_pdf(sheet(), tmp_path / "no folder" / "order.pdf")


def test_the_workbook_holds_numbers_and_no_text_runs_as_a_formula(tmp_path: Path) -> None:
    path = write_workbook(sheet(2, '=HYPERLINK("x")'), tmp_path / "order.xlsx")
    page = openpyxl.load_workbook(path).active
    assert page is not None
    formulas = {cell.value for row in page.iter_rows() for cell in row if cell.data_type == "f"}
    assert formulas == {"=D9*E9", "=D10*E10", "=SUM(F9:F10)", "=F12+F13"}, "ours and no other"
    assert page["D9"].value == 2
    assert page["E9"].value == 41.5
    assert page["F9"].value == "=D9*E9"


def test_a_reader_that_does_not_reckon_finds_the_sums_of_the_order(tmp_path: Path) -> None:
    page = openpyxl.load_workbook(
        write_workbook(sheet(3), tmp_path / "order.xlsx"), data_only=True
    ).active
    assert page is not None
    assert [page[f"F{row}"].value for row in (9, 10, 11)] == [83, 83, 83]
    assert [page[f"F{row}"].value for row in (13, 14, 15)] == [249, 14, 263]


@pytest.mark.parametrize("text", ["-44", "+49 30 555", "=1+1", "@shop", "#12"])
def test_text_of_an_order_stands_in_the_workbook_as_it_is(text: str, tmp_path: Path) -> None:
    path = write_workbook(sheet(1, text), tmp_path / "order.xlsx")
    cell = openpyxl.load_workbook(path).worksheets[0]["B9"]
    assert (cell.value, cell.data_type, cell.quotePrefix) == (text, "s", True)


@pytest.mark.usefixtures("qapp")
def test_a_call_list_runs_over_pages_and_says_its_caution_once(tmp_path: Path) -> None:
    calls = [
        Call(f"Owner {n}", "(312) 555-0142", ("blue wagon",), f"Wax of June. {WHY}")
        for n in range(1, 41)
    ]
    path = calls_pdf("Clearwater Finish", date(2026, 8, 14), calls, tmp_path / "calls.pdf")
    text = " ".join(words(path).split())
    assert len(PdfReader(path).pages) > 1
    assert text.count(CAUTION[:50]) == 1
    for n in range(1, 41):
        assert f"{n}. Owner {n}" in text
    for page in PdfReader(path).pages:
        told = " ".join(page_words(page).split())
        assert told.count("Owner ") == told.count(WHY.strip()) == told.count("Answer:"), "none cut"
    with pytest.raises(Mendable, match="nobody to call"):
        calls_pdf("", date(2026, 8, 14), [], tmp_path / "none.pdf")
