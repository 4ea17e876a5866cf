"""The label of a filled bottle, 3 by 2 inches: all of it, on as many labels as it takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from app.documents.papers.paper import QUIET, Font, _font, _Page, _paper, label_layout

NAME_SIZES = (13.0, 11.5, 10.0, 9.0)  # points; a long name is set smaller, then in more lines
HAZARD_SIZES = (7.5, 7.0, 6.5, 6.0)  # nothing smaller: it is read at arm's length
NONE_ENTERED = "No hazards were entered from its safety data sheet."


@dataclass(frozen=True, kw_only=True)
class BottleLabel:
    """What stands on a filled bottle: what it is, how strong, since when, and its hazards."""

    supply: str
    mix: str
    mixed_on: str
    use_by: str
    signal_word: str
    hazards: tuple[str, ...]
    pictograms: tuple[str, ...]
    overrides: str


def label_pdf(label: BottleLabel, path: Path) -> Path:
    """A label of 3 by 2 inches; the hazards are those that were entered from the data sheet.

    What does not fit goes on to another label of the same kind, with name and signal word
    again; nothing is left out or cut short.
    """
    with _paper(path, "", f"Label, {label.supply}", label_layout(3, 2)) as page:
        name = _name_font(page, label.supply)
        parts, font = _parted(page, label, name)
        for at, hazards in enumerate(parts):
            if at:
                page.next_page()
            _head(page, label, name, of=(at + 1, len(parts)))
            if hazards:
                page.paragraph("; ".join(hazards), font)
            elif not label.signal_word:
                page.paragraph(NONE_ENTERED, font)
            page.at_bottom(label.overrides, _font(size=6.5, weight=600))
    return path


def _name_font(page: _Page, name: str) -> Font:
    """The largest in which the name takes two lines at most, else the smallest."""
    font = _font("Vollkorn", NAME_SIZES[0], 600)
    for size in NAME_SIZES:
        font = _font("Vollkorn", size, 600)
        if page.height_of(name, font) <= 2.2 * page.line_of(font):
            break
    return font


def _head(page: _Page, label: BottleLabel, name: Font, of: tuple[int, int]) -> None:
    page.paragraph(label.supply, name)
    page.paragraph(label.mix, _font(size=8.5, weight=600))
    days = f"Mixed {label.mixed_on}" + (f", use by {label.use_by}" if label.use_by else "")
    number = f"label {of[0]} of {of[1]}" if of[1] > 1 else ""
    page.text(days, _font(size=7.5), QUIET, right=number)
    page.space(0.4)
    strong = _font(size=10, weight=700)
    codes = " ".join(label.pictograms)
    if label.signal_word and page.width_of(f"{label.signal_word}   {codes}", strong) > page.width:
        page.text(label.signal_word, strong)
        page.paragraph(codes, _font(size=8.5, weight=700))
    elif label.signal_word or codes:
        page.text(label.signal_word, strong, right=codes)


def _parted(page: _Page, label: BottleLabel, name: Font) -> tuple[list[Sequence[str]], Font]:
    """The hazard statements by label, and the font they are set in."""
    foot = page.height_of(label.overrides, _font(size=6.5, weight=600))
    head = page.measured(lambda: _head(page, label, name, of=(1, 1)))
    room = page.height - head - foot - 8
    font = _font(size=HAZARD_SIZES[0])
    for size in HAZARD_SIZES:
        font = _font(size=size)
        if page.height_of("; ".join(label.hazards), font) * 1.05 <= room:
            return [label.hazards], font
    parts: list[Sequence[str]] = []
    rest = list(label.hazards)
    while rest:
        some = rest[:1]  # one at least, however long
        while len(some) < len(rest):
            more = rest[: len(some) + 1]
            if page.height_of("; ".join(more), font) * 1.05 > room:
                break
            some = more
        parts.append(some)
        rest = rest[len(some) :]
    return parts, font
