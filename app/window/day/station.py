"""What the six stations of the day sheet have in common."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Concatenate, ParamSpec

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QWidget

from app.actions.desk.desk import Changed, Desk
from app.errors import Mendable
from app.window.house.acting import on_day
from app.window.house.runner import Task
from app.window.paper.action import ActionRow
from app.window.paper.cells import Cell, Column, EmptyText, Outcome, State
from app.window.paper.entrytable import EntryTable
from app.window.paper.finder import FoundLine
from app.window.paper.notes import Keys, Note
from app.window.paper.pause import Pause

if TYPE_CHECKING:
    from app.window.day.place import DayPlace

P = ParamSpec("P")
NEW_BOOK_KEYS: Keys = (
    ("Alt 1–3", "a step"),
    ("Ins", "add a file"),
    ("Del", "pass the step, or take it up again"),
    ("Ctrl Del", "pass all that are left"),
)
NOTE_PAUSE = 50  # ms without moving before the margin explains


class Station(QWidget):
    """A table over a row of hints and the action. A subclass shows what `read(desk, day)` gives.

    `read` runs in the background: it touches nothing of the window. `show_view` runs in the
    window's thread with what it returned.
    """

    key = ""
    title = ""  # the note's title where nothing else is known
    keys: Keys = ()
    columns: tuple[Column, ...] = ()
    letters: ClassVar[dict[str, str]] = {}  # a key of this station and the method it calls
    quick = False  # whether it is read within a turn of the event loop, on ten years too

    def __init__(
        self,
        place: DayPlace,
        label: str,
        read: Callable[[Desk, date], Any],
        empty: EmptyText,
        *,
        head: bool = True,
    ) -> None:
        super().__init__()
        self.place = place
        self.office = place.office
        self.desk = place.office.desk
        self.read = read
        # What the window's thread may read, while the background is busy for long.
        self.read_here: Callable[[Desk, date], Any] | None = read
        self.closed = False
        self.locked = ""  # why nothing is written here for now
        self.shown = False  # whether what stands there is what the book says now
        self.note = Note(keys=self.keys)
        self.table = EntryTable(
            place.theme, self.columns, rows_to=32 if head else 30, head=head, empty=empty
        )
        self.table.setParent(self)
        self.table.on_commit = self._commit
        self.table.on_restore = self._restore
        self.table.row_entered.connect(self._moved)
        self.table.writing_ended.connect(self._read_again)
        self.table.locked_out.connect(lambda: self.office.say_trouble(self.locked))
        self.row = ActionRow(place.theme, label)
        self.row.setParent(self)
        self.row.button.clicked.connect(place.primary)
        self.row.button.other_key.connect(self._into_table)
        self.table.past_end.connect(self.row.button.setFocus)
        self._unread = ""
        self._asked_at: tuple[Hashable, str] | None = None  # the cell written last
        self._pause = Pause(self, NOTE_PAUSE, self.explain)
        self._asked: Task | None = None

    @property
    def day(self) -> date:
        return self.office.day

    # for the subclass ----------------------------------------------------------------------
    def show_view(self, view: Any) -> None:
        raise NotImplementedError

    def write(self, key: Hashable, column: str, text: str) -> Changed:
        """Write what was typed into the book; `Mendable` when it cannot be read."""
        raise NotImplementedError

    def put_back(self, key: Hashable, column: str) -> Changed:
        return self.write(key, column, "")

    def read_note(self, desk: Desk, day: date, key: Hashable, column: str) -> Any:
        """What the note needs to know of a cell, read in the background: its row, as a rule."""
        return key

    def show_note(self, found: Any) -> Note:
        """The margin's note from what `read_note` returned."""
        return Note(self.title, keys=self.keys)

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

    def forget(self) -> None:
        """Another day is shown: take away what stands here, so that nothing is typed into it."""
        self.shown = False
        self.table.await_rows()

    def show_ready(self) -> None:
        """Show whether the station can be confirmed, and why not."""
        self.row.set_ready(
            self.locked or ("This day is closed. Alt 6 opens it again." if self.closed else "")
        )

    def awaits(self) -> None:
        """What stands there is being read again."""
        self.shown = False

    def show_read(self, view: Any) -> None:
        """Show what was read for the day."""
        self.show_view(view)
        self.shown = True

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

        When the day opens, its table has the focus. Coming from the station before, Enter says at
        once that this one is right too; an arrow or a digit goes into the table.
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
        return self.place.open_key == self.key

    def _commit(self, key: Hashable, column: str, text: str) -> Outcome:
        if self.locked:
            return Outcome(False, self.locked)

        def typed(before: Cell) -> Cell:
            old = before.old or before.text
            return Cell(text, State.CHANGED, old=old, editable=True) if text else before

        refusal = self._write(key, column, text, partial(self.write, key, column, text), typed)
        if refusal:
            self._unread = refusal
        return Outcome(not refusal, refusal)

    def _restore(self, key: Hashable, column: str) -> Outcome:
        if self.closed or self.locked:
            return Outcome()

        def filled(before: Cell) -> Cell:
            return Cell(before.old, editable=True)

        refusal = self._write(key, column, "", partial(self.put_back, key, column), filled)
        return Outcome(not refusal)

    def _write(
        self,
        key: Hashable,
        column: str,
        text: str,
        do: Callable[[], Changed],
        now: Callable[[Cell], Cell],
    ) -> str:
        """Write, and show the cell as it is `now`; what is refused is also said in the foot."""
        try:
            changed = self.office.write(do, text, self.place.read_again)
        except Mendable as trouble:
            self.office.say_trouble(trouble.sentence)
            return trouble.sentence
        entries = self.table.entries
        row, at = entries.row_of(key), entries.column_of(column)
        if row is not None and at is not None:
            self.table.patch(key, column, now(entries.cell(row, at)))
        if changed is not None:
            self.office.note(changed)
            self._asked_at = (key, column)
        return ""

    def asked_here(self) -> str:
        """What is asked about the cell with the focus; nothing of another's."""
        here = (self.table.current_key(), self.table.current_column())
        return self.office.question if here == self._asked_at else ""

    def may_write(self) -> bool:
        """Whether the day may be written on; else the foot says why not."""
        if self.closed:
            self.office.say_trouble("This day is closed; reopen it to change what stands there.")
        elif self.locked:
            self.office.say_trouble(self.locked)
        return not self.closed and not self.locked

    def act(
        self, do: Callable[Concatenate[Desk, date, P], object], *args: P.args, **more: P.kwargs
    ) -> None:
        """Do something with the book on this day, unless it is closed or locked."""
        if self.may_write():
            on_day(self.office, do, *args, **more)

    def choose(self, hint: str, lines: Sequence[FoundLine], most: int | None = None) -> None:
        """Let the person choose one by words of its name or of what stands beside it."""

        def look_up(text: str) -> Sequence[FoundLine]:
            low = text.lower()
            return [one for one in lines if low in f"{one.text} {one.detail}".lower()][:most]

        self.place.pick(hint, look_up)

    def write_files(self, name: str, out: Path, work: Callable[[Task], Sequence[Path]]) -> None:
        """Write files into a folder in the background, then say how many."""
        self.office.runner.run(
            name,
            work,
            done=lambda files: self.office.say(f"{len(files)} files written to {out}"),
            failed=self.office.say_trouble,
            owner=self,
        )

    def write_in(self, key: Hashable, column: str) -> None:
        """Put the cursor into a cell of a row that was just added."""
        self.place.strip.relay()
        self.table.setFocus()
        self.table.go(key, column)
        self.table.scrollTo(self.table.currentIndex())
        QTimer.singleShot(0, self, lambda: self.table.edit(self.table.currentIndex()))

    def as_shown(self, cell: Cell) -> Cell:
        """The cell as it stands on this day: on a closed one it is not written in."""
        if not self.closed:
            return cell
        state = State.UNUSED if cell.state is State.UNUSED else State.CLOSED
        return replace(cell, state=state, old="", unit="", editable=False, data=None)

    def _into_table(self, event: QKeyEvent) -> None:
        modified = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        if event.key() == Qt.Key.Key_Insert and not modified and not self.table.rows:
            self.table.add_asked.emit()
        elif self.table.rows and not modified:
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
