"""Backups in the window: listed with what they hold, brought back by three keys, and on paper."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.actions.shop.backups import back_up, set_passphrase
from app.actions.shop.shop_settings import change_settings
from app.records.book import Book
from app.records.models import Customer
from app.window.house.shell import Shell
from app.window.opening import Opening
from app.window.paper.theme import Theme
from app.window.shop.backups_page import BackupsPage
from tests.shop import small_book
from tests.window.keys import found, press, type_words

Key = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier
PASSPHRASE = "three wet towels"


@pytest.fixture
def ring(monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """A keyring that lives as long as the test."""
    kept: dict[str, str] = {}
    monkeypatch.setattr("keyring.set_password", lambda _, who, word: kept.update({who: word}))
    monkeypatch.setattr("keyring.get_password", lambda _, who: kept.get(who))
    return kept


@pytest.fixture
def opening(
    settings: QSettings, theme: Theme, tmp_path: Path, qtbot: QtBot, ring: dict[str, str]
) -> Iterator[Opening]:
    """The window over a small shop."""
    path = tmp_path / "shop.bayledger"
    small_book(path)
    made = Opening(settings, theme)
    made.open(path)
    settle(made, qtbot)
    yield made
    if made.window is not None:
        made.window.close()
    made.close()


def shell_of(opening: Opening) -> Shell:
    assert isinstance(opening.window, Shell)
    return opening.window


def settle(opening: Opening, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: isinstance(opening.window, Shell))
    qtbot.waitUntil(lambda: not shell_of(opening).office.runner.busy)
    with qtbot.waitExposed(shell_of(opening)):
        shell_of(opening).activateWindow()


def to_the_page(opening: Opening, qtbot: QtBot) -> BackupsPage:
    """Ctrl+K and the page's name."""
    shell = shell_of(opening)
    press(Key.Key_K, CTRL)
    type_words("print how")
    found("backups", qtbot)
    press(Key.Key_Return)
    page = shell.here
    assert isinstance(page, BackupsPage)
    qtbot.waitUntil(lambda: not shell.office.runner.busy)
    return page


def add(opening: Opening, name: str) -> None:
    with shell_of(opening).office.desk.book.change("Add") as session:
        session.add(Customer(name=name))


def people(path: Path) -> set[str]:
    with Book.open(path, write=False) as book, book.reading() as session:
        return {one.name for one in session.query(Customer)}


def test_a_backup_is_made_by_its_key_and_listed_with_the_jobs_it_holds(
    opening: Opening, qtbot: QtBot
) -> None:
    change_settings(shell_of(opening).office.desk, shop_name="Lindmoor")
    page = to_the_page(opening, qtbot)
    assert page.table.rows == ()
    press(Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: len(page.table.rows) == 1)
    jobs = page.table.rows[0].cells[1].text  # type: ignore[union-attr]
    assert int(jobs) > 0
    assert f"with {jobs} jobs" in shell_of(opening).office.saved
    undone = shell_of(opening).office.next_undo()
    assert undone, "which is not the backup, and so stands there by its name"
    assert f"Undo “{undone}”" in page.foot_left.text()


def test_three_keys_bring_a_backup_back_and_keep_what_stood_there(
    opening: Opening, tmp_path: Path, qtbot: QtBot
) -> None:
    back_up(shell_of(opening).office.desk)
    add(opening, "Typed After")
    to_the_page(opening, qtbot)
    press(Key.Key_Down)
    press(Key.Key_Return)
    before = opening.desk
    assert "Put the book back to" in shell_of(opening).office.question
    assert "Typed After" in people(tmp_path / "shop.bayledger")
    press(Key.Key_Return)
    qtbot.waitUntil(lambda: opening.desk is not None and opening.desk is not before)
    settle(opening, qtbot)
    assert "Typed After" not in people(tmp_path / "shop.bayledger")
    (aside,) = tmp_path.glob("shop * before the restore.bayledger")
    assert "Typed After" in people(aside)
    add(opening, "Typed In It")  # the work goes on in it
    assert "Typed In It" in people(tmp_path / "shop.bayledger")


def test_the_question_is_for_one_backup_and_leaves_with_its_row(
    opening: Opening, qtbot: QtBot
) -> None:
    desk = shell_of(opening).office.desk
    for _ in range(2):
        back_up(desk)
    to_the_page(opening, qtbot)
    office = shell_of(opening).office
    press(Key.Key_Return)
    first = office.question
    assert first
    press(Key.Key_Down)
    assert office.question == ""
    press(Key.Key_Return)
    assert "Put the book back to" in office.question
    assert opening.desk is desk


def test_a_sealed_backup_asks_for_its_passphrase_where_the_keyring_has_no_key(
    opening: Opening, tmp_path: Path, qtbot: QtBot, ring: dict[str, str]
) -> None:
    office = shell_of(opening).office
    (tmp_path / "stick").mkdir()
    change_settings(office.desk, backup_folder=str(tmp_path / "stick"))
    set_passphrase(office.desk, PASSPHRASE, PASSPHRASE)
    back_up(office.desk, first=False)
    ring.clear()
    add(opening, "Typed After")
    page = to_the_page(opening, qtbot)
    assert page.table.rows[0].cells[3].text == "second place, sealed"  # type: ignore[union-attr]
    press(Key.Key_Return)
    assert "type the passphrase" in office.trouble
    assert QApplication.focusWidget() is page.passphrase
    type_words("three dry towels")
    press(Key.Key_Return)
    before = opening.desk
    press(Key.Key_Return)
    qtbot.waitUntil(lambda: not office.runner.busy)
    assert "The passphrase does not open" in office.trouble
    assert opening.desk is before
    add(opening, "Typed After That")  # the book was never let go

    press(Key.Key_A, CTRL)
    type_words(PASSPHRASE)
    press(Key.Key_Return)
    before = opening.desk
    press(Key.Key_Return)
    qtbot.waitUntil(lambda: opening.desk is not None and opening.desk is not before)
    settle(opening, qtbot)
    assert "The book is as it was on" in shell_of(opening).office.saved
    assert "Typed After" not in people(tmp_path / "shop.bayledger")


def test_one_that_does_not_open_says_so_and_the_book_stays(
    opening: Opening, tmp_path: Path, qtbot: QtBot
) -> None:
    made = back_up(shell_of(opening).office.desk).path
    assert made is not None
    made.write_bytes(made.read_bytes()[:5000])
    page = to_the_page(opening, qtbot)
    assert page.table.rows[0].cells[1].text == "does not open"  # type: ignore[union-attr]
    before = opening.desk
    press(Key.Key_Return)
    press(Key.Key_Return)
    office = shell_of(opening).office
    qtbot.waitUntil(lambda: not office.runner.busy)
    assert "is damaged; choose another backup" in office.trouble
    assert opening.desk is before
    assert not list(tmp_path.glob("* before the restore*"))


def test_a_restore_that_fails_half_way_opens_the_book_as_it_was(
    opening: Opening, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    back_up(shell_of(opening).office.desk)
    add(opening, "Typed After")
    to_the_page(opening, qtbot)

    def full(*_: object) -> None:
        raise OSError(28, os.strerror(28))

    before = opening.desk
    monkeypatch.setattr("app.records.storage.backup.copy_whole", full)
    press(Key.Key_Return)
    press(Key.Key_Return)
    qtbot.waitUntil(lambda: opening.desk is not None and opening.desk is not before)
    settle(opening, qtbot)
    assert "the disk is full" in shell_of(opening).office.trouble
    assert "Typed After" in people(tmp_path / "shop.bayledger")


def test_the_paper_is_one_page_with_the_line_to_type(
    opening: Opening, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    from pypdf import PdfReader

    handed: list[Path] = []
    monkeypatch.setattr("app.window.shop.backups_page.open_outside", handed.append)
    made = back_up(shell_of(opening).office.desk).path
    assert made is not None
    to_the_page(opening, qtbot)
    press(Key.Key_F7)
    qtbot.waitUntil(lambda: len(handed) == 1)
    (page,) = PdfReader(handed[0]).pages
    words = " ".join(page.extract_text().split())
    assert f'bayledger restore "{made.name}" "shop.bayledger"' in words
    assert str(made.parent) in words.replace(" ", "") or str(made.parent) in words


def test_the_second_place_and_its_passphrase_are_typed_in_the_settings(
    opening: Opening, tmp_path: Path, qtbot: QtBot, ring: dict[str, str]
) -> None:
    shell = shell_of(opening)
    desk = shell.office.desk
    (tmp_path / "stick").mkdir()
    shell.open("settings")
    press(Key.Key_0, Qt.KeyboardModifier.AltModifier)
    type_words(str(tmp_path / "no stick"))
    press(Key.Key_Tab)
    assert "put the stick in" in shell.office.trouble
    page = shell.here
    page.forms["backups"].focus("backup_folder", select=True)  # type: ignore[union-attr]
    type_words(str(tmp_path / "stick"))
    press(Key.Key_Tab)
    assert desk.settings.backup_folder == str(tmp_path / "stick")
    type_words(PASSPHRASE)
    press(Key.Key_Tab)
    type_words("three dry towels")
    press(Key.Key_Tab)
    assert "differ" in shell.office.trouble
    assert desk.settings.backup_salt == ""
    page.passphrases.again.setFocus()  # type: ignore[union-attr]
    press(Key.Key_A, CTRL)
    type_words(PASSPHRASE)
    press(Key.Key_Tab)
    assert desk.settings.backup_salt in ring
    assert back_up(desk).second.suffix == ".sealed"  # type: ignore[union-attr]
    assert page.strip.entries[9].result == "second ones sealed"  # type: ignore[union-attr]
    shutil.rmtree(tmp_path / "stick")
