"""The colours keep the contrast that people need to read."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor

from app.window.paper.palette import DARK, LIGHT, Palette, mix
from tests.contrast import PAIRS, Pair, contrast, luminance

PALETTES = pytest.mark.parametrize("c", [LIGHT, DARK], ids=["light", "dark"])
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


def test_contrast_agrees_with_the_published_examples():
    # WCAG 2.2: black on white is 21 to 1. #767676 on white is the well-known lightest grey that
    # passes 4.5 to 1; #777777 does not (Understanding SC 1.4.3).
    white = QColor("#FFFFFF")
    assert contrast(QColor("#000000"), white) == pytest.approx(21.0)
    assert contrast(QColor("#767676"), white) >= 4.5 > contrast(QColor("#777777"), white)
    assert luminance(white) == pytest.approx(1.0)


@PALETTES
@pytest.mark.parametrize("pair", PAIRS, ids=[pair.what for pair in PAIRS])
def test_every_text_and_every_drawn_edge_reaches_its_least(c: Palette, pair: Pair):
    assert pair.ratio(c) >= pair.least


@PALETTES
def test_what_is_typed_stands_out_well_beyond_the_least(c: Palette):
    assert contrast(c.ink, c.field) >= 7


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
