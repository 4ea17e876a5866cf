"""The first hour as one person has it: from nothing, by their own files, to the first closed day.

By keys alone, in the real window. What they are is counted, and must not grow.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from app.actions import opening as books
from app.actions.day.day import STATIONS, is_new
from app.actions.jobs.jobs import list_jobs
from app.actions.jobs.services import list_services
from app.actions.people.customers import list_customers
from app.window.day.first_steps import FirstSteps
from app.window.day.place import DayPlace
from app.window.exchange.bringing_in_page import BringingInPage
from app.window.house.first_run import FirstRun
from app.window.house.shell import Shell
from app.window.opening import Opening
from app.window.paper.theme import Theme
from tests.files import messy
from tests.shop import Clock

Key = Qt.Key
NONE = Qt.KeyboardModifier.NoModifier
CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
# Choosing the two files in the system's own chooser comes on top: it is not ours.
MOST_KEYS, MOST_ENTRIES = 24, 6


class Hour:
    """Presses keys where the focus is, counts them, and waits until all is read and shown."""

    def __init__(self, opening: Opening, qtbot: QtBot) -> None:
        self.opening, self.qtbot = opening, qtbot
        self.keys = self.entries = 0

    @property
    def shell(self) -> Shell:
        window = self.opening.window
        assert isinstance(window, Shell)
        return window

    def settle(self) -> None:
        QApplication.processEvents()
        window = self.opening.window
        runner = window.office.runner if isinstance(window, Shell) else window.runner  # type: ignore[union-attr]
        self.qtbot.waitUntil(lambda: not runner.busy)
        QApplication.processEvents()

    def press(self, *keys: Key, held: Qt.KeyboardModifier = NONE) -> None:
        for key in keys:
            self.keys += 1
            QTest.keyClick(QApplication.focusWidget(), key, held)
            self.settle()

    def type(self, words: str) -> None:
        self.entries += 1
        for letter in words:
            QTest.keyClicks(QApplication.focusWidget(), letter)
        self.settle()


@pytest.fixture
def hour(
    settings: QSettings, theme: Theme, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> Iterator[Hour]:
    monkeypatch.setattr(books, "usual_book", lambda: tmp_path / "mine" / "shop.bayledger")
    made = Opening(settings, theme, new_book=lambda path: books.new_desk(path, clock=Clock()))
    made.begin()
    window = made.window
    assert isinstance(window, FirstRun)
    window.resize(1366, 768)
    window.activateWindow()
    yield Hour(made, qtbot)
    if made.window is not None:
        made.window.close()
    made.close()


def test_from_nothing_by_own_files_to_the_first_closed_day(
    hour: Hour, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Begin a book: the shop's name, and that is all.
    hour.type("Lindmoor Finish Care")
    hour.press(Key.Key_Return, held=CTRL)
    hour.qtbot.waitUntil(lambda: isinstance(hour.opening.window, Shell))
    hour.settle()
    shell, desk = hour.shell, hour.shell.office.desk
    sheet = shell.here
    assert isinstance(sheet, DayPlace)
    assert isinstance(sheet.body, FirstSteps)

    # Bring in what there is: customers with their vehicles, and the shelf.
    files = [
        messy.address_workbook(tmp_path / "people.xlsx"),
        messy.shelf_workbook(tmp_path / "shelf.xlsx"),
    ]
    monkeypatch.setattr(
        QFileDialog, "getOpenFileNames", lambda *_given: ([str(one) for one in files], "")
    )
    hour.press(Key.Key_Insert)
    page = shell.here
    assert isinstance(page, BringingInPage)
    hour.qtbot.waitUntil(lambda: page.plan is not None)
    hour.press(Key.Key_Return, held=CTRL)
    hour.qtbot.waitUntil(lambda: not page.readings)
    assert list_customers(desk)[0]
    hour.press(Key.Key_Escape)
    assert sheet.body.found is not None
    assert sheet.body.found.left == ("sell", "book")

    # Say what is sold: one service with its time and price.
    hour.press(Key.Key_2, held=ALT)
    hour.press(Key.Key_Return, held=CTRL)
    assert shell.here_key == "services"
    hour.press(Key.Key_Insert)
    hour.type("Upkeep wash")
    hour.press(Key.Key_Tab)
    hour.type("1:30")
    hour.press(Key.Key_Tab)
    hour.type("90")
    hour.press(Key.Key_Return)
    (wash,) = list_services(desk)
    assert (wash.name, wash.minutes, wash.price) == ("Upkeep wash", 90, 9000)
    hour.press(Key.Key_Escape)
    assert sheet.body.found.left == ("book",)

    # Book a job for somebody of those files, on this day.
    hour.press(Key.Key_3, held=ALT)
    hour.press(Key.Key_Return, held=CTRL)
    assert shell.here_key == "jobs"
    hour.type("ann marlow")
    hour.press(Key.Key_Return)
    hour.press(Key.Key_Space)
    hour.press(Key.Key_4, held=ALT)
    hour.type("today")
    hour.press(Key.Key_Return, held=CTRL)
    (job,) = [one for one in list_jobs(desk, "work").rows if one.customer == "Ann Marlow"]
    assert "Upkeep wash" in job.services

    # The day sheet is the usual one now, filled in; each entry is right as it stands.
    hour.press(Key.Key_1, held=CTRL)
    assert sheet.body is sheet.strip
    assert sheet.station().table.rows[0].key == job.job_id
    for _station in STATIONS:
        hour.press(Key.Key_Return, held=CTRL)
    hour.qtbot.waitUntil(lambda: sheet.is_closed)
    assert not is_new(desk)
    assert desk.book.newest_backup() is not None
    assert hour.keys <= MOST_KEYS
    assert hour.entries <= MOST_ENTRIES
