"""How a table's cells are painted: hairlines, states, the row and the cell with the focus."""

from __future__ import annotations

from collections.abc import Hashable
from math import ceil

from PySide6.QtCore import QEvent, QObject, QRect, QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QStyledItemDelegate, QStyleOptionViewItem, QTableView, QWidget

from app.window.paper.brush import Brush
from app.window.paper.cells import Cell, Column, GroupRow, State
from app.window.paper.entrymodel import EntryModel, Index
from app.window.paper.marks import keycap_width, mark_colour
from app.window.paper.theme import Theme
from app.window.paper.writing import Writing, paint_field, paint_old

_TONE = {
    State.CLOSED: "ink3",
    State.QUIET: "ink2",
    State.UNUSED: "ink3",
    State.LOOK: "look",
    State.ALARM: "alarm",
    State.GOOD: "good",
}
_STRONG = frozenset({State.CHANGED, State.LOOK, State.ALARM})


class EntryDelegate(QStyledItemDelegate):
    """Paints cells and makes the field to write in."""

    def __init__(self, theme: Theme, view: QTableView) -> None:
        super().__init__(view)
        self._theme = theme
        self._view = view
        self.editing: tuple[int, int] | None = None
        self.field: Writing | None = None
        self.chosen: frozenset[Hashable] = frozenset()  # keys of rows beside the one in view

    # painting ------------------------------------------------------------------------------
    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        model = index.model()
        assert isinstance(model, EntryModel)
        brush = Brush(painter, self._theme)
        c, px = brush.c, brush.px
        rect: QRect = option.rect
        box = QRectF(rect)
        line, column = model.rows[index.row()], model.columns[index.column()]
        if isinstance(line, GroupRow):
            self._paint_group(brush, box, line, column)
            return
        here_row = index.row() == self._view.currentIndex().row()
        selected = here_row or line.key in self.chosen
        if selected:
            painter.fillRect(rect, c.sel)
        brush.hairline(box.left(), box.bottom() - px(1), box.width(), c.rule)
        cell = model.cell(index.row(), index.column())
        painter.save()
        painter.setClipRect(rect)
        if column.paint is not None:
            if cell.data is not None:
                column.paint(brush, box, cell.data, selected)
        else:
            here = index == self._view.currentIndex() and self._view.hasFocus()
            if here and cell.editable:
                paint_field(brush, box.adjusted(0, px(1), 0, -px(1)))
            if self.editing != (index.row(), index.column()):
                self._paint_cell(brush, box, cell, column)
        painter.restore()
        if selected and index.column() == 0:
            held = self._view.hasFocus() or self.editing is not None
            wide, tone = (px(3), c.act) if held else (px(1), c.rule2)
            brush.fill(box.left(), box.top(), wide, box.height(), tone)
        if here_row and self.chosen:  # of many that are chosen, the one in view
            for edge in (box.top(), box.bottom() - px(1)):
                brush.fill(box.left(), edge, box.width(), px(1), c.act)

    def _paint_group(self, brush: Brush, box: QRectF, line: GroupRow, column: Column) -> None:
        c, px = brush.c, brush.px
        brush.hairline(box.left(), box.bottom() - px(1), box.width(), c.rule2)
        if column.paint_group is not None:
            column.paint_group(brush, box, line.data, False)
        # The words run over several columns: each paints its part, so that a partial repaint
        # of one of them does not wipe the words away.
        brush.painter.save()
        brush.painter.setClipRect(box)
        left = float(self._view.columnViewportPosition(0))
        base = box.bottom() - px(9)
        room = self._group_room() - left
        end = brush.write("group", left, base, line.title, c.ink, room)
        space = left + room - end - px(9)
        if line.note and space > px(60):
            brush.write("aside", end + px(9), base, line.note, c.ink2, space)
        brush.painter.restore()

    def _group_room(self) -> float:
        """Where the words of a group line must end: before a column that draws on it itself."""
        model = self._view.model()
        assert isinstance(model, EntryModel)
        for at, column in enumerate(model.columns):
            if column.paint_group is not None:
                return float(self._view.columnViewportPosition(at) + self._theme.px(14))
        return float(self._view.viewport().width())

    def role_of(self, cell: Cell, column: Column) -> str:
        """The font role of a cell's text."""
        if column.unit:
            return "unit"
        if cell.state in _STRONG:
            return "dense_changed" if column.dense else "changed"
        if cell.bold:
            return "dense_total" if column.dense else "total"
        return "dense" if column.dense else "row"

    def _paint_cell(self, brush: Brush, box: QRectF, cell: Cell, column: Column) -> None:
        theme, c, px = self._theme, brush.c, brush.px
        role = self.role_of(cell, column)
        middle = (box.top() + box.bottom() - px(1)) / 2
        if cell.under:
            self._paint_under(brush, box, cell, column, middle + px(9))
            middle -= px(8)
        base = brush.base("dense" if column.dense else "row", middle)
        ink = getattr(c, _TONE.get(cell.state, "ink3" if column.unit else "ink"))
        left, right = box.left() + px(column.pad), box.right() - px(column.pad)
        if column.key and box.left() == 0 and column.pad < 10:
            left = box.left() + px(10)
        if cell.key:
            right -= keycap_width(theme, cell.key) + px(9)
            brush.keycap(cell.key, right + px(9), middle)
            if cell.detail:
                right = brush.write_right("unit", right, base, cell.detail, c.ink2) - px(12)
        text = "·" if cell.state is State.UNUSED and not cell.text else cell.text
        if cell.mark and not cell.under:
            coloured = cell.state in (State.LOOK, State.ALARM, State.GOOD)
            tint = ink if coloured else mark_colour(cell.mark, c)
            brush.mark(cell.mark, box.left() + px(24) if column.right else left + px(7), middle,
                       tint, 14)  # fmt: skip
            if not column.right:
                left += px(17)
        room = right - left
        shown = theme.elided(role, text, room) if theme.width(role, text) > room + 0.5 else text
        if column.right:
            start, end = brush.write_right(role, right, base, shown, ink), right
            if self._shows_old(cell, start - px(8) - box.left()):
                paint_old(brush, start - px(8), middle, cell.old)
        else:
            start, end = left, brush.write(role, left, base, shown, ink)
        if cell.state is State.FEW:
            brush.stroke(c.look, 2, dash=(1.5, 1.0), flat=True)
            y = base + px(4.5)
            brush.draw_line(start - px(1), y, end + px(1), y)
        if cell.detail and not column.right and not cell.key:
            space = right - end - px(8)
            if space > px(12):
                brush.write("unit", end + px(8), base, cell.detail, c.ink3, space)
        if cell.unit and column.right:
            brush.write("unit", right + px(5), base, cell.unit, c.ink3)

    def _paint_under(
        self, brush: Brush, box: QRectF, cell: Cell, column: Column, middle: float
    ) -> None:
        """The second line, with its mark."""
        c, px = brush.c, brush.px
        left = box.left() + px(10 if box.left() == 0 and column.pad < 10 else column.pad)
        if cell.mark:
            brush.mark(cell.mark, left + px(6), middle, c.ink2, 13)
            left += px(17)
        room = box.right() - px(column.pad) - left
        brush.write("unit", left, brush.base("unit", middle), cell.under, c.ink2, room)

    def _shows_old(self, cell: Cell, room: float) -> bool:
        """Whether the filled-in number stands whole beside the typed one."""
        old = cell.old if cell.state is State.CHANGED else ""
        return bool(old) and self._theme.width("old", old) + self._theme.px(2) <= room

    def full_text(self, cell: Cell, column: Column, width: float) -> str:
        """The whole text where the column is too narrow for it, else nothing."""
        px, theme = self._theme.px, self._theme
        if column.right and cell.state is State.CHANGED and cell.old:
            text = theme.width(self.role_of(cell, column), cell.text)
            if not self._shows_old(cell, width - px(column.pad) - text - px(8)):
                return f"{cell.text}, instead of {cell.old}"
        whole = f"{cell.text} {cell.detail} {cell.under}".strip()
        return whole if self.need_of(cell, column, first=False) > width else ""

    def need_of(self, cell: Cell, column: Column, *, first: bool) -> int:
        """The width at which nothing of a cell is cut; `first`: at the table's left edge."""
        px, width = self._theme.px, self._theme.width
        need = width(self.role_of(cell, column), cell.text) + 2 * px(column.pad)
        if cell.under:
            under = width("unit", cell.under) + (px(17) if cell.mark else 0)
            need = max(need, under + 2 * px(column.pad))
        if first and column.pad < 10:
            need += px(10) - px(column.pad)
        if cell.mark and not cell.under:
            need += px(36 - column.pad) if column.right else px(17)
        if cell.state is State.CHANGED and cell.old and column.right:
            need += px(8) + width("old", cell.old)
        if cell.detail and not column.right:
            need += px(8) + width("unit", cell.detail)
        if cell.unit and column.right:
            need += max(0, px(5) + width("unit", cell.unit) - px(column.pad))
        return ceil(need)

    # writing -------------------------------------------------------------------------------
    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        model = index.model()
        assert isinstance(model, EntryModel)
        cell = model.cell(index.row(), index.column())
        self.editing = (index.row(), index.column())
        self.field = Writing(self._theme, model.columns[index.column()], cell, parent)
        return self.field

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        """The field keeps what is typed; a refresh of the table must not take it away."""

    def setModelData(self, editor: QWidget, model: object, index: Index) -> None:
        """The table itself hands the text to its place; see `EntryTable.finish`."""

    def updateEditorGeometry(
        self, editor: QWidget, option: QStyleOptionViewItem, index: Index
    ) -> None:
        rect: QRect = option.rect
        inset = self._theme.px(1)
        editor.setGeometry(rect.adjusted(0, inset, 0, -inset))

    def eventFilter(self, editor: QObject, event: QEvent) -> bool:
        """Leave keys and focus to the field; Qt's own handling would commit or close it."""
        return False
