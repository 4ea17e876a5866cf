"""The day sheet in a real window over the small shop's book."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Desk
from app.records.book import Book
from app.window.day import station
from app.window.day.place import DayPlace
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from tests.shop import Clock, SmallShop

Show = Callable[[QWidget, int, int], QWidget]
NONE, CONTROL, ALT = (
    Qt.KeyboardModifier.NoModifier,
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.AltModifier,
)


@pytest.fixture
def desk(shop_book: tuple[Path, SmallShop], tmp_path: Path) -> Iterator[Desk]:
    """A desk over a copy of that book."""
    path = tmp_path / "shop.bayledger"
    shutil.copyfile(shop_book[0], path)
    with Book.open(path) as book:
        yield Desk(book, clock=Clock())


class Hands:
    """Presses keys in the window and waits until everything is read and shown."""

    def __init__(self, shell: Shell, qtbot: QtBot) -> None:
        self.shell = shell
        self.qtbot = qtbot
        self.keys = 0
        self.typed = 0

    @property
    def sheet(self) -> DayPlace:
        place = self.shell.place("day")
        assert isinstance(place, DayPlace)
        return place

    @property
    def foot(self) -> str:
        return self.sheet.foot_left.text()

    def settle(self) -> None:
        """Wait for the background and let the window paint."""
        QApplication.processEvents()
        QTest.qWait(4)  # the margin explains after a short pause
        self.qtbot.waitUntil(lambda: self.sheet.settled and not self.shell.office.runner.busy)
        QApplication.processEvents()

    def press(self, key: Qt.Key, modifier: Qt.KeyboardModifier = NONE) -> None:
        """One key, where the focus is."""
        self.keys += 1
        QTest.keyClick(QApplication.focusWidget(), key, modifier)
        QApplication.processEvents()
        self.settle()

    def type(self, text: str) -> None:
        """One entry, letter by letter, where the focus is."""
        self.typed += 1
        for letter in text:
            QTest.keyClicks(QApplication.focusWidget(), letter)
        QApplication.processEvents()

    def open(self, number: int) -> None:
        """A station by its number."""
        self.press(getattr(Qt.Key, f"Key_{number}"), ALT)

    def cell(self, key: object, column: str) -> object:
        """A cell of the open station's table."""
        entries = self.sheet.station().table.entries
        row, at = entries.row_of(key), entries.column_of(column)  # type: ignore[arg-type]
        assert row is not None
        assert at is not None
        return entries.cell(row, at)


@pytest.fixture
def hands(office: Office, shown: Show, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Hands:
    """The day sheet open in a window, ready for typing."""
    monkeypatch.setattr(station, "NOTE_PAUSE", 0)
    shell = Shell(office, [PlaceEntry("day", "Day sheet", "day", DayPlace)])
    shown(shell, 1366, 768)
    shell.open("day")
    made = Hands(shell, qtbot)
    made.settle()
    return made
