"""What a hand does in the window: keys and words, where the focus is."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.paper.finder import Finder


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    """One key."""
    target = QApplication.focusWidget()
    assert target is not None
    QTest.keyClick(target, key, modifier)
    QApplication.processEvents()


def type_words(words: str) -> None:
    """Words, letter by letter."""
    for letter in words:
        target = QApplication.focusWidget()
        assert target is not None
        QTest.keyClicks(target, letter)
    QApplication.processEvents()


def found(words: str, qtbot: QtBot) -> None:
    """Wait until the list that is being typed in shows what was found for these words."""
    finder = QApplication.focusWidget().parent()
    assert isinstance(finder, Finder)
    qtbot.waitUntil(lambda: bool(finder.lines) and words in finder.lines[0].text.lower())
