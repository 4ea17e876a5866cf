"""The office: what every place is given. The open desk, the theme, the runner, the day.

An action is run through `act`. What it changed goes to all places by kind; what a person can mend
is said in the foot; anything else is our bug: it is logged, and the window stays.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import date
from typing import TypeVar

from PySide6.QtCore import QObject, Signal

from app.actions.desk.desk import Changed, Desk
from app.errors import Mendable
from app.window.house.runner import BUG_SENTENCE, Runner
from app.window.paper.theme import Theme

log = logging.getLogger("bayledger.window")
T = TypeVar("T")


class Office(QObject):
    """Shared by all places of one window."""

    changed = Signal(object)  # frozenset of kinds
    day_changed = Signal(object)  # date
    spoke = Signal()  # what the foot says has changed
    go_asked = Signal(str, object)  # place key, item (or None)
    back_asked = Signal()

    def __init__(
        self, desk: Desk, theme: Theme, runner: Runner, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.desk = desk
        self.theme = theme
        self.runner = runner
        self._day = desk.today
        self.saved = ""  # what was saved last, in words
        self.trouble = ""  # a sentence for something that a person can mend
        self.question = ""  # asked beside what was typed; it is kept unless changed
        self.redoable = False

    # the day -------------------------------------------------------------------------------
    @property
    def day(self) -> date:
        """The day that the book lies open at."""
        return self._day

    def open_day(self, day: date) -> None:
        """Open the book at a day."""
        if day != self._day:
            self._day = day
            self.day_changed.emit(day)

    # doing ---------------------------------------------------------------------------------
    def act(self, do: Callable[[], T]) -> T | None:
        """Run an action. None when it was refused or failed; then the foot says why.

        What returns a `Changed` (alone, first in a tuple, or as attribute `changed`) refreshes the
        places that show those kinds.
        """
        try:
            result = do()
        except Mendable as trouble:
            self.say_trouble(trouble.sentence)
            return None
        except Exception:
            log.exception("an action failed")
            self.say_trouble(BUG_SENTENCE)
            return None
        changed = _changed_of(result)
        if changed is not None:
            self.note(changed)
        return result

    def read(self, look: Callable[[], T]) -> T | None:
        """Read something for the window; None when that failed, and the foot says why."""
        return self.act(look)

    def note(self, changed: Changed) -> None:
        """Take in what an action changed: refresh, and say it in the foot."""
        self.trouble = ""
        self.question = changed.question
        self.redoable = False
        if changed.sentence:
            self.saved = changed.sentence
        elif changed.name:
            self.saved = f"{changed.name} saved at {self.clock_time()}"
        if changed.kinds:
            self.changed.emit(frozenset(changed.kinds))
        self.spoke.emit()

    def say(self, sentence: str) -> None:
        """Say something that went well."""
        self.trouble, self.question, self.saved = "", "", sentence
        self.spoke.emit()

    def say_trouble(self, sentence: str) -> None:
        """Say what a person can mend."""
        self.trouble = sentence
        self.spoke.emit()

    def clock_time(self) -> str:
        """The shop's time as `17:54`."""
        return self.desk.clock_of(self.desk.clock())

    # undo ----------------------------------------------------------------------------------
    def next_undo(self) -> str:
        """The name of what Ctrl+Z takes back, or nothing."""
        return self.desk.book.next_undo() or ""

    def next_redo(self) -> str:
        """The name of what Ctrl+Shift+Z does again, or nothing."""
        return self.desk.book.next_redo() or ""

    def undo(self) -> None:
        """Take back the last action, by name."""
        if not self.next_undo():
            self.say("Nothing to undo")
            return
        undone = self.act(lambda: self.desk.book.undo(today=self.desk.today))
        if undone is not None:
            self._tell_undone(f"{undone.name}: undone", frozenset(undone.kinds), redoable=True)

    def redo(self) -> None:
        """Do again what was taken back."""
        if not self.next_redo():
            self.say("Nothing to do again")
            return
        done = self.act(lambda: self.desk.book.redo(today=self.desk.today))
        if done is not None:
            self._tell_undone(f"{done.name}: done again", frozenset(done.kinds), redoable=False)

    def _tell_undone(self, words: str, kinds: frozenset[str], *, redoable: bool) -> None:
        self.trouble, self.question, self.saved = "", "", words
        self.redoable = redoable
        if "settings" in kinds:
            self.desk.reload()
        self.changed.emit(kinds)
        self.spoke.emit()

    # elsewhere -----------------------------------------------------------------------------
    def go(self, place: str, item: object = None) -> None:
        """Open another place, at an item of it."""
        self.go_asked.emit(place, item)

    def go_back(self) -> None:
        """From a page beside the places to the place that it was opened from."""
        self.back_asked.emit()


def _changed_of(result: object) -> Changed | None:
    if isinstance(result, Changed):
        return result
    if isinstance(result, tuple) and result and isinstance(result[0], Changed):
        return result[0]
    inner = getattr(result, "changed", None)
    return inner if isinstance(inner, Changed) else None
