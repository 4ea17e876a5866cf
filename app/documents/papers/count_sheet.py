"""The count sheet: what stands where, in the order of the shelf, with room to write."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from app.calculations.numbers.dates import day_year
from app.documents.papers.paper import _font, _paper
from app.errors import Mendable


@dataclass(frozen=True)
class CountLine:
    """A supply to count."""

    place: str
    name: str
    unit: str


def count_sheet_pdf(
    lines: Sequence[CountLine], shop: str, day: date, path: Path, region: str = "US"
) -> Path:
    """Place, name, unit and a blank for each supply; nothing of what the book says stands there,
    so that what is written is what was seen.
    """
    if not lines:
        raise Mendable("There is nothing on the shelf to count yet; add a supply first.")
    with _paper(path, region, "Count sheet") as page:
        page.text("Count sheet", _font("Vollkorn", 18, 600), right=day_year(day))
        if shop:
            page.text(shop, _font(size=10))
        page.space(3)
        wide = page.wide
        page.set_columns(28, wide - 70, wide - 70, wide - 48, wide)
        page.row(("Place", "Supply", "", "Unit", "Counted", ""), head=True)
        for line in lines:
            page.row((line.place, line.name, "", line.unit, "", ""))
        page.space(4)
        page.paragraph(
            "Type the numbers in on the Shelf, F4, in this order. Bottles, weights and fractions "
            "may be written as they are seen: 2 1/4 bottles, 412 g.",
            _font(size=9),
        )
    return path
