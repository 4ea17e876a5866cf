"""The people to call on paper, with room to write down what they said."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial
from pathlib import Path

from app.calculations.numbers.dates import day_year
from app.documents.papers.call_list import ANSWERS, CAUTION, WORDS, Call
from app.documents.papers.paper import QUIET, _font, _Page, _paper
from app.errors import Mendable


def calls_pdf(shop: str, day: date, calls: Sequence[Call], path: Path, region: str = "US") -> Path:
    """The people to call one under the other, with room to write down what they said."""
    if not calls:
        raise Mendable("There is nobody to call.")
    with _paper(path, region, "Calls") as page:
        page.text(shop or "Calls", _font("Vollkorn", 18, 600))
        page.text("Calls", _font(size=14, weight=600), right=day_year(day))
        page.paragraph(f"{CAUTION} {WORDS}", _font(size=9))
        for number, call in enumerate(calls, 1):
            page.whole(partial(_call, page, number, call))
    return path


def _call(page: _Page, number: int, call: Call) -> None:
    page.space(4)
    page.text(f"{number}. {call.name}", _font(size=11, weight=600), right=call.phone)
    here = f"last here {call.last_here}" if call.last_here else ""
    if call.vehicles or here:
        page.text(", ".join(call.vehicles), _font(size=10), QUIET, right=here)
    if call.reason:
        page.paragraph(call.reason, _font(size=10))
    page.text(f"Answer: {ANSWERS}", _font(size=9), QUIET)
    page.space(1)
    page.rule()
