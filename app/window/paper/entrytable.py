"""The table of the page: rows to read, and numbers that are typed over.

Keys: arrows move; a digit overwrites; Enter goes to the next cell below, Shift+Enter above; Tab to
the next cell that can be written; Esc puts the filled-in number back; F8 and Shift+F8 go to the
next and previous one worth a look; Ins adds. What cannot be read keeps the focus and says why.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import Any

from PySide6.QtCore import QModelIndex, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QApplication

from app.errors import Mendable
from app.window.paper.cells import Column, GroupRow, Outcome, State, TableRow
from app.window.paper.fields import leave_form
from app.window.paper.listtable import ListTable
from app.window.paper.page import Page
from app.window.paper.writing import Beside, Writing

Commit = Callable[[Hashable, str, str], Outcome | None]
Restore = Callable[[Hashable, str], Outcome]
_FAR_KEYS = (Qt.Key.Key_Home, Qt.Key.Key_End, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)


class EntryTable(ListTable):
    """A table whose place is told what was typed.

    `on_commit(row key, column key, text)` writes a number into the book; what it cannot read it
    says by a `Mendable`, or an `Outcome` that is not ok. `on_restore(row key, column key)` puts the
    filled-in one back. Both may refresh the table.
    """

    row_opened = Signal(object)  # Enter or double click on a row that is not written in
    add_asked = Signal()
    past_end = Signal()  # Enter on the last row
    writing_ended = Signal()
    typing = Signal(str)  # what stands in the open field, letter by letter
    locked_out = Signal()  # something was to be written while the table is locked
    cell_clicked = Signal(object, str)  # a click on a cell that is not written in

    def _begin(self) -> None:
        super()._begin()
        self.on_commit: Commit | None = None
        self.on_restore: Restore | None = None
        self.locked = False  # shown, and not written in for now
        self._writing: Writing | None = None
        self._beside = Beside(self._theme, self.viewport())
        self._beside.hide()
        self.setEditTriggers(
            QAbstractItemView.EditTrigger.AnyKeyPressed
            | QAbstractItemView.EditTrigger.EditKeyPressed
            | QAbstractItemView.EditTrigger.DoubleClicked
        )
        self.doubleClicked.connect(self._double_clicked)
        self.verticalScrollBar().valueChanged.connect(lambda _value: self._place_beside())

    def show_rows(
        self, rows: Sequence[TableRow | GroupRow], columns: Sequence[Column] | None = None
    ) -> None:
        """Show other rows; the row with the focus, and a half-written number, stay."""
        draft = self._draft()
        super().show_rows(rows, columns)
        if draft is not None and self._writing is None and self.current_key() == draft[0]:
            self._resume(draft)

    def _reshaped(self) -> None:
        self._close_writing()

    def _draft(self) -> tuple[Hashable, str, str, str] | None:
        if self._writing is None or self._delegate.editing is None:
            return None
        key = self.current_key()
        if key is None or not self._writing.isModified():
            return None
        return key, self.current_column(), self._writing.text(), self._writing.wrong

    def _resume(self, draft: tuple[Hashable, str, str, str]) -> None:
        self.edit(self.currentIndex())
        if self._writing is not None:
            self._writing.setText(draft[2])
            if draft[3]:
                self._refuse(draft[3])

    # keys ----------------------------------------------------------------------------------
    def keyboardSearch(self, search: str) -> None:
        """Letters are keys of the place, not a search."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        modified = event.modifiers() & (
            Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier
        )
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if self.takes_key(event):
            pass
        elif modified and key not in (Qt.Key.Key_Home, Qt.Key.Key_End):
            event.ignore()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            index = self.currentIndex()
            if index.isValid() and self._entries.cell(index.row(), index.column()).editable:
                if not self.move_focus("up" if shift else "down") and not shift:
                    self.past_end.emit()
            else:
                self._open_current()
        elif key == Qt.Key.Key_F8:
            self.next_worth_a_look(-1 if shift else 1)
        elif key == Qt.Key.Key_Insert:
            self.add_asked.emit()
        elif key == Qt.Key.Key_Escape:
            if not self._restore():
                event.ignore()
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.move_focus("up" if key == Qt.Key.Key_Up else "down")
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self.move_focus("left" if key == Qt.Key.Key_Left else "right", wrap=False)
        elif key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
            if not self.move_focus("right" if key == Qt.Key.Key_Tab else "left"):
                self.focusNextPrevChild(key == Qt.Key.Key_Tab)
        elif key in (Qt.Key.Key_Space, Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            if key == Qt.Key.Key_Space:
                event.ignore()
            elif self.currentIndex().isValid():
                self.edit(self.currentIndex())
        else:
            super().keyPressEvent(event)
            if key in _FAR_KEYS:
                self._stand_where_written(last=key == Qt.Key.Key_End)

    def _stand_where_written(self, *, last: bool) -> None:
        """Off a cell that is only read, in a row that is written in: digits would go nowhere."""
        index = self.currentIndex()
        columns = range(len(self._entries.columns))
        cell = self._entries.cell
        if index.isValid() and not cell(index.row(), index.column()).editable:
            for at in reversed(columns) if last else columns:
                if cell(index.row(), at).editable:
                    self._set_current(index.row(), at)
                    return

    # writing -------------------------------------------------------------------------------
    def edit(self, *args: Any) -> Any:
        """Begin to write in a cell (Qt calls this for each trigger)."""
        if self.locked:
            if len(args) < 3 or args[1] & self.editTriggers():
                self.locked_out.emit()
            return False
        began = super().edit(*args)
        field = self._delegate.field
        if field is not None and field is not self._writing:
            self._writing = field
            field.finished.connect(self._field_finished)
            field.restore_asked.connect(self._field_restored)
            field.textChanged.connect(self._beside.hide)
            field.textChanged.connect(self.typing.emit)
            self._update_row(self.currentIndex().row())
        return began

    def write_in(self, key: Hashable, column: str) -> None:
        """Give a cell the focus and begin to write in it."""
        self.setFocus()
        if self.go(key, column):
            self.edit(self.currentIndex())

    def begin_typing(self, text: str) -> None:
        """Begin to write in the cell with the focus, with `text` as the first that is typed."""
        if self.currentIndex().isValid():
            self.edit(self.currentIndex())
        if self._writing is not None:
            self._writing.insert(text)
            self._writing.setModified(True)

    @property
    def writing(self) -> Writing | None:
        """The field that is open now."""
        return self._writing

    def finish(self, where: str = "stay") -> bool:
        """Write what stands in the open field; False when it cannot be read (the field stays)."""
        field = self._writing
        if field is None:
            return True
        key, column = self.current_key(), self.current_column()
        index = self.currentIndex()
        text = field.text().strip()
        cell = self._entries.cell(index.row(), index.column())
        if (
            not field.unconfirmed
            and text != cell.text
            and self.on_commit is not None
            and key is not None
        ):
            field.setModified(False)  # a refresh during the commit must not reopen the field
            try:
                outcome = self.on_commit(key, column, text) or Outcome()
            except Mendable as trouble:
                outcome = Outcome(False, trouble.sentence)
            if not outcome.ok:
                self._refuse(outcome.sentence)
                return False
        self._close_writing()
        if key is not None and self._entries.row_of(key) is not None:
            self.go(key, column)
        if where != "stay":
            self.setFocus()
            if not self.move_focus(where) and where == "down":
                self.past_end.emit()
        return True

    def _refuse(self, sentence: str) -> None:
        if self._writing is None:
            return
        self._writing.setModified(True)
        self._writing.refuse(sentence)
        self._writing.hold_focus()
        self._beside.sentence = sentence
        self._place_beside()
        self._beside.show()
        self._beside.raise_()
        self._beside.update()

    def _place_beside(self) -> None:
        if self._writing is None:
            self._beside.hide()
            return
        index = self.currentIndex()
        top = self.rowViewportPosition(index.row())
        bottom = top + self.rowHeight(index.row())
        at, room = index.column(), self.viewport()
        least = self._theme.px(220)
        right = self.columnViewportPosition(at) + self.columnWidth(at)
        left = self._names_end(at)
        if right - left < least:  # little room between names and field: to the right of it too
            right = min(room.width(), left + least)
        self._beside.lay(min(left, max(0, right - least)), right, top, bottom, room.height())

    def _names_end(self, column: int) -> int:
        """Where the words before a field end: what is said of it covers no name."""
        before = [
            at
            for at, one in enumerate(self._entries.columns[:column])
            if not (one.right or one.unit)
        ]
        if not before:
            return self.columnViewportPosition(column)
        return self.columnViewportPosition(before[-1]) + self.columnWidth(before[-1])

    def _field_finished(self, where: str) -> None:
        if self.finish(where) and where == "stay":
            self.viewport().update()

    def _field_restored(self) -> None:
        field = self._writing
        if field is None:
            return
        self._close_writing()
        self.setFocus()
        self._restore()

    def takes_escape(self) -> bool:
        """Whether the cell with the focus can be put back as it was filled in."""
        index = self.currentIndex()
        if not index.isValid() or self.on_restore is None:
            return super().takes_escape()
        cell = self._entries.cell(index.row(), index.column())
        return bool(cell.old) or cell.state is State.CHANGED or super().takes_escape()

    def _restore(self) -> bool:
        key = self.current_key()
        if key is None or self.on_restore is None or not self.takes_escape():
            return False
        self.on_restore(key, self.current_column())
        return True

    def _close_writing(self) -> None:
        field, self._writing = self._writing, None
        self._delegate.editing = self._delegate.field = None
        self._beside.hide()
        if field is not None:
            field.blockSignals(True)
            self.closeEditor(field, self._delegate.EndEditHint.NoHint)
            self.viewport().update()
            self.writing_ended.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place_beside()

    # mouse ---------------------------------------------------------------------------------
    def mousePressEvent(self, event: QMouseEvent) -> None:
        if not self.finish():
            return
        index = self.indexAt(event.position().toPoint())
        super().mousePressEvent(event)
        if index.isValid() and not self._entries.cell(index.row(), index.column()).editable:
            line = self._entries.rows[index.row()]
            if isinstance(line, TableRow):
                self.cell_clicked.emit(line.key, self._entries.columns[index.column()].key)
            if isinstance(line, TableRow) and any(cell.editable for cell in line.cells):
                self._set_current(index.row(), self._first_column(index.row()))

    def _double_clicked(self, index: QModelIndex) -> None:
        if not self._entries.cell(index.row(), index.column()).editable:
            QTimer.singleShot(0, self, self._open_current)

    def _open_current(self) -> None:
        if self.current_key() is not None:
            self.row_opened.emit(self.current_key())


def finish_writing() -> bool:
    """Write what stands in the field with the focus, wherever it is; False when it is refused.

    Then the page that the field stands on says how to get out of it. A form may be left as it is:
    what it did not save stays in it, and it says so.
    """
    leave_form()
    widget = QApplication.focusWidget()
    if isinstance(widget, Writing):
        parent = widget.parentWidget()
        table = parent.parentWidget() if parent is not None else None
        if isinstance(table, EntryTable) and not table.finish():
            page = table.parentWidget()
            while page is not None and not isinstance(page, Page):
                page = page.parentWidget()
            if page is not None:
                page.say_held(widget.wrong)
                once = Qt.ConnectionType.SingleShotConnection
                table.writing_ended.connect(page.say_free, once)
            return False
    return True
