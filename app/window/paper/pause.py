"""A pause after which something is done, such as reading anew when typing rests."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer


class Pause(QTimer):
    """Does something once, so many milliseconds after it was last started."""

    def __init__(self, owner: QObject, milliseconds: int, do: Callable[[], object]) -> None:
        super().__init__(owner)
        self.setSingleShot(True)
        self.setInterval(milliseconds)
        self.timeout.connect(do)
