"""The line in a page's head whose words narrow a list that has no field of its own."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from app.window.paper.fields import LineField
from app.window.paper.listtable import ListTable
from app.window.paper.runs import Run, RunLine
from app.window.paper.theme import Theme

_TO_ROWS = (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter)


class NarrowLine(QWidget):
    """Narrows while one types; Enter and Down go to the rows, Esc shows all again.

    `left` is called when it is done with, also when its list goes out of sight.
    """

    def __init__(self, theme: Theme, table: ListTable, left: Callable[[], object]) -> None:
        super().__init__()
        self.table = table
        self._left = left
        self.field = LineField(theme, "", "words to narrow the list")
        self.field.setAccessibleName("Narrow the list")
        self._count = RunLine(theme)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.px(8))
        row.addWidget(self._count)
        row.addWidget(self.field, 1)
        self.setFocusProxy(self.field)
        self.field.textChanged.connect(self._narrow)
        self.field.installEventFilter(self)
        table.installEventFilter(self)
        self._narrow("")

    def _narrow(self, words: str) -> None:
        self.table.narrow(words)
        self._count.show_runs([Run(self.table.count_words, "unit")])

    def leave(self) -> None:
        """Show all rows again, and go."""
        self.table.removeEventFilter(self)
        self.table.narrow("")
        if self.table.isVisible():
            self.table.setFocus()
        self._left()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.table:
            if event.type() == QEvent.Type.Hide:
                self.leave()
        elif isinstance(event, QKeyEvent):
            if event.key() == Qt.Key.Key_Escape:
                if event.type() == QEvent.Type.ShortcutOverride:
                    event.accept()
                elif event.type() == QEvent.Type.KeyPress:
                    self.leave()
                return True
            if event.type() == QEvent.Type.KeyPress and event.key() in _TO_ROWS:
                self.table.setFocus()
                return True
        return super().eventFilter(watched, event)
