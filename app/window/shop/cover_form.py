"""The cover of an idle window in the settings: its passphrase, typed twice, and its minutes."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from app.errors import Mendable
from app.window.house.cover import Cover
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.paper.action import ActionRow
from app.window.paper.fields import Form, LineField
from app.window.paper.partsbody import PartsBody

TAKE_AWAY = "F6"
VOICE = (
    "After so many minutes without a key the window covers itself, and at each start; Ctrl L "
    "covers it at once. The passphrase opens it. What runs goes on, and what you typed stays.",
    "It is a cover, not encryption: whoever may read the files of this account reads the book "
    "without it. Lock the computer, and encrypt its disk, against those.",
    "Only a hash of it is kept, in the settings of this window. Nobody can tell you a passphrase "
    "that was forgotten; the guide (⇧ F1) says how to take it away.",
)


def cover_of(widget: QWidget) -> Cover | None:
    """The cover of the window that a part stands in; none where it stands in no such window."""
    window = widget.window()
    return window.cover if isinstance(window, Shell) else None


def standing(widget: QWidget) -> str:
    """What is set, in a few words."""
    cover = cover_of(widget)
    if cover is None or not cover.is_set:
        return "none"
    return f"after {cover.minutes} min"


class CoverForm(PartsBody):
    """Each field is kept when it is left; the passphrase when both fields say the same."""

    def __init__(self, office: Office, told: Callable[[], object]) -> None:
        theme = office.theme
        form = Form(theme, 3)
        form.on_leave = self._leave
        self.first = form.add("Passphrase", LineField(theme, "", "a few words"))
        self.again = form.add("Once more", LineField(theme))
        self.minutes = form.add("Minutes without a key", LineField(theme, "", "10"))
        self.row = row = ActionRow(theme, "Cover it now", "Ctrl L")
        super().__init__(theme, form, row, focus=form.first_field, gap=2)
        self._office, self._told = office, told
        for field in (self.first, self.again):
            field.setEchoMode(QLineEdit.EchoMode.Password)
        self.again.editingFinished.connect(self._keep)
        self.minutes.editingFinished.connect(self._keep_minutes)
        row.button.clicked.connect(self._put_on)
        row.set_second("Take it away", TAKE_AWAY).clicked.connect(self.take_away)

    def showEvent(self, event: QShowEvent) -> None:
        self._say_ready()

    def _say_ready(self) -> None:
        """Whether there is a passphrase that would open the cover."""
        cover = cover_of(self)
        is_set = cover is not None and cover.is_set
        self.row.set_ready("" if is_set else "No passphrase is set.")
        self.row.show_second(is_set)

    def _keep(self) -> None:
        cover, typed, again = cover_of(self), self.first.text(), self.again.text()
        if cover is None or not again:
            return
        for field in (self.first, self.again):
            field.clear()
        if self._tried(self.again, lambda: cover.set_passphrase(typed, again)):
            self._office.say(f"The window covers itself after {cover.minutes} minutes")

    def _leave(self) -> bool:
        """Say that a passphrase typed once is not kept."""
        if self.first.text():
            self._office.say_trouble("The passphrase is not kept: type it once more beside it.")
        return not self.first.text()

    def _keep_minutes(self) -> None:
        cover, typed = cover_of(self), self.minutes.text()
        if cover is None or not typed.strip():
            return
        if self._tried(self.minutes, lambda: cover.set_minutes(typed)):
            self._office.say(f"{cover.minutes} minutes without a key")

    def _tried(self, field: LineField, keep: Callable[[], None]) -> bool:
        try:
            keep()
        except Mendable as trouble:
            field.set_trouble(trouble.sentence)
            self._office.say_trouble(trouble.sentence)
            return False
        field.set_trouble("")
        self._say()
        return True

    def _say(self) -> None:
        self._say_ready()
        self._told()

    def _put_on(self) -> None:
        window = self.window()
        if isinstance(window, Shell):
            window.cover_now()

    def take_away(self) -> None:
        """Have no passphrase any more."""
        cover = cover_of(self)
        if cover is not None and cover.is_set:
            cover.take_away()
            self._say()
            self._office.say("No passphrase any more; the window stays open")
