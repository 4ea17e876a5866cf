"""A book replaced or deleted under the open window: nothing is lost, and nothing is claimed."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.records.book import Book
from app.records.models import Customer
from app.window.day.place import DayPlace
from app.window.house import shell
from app.window.house.first_run import FirstRun
from app.window.house.lost_page import LostPage
from app.window.house.shell import Shell
from app.window.opening import Opening
from app.window.paper.notes import Voice
from app.window.paper.theme import Theme
from app.window.shop.settings_page import SettingsPage
from tests.shop import small_desk

CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier


@pytest.fixture
def opening(
    settings: QSettings,
    theme: Theme,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
) -> Iterator[Opening]:
    """The window over a small shop; it looks after its book without delay."""
    monkeypatch.setattr(shell, "LOOK_EVERY", 20)
    desk, _shop = small_desk(tmp_path / "shop.bayledger")
    with desk.book.load() as session:
        session.add(Customer(name="Cosmo Late"))
    desk.book.close()
    shutil.copyfile(desk.book.path, tmp_path / "older")
    made = Opening(settings, theme)
    made.open(desk.book.path)
    assert isinstance(made.window, Shell)
    qtbot.waitUntil(lambda: not made.window.office.runner.busy)  # type: ignore[union-attr]
    yield made
    if made.window is not None:
        made.window.close()
    made.close()


def page_of(opening: Opening) -> LostPage | None:
    window = opening.window
    here = window.here if isinstance(window, Shell) else None
    return here if isinstance(here, LostPage) else None


def press(key: Qt.Key, modifier: Qt.KeyboardModifier) -> None:
    QTest.keyClick(QApplication.focusWidget(), key, modifier)


def people(path: Path) -> set[str]:
    with Book.open(path, write=False) as book, book.reading() as session:
        return {one.name for one in session.query(Customer)}


def rename(opening: Opening, name: str) -> None:
    window = opening.window
    assert isinstance(window, Shell)

    def add() -> None:
        with window.office.desk.book.change("Add") as session:
            session.add(Customer(name=name))

    window.office.act(add)


def test_what_is_open_is_saved_elsewhere_and_the_work_goes_on_there(
    opening: Opening, tmp_path: Path, qtbot: QtBot
) -> None:
    rename(opening, "Typed Before")
    (tmp_path / "shop.bayledger").unlink()
    qtbot.waitUntil(lambda: page_of(opening) is not None)
    page = page_of(opening)
    assert page is not None
    assert "was deleted, moved or renamed" in page.office.lost
    saved = Path(page.place.text())
    assert saved == tmp_path / "shop saved.bayledger"
    press(Qt.Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: page_of(opening) is None)
    window = opening.window
    assert isinstance(window, Shell)
    assert window.office.desk.book.path == saved
    assert isinstance(window.here, DayPlace)
    rename(opening, "Typed After")
    assert window.office.trouble == ""
    assert {"Cosmo Late", "Typed Before", "Typed After"} <= people(saved)


def test_what_lies_there_now_is_opened_by_its_key(
    opening: Opening, tmp_path: Path, qtbot: QtBot
) -> None:
    os.replace(tmp_path / "older", tmp_path / "shop.bayledger")
    qtbot.waitUntil(lambda: page_of(opening) is not None)
    press(Qt.Key.Key_2, ALT)
    press(Qt.Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: page_of(opening) is None)
    rename(opening, "Typed After")
    window = opening.window
    assert isinstance(window, Shell)
    assert window.office.trouble == ""
    assert "Typed After" in people(tmp_path / "shop.bayledger")


def test_where_nothing_lies_there_the_first_page_says_so(
    opening: Opening, tmp_path: Path, qtbot: QtBot
) -> None:
    (tmp_path / "shop.bayledger").unlink()
    qtbot.waitUntil(lambda: page_of(opening) is not None)
    press(Qt.Key.Key_2, ALT)
    press(Qt.Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: isinstance(opening.window, FirstRun))
    assert "There is no book at" in opening.window.trouble  # type: ignore[union-attr]


def test_nothing_is_said_to_be_saved_from_then_on(
    opening: Opening, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    window = opening.window
    assert isinstance(window, Shell)
    window._looking.stop()  # the change itself finds it
    (tmp_path / "shop.bayledger").unlink()
    rename(opening, "Typed After")
    assert window.office.saved == ""
    assert "nothing is saved there any more" in window.office.trouble
    qtbot.waitUntil(lambda: page_of(opening) is not None)


@pytest.mark.parametrize("noticed", ["by the field", "by the window"])
def test_words_that_stood_in_a_field_are_told_and_told_again_in_the_saved_book(
    opening: Opening, tmp_path: Path, qtbot: QtBot, noticed: str
) -> None:
    window = opening.window
    assert isinstance(window, Shell)
    window.open("settings")
    page = window.here
    assert isinstance(page, SettingsPage)
    page.strip.open("shop", still=True)
    page.forms["shop"].focus("shop_name", select=True)
    field = page.forms["shop"].field("shop_name")
    QTest.keyClicks(field, "Far Bay")
    os.replace(tmp_path / "older", tmp_path / "shop.bayledger")
    if noticed == "by the field":
        QTest.keyClick(field, Qt.Key.Key_Tab)
    qtbot.waitUntil(lambda: page_of(opening) is not None and bool(window.office.left_out))
    lost = page_of(opening)
    assert lost is not None
    assert Voice("“Far Bay”") in lost.margin.note.blocks
    press(Qt.Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: opening.window is not window)
    after = opening.window
    assert isinstance(after, Shell)
    assert after.office.trouble.endswith("not in it: “Far Bay”.")
