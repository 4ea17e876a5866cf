"""Expenses by keys: written, changed, taken back, by a rule, and what driving is worth."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, Qt, QUrl
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.actions.costs import expenses
from app.actions.costs.driving import rates
from app.actions.costs.expenses import Typed, spent, write_expense
from app.actions.day.closing import close_day
from app.window.figures.expenses_page import ExpensesPage
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.paper.notes import Drawing
from app.window.places import asides, places
from tests.window.keys import press, type_words

Key = Qt.Key
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def shell(office: Office, shown: Callable[[QWidget, int, int], QWidget]) -> Shell:
    """The small shop's window on 14 August 2025."""
    made = Shell(office, places(), asides=asides())
    shown(made, 1366, 768)
    return made


def opened(shell: Shell, qtbot: QtBot) -> ExpensesPage:
    shell.open("more")
    shell.open("expenses")
    page = shell.place("expenses")
    assert isinstance(page, ExpensesPage)
    qtbot.waitUntil(lambda: page._shown is not None)
    return page


def said(page: ExpensesPage) -> list[str]:
    entries = page.table.entries
    return [
        " ".join(entries.cell(at, column).text for column in range(5)).strip()
        for at in range(len(page.table.rows))
    ]


def test_an_expense_is_written_changed_and_taken_back_by_keys(shell: Shell, qtbot: QtBot) -> None:
    page = opened(shell, qtbot)
    press(Key.Key_N)
    page.form.kind.choose("fuel")
    page.form.text.setFocus()
    for words in ("the pump", "48.20", "3.10"):
        type_words(words)
        press(Key.Key_Return)
    press(Key.Key_Return, CONTROL)
    line = "14 Aug Fuel the pump  48.20"
    qtbot.waitUntil(lambda: line in said(page))
    assert page.form.isHidden()
    press(Key.Key_Return)
    assert page.form.tax.text() == "3.10"
    type_words("50")
    press(Key.Key_Return, CONTROL)
    qtbot.waitUntil(lambda: "14 Aug Fuel the pump  50.00" in said(page))
    press(Key.Key_Delete)
    qtbot.waitUntil(lambda: not page.table.rows)
    shell.office.undo()
    qtbot.waitUntil(lambda: "14 Aug Fuel the pump  50.00" in said(page))
    press(Key.Key_PageUp)
    qtbot.waitUntil(lambda: page.title == "Expenses" and not page.table.rows)
    press(Key.Key_Escape)
    assert shell.here is not page


def test_del_twice_takes_two_lines_and_no_rule(shell: Shell, qtbot: QtBot) -> None:
    page = opened(shell, qtbot)
    desk = shell.office.desk
    expenses.write_expense(desk, Typed(kind="rent", amount="950", every="month"))
    for text in ("one", "two", "three"):
        expenses.write_expense(desk, Typed(kind="fuel", amount="9", text=text))
    page.refresh(page.shows)
    qtbot.waitUntil(lambda: len(page._lines) == 3)
    middle = next(key for key, one in page._lines.items() if one.text == "two")
    page.table.setFocus()
    page.table.go(middle)
    press(Key.Key_Delete)
    qtbot.waitUntil(lambda: len(page._lines) == 2)
    assert page.line is not None
    press(Key.Key_Delete)
    qtbot.waitUntil(lambda: len(page._lines) == 1)
    assert page.line is not None, "the last line is the nearest"
    assert len(page._rules) == 1


def test_a_line_of_a_closed_day_says_at_once_that_it_stays(shell: Shell, qtbot: QtBot) -> None:
    page = opened(shell, qtbot)
    desk = shell.office.desk
    expenses.write_expense(desk, Typed(kind="fuel", amount="9"))
    close_day(desk, desk.today)
    page.refresh(page.shows)
    qtbot.waitUntil(lambda: len(page._lines) == 1)
    page.table.go(next(iter(page._lines)))
    page.table.setFocus()
    press(Key.Key_Return)
    assert page.form.isHidden()
    assert "is closed, so this line stays" in page.office.trouble


def test_a_refused_expense_stays_in_the_form_with_its_reason(shell: Shell, qtbot: QtBot) -> None:
    page = opened(shell, qtbot)
    press(Key.Key_N)
    page.form.kind.choose("tips")
    page.form.amount.setFocus()
    type_words("12")
    press(Key.Key_Return, CONTROL)
    assert "to whom" in page.office.trouble
    assert page.form.amount.text() == "12"
    press(Key.Key_Escape)
    assert page.form.isHidden()


def test_a_rule_says_when_it_is_due_and_the_close_shows_it(shell: Shell, qtbot: QtBot) -> None:
    page = opened(shell, qtbot)
    press(Key.Key_N)
    page.form.kind.choose("rent")
    page.form.amount.setFocus()
    type_words("950")
    page.form.day.setFocus()
    type_words("1 Aug")
    page.form.every.choose("month")
    press(Key.Key_Return, CONTROL)
    qtbot.waitUntil(lambda: "Rent and power   950.00" in said(page))
    found = spent(page.office.desk, date(2025, 1, 1), date(2025, 12, 31))
    assert found.repeats[0][1] == date(2025, 8, 1)
    press(Key.Key_W)
    for words in ("0.50", "1 Jan 2025", "a notice"):
        type_words(words)
        press(Key.Key_Return)
    assert [one.rate for one in rates(page.office.desk)] == [50_000]
    assert page.rate.isHidden()


def test_a_receipts_photo_is_dropped_on_its_line_shown_and_taken_off(
    shell: Shell, qtbot: QtBot, tmp_path: Path
) -> None:
    page = opened(shell, qtbot)
    desk = page.office.desk
    write_expense(desk, Typed(kind="fuel", text="the pump", amount="48.20"))
    page.refresh(page.shows)
    qtbot.waitUntil(lambda: "14 Aug Fuel the pump  48.20" in said(page))
    page.table.go(next(iter(page._lines)), "text")
    image = QImage(900, 1200, QImage.Format.Format_RGB32)
    image.fill(0xAABBCC)
    assert image.save(str(tmp_path / "receipt.jpg"))
    (tmp_path / "lies.png").write_bytes(b"no picture")
    for name, seen in (
        ("lies.png", lambda: "is no photo that can be read" in page.office.trouble),
        ("receipt.jpg", lambda: len(page.pictures.here) == 1),
    ):
        data = QMimeData()
        data.setUrls([QUrl.fromLocalFile(str(tmp_path / name))])
        assert page.pictures.dropped(data)
        qtbot.waitUntil(seen, timeout=20_000)
    qtbot.waitUntil(
        lambda: any(isinstance(one, Drawing) for one in page.margin.note.blocks), timeout=20_000
    )
    page.table.setFocus()
    press(Key.Key_X)
    qtbot.waitUntil(lambda: not page.pictures.here)
    press(Key.Key_Z, CONTROL)
    qtbot.waitUntil(lambda: len(page.pictures.here) == 1)
