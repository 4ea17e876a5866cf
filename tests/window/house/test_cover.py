"""The cover of an idle window: keys go to it and to nothing else, and nothing typed is lost."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from app.window.house import cover
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.opening import Opening
from app.window.paper.theme import Theme
from app.window.places import asides, places
from app.window.shop.cover_form import CoverForm
from app.window.shop.settings_page import SettingsPage
from tests.shop import SmallShop, new_desk
from tests.window.keys import press, type_words

Key = Qt.Key
CONTROL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
WORDS = "grey wagon"


@pytest.fixture
def shell(
    office: Office,
    shop: SmallShop,
    settings: QSettings,
    shown: Callable[[QWidget, int, int], QWidget],
    qtbot: QtBot,
) -> Iterator[Shell]:
    """The window at a customer's card."""
    made = Shell(office, places(), asides=asides(), settings=settings)
    shown(made, 1366, 768)
    made.open_item("customers", shop.customers["tolk"])
    qtbot.waitUntil(lambda: not office.runner.busy)
    yield made
    made.cover.stop()


def form_of(shell: Shell) -> CoverForm:
    shell.open("settings")
    press(Key.Key_0, ALT)
    press(Key.Key_Down, ALT)
    page = shell.here
    assert isinstance(page, SettingsPage)
    form = page.strip.made("cover")
    assert isinstance(form, CoverForm)
    return form


def field_being_written(shell: Shell) -> QLineEdit:
    shell.here.card.write_name()  # type: ignore[union-attr]
    field = QApplication.focusWidget()
    assert isinstance(field, QLineEdit)
    return field


def test_a_passphrase_is_set_by_typing_it_twice(shell: Shell, settings: QSettings) -> None:
    form = form_of(shell)
    assert QApplication.focusWidget() is form.first
    type_words(WORDS)
    press(Key.Key_Tab)
    type_words(WORDS)
    press(Key.Key_Tab)
    assert shell.cover.is_set
    assert (form.first.text(), form.again.text()) == ("", "")
    type_words("3")
    press(Key.Key_Tab)
    assert shell.cover.minutes == 3
    kept = str(settings.value(cover.KEPT))
    assert kept.startswith("scrypt:")
    assert "wagon" not in kept


@pytest.mark.parametrize(
    ("first", "again", "says"),
    [(WORDS, "gray wagon", "not the same"), ("abc", "abc", "at least 6 characters")],
)
def test_two_that_differ_or_a_short_one_are_refused(
    shell: Shell, first: str, again: str, says: str
) -> None:
    form_of(shell)
    type_words(first)
    press(Key.Key_Tab)
    type_words(again)
    press(Key.Key_Tab)
    assert says in shell.office.trouble
    assert not shell.cover.is_set


def test_after_the_minutes_it_is_covered_and_the_passphrase_opens_it(
    shell: Shell, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    monkeypatch.setattr(cover, "MINUTE", 20)
    shell.cover.set_minutes("1")
    shell.cover.set_passphrase(WORDS, WORDS)
    qtbot.waitUntil(lambda: shell.cover.is_on)
    monkeypatch.setattr(cover, "MINUTE", 60_000)
    assert shell.cover.geometry() == shell.rect()
    assert shell.childAt(shell.rect().center()) is shell.cover
    type_words("grey bus")
    press(Key.Key_Return)
    assert shell.cover.is_on
    assert "not the passphrase" in shell.cover.words
    type_words(WORDS + "x")
    press(Key.Key_Backspace)
    press(Key.Key_Return)
    assert not shell.cover.is_on


def test_what_was_being_typed_is_still_there_and_no_key_reached_it(
    shell: Shell, office: Office
) -> None:
    shell.cover.set_passphrase(WORDS, WORDS)
    field = field_being_written(shell)
    press(Key.Key_A, CONTROL)
    type_words("Mara Tolk-Ho")
    press(Key.Key_L, CONTROL)
    assert shell.cover.is_on
    undo = office.next_undo()
    for key, held in ((Key.Key_2, CONTROL), (Key.Key_K, CONTROL), (Key.Key_Z, CONTROL)):
        press(key, held)
    for key in (Key.Key_F12, Key.Key_F7, Key.Key_Tab, Key.Key_Escape):
        press(key)
    assert (shell.here_key, office.next_undo()) == ("customers", undo)
    QTest.mouseClick(shell.childAt(shell.rect().center()), Qt.MouseButton.LeftButton)
    type_words(WORDS)
    press(Key.Key_Return)
    assert not shell.cover.is_on
    assert QApplication.focusWidget() is field
    assert field.text() == "Mara Tolk-Ho"
    type_words("lm")
    press(Key.Key_Return)
    assert office.next_undo() != undo
    assert shell.here.card._page.title == "Mara Tolk-Holm"  # type: ignore[union-attr]


def test_what_runs_goes_on_under_it(shell: Shell, office: Office, qtbot: QtBot) -> None:
    shell.cover.set_passphrase(WORDS, WORDS)
    shell.cover.put_on()
    office.runner.run(
        "a backup",
        lambda _task: office.desk.book.backup(),
        done=lambda path: office.say(f"Backup made: {path}"),
        owner=shell,
    )
    qtbot.waitUntil(lambda: "Backup made" in office.saved)
    assert shell.cover.is_on


def test_a_window_of_another_size_or_scale_stays_covered(shell: Shell) -> None:
    shell.cover.set_passphrase(WORDS, WORDS)
    shell.cover.put_on()
    shell.resize(1100, 700)
    shell.theme.step_scale(1)
    QApplication.processEvents()
    assert shell.cover.geometry() == shell.rect()
    assert shell.childAt(shell.rect().center()) is shell.cover


def test_without_a_passphrase_nothing_is_covered(shell: Shell) -> None:
    press(Key.Key_L, CONTROL)
    assert not shell.cover.is_on
    assert "no passphrase yet" in shell.office.trouble
    shell.cover.set_passphrase(WORDS, WORDS)
    form_of(shell)
    press(Key.Key_F6)
    assert not shell.cover.is_set
    shell.cover.put_on()
    assert not shell.cover.is_on


def test_a_window_that_is_begun_anew_is_covered_and_the_next_book_of_an_open_one_is_not(
    settings: QSettings, theme: Theme, tmp_path: Path
) -> None:
    for name in ("one", "two"):
        new_desk(tmp_path / f"{name}.bayledger").book.close()
    opening = Opening(settings, theme)
    opening.open(tmp_path / "one.bayledger")
    assert isinstance(opening.window, Shell)
    opening.window.cover.set_passphrase(WORDS, WORDS)
    opening.open(tmp_path / "two.bayledger")
    assert isinstance(opening.window, Shell)
    assert not opening.window.cover.is_on
    opening.window.close()
    opening.close()
    again = Opening(settings, theme)
    again.open(tmp_path / "two.bayledger")
    assert isinstance(again.window, Shell)
    assert again.window.cover.is_on
    again.window.close()
    again.close()
