"""Fonts, sizes and looks."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QSettings, QSize
from PySide6.QtGui import QFont, QFontInfo
from PySide6.QtWidgets import QApplication

from app.window.paper.palette import DARK, LIGHT
from app.window.paper.theme import ROLES, Theme, load_fonts, scale_for


def test_the_bundled_fonts_are_loaded_and_used_for_every_role(theme: Theme):
    assert {"Vollkorn", "Source Sans 3"} <= set(load_fonts())
    for role in ROLES:
        font = theme.font(role)
        assert QFontInfo(font).family() in ("Vollkorn", "Source Sans 3"), role
        assert font.pixelSize() >= 12, role
        assert font.hintingPreference() == QFont.HintingPreference.PreferNoHinting


@pytest.mark.parametrize("role", ["day", "open", "voice", "row", "changed", "unit", "head"])
def test_all_digits_are_equally_wide(theme: Theme, role: str):
    widths = {round(theme.width(role, digit * 10), 2) for digit in "0123456789"}
    assert len(widths) == 1


def test_a_screen_of_3840_by_2160_is_shown_at_two_and_a_half_and_a_small_one_at_one():
    assert scale_for(QSize(3840, 2160)) == 2.5
    assert scale_for(QSize(1920, 1080)) == 1.25
    assert scale_for(QSize(1366, 700)) == 1.0
    assert scale_for(QSize(800, 600)) == 1.0


def test_larger_type_is_kept_for_the_next_time(settings: QSettings, theme: Theme, qtbot: object):
    before = theme.font("row").pixelSize()
    heard = []
    theme.rescaled.connect(lambda: heard.append(theme.scale))
    theme.step_scale(1)
    theme.step_scale(1)
    assert heard == [1.1, 1.25]
    assert theme.font("row").pixelSize() == round(before * 1.25)
    assert Theme(settings).scale == 1.25


def test_settings_that_make_no_sense_are_passed_over(settings: QSettings, qapp: QApplication):
    settings.setValue("window/scale", "huge")
    assert Theme(settings).scale == 1.0
    settings.setValue("window/scale", "17")
    assert Theme(settings).scale == 1.0


def test_dark_and_light_repaint_and_are_kept(settings: QSettings, theme: Theme):
    heard = []
    theme.recoloured.connect(lambda: heard.append(theme.palette.name))
    theme.set_look("dark")
    assert theme.palette is DARK
    assert Theme(settings).palette is DARK
    theme.set_look("light")
    assert theme.palette is LIGHT
    assert heard == ["dark", "light"]


def test_movement_takes_no_time_when_less_is_asked_for(theme: Theme):
    theme.set_less_motion(True)
    assert theme.duration(120) == 0
    theme.set_less_motion(False)
    assert theme.duration(120) in (0, 120)  # 0 where the system asks for less


def test_the_style_sheet_names_no_colour_outside_the_palette(theme: Theme, qapp: QApplication):
    import re

    for look, palette in (("light", LIGHT), ("dark", DARK)):
        theme.set_look(look)
        theme.dress(qapp)
        known = {value.name() for value in vars(palette).values() if hasattr(value, "name")}
        assert set(re.findall(r"#[0-9a-f]{6}", qapp.styleSheet())) <= known
