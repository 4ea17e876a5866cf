"""A cover over the window after some minutes without a key; a passphrase takes it off.

It hides what is shown and takes the keys. What is typed stays in its field, which keeps the focus,
and what runs in the background goes on. It is a cover and no encryption: whoever may read the
files of this account reads the book without it.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QRectF, QSettings, Qt, QTimer
from PySide6.QtGui import QInputMethodEvent, QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget

from app.errors import Mendable
from app.window.house.passphrase import fits, hashed
from app.window.paper.brush import Brush, Drawn
from app.window.paper.theme import Theme

KEPT, AFTER = "cover/passphrase", "cover/minutes"
MINUTE = 60_000  # ms
USUAL = 10  # minutes
LEAST = 6  # characters
_LONGEST = 200  # characters that are listened to
_FROM_A_HAND = (QEvent.Type.KeyPress, QEvent.Type.MouseButtonPress, QEvent.Type.Wheel)
_KEYS = (
    QEvent.Type.KeyPress, QEvent.Type.KeyRelease, QEvent.Type.ShortcutOverride,
    QEvent.Type.Shortcut, QEvent.Type.InputMethod,
)  # fmt: skip
_TITLE = "The book is covered"
_ASKS = "Type the passphrase, and Enter. What runs in the background goes on."
_WRONG = "This is not the passphrase. Type it again."


class Cover(Drawn):
    """Lies over a window. The passphrase is kept, as a hash, in the window's own settings: it is
    of this place at this computer, and not of the book, which others open elsewhere."""

    def __init__(self, window: QWidget, theme: Theme, settings: QSettings | None) -> None:
        super().__init__(theme, window)
        self._under, self._settings = window, settings
        self._typed = ""
        self.words = _ASKS
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.hide()
        self._idle = QTimer(self)
        self._idle.setSingleShot(True)
        self._idle.timeout.connect(self.put_on)
        self._follow()

    # what is wished ------------------------------------------------------------------------
    @property
    def is_set(self) -> bool:
        """Whether there is a passphrase."""
        return bool(self._read(KEPT))

    @property
    def minutes(self) -> int:
        """After how many minutes without a key it is put on."""
        kept = self._read(AFTER)
        return int(kept) if kept.isdecimal() and 1 <= int(kept) <= 600 else USUAL

    def set_passphrase(self, typed: str, again: str) -> None:
        """Keep a passphrase; `Mendable` where it was typed in two ways or is very short."""
        if typed != again:
            raise Mendable("The two are not the same; type the passphrase twice, alike.")
        if len(typed) < LEAST:
            raise Mendable(f"A passphrase has at least {LEAST} characters; take a longer one.")
        self._write(KEPT, hashed(typed))

    def take_away(self) -> None:
        """Have no passphrase, and no cover."""
        self._write(KEPT, "")

    def set_minutes(self, typed: str) -> None:
        """After how many minutes; `Mendable` for what is no such number."""
        if not typed.strip().isdecimal() or not 1 <= int(typed) <= 600:
            raise Mendable("Minutes without a key: a whole number from 1 to 600, please.")
        self._write(AFTER, typed.strip())

    def _read(self, name: str) -> str:
        return "" if self._settings is None else str(self._settings.value(name, "") or "")

    def _write(self, name: str, value: str) -> None:
        if self._settings is not None:
            self._settings.setValue(name, value)
        self._follow()

    def _follow(self) -> None:
        """Watch the hands while there is a passphrase, and only then: it costs at each event."""
        self.stop()
        if self.is_set:
            QApplication.instance().installEventFilter(self)  # type: ignore[union-attr]
            self._idle.start(self.minutes * MINUTE)

    def stop(self) -> None:
        """Watch no more."""
        self._idle.stop()
        QApplication.instance().removeEventFilter(self)  # type: ignore[union-attr]

    # on and off ----------------------------------------------------------------------------
    @property
    def is_on(self) -> bool:
        """Whether the window is covered."""
        return not self.isHidden()

    def put_on(self) -> None:
        """Cover the window, where a passphrase is there to uncover it."""
        if not self.is_set:
            return
        popup = QApplication.activePopupWidget()
        if popup is not None:
            popup.close()
        self._typed = ""
        self._say(_ASKS)
        self.lay()
        self.show()

    def lay(self) -> None:
        """Lie over everything of the window."""
        self.setGeometry(self._under.rect())
        self.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """While it is on every key is the cover's; else each is a sign that somebody is there."""
        kind = event.type()
        if self.isHidden():
            if kind in _FROM_A_HAND:
                self._idle.start(self.minutes * MINUTE)
            return False
        if kind not in _KEYS:
            return False
        if kind == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            self._press(event)
        elif kind == QEvent.Type.InputMethod and isinstance(event, QInputMethodEvent):
            self._take(event.commitString())
        event.accept()
        return True

    def _press(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._try()
        elif event.key() == Qt.Key.Key_Backspace:
            self._typed = self._typed[:-1]
        elif event.key() == Qt.Key.Key_Escape:
            self._typed = ""
        else:
            self._take(event.text())
        self.update()

    def _take(self, text: str) -> None:
        if text.isprintable():
            self._typed = (self._typed + text)[:_LONGEST]
            self.update()

    def _try(self) -> None:
        tried, self._typed = self._typed, ""
        if fits(tried, self._read(KEPT)):
            self.hide()
            self._follow()
        else:
            self._say(_WRONG)

    def _say(self, words: str) -> None:
        self.words = words
        self.setAccessibleName(f"{_TITLE}. {words}")
        self.update()

    def draw(self, brush: Brush) -> None:
        wide, high, px = self.width(), self.height(), self._theme.px
        brush.fill(0, 0, wide, high, brush.c.leaf)
        box = QRectF(wide / 2 - px(210), high / 2 - px(60), px(420), px(160))
        brush.write_wrapped("title", box, _TITLE, brush.c.ink)
        box.translate(0, px(42))
        ink = brush.c.alarm if self.words == _WRONG else brush.c.ink2
        brush.write_wrapped("voice", box, self.words, ink)
        box.translate(0, px(52))
        brush.write_wrapped("row", box, "●" * min(len(self._typed), 40), brush.c.ink)
