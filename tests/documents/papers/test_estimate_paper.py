"""The estimate's paper, read back with pypdf, in letter and A4."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QApplication

from app.documents.papers.estimate_paper import EstimatePaper, PaperLine, estimate_pdf


def paper(lines: int = 8) -> EstimatePaper:
    numbers = ("1.50", "2.00", "2.50", "135.00", "180.00", "225.00")
    return EstimatePaper(
        shop="Clearwater Finish", shop_lines=("12 Mill Lane",), reached=("desk@example.org",),
        unit=100, number="0791",
        day="20 July 2026", version="second version", name="Ida Morrow",
        address=("7 High Street", "East Harrow"), vehicle="1986 burgundy wagon",
        heading="Likely 1,648.77, and not above 2,120.63 without your yes.",
        scale=(130357, 164877, 212063), words=("1,303.57", "1,648.77", "2,120.63"), agreed=False,
        rate="90.00", currency="USD",
        lines=tuple(PaperLine(f"Work {one}", numbers) for one in range(lines)),
        sums=(PaperLine("Before tax", numbers), PaperLine("With tax", numbers)),
        reason="Old paint shows what it can take only when it is tried. " * 3,
        assumptions=("It rolls.",), not_included=(), holds=("The test spots.", "Before 18 h."),
        left_alone=("Every edge.",), how="Call, write or sign below.",
    )  # fmt: skip


@pytest.mark.parametrize(("region", "wide"), [("US", 612), ("DE", 595)])
def test_all_of_it_stands_on_one_page(tmp_path: Path, region: str, wide: int) -> None:
    (page,) = PdfReader(estimate_pdf(paper(), tmp_path / "one.pdf", region)).pages
    assert round(float(page.mediabox.width)) == wide
    text = " ".join(page.extract_text().split())
    for words in (
        "0791", "second version", "Likely 1,648.77, and not above 2,120.63", "low 1,303.57",
        "Work 7", "With tax", "Where the work waits for you", "Before 18 h.", "Every edge.",
        "How to say yes", "page 1 of 1",
    ):  # fmt: skip
        assert words in text
    assert "Not in this price" not in text  # an empty part is left out with its head


def test_a_long_one_goes_on_with_head_and_columns(tmp_path: Path) -> None:
    long = replace(paper(70), agreed=True)
    pages = PdfReader(estimate_pdf(long, tmp_path / "long.pdf")).pages
    texts = [" ".join(page.extract_text().split()) for page in pages]
    assert len(texts) >= 2
    for number, text in enumerate(texts, 1):
        assert f"page {number} of {len(texts)}" in text
        assert "0791" in text
    assert all(sum(f"Work {one} " in f"{text} " for text in texts) == 1 for one in range(70))
    assert "What it takes" in texts[1]


def test_its_numbers_can_be_copied_though_the_window_has_figures_of_its_own(
    qapp: QApplication, tmp_path: Path
) -> None:
    before, lent = qapp.font(), QFont("Vollkorn")
    for tag in ("tnum", "lnum"):
        lent.setFeature(QFont.Tag(tag), 1)
    qapp.setFont(lent)
    try:
        (page,) = PdfReader(estimate_pdf(paper(), tmp_path / "one.pdf")).pages
    finally:
        qapp.setFont(before)
    assert "2,120.63 without your yes" in " ".join(page.extract_text().split())
