"""The slip on paper, read back with pypdf."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from pypdf import PdfReader

from app.documents.papers.slip_paper import slip_pdf
from app.documents.papers.slip_sheet import HeldRow, SlipSheet, SlipStep, TaxRow
from app.errors import Mendable

SHEET = SlipSheet(
    first=date(2026, 7, 1),
    last=date(2026, 7, 31),
    title="Slip for July 2026",
    span="1 to 31 July, both included",
    finding="Earned 8,455.56, received 9,029.20.",
    steps=(
        SlipStep("Earned: work done, before tax", 845_556, 0, 845_556, True),
        SlipStep("tax on it, 6.875 %", 57_364, 845_556, 902_920),
        SlipStep("Work done, with its tax", 902_920, 0, 902_920, True),
        SlipStep("covered by deposits", -75_000, 902_920, 827_920),
        SlipStep("All that came in", 827_920, 0, 827_920, True),
    ),
    ways=(("cash", 827_920), ("All that came in", 827_920)),
    taxes=(
        TaxRow("taxed 6.875 %", 845_556, 57_364),
        TaxRow("Earned, and its tax", 845_556, 57_364),
    ),
    rounding="each job rounded by itself",
    held=(HeldRow("Deposits, for work not done yet", 75_000, 0, -75_000, 0),),
    profit=(
        SlipStep("Earned: work done, before tax", 845_556, 0, 845_556, True),
        SlipStep("rent and power", -95_000, 845_556, 750_556),
        SlipStep("Profit", 750_556, 0, 750_556, True),
    ),
    an_hour="Profit 7,505.56: 50.04 an hour of all 150 h worked.",
    received=827_920,
    tips=0,
    checked="34 jobs done. Added up twice: difference 0.00.",
    notes=(),
    trouble="",
    currency="USD",
    shop_name="Clearwater Finish",
    shop_address="12 Mill Lane\nEast Harrow",
    shop_phone="(202) 555-0114",
    shop_mail="desk@example.org",
    printed=date(2026, 8, 1),
)


def words(path: Path) -> str:
    pages = PdfReader(path).pages
    return "\n".join(page.extract_text().replace("\t", " ") for page in pages)


def test_every_step_and_sum_stands_on_one_page(tmp_path: Path) -> None:
    path = slip_pdf(SHEET, tmp_path / "slip.pdf")
    assert len(PdfReader(path).pages) == 1
    found = words(path)
    for one in (*(step.words for step in SHEET.steps), "8,455.56", "573.64", "−750.00", "1 July",
                "rent and power", "7,505.56", "−950.00", "50.04 an hour",
                "looked over, day", "Clearwater Finish", "printed 1 August 2026"):  # fmt: skip
        assert one in found, one


def test_a_difference_is_printed(tmp_path: Path) -> None:
    path = slip_pdf(replace(SHEET, trouble="One is more by 0.07."), tmp_path / "slip.pdf", "DE")
    assert "more by 0.07" in words(path)


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(Mendable, match="could not be written"):
        slip_pdf(SHEET, tmp_path / "gone" / "slip.pdf")


def test_what_counts_by_the_money_what_was_bought_untaxed_and_the_filing_are_printed(
    tmp_path: Path,
) -> None:
    sheet = replace(
        SHEET,
        counted=(TaxRow("paid, taxed 6.875 %", 800_000, 55_000),
                 TaxRow("Counted by the money", 800_000, 55_000)),
        bought=(TaxRow("bought untaxed, 7.25 %", 9_000, 653),),
        filing="Filed on 3 August 2026; locked since.",
    )  # fmt: skip
    path = slip_pdf(sheet, tmp_path / "slip.pdf")
    assert len(PdfReader(path).pages) == 1
    found = words(path)
    for one in ("Counted by the money", "550.00", "bought untaxed, 7.25 %", "6.53",
                "Filed on 3 August 2026; locked since."):  # fmt: skip
        assert one in found
