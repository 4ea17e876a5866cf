"""More: each of its pages by a number, by Enter and by a click, and lit in the contents."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.offers import commands
from app.window.opening import Opening
from app.window.places import asides, places
from app.window.shop.more_lines import LINES
from app.window.shop.more_page import MorePage
from tests.window.keys import press

Key = Qt.Key
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def shell(office: Office, shown: Callable[[QWidget, int, int], QWidget], qtbot: QtBot) -> Shell:
    made = Shell(office, places(), asides=asides())
    shown(made, 1366, 768)
    made.open("shelf")
    qtbot.waitUntil(lambda: not office.runner.busy)
    return made


def more(shell: Shell) -> MorePage:
    place = shell.place("more")
    assert isinstance(place, MorePage)
    return place


def test_ctrl_7_and_a_number_opens_each_page_and_esc_leads_back(shell: Shell) -> None:
    for at, line in enumerate(LINES, 1):
        press(Key.Key_7, CONTROL)
        assert shell.here_key == "more"
        press(getattr(Key, f"Key_{at}"))
        assert shell.here_key == line.key
        assert shell.leaf._here == "more", "its line in the contents stays lit"
        press(Key.Key_Escape)
        assert shell.here_key == "more"


def test_enter_opens_the_line_with_the_focus(shell: Shell) -> None:
    press(Key.Key_7, CONTROL)
    press(Key.Key_Down)
    press(Key.Key_Return)
    assert shell.here_key == "suppliers"


def test_a_click_on_the_leaf_and_on_a_line_opens_a_page(shell: Shell) -> None:
    shell.leaf.grab()
    QTest.mouseClick(shell.leaf, Qt.MouseButton.LeftButton, pos=QPoint(40, 124 + 32 * 6 + 10))
    assert shell.here_key == "more"
    table = more(shell).table
    row = table.entries.row_of("backups")
    assert row is not None
    where = table.visualRect(table.entries.index(row, 1)).center()
    QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=where)
    QApplication.processEvents()
    assert shell.here_key == "backups"


def test_find_anything_lists_every_page_of_more(
    shell: Shell, settings: object, theme: object
) -> None:
    opening = Opening(settings, theme)  # type: ignore[arg-type]
    shell.commands = commands(opening, shell)
    for line in LINES:
        press(Key.Key_K, CONTROL)
        QTest.keyClicks(QApplication.focusWidget(), line.name.lower())
        shell.finder.search()
        assert line.name in [one.text for one in shell.finder.lines]
        press(Key.Key_Escape)


def test_it_says_how_many_services_and_suppliers_there_are(shell: Shell) -> None:
    press(Key.Key_7, CONTROL)
    entries = more(shell).table.entries
    row = entries.row_of("services")
    assert row is not None
    assert entries.cell(row, 3).text == "none yet"
