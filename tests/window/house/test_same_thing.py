"""Putting together, removing and archiving, found by their words with Ctrl+K."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.actions.people import customers
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.same_thing import tidy_commands
from app.window.house.shell import Shell
from app.window.people.customers_place import CustomersPlace
from app.window.shelf.shelf_place import ShelfPlace
from tests.window.keys import found, press, type_words

Key, CTRL = Qt.Key, Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def shell(office: Office, shown: Callable[[QWidget, int, int], QWidget], qtbot: QtBot) -> Shell:
    for name in ("Ida Morrow", "I. Morrow"):
        customers.add_customer(office.desk, name=name)
    made = Shell(
        office,
        [
            PlaceEntry("customers", "Customers", "customers", CustomersPlace),
            PlaceEntry("shelf", "Shelf", "shelf", ShelfPlace),
        ],
    )
    made.commands = tidy_commands(made)
    shown(made, 1366, 768)
    made.open("shelf")
    qtbot.waitUntil(lambda: not office.runner.busy)
    return made


def look_for(shell: Shell, words: str, qtbot: QtBot) -> list[str]:
    press(Key.Key_K, CTRL)
    type_words(words)
    shell.finder.search()
    return [line.text for line in shell.finder.lines]


@pytest.mark.parametrize("words", ["merge", "same", "together"])
def test_putting_together_is_found_by_its_words(shell: Shell, words: str, qtbot: QtBot) -> None:
    assert look_for(shell, words, qtbot) == [
        "Put two customers or vehicles together",
        "Put two supplies together",
    ]


@pytest.mark.parametrize("words", ["archive", "remove", "delete"])
def test_removing_is_found_by_its_words(shell: Shell, words: str, qtbot: QtBot) -> None:
    assert look_for(shell, words, qtbot) == [
        "Remove or archive a customer or vehicle",
        "Remove or archive a supply",
    ]


def test_from_a_list_it_goes_there_and_says_how(shell: Shell, qtbot: QtBot) -> None:
    look_for(shell, "archive", qtbot)
    press(Key.Key_Return)
    assert shell.here_key == "customers"
    assert shell.here is not None
    assert "press F12" in shell.here.foot_left.text()
    assert len(customers.list_customers(shell.office.desk)[0]) == 2, "nobody is gone by looking"


def test_what_is_in_view_is_put_together_with_what_is_found_then(
    shell: Shell, qtbot: QtBot
) -> None:
    shell.open_item("customers", 2)
    look_for(shell, "merge", qtbot)
    press(Key.Key_Return)
    type_words("ida")
    found("ida", qtbot)
    press(Key.Key_Return)
    qtbot.waitUntil(lambda: len(customers.list_customers(shell.office.desk)[0]) == 1)


def test_what_is_in_view_is_removed(shell: Shell, qtbot: QtBot) -> None:
    shell.open_item("customers", 2)
    look_for(shell, "remove", qtbot)
    press(Key.Key_Return)
    (left,) = customers.list_customers(shell.office.desk)[0]
    assert left.name == "Ida Morrow"


def test_who_left_while_choosing_finds_the_search_whole_when_they_come_back(
    shell: Shell, qtbot: QtBot
) -> None:
    """The margin kept a search that was gone, and the next one broke over it."""
    shell.open_item("customers", 2)
    press(Key.Key_F5)
    type_words("ida")
    press(Key.Key_2, CTRL)
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    shell.open_item("customers", 2)
    assert look_for(shell, "merge", qtbot) == [
        "Put two customers or vehicles together",
        "Put two supplies together",
    ]
