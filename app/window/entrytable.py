"""The table of the page: rows to read, and numbers that are typed over.

Keys: arrows move; a digit overwrites; Enter goes to the next cell below, Shift+Enter above; Tab to
the next cell that can be written; Esc puts the filled-in number back; F8 and Shift+F8 go to the
next and previous one worth a look; Ins adds. What cannot be read keeps the focus and says why.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import Any

from PySide6.QtCore import QEvent, QModelIndex, Qt, QTimer, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractItemView, QApplication, QTableView, QToolTip, QWidget

from app.window.cells import (
    WORTH_A_LOOK,
    Cell,
    Column,
    EmptyText,
    GroupRow,
    Outcome,
    State,
    TableRow,
)
from app.window.columnfit import fit_columns
from app.window.emptypage import EmptyPage
from app.window.entrydelegate import EntryDelegate
from app.window.entryhead import HEAD_HEIGHT, EntryHead
from app.window.entrymodel import EntryModel, Index
from app.window.theme import Theme
from app.window.writing import Beside, Writing

Commit = Callable[[Hashable, str, str], Outcome]
Restore = Callable[[Hashable, str], Outcome]


class EntryTable(QTableView):
    """A table over `EntryModel`; its place hands it rows and is told what was typed.

    `on_commit(row key, column key, text)` writes a number into the book and returns an `Outcome`;
    `on_restore(row key, column key)` puts the filled-in one back. Both may refresh the table.
    """

    row_entered = Signal(object, str)  # row key and column key of the cell with the focus
    row_opened = Signal(object)  # Enter or double click on a row that is not written in
    add_asked = Signal()
    past_end = Signal()  # Enter on the last row
    writing_ended = Signal()
    cell_clicked = Signal(object, str)  # a click on a cell that is not written in

    def __init__(
        self,
        theme: Theme,
        columns: Sequence[Column],
        *,
        rows_from: int = 25,
        rows_to: int = 32,
        head: bool = True,
        parent: QWidget | None = None,
    ) -> None:
        """`rows_from` and `rows_to` are the least and greatest height of a row at scale 1.

        Without a `head` the table begins with its first row.
        """
        super().__init__(parent)
        self._theme = theme
        self._from, self._to = rows_from, rows_to
        self._head = theme.px(HEAD_HEIGHT) if head else 0
        self.on_commit: Commit | None = None
        self.on_restore: Restore | None = None
        self._writing: Writing | None = None
        self._wish = -1
        self._empty: EmptyPage | None = None
        self._empty_text: EmptyText | None = None
        self._entries = EntryModel(columns, self)
        self._delegate = EntryDelegate(theme, self)
        self._beside = Beside(theme, self.viewport())
        self._beside.hide()
        self.setModel(self._entries)
        self.setItemDelegate(self._delegate)
        self.setHorizontalHeader(EntryHead(theme, self._entries, self))
        self.horizontalHeader().setVisible(head)
        self.verticalHeader().hide()
        self.verticalHeader().setMinimumSectionSize(1)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setCornerButtonEnabled(False)
        self.setTabKeyNavigation(False)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.setEditTriggers(
            QAbstractItemView.EditTrigger.AnyKeyPressed
            | QAbstractItemView.EditTrigger.EditKeyPressed
            | QAbstractItemView.EditTrigger.DoubleClicked
        )
        self.doubleClicked.connect(self._double_clicked)
        theme.recoloured.connect(self.viewport().update)
        theme.recoloured.connect(self.horizontalHeader().viewport().update)

    # rows ----------------------------------------------------------------------------------
    @property
    def rows(self) -> tuple[TableRow | GroupRow, ...]:
        """What is shown."""
        return self._entries.rows

    @property
    def entries(self) -> EntryModel:
        """The model."""
        return self._entries

    def show_rows(
        self, rows: Sequence[TableRow | GroupRow], columns: Sequence[Column] | None = None
    ) -> None:
        """Show other rows; the row with the focus, and a half-written number, stay."""
        key, column = self.current_key(), self.current_column()
        draft = self._draft()
        reshaped = self._entries.replace(rows, columns)
        if reshaped:
            self._close_writing()
            self._lay_spans()
            self._lay_columns()
            self._lay_rows()
            if key is not None and self._entries.row_of(key) is not None:
                self.go(key, column)
            elif self._first_row() is not None:
                at = self._first_row()
                assert at is not None
                self._set_current(at, self._first_column(at))
            if draft is not None and self.current_key() == draft[0]:
                self._resume(draft)
        self._show_empty()
        self.viewport().update()
        self.updateGeometry()

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

    def patch(self, key: Hashable, column: str, cell: Cell) -> None:
        """Show one cell otherwise until the next rows come (what was typed, at once)."""
        at, row = self._entries.column_of(column), self._entries.row_of(key)
        if at is not None and row is not None:
            self._entries.patch(row, at, cell)

    def teach_when_empty(self, text: EmptyText) -> None:
        """What to say when there are no rows."""
        self._empty_text = text
        self._show_empty()

    def _show_empty(self) -> None:
        if self._empty_text is None or self._entries.rows:
            if self._empty is not None:
                self._empty.hide()
            return
        if self._empty is None:
            self._empty = EmptyPage(self._theme, self._empty_text, self)
        self._empty.teach(self._empty_text)
        width = self.width()
        top = self._head + self._theme.px(4)
        self._empty.setGeometry(0, top, width, self._empty.natural_height(width))
        self._empty.show()

    # measures ------------------------------------------------------------------------------
    def _count(self) -> tuple[int, int]:
        groups = sum(1 for row in self._entries.rows if isinstance(row, GroupRow))
        return len(self._entries.rows) - groups, groups

    def natural_height(self, width: int = 0, *, least: bool = False) -> int:
        """The height at which every row has its greatest (or `least`) height."""
        rows, groups = self._count()
        high = self._theme.px(self._from if least else self._to)
        if not rows and self._empty is not None:
            body = self._empty.natural_height(width or self.width()) + self._theme.px(8)
        else:
            body = (rows + groups) * high + groups * self._theme.px(6)
        return self._head + body + self._theme.px(1)

    def whole_height(self, most: int) -> int:
        """The greatest height up to `most` at which no row is cut at the bottom edge."""
        least = self._theme.px(self._from)
        room, used = most - self._head - 1, 0
        for row in self._entries.rows:
            tall = least + (self._theme.px(6) if isinstance(row, GroupRow) else 0)
            if used + tall > room:
                return self._head + 1 + used if used else most
            used += tall
        return most

    def row_height(self) -> int:
        """The height of a plain row as laid out now."""
        return self.verticalHeader().defaultSectionSize()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay_columns()
        self._lay_rows()
        self._show_empty()
        self._place_beside()

    def _lay_rows(self) -> None:
        rows, groups = self._count()
        px = self._theme.px
        least, most = px(self._from), px(self._to)
        high = most
        if rows + groups:
            room = self.height() - self._head - 1 - groups * px(6)
            high = max(least, min(most, room // (rows + groups)))

        header = self.verticalHeader()
        header.setDefaultSectionSize(high)
        if groups:
            for at, row in enumerate(self._entries.rows):
                if isinstance(row, GroupRow):
                    self.setRowHeight(at, high + px(6))

    def _lay_spans(self) -> None:
        """A row of one cell runs over all columns."""
        self.clearSpans()
        count = len(self._entries.columns)
        for at, row in enumerate(self._entries.rows):
            if isinstance(row, TableRow) and len(row.cells) == 1 and count > 1:
                self.setSpan(at, 0, 1, count)

    def _lay_columns(self) -> None:
        header = self.horizontalHeader()
        widths = fit_columns(self._entries.columns, self.viewport().width(), self._theme.px)
        for at, width in enumerate(widths):
            header.resizeSection(at, width)

    # where the focus is --------------------------------------------------------------------
    def current_key(self) -> Hashable | None:
        """The key of the row with the focus."""
        at = self.currentIndex().row()
        return self._entries.rows[at].key if 0 <= at < len(self._entries.rows) else None

    def current_column(self) -> str:
        """The key of the column with the focus."""
        at = self.currentIndex().column()
        return self._entries.columns[at].key if 0 <= at < len(self._entries.columns) else ""

    def go(self, key: Hashable, column: str = "") -> bool:
        """Give a row the focus; returns whether it is there."""
        row = self._entries.row_of(key)
        if row is None:
            return False
        at = self._entries.column_of(column)
        self._set_current(row, at if at is not None else self._first_column(row))
        return True

    def _set_current(self, row: int, column: int) -> None:
        self.setCurrentIndex(self._entries.index(row, column))

    def _first_row(self) -> int | None:
        for at, row in enumerate(self._entries.rows):
            if isinstance(row, TableRow):
                return at
        return None

    def _fit_column(self, row: int, wish: int) -> int:
        """The wished column, or the row's first that can be written where that one cannot."""
        if self._entries.cell(row, wish).editable:
            return wish
        first = self._first_column(row)
        return first if self._entries.cell(row, first).editable else wish

    def _first_column(self, row: int) -> int:
        for at in range(len(self._entries.columns)):
            if self._entries.cell(row, at).editable:
                return at
        return 0

    def currentChanged(self, current: Index, previous: Index) -> None:
        super().currentChanged(current, previous)
        for index in (current, previous):
            if index.isValid():
                self._update_row(index.row())
        self._wish = -1
        if current.isValid():
            self.row_entered.emit(self.current_key(), self.current_column())

    def _update_row(self, row: int) -> None:
        top, high = self.rowViewportPosition(row), self.rowHeight(row)
        self.viewport().update(0, top, self.viewport().width(), high)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if not self.currentIndex().isValid():
            first = self._first_row()
            if first is not None:
                self._set_current(first, self._first_column(first))
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.viewport().update()

    # keys ----------------------------------------------------------------------------------
    def keyboardSearch(self, search: str) -> None:
        """Letters are keys of the place, not a search."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        modified = event.modifiers() & (
            Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier
        )
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if modified and key not in (Qt.Key.Key_Home, Qt.Key.Key_End):
            event.ignore()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            index = self.currentIndex()
            if index.isValid() and self._entries.cell(index.row(), index.column()).editable:
                if not self.move_focus("up" if shift else "down") and not shift:
                    self.past_end.emit()
            elif self.current_key() is not None:
                self.row_opened.emit(self.current_key())
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

    def move_focus(self, where: str, *, wrap: bool = True) -> bool:
        """To the next cell up, down, left or right that is fit for it; False at the edge."""
        index = self.currentIndex()
        if not index.isValid():
            return False
        rows = len(self._entries.rows)
        if where in ("up", "down"):
            step = -1 if where == "up" else 1
            at = index.row() + step
            while 0 <= at < rows and isinstance(self._entries.rows[at], GroupRow):
                at += step
            if not 0 <= at < rows:
                return False
            wish = self._wish if self._wish >= 0 else index.column()
            self._set_current(at, self._fit_column(at, wish))
            self._wish = wish  # the column to come back to after a row that has nothing there
            return True
        step = -1 if where == "left" else 1
        row, column = index.row(), index.column() + step
        while 0 <= row < rows:
            while 0 <= column < len(self._entries.columns):
                if self._entries.cell(row, column).editable:
                    self._set_current(row, column)
                    return True
                column += step
            if not wrap:
                return False
            row += step
            column = 0 if step > 0 else len(self._entries.columns) - 1
        return False

    def next_worth_a_look(self, step: int = 1) -> bool:
        """To the next cell that is filled in from few jobs, low, or wrong; around the end."""
        spots = [
            (row, column)
            for row, line in enumerate(self._entries.rows)
            if isinstance(line, TableRow)
            for column, cell in enumerate(line.cells)
            if cell.state in WORTH_A_LOOK
        ]
        if not spots:
            return False
        here = (self.currentIndex().row(), self.currentIndex().column())
        if step > 0:
            chosen = next((spot for spot in spots if spot > here), spots[0])
        else:
            chosen = next((spot for spot in reversed(spots) if spot < here), spots[-1])
        self.setFocus()
        self._set_current(*chosen)
        return True

    # writing -------------------------------------------------------------------------------
    def edit(self, *args: Any) -> Any:
        """Begin to write in a cell (Qt calls this for each trigger)."""
        began = super().edit(*args)
        field = self._delegate.field
        if field is not None and field is not self._writing:
            self._writing = field
            field.finished.connect(self._field_finished)
            field.restore_asked.connect(self._field_restored)
            field.textChanged.connect(self._beside.hide)
            self._update_row(self.currentIndex().row())
        return began

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
        outcome = Outcome()
        if text != cell.text and self.on_commit is not None and key is not None:
            field.setModified(False)  # a refresh during the commit must not reopen the field
            outcome = self.on_commit(key, column, text)
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
        left = self.columnViewportPosition(index.column())
        top = self.rowViewportPosition(index.row())
        start = self._theme.px(3)
        self._beside.setGeometry(start, top, max(left - start, 0), self.rowHeight(index.row()))

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

    def _restore(self) -> bool:
        index = self.currentIndex()
        key = self.current_key()
        if not index.isValid() or key is None or self.on_restore is None:
            return False
        cell = self._entries.cell(index.row(), index.column())
        if not cell.old and cell.state is not State.CHANGED:
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

    def viewportEvent(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            index = self.indexAt(event.pos())
            if index.isValid():
                cell = self._entries.cell(index.row(), index.column())
                column = self._entries.columns[index.column()]
                width = self.columnWidth(index.column())
                tip = cell.tip or self._delegate.full_text(cell, column, width)
                if tip:
                    QToolTip.showText(event.globalPos(), tip, self, self.visualRect(index))
                else:
                    QToolTip.hideText()
            return True
        return super().viewportEvent(event)


def finish_writing() -> bool:
    """Write what stands in the field with the focus, wherever it is; False when it is refused."""
    widget = QApplication.focusWidget()
    if isinstance(widget, Writing):
        parent = widget.parent()
        table = parent.parent() if parent is not None else None
        if isinstance(table, EntryTable):
            return table.finish()
    return True
