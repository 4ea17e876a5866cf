"""The page about the look says what the code does."""

from __future__ import annotations

import re

from app.window.paper.palette import DARK, LIGHT
from tests import ROOT
from tests.contrast import page_with_table

TEXT = (ROOT / "docs" / "look.md").read_text(encoding="utf-8")


def test_the_colours_in_the_page_are_those_of_the_palettes():
    rows = re.findall(r"^\| (\w+) \| (#[0-9a-f]{6}) \| (#[0-9a-f]{6}) \|", TEXT, re.MULTILINE)
    listed = {token: (light, dark) for token, light, dark in rows}
    tokens = [name for name, value in vars(LIGHT).items() if hasattr(value, "name")]
    assert listed == {
        token: (getattr(LIGHT, token).name(), getattr(DARK, token).name()) for token in tokens
    }


def test_the_contrasts_in_the_page_are_those_of_the_colours():
    assert page_with_table(TEXT) == TEXT


def test_every_module_in_the_page_is_there():
    for module in re.findall(r"`(\w+\.py)`", TEXT):
        assert list((ROOT / "app" / "window").glob(f"*/{module}")), module
