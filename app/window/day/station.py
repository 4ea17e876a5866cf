"""What the six stations of the day sheet have in common."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from datetime import date
from typing import TYPE_CHECKING, Any, ClassVar

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QWidget

from app.actions.desk.desk import Changed, Desk
from app.errors import Mendable
from app.window.house.runner import Task
from app.window.paper.action import ActionRow
from app.window.paper.cells import Cell, Outcome, State
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Keys, Note

if TYPE_CHECKING:
    from app.window.day.place import DaySheet

NOTE_PAUSE = 50  # ms without moving before the margin explains


class Station(QWidget):
    """A table over a row of hints and the action. A subclass reads its view and shows it.

    `read` runs in the background: it touches nothing of the window. `show_view` runs in the
    window's thread with what `read` returned.
    """

    key = ""
    keys: Keys = ()
    letters: ClassVar[dict[str, str]] = {}  # a key of this station and the method it calls

    def __init__(self, place: DaySheet, table: EntryTable, label: str) -> None:
        super().__init__()
        self.place = place
        self.office = place.office
        self.theme = place.theme
        self.table = table
        self.label = label
        self.closed = False
        self.locked = ""  # why nothing is written here for now
        self.shown = False  # whether what stands there is what the book says now
        self._shown_of: date | None = None
        self.note = Note(keys=self.keys)
        self.row = ActionRow(self.theme, label)
        self.row.setParent(self)
        self.row.button.clicked.connect(place.primary)
        table.setParent(self)
        table.on_commit = self._commit
        table.on_restore = self._restore
        table.row_entered.connect(self._moved)
        table.past_end.connect(self.row.button.setFocus)
        table.writing_ended.connect(self._read_again)
        table.locked_out.connect(self._say_locked)
        self.row.button.other_key.connect(self._into_table)
        self._unread = ""
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(NOTE_PAUSE)
        self._pause.timeout.connect(self.explain)
        self._asked: Task | None = None

    @property
    def day(self) -> date:
        """The day on the sheet."""
        return self.office.day

    @property
    def desk(self) -> Desk:
        """The open desk."""
        return self.office.desk

    # for the subclass ----------------------------------------------------------------------
    def read(self, desk: Desk, day: date) -> Any:
        """The station's view, from the book."""
        raise NotImplementedError

    def show_view(self, view: Any) -> None:
        """Show what was read."""
        raise NotImplementedError

    def write(self, key: Hashable, column: str, text: str) -> Changed:
        """Write what was typed into the book; `Mendable` when it cannot be read."""
        raise NotImplementedError

    def put_back(self, key: Hashable, column: str) -> Changed:
        """Put the filled-in number back."""
        return self.write(key, column, "")

    def read_note(self, desk: Desk, day: date, key: Hashable, column: str) -> Any:
        """What stands behind a cell, read in the background; None when there is nothing."""
        return None

    def show_note(self, found: Any) -> Note:
        """The margin's note from what `read_note` returned."""
        return Note(self.title(), keys=self.keys)

    def title(self) -> str:
        """The note's title where nothing else is known."""
        return ""

    def confirm(self) -> bool:
        """Say that the station is right; True when the next one may be opened."""
        return self.place.confirm(self.key)

    def takes_words(self) -> bool:
        """Whether the cell with the focus takes words, so that a letter begins to write them."""
        return False

    # common --------------------------------------------------------------------------------
    def set_closed(self, closed: bool) -> None:
        """A closed day is shown and not written in."""
        self.closed = closed
        self.show_ready()

    def set_locked(self, sentence: str) -> None:
        """While the background is going to change this day it is shown and not written in."""
        self.locked = sentence
        self.table.locked = bool(sentence)
        self.show_ready()

    def show_ready(self) -> None:
        """Show whether the station can be confirmed, and why not."""
        self.row.set_ready(
            self.locked or ("This day is closed. Alt 6 opens it again." if self.closed else "")
        )

    def _say_locked(self) -> None:
        self.office.say_trouble(self.locked)

    def awaits(self) -> None:
        """What stands there is being read; that of another day is taken away."""
        self.shown = False
        if self._shown_of != self.day:
            self.table.await_rows()

    def show_read(self, view: Any) -> None:
        """Show what was read for the day."""
        self.show_view(view)
        self.shown, self._shown_of = True, self.day

    def natural_height(self, width: int) -> int:
        """The height at which nothing more is gained."""
        return self.table.natural_height(width) + self.row.height()

    def resizeEvent(self, event: QResizeEvent) -> None:
        row = self.row.height()
        room = self.table.whole_height(self.height() - row)
        self.table.setGeometry(0, 0, self.width(), room)
        self.row.setGeometry(0, self.height() - row, self.width(), row)

    def entered(self) -> None:
        """The station has been opened.

        Coming from the station before, Enter says at once that this one is right too; an arrow or
        a digit goes into the table.
        """
        button = self.row.button
        empty = self.shown and not self.table.rows
        if button.ready and (self.place.going_on or empty):
            button.setFocus()
        else:
            self.table.setFocus()
        self.place.margin.say(self.note)
        self._pause.start()

    def is_open(self) -> bool:
        """Whether this is the open station of the sheet."""
        return self.place.open_key == self.key

    def _commit(self, key: Hashable, column: str, text: str) -> Outcome:
        if self.locked:
            return Outcome(False, self.locked)
        try:
            changed = self.office.write(
                lambda: self.write(key, column, text), text, self.place.read_again
            )
        except Mendable as trouble:
            self._unread = trouble.sentence
            self.office.say_trouble(trouble.sentence)  # in full, where there is room for it
            return Outcome(False, trouble.sentence)
        row, at = self.table.entries.row_of(key), self.table.entries.column_of(column)
        if row is not None and at is not None and text:
            before = self.table.entries.cell(row, at)
            old = before.old or before.text
            self.table.patch(key, column, Cell(text, State.CHANGED, old, editable=True))
        if changed is not None:
            self.office.note(changed)
        return Outcome()

    def _restore(self, key: Hashable, column: str) -> Outcome:
        if self.closed or self.locked:
            return Outcome()
        row, at = self.table.entries.row_of(key), self.table.entries.column_of(column)
        try:
            changed = self.office.write(
                lambda: self.put_back(key, column), "", self.place.read_again
            )
        except Mendable as trouble:
            self.office.say_trouble(trouble.sentence)
            return Outcome(False)
        if row is not None and at is not None:
            before = self.table.entries.cell(row, at)
            self.table.patch(key, column, Cell(before.old, editable=True))
        if changed is not None:
            self.office.note(changed)
        return Outcome()

    def may_write(self) -> bool:
        """Whether the day may be written on; else the foot says why not."""
        if self.closed:
            self.office.say_trouble("This day is closed; reopen it to change what stands there.")
        elif self.locked:
            self._say_locked()
        return not self.closed and not self.locked

    def act(self, do: Callable[[], Any]) -> None:
        """Run an action unless the day is closed or locked."""
        if self.may_write():
            self.office.act(do)

    def _into_table(self, event: QKeyEvent) -> None:
        modified = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        if self.table.rows and not modified:
            self.place.going_on = False
            self.table.setFocus()
            copy = QKeyEvent(event.type(), event.key(), event.modifiers(), event.text())
            QApplication.sendEvent(self.table, copy)

    def _read_again(self) -> None:
        if self._unread and self.office.trouble == self._unread:
            self.office.say_trouble("")
        self._unread = ""

    # notes ---------------------------------------------------------------------------------
    def _moved(self, _key: object, _column: str) -> None:
        if self.is_open():
            self._pause.start()

    def explain(self) -> None:
        """Explain in the margin what has the focus; read in the background."""
        if not self.is_open() or not self.isVisible():
            return
        key, column = self.table.current_key(), self.table.current_column()
        desk, day = self.desk, self.day
        if self._asked is not None:
            self._asked.stop()
        if key is None:
            self._say(None)
            return
        self._asked = self.office.runner.run(
            "a note",
            lambda _task: self.read_note(desk, day, key, column),
            done=self._say,
            owner=self,
            quiet=True,
        )

    def _say(self, found: Any) -> None:
        self._asked = None
        self.note = self.show_note(found)
        if self.is_open():
            self.place.margin.say(self.note)


def closed_cell(cell: Cell) -> Cell:
    """The cell as it stands on a closed day."""
    state = State.UNUSED if cell.state is State.UNUSED else State.CLOSED
    return Cell(cell.text, state, bold=cell.bold, detail=cell.detail, mark=cell.mark, tip=cell.tip)
