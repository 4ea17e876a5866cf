"""The label of a filled bottle: 3 by 2 inches, whole, on as many labels as it takes."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest
from pypdf import PageObject, PdfReader

from app.documents.papers.label import BottleLabel, label_pdf

STATEMENTS = (
    # Hazard statements of the Globally Harmonized System (UN GHS rev. 9, annex 3), shortened.
    "H225 Highly flammable liquid and vapor",
    "H290 May be corrosive to metals",
    "H302 Harmful if swallowed",
    "H304 May be fatal if swallowed and enters airways",
    "H314 Causes severe skin burns and eye damage",
    "H317 May cause an allergic skin reaction",
    "H318 Causes serious eye damage",
    "H332 Harmful if inhaled",
    "H335 May cause respiratory irritation",
    "H411 Toxic to aquatic life with long lasting effects",
)
LONG = "Pre-wash cleaner for heavily soiled lower panels, alkaline, blue"


def page_words(page: PageObject) -> str:
    """Qt sets spaces as glyphs that the reader returns as tabs, and ff as one letter."""
    return unicodedata.normalize("NFKC", page.extract_text().replace("\t", " "))


def words(path: Path) -> str:
    return "\n".join(page_words(page) for page in PdfReader(path).pages)


@pytest.mark.usefixtures("qapp")
def test_a_bottle_label_is_two_by_three_inches_and_carries_what_the_law_asks(
    tmp_path: Path,
) -> None:
    """29 CFR 1910.1200(f)(6): product identifier and words or pictures that give the hazards."""
    label = BottleLabel(
        supply="Wheel cleaner",
        mix="2.9 fl oz product + 29.1 fl oz water make 32 fl oz",
        mixed_on="14 August 2025",
        use_by="13 September 2025",
        signal_word="Danger",
        hazards=("Causes severe skin burns and eye damage",),
        pictograms=("GHS05", "GHS07"),
        overrides="Label and SDS override this.",
    )
    path = label_pdf(label, tmp_path / "label.pdf")
    pages = PdfReader(path).pages
    assert len(pages) == 1
    assert (float(pages[0].mediabox.width), float(pages[0].mediabox.height)) == (216, 144)
    text = words(path)
    for said in ("Wheel cleaner", "29.1 fl oz water", "Danger", "GHS05", "severe skin", "override"):
        assert said in text


@pytest.mark.usefixtures("qapp")
def test_a_label_without_entered_hazards_never_reads_as_harmless(tmp_path: Path) -> None:
    label = BottleLabel(
        supply="Soap",
        mix="Undiluted",
        mixed_on="14 August 2025",
        use_by="",
        signal_word="",
        hazards=(),
        pictograms=(),
        overrides="Label and SDS override this.",
    )
    text = words(label_pdf(label, tmp_path / "label.pdf"))
    assert "No hazards were entered" in text
    assert "safe " not in text.replace("safety", "")


@pytest.mark.usefixtures("qapp")
def test_ten_hazard_statements_go_on_to_a_second_label_with_name_and_signal_word(
    tmp_path: Path,
) -> None:
    label = BottleLabel(
        supply=LONG,
        mix="6.4 fl oz product + 25.6 fl oz water make 32 fl oz",
        mixed_on="25 November 2026",
        use_by="9 December 2026",
        signal_word="Danger",
        hazards=STATEMENTS,
        pictograms=("GHS02", "GHS05", "GHS06", "GHS07", "GHS08", "GHS09"),
        overrides="Label and SDS override this.",
    )
    pages = PdfReader(label_pdf(label, tmp_path / "label.pdf")).pages
    assert len(pages) == 2
    said = [" ".join(page_words(page).split()) for page in pages]
    for page in said:
        for always in (LONG, "32 fl oz", "use by 9 December", "Danger", "GHS09", "override"):
            assert always in page
    assert "label 1 of 2" in said[0]
    assert "label 2 of 2" in said[1]
    for statement in STATEMENTS:
        assert sum(statement in page for page in said) == 1


@pytest.mark.usefixtures("qapp")
def test_a_few_statements_share_one_label_however_long_the_name(tmp_path: Path) -> None:
    label = BottleLabel(
        supply=LONG,
        mix="Undiluted",
        mixed_on="1 May 2026",
        use_by="",
        signal_word="Warning",
        hazards=STATEMENTS[:3],
        pictograms=("GHS07",),
        overrides="Overrides.",
    )
    pages = PdfReader(label_pdf(label, tmp_path / "label.pdf")).pages
    assert len(pages) == 1
    assert LONG in " ".join(page_words(pages[0]).split())
