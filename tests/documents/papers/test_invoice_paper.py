"""Invoices and credit notes on paper, read back with pypdf, in letter and A4."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from app.documents.papers.invoice_paper import invoice_pdf
from app.documents.papers.invoice_sheet import InvoiceSheet, SheetLine


def invoice(lines: int = 2) -> InvoiceSheet:
    return InvoiceSheet(
        title="Invoice", subtitle="for work done 10 to 13 August 2026", number="2026-0143",
        day="13 August 2026", shop_name="Clearwater Finish", shop_address="12 Mill Lane",
        shop_answer=("desk@example.org",), to=("Ida Morrow", "7 High Street", "East Harrow"),
        about_head="Vehicle and order", about=("burgundy wagon", "job 0791"),
        head="What was done",
        lines=tuple(
            SheetLine(f"Work {one}.", "135.00", "A", "1.50", "90.00", f"{(one + 1) * 135}.00")
            for one in range(lines)
        ),
        taxes=(("A", "work, 6.875 %", "270.00", "18.56"),), bold="Comes to",
        sums=(("Before tax", "270.00"), ("Tax", "18.56"), ("Comes to", "288.56"),
              ("Still due", "288.56")),
        due="by Thursday 27 August 2026, in USD", how_to_pay=("check: to the address above",),
    )  # fmt: skip


@pytest.mark.parametrize(("region", "wide"), [("US", 612), ("DE", 595)])
def test_title_and_number_hours_and_the_way_to_pay_stand_on_one_page(
    tmp_path: Path, region: str, wide: int
) -> None:
    (page,) = PdfReader(invoice_pdf(invoice(), tmp_path / "one.pdf", region)).pages
    assert round(float(page.mediabox.width)) == wide
    text = " ".join(page.extract_text().split())
    for words in ("Hours", "An hour", "1.50", "Comes to", "always write", "page 1 of 1"):
        assert words in text


def test_forty_lines_go_on_with_heads_and_the_sum_so_far(tmp_path: Path) -> None:
    pages = PdfReader(invoice_pdf(invoice(40), tmp_path / "long.pdf")).pages
    texts = [" ".join(page.extract_text().split()) for page in pages]
    assert len(texts) >= 2
    for number, text in enumerate(texts, 1):
        assert f"page {number} of {len(texts)}" in text
        assert "2026-0143" in text
    shown = sum(f"Work {one}." in texts[0] for one in range(40))
    assert f"From the page before {shown * 135}.00" in texts[1]
    assert all(sum(f"Work {one}." in text for text in texts) == 1 for one in range(40))
    assert "What was done" in texts[1]


def test_a_credit_note_has_half_a_sheet_and_a_whole_one_where_it_is_longer(tmp_path: Path) -> None:
    note = replace(
        invoice(1), title="Credit note", about_head="Why", about=("A high spot.",), half=True,
        how_to_pay=(), due="", sums=(("Before tax", "−50.00"), ("Credit", "−53.44")),
        stands=(("Due before", "636.81"), ("Still due", "583.37")),
    )  # fmt: skip
    (page,) = PdfReader(invoice_pdf(note, tmp_path / "half.pdf")).pages
    assert [round(float(one)) for one in page.mediabox[2:]] == [612, 396]
    assert "How it stands now" in " ".join(page.extract_text().split())
    long = replace(note, lines=note.lines * 12)
    (page,) = PdfReader(invoice_pdf(long, tmp_path / "whole.pdf")).pages
    assert round(float(page.mediabox.height)) == 792
