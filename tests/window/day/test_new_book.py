"""The page of a new book's day: its three steps make room for the sheet."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.people.customers import add_customer
from app.window.day.place import DayPlace
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.places import asides, places
from tests.shop import Clock, empty_book
from tests.window.keys import press

Key = Qt.Key
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(empty_book(tmp_path / "new.bayledger"), clock=Clock())


@pytest.fixture
def shell(office: Office, shown: Callable[[QWidget, int, int], QWidget], qtbot: QtBot) -> Shell:
    made = Shell(office, places(), asides=asides())
    shown(made, 1366, 768)
    made.open("day")
    qtbot.waitUntil(lambda: not office.runner.busy)
    return made


def settle(shell: Shell, qtbot: QtBot) -> None:
    QApplication.processEvents()
    qtbot.waitUntil(lambda: not shell.office.runner.busy)
    QApplication.processEvents()


def test_all_three_passed_the_page_is_the_usual_day_sheet(shell: Shell, qtbot: QtBot) -> None:
    for _step in range(3):
        press(Key.Key_Delete)
    settle(shell, qtbot)
    place = shell.place("day")
    assert isinstance(place, DayPlace)
    assert place.body is place.strip
    assert place.open_key == "jobs"


def test_with_the_first_job_what_is_left_stands_at_the_head_until_ctrl_del_passes_it(
    shell: Shell, desk: Desk, office: Office, qtbot: QtBot
) -> None:
    _changed, tolk = add_customer(desk, name="Tolk")
    office.act(lambda: book_job(desk, NewJob(customer_id=tolk, first_day=desk.today)))
    settle(shell, qtbot)
    place = shell.place("day")
    assert isinstance(place, DayPlace)
    assert place.body is place.strip
    assert "Bring in what you have Say what you sell Later" in place._fact.text()
    assert place.station().table.rows
    press(Key.Key_Delete, CONTROL)
    settle(shell, qtbot)
    assert place._fact.text() == "page 1 amounts in USD"
