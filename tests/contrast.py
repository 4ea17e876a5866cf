"""The contrast of our colours, worked out by WCAG 2.2, and the table of it in docs/look.md.

python -m tests.contrast        (writes the table anew)
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtGui import QColor, QImage

from app.window.paper.palette import DARK, LIGHT, Palette
from tests import ROOT

PAGE = ROOT / "docs" / "look.md"
BEGIN, END = "<!-- contrast: python -m tests.contrast -->", "<!-- contrast ends -->"
TEXT, SHAPE = 4.5, 3.0  # success criteria 1.4.3 (text) and 1.4.11 (what is drawn)


def luminance(colour: QColor) -> float:
    """Relative luminance of an sRGB colour, 0 to 1 (WCAG 2.2, definition of relative luminance)."""

    def linear(part: float) -> float:
        return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(part) for part in (colour.redF(), colour.greenF(), colour.blueF()))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: QColor, other: QColor) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2, definition of contrast ratio)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def strongest(image: QImage, ground: QColor) -> float:
    """The greatest contrast that a pixel of a picture has against its ground."""
    seen = {image.pixel(x, y) for x in range(image.width()) for y in range(image.height())}
    return max(contrast(QColor(pixel), ground) for pixel in seen)


@dataclass(frozen=True)
class Pair:
    """A colour on a ground, what it is there for, and the least that it must reach."""

    what: str
    front: str
    ground: str
    least: float

    def ratio(self, palette: Palette) -> float:
        """The contrast in one of the looks."""
        return contrast(getattr(palette, self.front), getattr(palette, self.ground))


PAIRS = (
    *(
        Pair(f"{words}, {where}", token, ground, TEXT)
        for token, words in (
            ("ink", "text"),
            ("ink2", "second text"),
            ("ink3", "third text"),
            ("act", "what acts"),
            ("look", "worth a look"),
            ("alarm", "wrong, or too late"),
            ("good", "done"),
        )
        for ground, where in (("paper", "on the page"), ("sel", "on the row with the focus"))
    ),
    Pair("text in the contents", "ink2", "leaf", TEXT),
    Pair("third text in the contents", "ink3", "leaf", TEXT),
    Pair("worth a look in the contents", "look", "leaf", TEXT),
    Pair("second text where one is", "ink2", "act_soft", TEXT),
    Pair("text on the action", "on_act", "act", TEXT),
    Pair("text in a field", "ink", "field", TEXT),
    Pair("hint in an empty field", "ink3", "field", TEXT),
    Pair("edge of a field, on the page", "rule2", "paper", SHAPE),
    Pair("edge of a field, within", "rule2", "field", SHAPE),
    Pair("ring of the focus", "act", "paper", SHAPE),
    Pair("ring of the focus in the contents", "act", "leaf", SHAPE),
    Pair("ring of a day left open", "look", "leaf", SHAPE),
    Pair("line under a closed day", "ink3", "leaf", SHAPE),
    Pair("edge of the usual range", "ink3", "paper", SHAPE),
    Pair("edge of the usual range, within", "ink3", "act_soft", SHAPE),
    Pair("dots over the usual range", "ink2", "act_soft", SHAPE),
    Pair("an amount, and the edge of what fades", "bar", "paper", SHAPE),
    Pair("an amount on the row with the focus", "bar", "sel", SHAPE),
    Pair("protection left", "layer", "paper", SHAPE),
    Pair("protection left on the row with the focus", "layer", "sel", SHAPE),
    Pair("a gap in the shelf", "alarm", "paper", SHAPE),
)


def table() -> str:
    """The table as it stands in the page."""
    lines = ["| what | colour on ground | least | light | dark |", "|---|---|---|---|---|"]
    for pair in PAIRS:
        ratios = " | ".join(f"{pair.ratio(look):.1f}" for look in (LIGHT, DARK))
        on = f"{pair.front} on {pair.ground}"
        lines.append(f"| {pair.what} | {on} | {pair.least} | {ratios} |")
    return "\n".join(lines)


def page_with_table(page: str) -> str:
    """The page with the table as it is now."""
    before, rest = page.split(BEGIN)
    return f"{before}{BEGIN}\n{table()}\n{END}{rest.split(END)[1]}"


if __name__ == "__main__":
    PAGE.write_text(page_with_table(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
