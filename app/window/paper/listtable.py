"""The habits of a list: sorted by a head, narrowed by words, rows chosen and copied."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import (
    QGuiApplication,
    QHideEvent,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QShowEvent,
)

from app.window.paper.cells import Column, EmptyText, GroupRow, TableRow
from app.window.paper.copying import copied
from app.window.paper.entrymodel import Index
from app.window.paper.ordering import as_before, narrowed, ordered
from app.window.paper.page import Page
from app.window.paper.rowtable import RowTable
from app.window.paper.tablememory import TableMemory

_NONE_HERE = EmptyText("No row holds these words", "Take some away, or Esc to see all again.")
NEAR_THE_END = 12  # rows before the last at which a long list is read on
_MOVES = {Qt.Key.Key_Up: "up", Qt.Key.Key_Down: "down"}


class ListTable(RowTable):
    """Rows that a person puts in order.

    Keys: Ctrl+C copies the row or the chosen ones; Shift with the arrows chooses, Ctrl+A all, Esc
    none. `name` tells a table from others with the same columns; one whose rows stand in an order
    that means something does not `sorts`. A list that was not read whole `has_more`.
    """

    more_asked = Signal(bool)  # the end is near; True: all of it is needed, to be sorted
    order_changed = Signal()
    choice_changed = Signal()  # other rows are chosen
    _more = False  # before any rows came

    def _begin(self) -> None:
        super()._begin()
        self.name = ""
        self.sorts = True
        self._memory: TableMemory | None = None
        self._given: tuple[TableRow | GroupRow, ...] = ()
        self._sorted_keys: tuple[Hashable, ...] = ()  # the keys as sorted
        self._by, self._falling = "", False
        self._words = ""
        self._more = False
        self._wished: Hashable | None = None
        self._chosen: frozenset[Hashable] = frozenset()
        self._from_row: int | None = None  # where choosing with Shift began
        head = self.entry_head
        head.sort_asked.connect(self._head_clicked)
        head.sized.connect(self._size)
        head.fit_asked.connect(lambda at: self._size(at, max(self._needs.widths[at], 1)))
        self.verticalScrollBar().valueChanged.connect(lambda _value: self._near_the_end())

    # rows ----------------------------------------------------------------------------------
    def show_rows(
        self, rows: Sequence[TableRow | GroupRow], columns: Sequence[Column] | None = None
    ) -> None:
        """Show other rows, in the order and narrowed to the words that the person wished."""
        self._given = tuple(rows)
        shown = self._entries.columns if columns is None else tuple(columns)
        self._recall(shown)
        super().show_rows(self._arranged(shown), columns)
        self._choose(self._chosen & {row.key for row in self._entries.rows})
        if self._wished is not None and self._entries.row_of(self._wished) is not None:
            self._wished, wished = None, self._wished
            self.go(wished)

    def _recall(self, columns: Sequence[Column]) -> None:
        """What was kept of this table, once its columns are known."""
        if self._memory is not None:
            return
        # Columns that come and go with the day are not known by name.
        keys = (
            ""
            if any(column.folds for column in columns)
            else " ".join(column.key for column in columns)
        )
        self._memory = TableMemory(self._theme.settings, self.name or keys, self._theme.book)
        self._kept = self._memory.widths()
        if self.sorts:
            self._by, self._falling = self._memory.order()
        self._wished = self._memory.row()

    def _arranged(self, columns: Sequence[Column]) -> list[TableRow | GroupRow]:
        rows = narrowed(self._given, self._words)
        at = next((at for at, column in enumerate(columns) if column.key == self._by), None)
        self.entry_head.say_order(at, falling=self._falling)
        if at is None:
            return rows
        made = as_before(rows, self._sorted_keys) or ordered(rows, at, falling=self._falling)
        self._sorted_keys = tuple(row.key for row in made)
        return made

    def _again(self) -> None:
        super().show_rows(self._arranged(self._entries.columns))
        if self.currentIndex().isValid():
            self.scrollTo(self.currentIndex())

    def keep_row(self) -> None:
        """Keep which row has the focus, for the next run."""
        key = self.current_key()
        if self._memory is not None and key is not None:
            self._memory.keep_row(key)

    # order ---------------------------------------------------------------------------------
    @property
    def sorted_by(self) -> str:
        """The key of the column that the rows are sorted by; none while they stand as given."""
        return self._by

    def sort(self, key: str, *, falling: bool = False) -> None:
        """Sort by a column, group by group; by none as the rows were given."""
        if not self.sorts or not self.finish():
            return
        self._by, self._falling, self._sorted_keys = key, falling, ()
        if self._memory is not None:
            self._memory.keep_order(key, falling)
        self._again()
        self.order_changed.emit()
        if key and self._more:
            self._more = False
            self.more_asked.emit(True)

    def finish(self, where: str = "stay") -> bool:
        """Write what is open for writing; False when it cannot be."""
        return True

    def _head_clicked(self, at: int) -> None:
        """Rising, then falling, then as it was."""
        key = self._entries.columns[at].key
        if key != self._by:
            self.sort(key)
        else:
            self.sort("" if self._falling else key, falling=not self._falling)

    def sort_on(self) -> None:
        """Sort by the next column that says something; after the last, as the rows were given."""
        columns = self._entries.columns
        lines = [row.cells for row in self._entries.rows if isinstance(row, TableRow)]
        keys = [""]
        for at, column in enumerate(columns):
            cells = [cells[at] for cells in lines if at < len(cells) and len(cells) > 1]
            if any(cell.text or cell.order is not None for cell in cells):
                keys.append(column.key)
        here = keys.index(self._by) if self._by in keys else 0
        self.sort(keys[(here + 1) % len(keys)])

    def turn_order(self) -> None:
        """The other way round."""
        if self._by:
            self.sort(self._by, falling=not self._falling)

    @property
    def order_words(self) -> str:
        """How the rows stand, in words."""
        at = self._entries.column_of(self._by) if self._by else None
        if at is None:
            return "In the usual order" if self.sorts else "This list keeps its order"
        column = self._entries.columns[at]
        head = column.head or column.subhead or column.key
        return f"Sorted by {head[0].lower()}{head[1:]}" + (", last first" if self._falling else "")

    # narrowing and reading on --------------------------------------------------------------
    def narrow(self, words: str) -> None:
        """Show only the rows that hold these words."""
        if words != self._words and self.finish():
            self._words = words
            self._again()

    @property
    def count_words(self) -> str:
        """How many of the rows are shown."""
        both = [
            sum(isinstance(row, TableRow) and not row.last for row in rows)
            for rows in (self._entries.rows, self._given)
        ]
        return f"{both[0]:,} of {both[1]:,}"

    def _show_empty(self) -> None:
        given = self._empty_text
        if self._words and self._given:
            self._empty_text = _NONE_HERE
        super()._show_empty()
        self._empty_text = given

    def expect_more(self, more: bool) -> None:
        """Say whether there are more rows than were given."""
        self._more = more
        if more and self._by:
            self._more = False
            self.more_asked.emit(True)

    def _near_the_end(self) -> None:
        if not self._more:
            return
        bottom = self.rowAt(self.viewport().height() - 1)
        last = max(bottom, self.currentIndex().row())
        if last >= len(self._entries.rows) - NEAR_THE_END:
            self._more = False
            self.more_asked.emit(False)

    def currentChanged(self, current: Index, previous: Index) -> None:
        super().currentChanged(current, previous)
        self._near_the_end()

    # widths --------------------------------------------------------------------------------
    def _size(self, at: int, width: int) -> None:
        """Make a column as wide as the hand says; a number is never cut."""
        least = max(self._needs.widths[at], 1) if at in self._needs.figures else self._theme.px(24)
        key = self._entries.columns[at].key
        self._kept[key] = round(max(width, least) / self._theme.scale)
        self._lay_columns()
        if self._memory is not None:
            self._memory.keep_widths(self._kept)

    @property
    def widths_set(self) -> bool:
        """Whether any column was made wider or narrower by hand."""
        return bool(self._kept)

    def forget_widths(self) -> None:
        """All columns as wide as they were drawn."""
        self._kept.clear()
        self._lay_columns()
        if self._memory is not None:
            self._memory.keep_widths({})

    # choosing ------------------------------------------------------------------------------
    @property
    def chosen_keys(self) -> tuple[Hashable, ...]:
        """The keys of the chosen rows as they stand; where none is, that of the row in view."""
        if self._chosen:
            return tuple(row.key for row in self._entries.rows if row.key in self._chosen)
        key = self.current_key()
        return () if key is None else (key,)

    @property
    def chooses(self) -> bool:
        """Whether any row is chosen, besides the one in view."""
        return bool(self._chosen)

    def _choose(self, keys: frozenset[Hashable]) -> None:
        if keys == self._chosen:
            return
        self._chosen = self._delegate.chosen = keys
        self.viewport().update()
        self._say_chosen(len(keys))
        self.choice_changed.emit()

    def _say_chosen(self, count: int) -> None:
        page = self.parentWidget()
        while page is not None and not isinstance(page, Page):
            page = page.parentWidget()
        if page is not None:
            page.say_chosen(count)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._chosen:
            self._say_chosen(len(self._chosen))

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        if self._chosen:  # of another table's rows the foot would speak now
            self._say_chosen(0)

    def choose_none(self) -> None:
        """No row is chosen any more."""
        self._from_row = None
        self._choose(frozenset())

    def _choose_to(self, row: int) -> None:
        """All rows from where choosing began to this one."""
        if self._from_row is None:
            self._from_row = max(self.currentIndex().row(), 0)
        low, high = sorted((self._from_row, row))
        self._choose(self._keys_between(low, high))

    def _keys_between(self, low: int, high: int) -> frozenset[Hashable]:
        rows = self._entries.rows[low : high + 1]
        return frozenset(r.key for r in rows if isinstance(r, TableRow) and not r.last)

    def takes_key(self, event: QKeyEvent) -> bool:
        """Whether a key chose or copied rows."""
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy()
        elif event.matches(QKeySequence.StandardKey.SelectAll):
            self._from_row = 0
            self._choose(self._keys_between(0, len(self._entries.rows)))
        elif event.modifiers() == Qt.KeyboardModifier.ShiftModifier and event.key() in _MOVES:
            if self._from_row is None:
                self._from_row = max(self.currentIndex().row(), 0)
            self.move_focus(_MOVES[Qt.Key(event.key())])
            self._choose_to(self.currentIndex().row())
        elif event.key() == Qt.Key.Key_Escape and self._chosen:
            self.choose_none()
        else:
            if event.key() in _MOVES and not event.modifiers():
                self.choose_none()
            return False
        return True

    def takes_escape(self) -> bool:
        """Whether Esc does something here: it lets go of the chosen rows."""
        return bool(self._chosen)

    def copy(self) -> None:
        """Put the chosen rows, else the one in view, on the clipboard."""
        wanted = set(self.chosen_keys)
        rows = [row for row in self._entries.rows if row.key in wanted]
        if rows:
            QGuiApplication.clipboard().setMimeData(copied(self._entries.columns, rows))

    def event(self, event: QEvent) -> bool:
        """Esc is this table's while it has a use for it; then it is the page's again."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Escape
            and self.takes_escape()
        ):
            event.accept()
            return True
        return super().event(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        row = self.rowAt(round(event.position().y()))
        if row >= 0 and isinstance(self._entries.rows[row], TableRow):
            key = self._entries.rows[row].key
            held = event.modifiers()
            if held & Qt.KeyboardModifier.ShiftModifier:
                self._choose_to(row)
            elif held & Qt.KeyboardModifier.ControlModifier:
                before = self._chosen or frozenset(self.chosen_keys)
                self._from_row = row
                self._choose(before ^ {key})
            elif event.button() == Qt.MouseButton.LeftButton or key not in self._chosen:
                self.choose_none()
        super().mousePressEvent(event)
