"""The guide by key: the page of the place, the others, and back."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app.window.house.guide_page import GuidePage
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.places import asides, places
from tests.shop import SmallShop

SHIFT, ALT = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.AltModifier
NONE = Qt.KeyboardModifier.NoModifier


@pytest.fixture
def shell(office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget]) -> Shell:
    made = Shell(office, places(), asides=asides())
    shown(made, 1366, 768)
    return made


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = NONE) -> None:
    target = QApplication.focusWidget()
    assert target is not None
    QTest.keyClick(target, key, modifier)
    QApplication.processEvents()


def page(shell: Shell) -> GuidePage:
    here = shell.here
    assert isinstance(here, GuidePage)
    return here


@pytest.mark.parametrize("key", [entry.key for entry in (*places(), *asides())][:-1])
def test_the_key_opens_the_page_of_where_one_is_and_leads_back(shell: Shell, key: str) -> None:
    shell.open(key)
    name = shell.place(key).title
    press(Qt.Key.Key_F1, SHIFT)
    entry = next(one for one in (*places(), *asides()) if one.key == key)
    assert page(shell).page_title == entry.name, name
    assert page(shell).text.hasFocus()
    assert len(page(shell).text.toPlainText()) > 300
    press(Qt.Key.Key_Escape)
    assert shell.here_key == key
    press(Qt.Key.Key_F1, SHIFT)
    press(Qt.Key.Key_F1, SHIFT)
    assert shell.here_key == key, "the same key again leads back too"


def test_every_page_is_reached_by_key_and_the_first_follows_the_last(shell: Shell) -> None:
    shell.open("day")
    press(Qt.Key.Key_F1, SHIFT)
    guide = page(shell)
    seen = []
    for _ in guide.titles:
        press(Qt.Key.Key_Down, ALT)
        seen.append(guide.page_title)
    assert sorted(seen) == sorted(guide.titles)
    assert guide.page_title == "Day sheet"
    press(Qt.Key.Key_Up, ALT)
    assert guide.page_title == "The first hour"


def test_a_long_page_is_read_on_by_the_arrows_and_another_begins_at_its_top(shell: Shell) -> None:
    shell.open("day")
    press(Qt.Key.Key_F1, SHIFT)
    bar = page(shell).text.verticalScrollBar()
    assert bar.maximum() > 0
    press(Qt.Key.Key_PageDown)
    assert bar.value() > 0
    press(Qt.Key.Key_Down, ALT)
    assert bar.value() == 0


def test_no_line_is_cut_in_a_small_window_with_large_type(shell: Shell) -> None:
    shell.resize(880, 560)
    shell.theme.set_scale(1.6)
    QApplication.processEvents()
    shell.open("shelf")
    press(Qt.Key.Key_F1, SHIFT)
    text = page(shell).text
    for title in page(shell).titles:
        page(shell).turn_to(title)
        assert text.horizontalScrollBar().maximum() == 0, title


def test_the_guide_is_read_again_in_the_dark_and_in_another_size(shell: Shell) -> None:
    shell.open("jobs")
    press(Qt.Key.Key_F1, SHIFT)
    press(Qt.Key.Key_Down, ALT)
    assert page(shell).page_title == "Customers"
    shell.theme.set_look("dark")
    shell.theme.step_scale(1)
    QApplication.processEvents()
    assert page(shell).page_title == "Customers"
    press(Qt.Key.Key_Escape)
    assert shell.here_key == "jobs"
