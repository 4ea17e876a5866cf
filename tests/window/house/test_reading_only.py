"""A second window looks at a book that is open elsewhere: it reads all, and can change nothing."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from app.records.book import Book
from app.records.contents import contents
from app.records.models import Customer
from app.window.house.first_run import FirstRun
from app.window.house.office import READING
from app.window.house.shell import Shell
from app.window.opening import Opening
from app.window.paper.theme import Theme
from tests.shop import SmallShop
from tests.window.keys import found, press

CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier


@pytest.fixture
def written(shop_book: tuple[Path, SmallShop], tmp_path: Path) -> Iterator[Book]:
    """The small shop's book in a folder of its own, open elsewhere, with a change in its log."""
    folder = tmp_path / "share"
    folder.mkdir()
    shutil.copyfile(shop_book[0], folder / "shop.bayledger")
    with Book.open(folder / "shop.bayledger") as book:
        with book.load() as session:
            session.add(Customer(name="Bram Justnow"))
        yield book


@pytest.fixture
def opening(settings: QSettings, theme: Theme, qtbot: QtBot) -> Iterator[Opening]:
    made = Opening(settings, theme)
    yield made
    if made.window is not None:
        made.window.close()
    made.close()


def as_it_lies(folder: Path) -> dict[str, tuple[bytes, int]]:
    """What lies beside the book: bytes and times."""
    return {
        path.name: (path.read_bytes() if "-shm" not in path.name else b"", path.stat().st_mtime_ns)
        for path in folder.iterdir()
    }


def shown(opening: Opening, qtbot: QtBot) -> Shell:
    qtbot.waitUntil(lambda: isinstance(opening.window, Shell))
    window = opening.window
    assert isinstance(window, Shell)
    window.activateWindow()
    qtbot.waitUntil(lambda: not window.office.runner.busy)
    return window


def foot(window: Shell) -> str:
    assert window.here is not None
    return window.here.foot_left.text()


def test_a_book_open_elsewhere_is_read_from_the_page_that_says_so(
    opening: Opening, written: Book, qtbot: QtBot
) -> None:
    before = as_it_lies(written.path.parent)
    opening.begin(written.path)
    page = opening.window
    assert isinstance(page, FirstRun)
    qtbot.waitUntil(page.isActiveWindow)
    QTest.keyClick(page, Qt.Key.Key_Return, CTRL)
    window = shown(opening, qtbot)
    assert READING in foot(window)
    assert "for reading" in window.windowTitle()
    with window.office.desk.book.reading() as session:
        assert "Bram Justnow" in {one.name for one in session.query(Customer)}
    for number in range(6):
        press(Qt.Key(Qt.Key.Key_1 + number), CTRL)
        qtbot.waitUntil(lambda: not window.office.runner.busy)
        assert READING in foot(window) or window.office.trouble == ""
    window.close()
    opening.close()
    assert as_it_lies(written.path.parent) == before


def test_nothing_can_be_typed_and_nothing_is_changed(
    opening: Opening, written: Book, qtbot: QtBot
) -> None:
    opening.begin(written.path, reading=True)
    window = shown(opening, qtbot)
    there = contents(written)
    with Book.open(written.path, write=False) as reader:
        assert contents(reader) == there
    looked = window.office.desk.book
    before = contents(looked)
    for station in "123456":
        QTest.keyClick(window, Qt.Key(ord(station)), ALT)
        for key in [
            "7",
            "Return",
            "Space",
            "X",
            "N",
            "B",
            "Delete",
            "F2",
            "7",
            "Return",
            "Down",
            "9",
            "Tab",
            "Escape",
        ]:
            code = Qt.Key[f"Key_{key}"]
            press(code)
        press(Qt.Key.Key_Return, CTRL)
    press(Qt.Key.Key_Z, CTRL)
    window.office.go("settings")
    fields = [one for one in window.findChildren(QLineEdit) if one.isVisible()]
    assert fields
    for field in fields:
        typed = field.text()
        field.setFocus()
        QTest.keyClicks(field, "Other")
        assert field.text() == typed
    qtbot.waitUntil(lambda: not window.office.runner.busy)
    assert contents(looked) == before
    assert contents(written) == there


def test_find_anything_is_typed_in_all_the_same(
    opening: Opening, written: Book, qtbot: QtBot
) -> None:
    opening.begin(written.path, reading=True)
    window = shown(opening, qtbot)
    press(Qt.Key.Key_K, CTRL)
    QTest.keyClicks(QApplication.focusWidget(), "Justnow")
    found("justnow", qtbot)
    assert window.finder.field.text() == "Justnow"


def test_it_is_read_anew_and_opened_for_writing_when_it_is_free(
    opening: Opening, written: Book, qtbot: QtBot
) -> None:
    opening.begin(written.path, reading=True)
    shown(opening, qtbot)
    with written.load() as session:
        session.add(Customer(name="Cosmo Later"))
    assert opening.look(written.path)
    window = shown(opening, qtbot)
    with window.office.desk.book.reading() as session:
        assert "Cosmo Later" in {one.name for one in session.query(Customer)}
    assert not opening.open(written.path)
    assert "is open in another window" in opening.window.office.trouble  # type: ignore[union-attr]
    written.close()
    assert opening.open(written.path)
    assert shown(opening, qtbot).office.reading == ""


def test_the_book_of_this_window_is_not_looked_at_beside_itself(
    opening: Opening, written: Book, qtbot: QtBot
) -> None:
    written.close()
    opening.begin(written.path)
    window = shown(opening, qtbot)
    assert not opening.look(written.path)
    assert window.office.trouble == "shop.bayledger is open here, and can be changed."


@pytest.mark.skipif(os.name == "nt", reason="rights are those of Unix")
def test_a_book_in_a_folder_without_the_right_to_write_is_read(
    opening: Opening, written: Book, qtbot: QtBot
) -> None:
    written.close()
    folder = written.path.parent
    folder.chmod(0o500)
    written.path.chmod(0o400)
    try:
        opening.begin(written.path, reading=True)
        assert READING in foot(shown(opening, qtbot))
    finally:
        folder.chmod(0o700)
