"""Draws the pictures of the Shelf in docs/: with 0, 12 and 300 supplies, and its papers.

    python -m tests.shelf_pictures docs/pictures

Papers are drawn as PDF, and turned into pictures by poppler's `pdftoppm`.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from app.documents.papers.label import BottleLabel, label_pdf
from app.documents.papers.order_sheet import OrderSheet, SheetLine
from app.documents.papers.paper import order_pdf
from tests.pictures import DAY, draw_filled, make_small
from tests.stocked_shelf import fill_shelf


def draw_papers(folder: Path) -> list[Path]:
    """A bottle's label and an order sheet, as they are printed."""
    folder.mkdir(parents=True, exist_ok=True)
    tool = shutil.which("pdftoppm")
    if tool is None:
        sys.exit("pdftoppm of poppler is needed to turn papers into pictures")
    label = BottleLabel(
        supply="Wheel cleaner, mild",
        mix="6.4 fl oz product + 25.6 fl oz water make 32 fl oz",
        mixed_on="13 August 2026",
        use_by="27 August 2026",
        signal_word="Warning",
        hazards=("Causes skin irritation", "Causes serious eye irritation"),
        pictograms=("GHS07",),
        overrides="The label and its safety data sheet override this.",
    )
    sheet = OrderSheet(
        number=42,
        day=DAY,
        shop_name="Wrenfield Finish Care",
        shop_address="7 Tannery Row\nWrenfield",
        supplier="Alder Road Trade",
        supplier_address="3 Alder Road\nLowfen",
        supplier_mail="orders@alder.example",
        account_no="1177",
        lines=(
            SheetLine("PW-1", "Panel wipe", "1 gal", 2, 4200),
            SheetLine("FP-32", "Finishing polish", "32 oz", 1, 4500),
            SheetLine("FT-5", "Foam pads", "5 pieces", 2, 4000),
        ),
        freight=0,
        currency="USD",
        note="",
    )
    drawn = []
    with tempfile.TemporaryDirectory() as made:
        for name, paper, dots in (
            ("label", label_pdf(label, Path(made) / "label.pdf"), 200),
            ("order-sheet", order_pdf(sheet, Path(made) / "order.pdf"), 80),
        ):
            stem = folder / name
            subprocess.run(
                [tool, "-png", "-singlefile", "-r", str(dots), str(paper), str(stem)], check=True
            )
            drawn.append(stem.with_suffix(".png"))
            make_small(drawn[-1])
    return drawn


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("usage: python -m tests.shelf_pictures FOLDER")
    into = Path(sys.argv[1])
    for drawn_picture in (
        *draw_filled(into, "shelf", (0, 12, 300), fill_shelf),
        *draw_papers(into),
    ):
        print(drawn_picture)
