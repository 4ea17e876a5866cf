"""The menu of a page: the same keys as F1, and what each does when it is chosen."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtGui import QAction, QContextMenuEvent
from PySide6.QtWidgets import QApplication, QMenu, QWidget
from pytestqt.qtbot import QtBot

from app.window.house.office import Office
from app.window.house.pagemenu import page_menu
from app.window.house.shell import Shell
from app.window.house.windowkeys import WINDOW_KEYS, sequence_of
from app.window.places import asides, places
from tests.shop import SmallShop

Show = Callable[[QWidget, int, int], QWidget]


@pytest.fixture
def shell(office: Office, shop: SmallShop, shown: Show, qtbot: QtBot) -> Shell:
    made = Shell(office, places(), asides=asides())
    shown(made, 1366, 768)
    made.open("customers")
    qtbot.waitUntil(lambda: not office.runner.busy)
    return made


def entries(menu: QMenu) -> list[QAction]:
    found: list[QAction] = []
    for action in menu.actions():
        part = action.menu()
        found += entries(part) if isinstance(part, QMenu) else [action]
    return [action for action in found if action.text()]


def menu_here(shell: Shell) -> QMenu:
    place = shell.here
    assert place is not None
    return page_menu(place, place.list_table())


def test_each_page_s_menu_holds_every_one_of_its_keys_that_is_one_key(
    shell: Shell, qtbot: QtBot
) -> None:
    for entry in (*places(), *asides()):
        shell.open(entry.key)
        qtbot.waitUntil(lambda: not shell.office.runner.busy)
        place = shell.here
        assert place is not None
        caps = {action.text().split("\t")[1] for action in entries(menu_here(shell))
                if "\t" in action.text()}  # fmt: skip
        listed = [pair for _title, keys in (*place.keys, *WINDOW_KEYS) for pair in keys]
        if place.list_table() is None:
            listed = [pair for pair in listed if pair not in dict(WINDOW_KEYS)["In a list"]]
        assert caps >= {cap for cap, _what in listed if sequence_of(cap) is not None}


def choose(shell: Shell, cap: str) -> None:
    action = next(one for one in entries(menu_here(shell)) if one.text().endswith(f"\t{cap}"))
    action.trigger()
    QApplication.processEvents()


def test_an_entry_of_the_menu_does_what_its_key_does(shell: Shell) -> None:
    place = shell.here
    assert place is not None
    table = place.list_table()
    assert table is not None
    table.setFocus()
    choose(shell, "Ctrl R")
    assert table.sorted_by
    choose(shell, "↵")
    assert place.body is not None
    assert not table.isVisible()
    choose(shell, "Esc")
    assert table.isVisible()
    choose(shell, "F1")
    assert place.margin.shows_all_keys


def test_a_right_click_opens_the_menu(shell: Shell) -> None:
    place = shell.here
    assert place is not None
    table = place.list_table()
    assert table is not None
    at = QPoint(40, 60)
    event = QContextMenuEvent(QContextMenuEvent.Reason.Mouse, at, table.viewport().mapToGlobal(at))
    QApplication.sendEvent(table.viewport(), event)
    popup = QApplication.activePopupWidget()
    assert isinstance(popup, QMenu)
    popup.close()


@pytest.mark.parametrize(
    ("cap", "meant"),
    [
        ("Ctrl ↵", "Ctrl+Return"), ("Ctrl ⇧ Z", "Ctrl+Shift+Z"), ("Alt ←", "Alt+Left"),
        ("Ctrl –", "Ctrl+-"), ("F4", "F4"), ("Ins", "Ins"), ("PgDn", "PgDown"), ("/", "/"),
    ],
)  # fmt: skip
def test_a_cap_is_one_key(cap: str, meant: str) -> None:
    found = sequence_of(cap)
    assert found is not None
    assert found.toString() == meant


@pytest.mark.parametrize("cap", ["0–9", "A–Z", "↑ ↓", "Alt ↑↓", "Ctrl 1–6", "⇧ ↑ ↓", "↵ ↵", ""])
def test_a_cap_of_several_keys_is_none(cap: str) -> None:
    assert sequence_of(cap) is None
