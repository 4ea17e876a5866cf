"""A new book's day sheet: three steps, each by its key, until they are done or passed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Desk
from app.actions.exchange.first_hour import first_hour
from app.window.day.first_steps import FirstSteps
from app.window.day.place import DayPlace
from app.window.exchange.bringing_in_page import BringingInPage
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.places import asides, places
from tests.shop import Clock, empty_book
from tests.window.keys import press

Key = Qt.Key
CONTROL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier


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


@pytest.fixture
def people(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A file that the system's own chooser gives."""
    path = tmp_path / "people.csv"
    path.write_text("Name,Phone\nAnn Marlow,555 0101\nBo Quell,555 0102\n", encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_given: ([str(path)], ""))
    return path


def steps(shell: Shell) -> FirstSteps:
    place = shell.place("day")
    assert isinstance(place, DayPlace)
    assert isinstance(place.body, FirstSteps)
    return place.body


def settle(shell: Shell, qtbot: QtBot) -> None:
    QApplication.processEvents()
    qtbot.waitUntil(lambda: not shell.office.runner.busy)
    QApplication.processEvents()


def states(shell: Shell) -> list[str]:
    return [entry.state for entry in steps(shell).entries]


def test_a_new_book_opens_at_its_first_step_with_the_table_in_focus(shell: Shell) -> None:
    assert steps(shell).open_key == "bring"
    assert steps(shell).table.hasFocus()
    assert shell.here is not None
    assert "Stop where you like" in shell.here.foot_right.text()
    assert states(shell) == ["to come"] * 3


def test_ins_adds_a_file_whose_lines_wait_on_the_sheet_until_they_are_brought_in(
    shell: Shell, people: Path, qtbot: QtBot
) -> None:
    press(Key.Key_Insert)
    settle(shell, qtbot)
    page = shell.place("bringing in")
    assert isinstance(page, BringingInPage)
    qtbot.waitUntil(lambda: page.plan is not None)
    press(Key.Key_Escape)
    entries = steps(shell).table.entries
    row = entries.row_of("Customers")
    assert row is not None
    assert [entries.cell(row, at).text for at in range(1, 5)] == ["people.csv", "2", "", "2"]
    assert "Look at customers" in steps(shell)._rows["bring"].button.text()
    press(Key.Key_Return)
    assert shell.here is page
    assert page.strip.open_key == "lines"
    press(Key.Key_Return, CONTROL)
    settle(shell, qtbot)
    press(Key.Key_Escape)
    entries = steps(shell).table.entries
    assert [entries.cell(row, at).text for at in range(1, 5)] == ["people.csv", "2", "2", ""]
    assert states(shell) == ["done", "to come", "to come"]


def test_del_passes_a_step_and_opens_the_next_that_is_left(shell: Shell, desk: Desk) -> None:
    press(Key.Key_Delete)
    assert states(shell) == ["done", "to come", "to come"]
    assert steps(shell).open_key == "sell"
    assert steps(shell).entries[0].result == "nothing to bring in"
    press(Key.Key_Z, CONTROL)
    assert states(shell) == ["to come"] * 3
    found = first_hour(desk)
    assert found is not None
    assert not found.passed


def test_the_other_steps_lead_to_the_services_and_to_a_new_job(shell: Shell) -> None:
    press(Key.Key_2, ALT)
    press(Key.Key_Return, CONTROL)
    assert shell.here_key == "services"
    press(Key.Key_1, CONTROL)
    press(Key.Key_3, ALT)
    press(Key.Key_Return)
    assert shell.here_key == "jobs"
    assert shell.here is not None
    assert shell.here.title == "A new job"
