"""What is kept of a customer, by keys: written out for them, or erased for good."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.people import customers
from app.records.models import Job
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.people.person_page import PersonPage
from app.window.places import asides, places
from tests.shop import SmallShop
from tests.window.keys import press, type_words

Key = Qt.Key
CONTROL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier


@pytest.fixture
def shell(
    office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget], qtbot: QtBot
) -> Shell:
    """The window at Mara Tolk's card, whose jobs are done with."""
    with office.desk.book.load() as session:
        for one in session.query(Job):
            one.state = "done"
    made = Shell(office, places(), asides=asides())
    shown(made, 1366, 768)
    made.open_item("customers", shop.customers["tolk"])
    qtbot.waitUntil(lambda: not office.runner.busy)
    return made


def page_of(shell: Shell) -> PersonPage:
    assert isinstance(shell.here, PersonPage)
    return shell.here


def test_a_customer_is_written_out_in_two_keys(
    shell: Shell, office: Office, tmp_path: Path, qtbot: QtBot
) -> None:
    press(Key.Key_F7)
    assert page_of(shell).title == "Mara Tolk"
    press(Key.Key_Return, CONTROL)
    qtbot.waitUntil(lambda: not office.runner.busy)
    assert "Written: " in office.saved
    assert (tmp_path / "Mara Tolk.xlsx").exists()
    assert "mara.tolk@lindmoor.example" in (tmp_path / "Mara Tolk.txt").read_text("utf-8")
    press(Key.Key_Escape)
    assert shell.here_key == "customers"


def test_a_customer_is_erased_once_the_word_is_typed_and_ctrl_z_brings_nobody_back(
    shell: Shell, office: Office, shop: SmallShop, qtbot: QtBot
) -> None:
    number, path = shop.customers["tolk"], office.desk.book.path
    customers.edit_customer(office.desk, number, city="Fenmarch")
    press(Key.Key_F7)
    press(Key.Key_2, ALT)
    assert QApplication.focusWidget() is page_of(shell).word
    type_words("erase")
    press(Key.Key_Return, CONTROL)
    qtbot.waitUntil(lambda: not office.runner.busy)
    assert shell.here_key == "customers"
    assert f"Erased {number:04d} stands there now" in office.saved
    press(Key.Key_Z, CONTROL)
    assert customers.customer_page(office.desk, number).title == f"Erased {number:04d}"
    log = path.with_name(path.name + "-wal").read_bytes()
    assert b"Mara Tolk" not in path.read_bytes() + log


def test_without_the_word_the_customer_stays_and_the_foot_says_why(
    shell: Shell, office: Office, shop: SmallShop, qtbot: QtBot
) -> None:
    press(Key.Key_F7)
    press(Key.Key_2, ALT)
    type_words("yes")
    press(Key.Key_Return, CONTROL)
    qtbot.waitUntil(lambda: not office.runner.busy)
    assert "Type the word erase" in office.trouble
    assert customers.customer_page(office.desk, shop.customers["tolk"]).title == "Mara Tolk"
