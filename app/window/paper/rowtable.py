"""A table of rows: what is shown, how high and wide it is, and where the focus goes.

`EntryTable` adds to it what can be typed.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import replace

from PySide6.QtCore import QEvent, Signal
from PySide6.QtGui import QFocusEvent, QHelpEvent, QPainter, QPaintEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QAbstractItemView, QTableView, QWidget

from app.window.paper.accessible import heading_over
from app.window.paper.brush import Brush
from app.window.paper.cells import WORTH_A_LOOK, Cell, Column, EmptyText, GroupRow, TableRow
from app.window.paper.columnfit import fit_columns, stand_aside
from app.window.paper.columnneeds import ColumnNeeds
from app.window.paper.emptypage import EmptyPage
from app.window.paper.entrydelegate import EntryDelegate
from app.window.paper.entryhead import HEAD_HEIGHT, EntryHead
from app.window.paper.entrymodel import EntryModel, Index
from app.window.paper.pause import Pause
from app.window.paper.plain import show_tip
from app.window.paper.theme import Theme

LOW = 27  # the height of a row that holds a sentence
READING = 150  # ms after which it is said that rows are still being read


class RowTable(QTableView):
    """Rows of cells over `EntryModel`, with one row and cell that has the focus."""

    row_entered = Signal(object, str)  # row key and column key of the cell with the focus

    def __init__(
        self,
        theme: Theme,
        columns: Sequence[Column],
        *,
        rows_from: int = 25,
        rows_to: int = 32,
        groups: int = 0,
        head: bool = True,
        empty: EmptyText | None = None,
        parent: QWidget | None = None,
    ) -> None:
        """`rows_from` and `rows_to` are the least and greatest height of a row at scale 1,
        `groups` that of a group line (0: a little more than a row has).

        Without a `head` the table begins with its first row; `empty` stands where none is.
        """
        super().__init__(parent)
        self._theme = theme
        self._from, self._to, self._groups = rows_from, rows_to, groups
        self._head = theme.px(HEAD_HEIGHT) if head else 0
        self._wish = -1
        self._first_many = 0  # of many columns alike, the first that is in sight
        self._own: set[int] = set()  # rows that were laid out in a height of their own
        self._kept: dict[str, int] = {}  # widths set by hand, at scale 1, by column key
        self._empty: EmptyPage | None = None
        self._empty_text = empty
        self._awaited = True  # no rows were given yet: that there are none is not known
        self.says_reading = False  # it takes so long that it is said
        self._patience = Pause(self, READING, self._say_reading)
        self._entries = EntryModel(columns, self)
        self._delegate = EntryDelegate(theme, self)
        self._needs = ColumnNeeds(self._delegate.need_of)
        self.setModel(self._entries)
        self.setItemDelegate(self._delegate)
        self.entry_head = EntryHead(theme, self._entries, self)
        self.setHorizontalHeader(self.entry_head)
        self.entry_head.setVisible(head)
        self.verticalHeader().hide()
        self.verticalHeader().setMinimumSectionSize(1)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setCornerButtonEnabled(False)
        self.setTabKeyNavigation(False)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerItem)
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        theme.recoloured.connect(self.viewport().update)
        theme.recoloured.connect(self.horizontalHeader().viewport().update)
        self._begin()
        self._show_empty()

    def _begin(self) -> None:
        """What another kind of table has besides, before its first rows come."""

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
        """Show other rows; the row with the focus stays."""
        self._awaited = self.says_reading = False
        key, column = self.current_key(), self.current_column()
        if self._entries.replace(rows, columns):
            self._reshaped()
            self._lay_spans()
            self._lay_columns()
            self._lay_rows()
            first = self._first_row()
            if key is not None and self._entries.row_of(key) is not None:
                self.go(key, column)
            elif first is not None:
                self._set_current(first, self._first_column(first))
        else:
            self._lay_columns()  # other widths, or a longer text
        self._show_empty()
        self.viewport().update()
        self.updateGeometry()

    def await_rows(self) -> None:
        """Take the rows away until others come, and say nothing of there being none."""
        self.show_rows([])
        self._awaited = True
        self._show_empty()
        self._patience.start()

    def _say_reading(self) -> None:
        """Say it where nothing stands yet; what is read sooner comes without a word."""
        self.says_reading = self._awaited
        self.viewport().update()

    def _reshaped(self) -> None:
        """Other rows stand there now; nothing is laid out yet."""

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
        if self._empty_text is None or self._entries.rows or self._awaited:
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
    def _height(self, row: TableRow | GroupRow, high: int) -> int:
        """How high a row is where a row as such is `high`."""
        px = self._theme.px
        if isinstance(row, TableRow):
            return px(LOW) if row.low else high
        return px(self._groups) if self._groups else high + px(6)

    def natural_height(self, width: int = 0, *, least: bool = False) -> int:
        """The height at which every row has its greatest (or `least`) height."""
        rows = self._entries.rows
        high = self._theme.px(self._from if least else self._to)
        if not rows and self._empty is not None:
            body = self._empty.natural_height(width or self.width()) + self._theme.px(8)
        else:
            body = sum(self._height(row, high) for row in rows)
        return self._head + body + self._theme.px(1)

    def whole_height(self, most: int) -> int:
        """The greatest height up to `most` at which no row is cut at the bottom edge."""
        least = self._theme.px(self._from)
        room, used = most - self._head - 1, 0
        for row in self._entries.rows:
            tall = self._height(row, least)
            if used + tall > room:
                return self._head + 1 + used if used else most
            used += tall
        return most

    def showEvent(self, event: QShowEvent) -> None:
        """A screen reader calls a table as its entry or page is called."""
        super().showEvent(event)
        self.call_by_heading()
        if self._awaited:
            self._patience.start()

    def call_by_heading(self) -> None:
        """Take the name of the entry or page that it stands in."""
        self.setAccessibleName(heading_over(self))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay_columns()
        self._lay_rows()
        self._show_empty()

    def _lay_rows(self) -> None:
        rows, px = self._entries.rows, self._theme.px
        least, high = px(self._from), px(self._to)
        given = [self._height(row, 0) for row in rows]  # before rows have their share of the rest
        shares = sum(1 for row in rows if self._height(row, 1) > self._height(row, 0))
        if shares:
            room = self.height() - self._head - 1 - sum(given)
            high = max(least, min(high, room // shares))
        header = self.verticalHeader()
        header.setDefaultSectionSize(high)
        # Qt keeps a height set by hand for whatever row comes to stand there next.
        own = {at for at, tall in enumerate(given) if tall}
        for at in self._own - own:
            if at < len(rows):
                self.setRowHeight(at, high)
        for at in own:
            self.setRowHeight(at, self._height(rows[at], high))
        self._own = own

    def _lay_spans(self) -> None:
        """A row of one cell runs over all columns."""
        self.clearSpans()
        count = len(self._entries.columns)
        for at, row in enumerate(self._entries.rows):
            if isinstance(row, TableRow) and len(row.cells) == 1 and count > 1:
                self.setSpan(at, 0, 1, count)

    def _lay_columns(self) -> None:
        header = self.horizontalHeader()
        columns = self._entries.columns
        room, px = self.viewport().width(), self._theme.px
        self._needs.learn(columns, self._entries.rows)
        needs, usual = [], []
        for at, column in enumerate(columns):
            # A head has its room, but takes none from others beyond what was drawn for it.
            head = min(EntryHead.need_of(self._theme, column, first=at == 0), px(column.width))
            needs.append(max(self._needs.widths[at], head))
            usual.append(max(self._needs.usual[at], head))
        aside = self._fold(needs, room)
        least = {
            at: needs[at]
            if at in self._needs.figures and not one.paint
            else px(self._kept.get(one.key, one.least))
            for at, one in enumerate(columns)
            if at not in aside
        }
        aside |= stand_aside(columns, least, room)
        shown = [at for at in range(len(columns)) if at not in aside]
        whole = {
            new: self._needs.widths[at] for new, at in enumerate(shown) if at in self._needs.figures
        }
        wished = [columns[at] for at in shown]
        for new, column in enumerate(wished):
            if width := self._kept.get(column.key, 0):
                needs[shown[new]] = usual[shown[new]] = px(width)
                whole[new] = max(px(width), whole.get(new, 0))
                wished[new] = replace(column, width=width, least=width)
        widths = fit_columns(
            wished, room, px, [needs[at] for at in shown], whole, [usual[at] for at in shown]
        )
        for at, width in zip(shown, widths, strict=True):
            header.resizeSection(at, width)
        for at in range(len(columns)):
            if self.isColumnHidden(at) != (at in aside):
                self.setColumnHidden(at, at in aside)

    def _fold(self, needs: Sequence[int], room: int) -> set[int]:
        """Which of many columns alike stand aside, so that the rest have room."""
        columns, px = self._entries.columns, self._theme.px
        many = [at for at, column in enumerate(columns) if column.folds]
        head = self.entry_head
        if not many:
            head.say_aside(None, 0, 0)
            return set()
        others = sum(
            max(needs[at], px(column.least)) if at in self._needs.figures else px(column.least)
            for at, column in enumerate(columns)
            if not column.folds
        )
        each = max(max(needs[at], px(columns[at].least)) for at in many)
        fit = max(1, min(len(many), (room - others) // max(each, 1)))
        here = self.currentIndex().column()
        nth = many.index(here) if here in many else self._first_many
        first = min(max(self._first_many, nth - fit + 1), nth)
        self._first_many = max(0, min(first, len(many) - fit))
        last = self._first_many + fit
        head.say_aside(many[self._first_many], self._first_many, len(many) - last)
        return {at for nth, at in enumerate(many) if not self._first_many <= nth < last}

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
        if current.isValid() and self.isColumnHidden(current.column()):
            self._lay_columns()
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

    def paintEvent(self, event: QPaintEvent) -> None:
        """No row is shown by half: one that does not fit waits until the table is moved."""
        super().paintEvent(event)
        high = self.viewport().height()
        last = self.rowAt(high - 1)
        top = self.rowViewportPosition(last) if last >= 0 else high
        cut = last > 0 and top > 0 and top + self.rowHeight(last) > high
        if not cut and not self.says_reading:
            return
        painter = QPainter(self.viewport())
        if cut:
            painter.fillRect(0, top, self.viewport().width(), high - top, self._theme.palette.paper)
        else:
            brush, px = Brush(painter, self._theme), self._theme.px
            brush.write("voice", px(10), px(24), "Reading…", brush.c.ink2)
        painter.end()

    # mouse ---------------------------------------------------------------------------------
    def viewportEvent(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            index = self.indexAt(event.pos())
            if index.isValid():
                cell = self._entries.cell(index.row(), index.column())
                column = self._entries.columns[index.column()]
                width = self.columnWidth(index.column())
                tip = cell.tip or self._delegate.full_text(cell, column, width)
                show_tip(event.globalPos(), tip, self, self.visualRect(index))
            return True
        return super().viewportEvent(event)
