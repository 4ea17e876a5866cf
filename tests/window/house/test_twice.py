"""Ctrl+Enter pressed twice in a row: what the first opened, and nobody has read, is left alone."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QElapsedTimer, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.records.models import Order
from app.window.day.place import DayPlace
from app.window.house import twice
from app.window.house.office import Office
from app.window.house.place import Place, PlaceEntry
from app.window.house.shell import Shell
from app.window.renewals.letters_page import LettersPage
from tests.shop import SmallShop
from tests.window.shelf.test_shelf_place import Shown, opened, press, type_at


def orders(office: Office) -> list[str]:
    with office.desk.book.reading() as session:
        return [one.state for one in session.query(Order).order_by(Order.id)]


def test_an_order_only_just_written_is_not_taken_in_as_come(
    office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = opened(office, shown, qtbot)
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    type_at(place, qtbot, shop.supplies["wheel"], "now", "2")
    monkeypatch.setattr(twice, "TWICE", 10**9)
    press(place, qtbot, Qt.Key.Key_Return, control=True)
    wrote = orders(office)
    assert set(wrote) == {"written"}
    press(place, qtbot, Qt.Key.Key_Return, control=True)
    assert orders(office) == wrote
    assert "Pressed twice, taken once" in office.saved
    monkeypatch.setattr(twice, "TWICE", 0)
    press(place, qtbot, Qt.Key.Key_Return, control=True)
    assert "received" in orders(office)


class Watch(QElapsedTimer):
    """A timer that the test sets."""

    ms = 0

    def start(self) -> None:
        """From now on."""
        super().start()
        Watch.ms = 0

    def elapsed(self) -> int:
        """What the test says."""
        return Watch.ms


class Once(Place):
    """A page that counts how often its action was asked for."""

    asked = 0

    def primary(self) -> None:
        """Count."""
        self.asked += 1


class Again(Once):
    """One on which a person goes on with the same key."""

    goes_on = True


def test_a_page_that_goes_on_takes_each_press_once_it_was_there_before(
    office: Office, shown: Shown, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(twice, "TWICE", 10**9)
    entries = [PlaceEntry("once", "Once", "day", Once), PlaceEntry("again", "", "day", Again)]
    shell = Shell(office, entries)
    shown(shell, 1366, 768)
    asked = []
    for here in ("again", "again", "once"):
        shell.open(here)
        QTest.keyClick(shell, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
        place = shell.place(here)
        assert isinstance(place, Once)
        asked.append(place.asked)
    assert asked == [1, 2, 0]
    assert DayPlace.goes_on
    assert LettersPage.goes_on


def test_a_page_that_opens_late_is_as_new_as_the_press(
    office: Office, shown: Shown, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(twice, "TWICE", 800)
    monkeypatch.setattr(twice, "QElapsedTimer", Watch)
    shell = Shell(office, [PlaceEntry("once", "Once", "day", Once)])
    shown(shell, 1366, 768)
    shell.open("once")
    place = shell.place("once")
    assert isinstance(place, Once)
    asked = []
    for ms, title in (
        (900, ""),
        (900, "What the key opened"),
        (900, ""),
        (4000, "What it did not"),
    ):
        QTest.keyClick(shell, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
        asked.append(place.asked)
        Watch.ms = ms
        place.set_head(title or place.title)
    QTest.keyClick(shell, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert [*asked, place.asked] == [1, 2, 2, 3, 4]
