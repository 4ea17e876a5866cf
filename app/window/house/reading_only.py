"""A window that only reads: what stands in its fields cannot be typed over.

What is written all the same, by a key that does something, the book itself refuses.
"""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication, QLineEdit, QPlainTextEdit, QTextEdit, QWidget

from app.window.house.shell import Shell
from app.window.paper.finder import Finder


class ReadingOnly(QObject):
    """Lets nothing be typed in a window, but for what is looked for; it lives as long as that."""

    def __init__(self, window: Shell) -> None:
        super().__init__(window)
        self._window = window
        QApplication.instance().focusChanged.connect(self._moved)  # type: ignore[union-attr]

    def _moved(self, _before: QWidget | None, now: QWidget | None) -> None:
        if now is None or now.window() is not self._window or isinstance(now.parent(), Finder):
            return
        if isinstance(now, QLineEdit | QPlainTextEdit | QTextEdit) and not now.isReadOnly():
            now.setReadOnly(True)
