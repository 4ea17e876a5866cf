"""The field whose words narrow a list; letters typed on the list go into it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent

from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import LineField
from app.window.paper.pause import Pause
from app.window.paper.theme import Theme

_PLAIN = (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier)
_DOWN = (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter)


class Narrowing(LineField):
    """Reads the list anew when typing pauses; Down and Enter go from the words to the rows."""

    def __init__(
        self,
        theme: Theme,
        hint: str,
        name: str,
        table: EntryTable,
        read: Callable[[], object],
        *,
        on_enter: Callable[[], object] | None = None,
    ) -> None:
        """`name` is said to who cannot see the field; `on_enter` is what Enter does instead."""
        super().__init__(theme, "", hint)
        self.setAccessibleName(name)
        self._table = table
        self._read = read
        self._on_enter = on_enter or table.setFocus
        self._pause = Pause(self, 120, read)
        self.textChanged.connect(lambda _text: self._pause.start())

    def follow(self) -> None:
        """Take the letters that are typed on the list."""
        self._table.installEventFilter(self)

    def at_once(self) -> None:
        """Read at once."""
        self._pause.stop()
        self._read()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        plain = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier in _PLAIN
        if plain and event.key() in _DOWN:
            self.at_once()
            if event.key() == Qt.Key.Key_Down:
                self._table.setFocus()
            else:
                self._on_enter()
        else:
            super().keyPressEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            text = event.text()
            if event.modifiers() in _PLAIN and text and text.isprintable():
                self.setFocus()
                self.setText(self.text() + text)
                return True
        return super().eventFilter(watched, event)
