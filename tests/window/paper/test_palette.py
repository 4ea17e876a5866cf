"""The colours keep the contrast that people need to read."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor

from app.window.paper.palette import DARK, LIGHT, Palette, mix

PALETTES = pytest.mark.parametrize("c", [LIGHT, DARK], ids=["light", "dark"])
TEXT = ("ink", "ink2", "ink3", "act", "look", "alarm", "good")
# Ratio on paper and on the row with the focus, as laid down with the colours.
LAID_DOWN = {
    "light": {
        "ink": (15.1, 13.5),
        "ink2": (8.2, 7.3),
        "ink3": (5.2, 4.6),
        "rule2": (3.5, 3.1),
        "act": (9.5, 8.5),
        "look": (6.3, 5.6),
        "alarm": (7.0, 6.2),
        "good": (6.4, 5.7),
    },
    "dark": {
        "ink": (13.3, 10.6),
        "ink2": (8.7, 6.9),
        "ink3": (6.1, 4.9),
        "rule2": (3.9, 3.1),
        "act": (8.9, 7.0),
        "look": (8.3, 6.6),
        "alarm": (7.3, 5.8),
        "good": (8.4, 6.7),
    },
}


def luminance(colour: QColor) -> float:
    """Relative luminance of an sRGB colour, 0 to 1 (WCAG 2.2, definition of relative luminance)."""

    def linear(part: float) -> float:
        return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(part) for part in (colour.redF(), colour.greenF(), colour.blueF()))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: QColor, other: QColor) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2, success criterion 1.4.3)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_agrees_with_the_published_examples():
    # WCAG 2.2: black on white is 21 to 1. #767676 on white is the well-known lightest grey that
    # passes 4.5 to 1; #777777 does not (Understanding SC 1.4.3).
    white = QColor("#FFFFFF")
    assert contrast(QColor("#000000"), white) == pytest.approx(21.0)
    assert contrast(QColor("#767676"), white) >= 4.5 > contrast(QColor("#777777"), white)
    assert luminance(white) == pytest.approx(1.0)


@PALETTES
def test_every_text_colour_reaches_four_and_a_half_to_one_on_paper_and_on_the_row(c: Palette):
    for token in TEXT:
        for ground in (c.paper, c.sel):
            assert contrast(getattr(c, token), ground) >= 4.5, token
    assert contrast(c.on_act, c.act) >= 4.5
    assert contrast(c.ink, c.field) >= 7
    assert contrast(c.ink2, c.act_soft) >= 4.5


@PALETTES
def test_edges_of_fields_reach_three_to_one(c: Palette):
    for ground in (c.paper, c.sel, c.field):
        assert contrast(c.rule2, ground) >= 3.0


@PALETTES
def test_the_ratios_are_those_laid_down(c: Palette):
    for token, (paper, row) in LAID_DOWN[c.name].items():
        colour = getattr(c, token)
        assert contrast(colour, c.paper) == pytest.approx(paper, abs=0.051), token
        assert contrast(colour, c.sel) == pytest.approx(row, abs=0.051), token


def test_third_ink_is_too_faint_on_the_soft_act_ground_so_it_is_not_used_there():
    assert contrast(LIGHT.ink3, LIGHT.act_soft) < 4.5


def test_mixing_goes_from_one_colour_to_the_other():
    assert mix(LIGHT.paper, LIGHT.ink, 0.0).name() == LIGHT.paper.name()
    assert mix(LIGHT.paper, LIGHT.ink, 1.0).name() == LIGHT.ink.name()
    assert mix(QColor("#000000"), QColor("#FFFFFF"), 0.5).name() in ("#7f7f7f", "#808080")
