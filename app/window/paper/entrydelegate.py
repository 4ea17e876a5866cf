"""How a table's cells are painted: hairlines, states, the row and the cell with the focus."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QPainter, QPen
from PySide6.QtWidgets import QStyledItemDelegate, QStyleOptionViewItem, QTableView, QWidget

from app.window.paper.cells import Cell, Column, GroupRow, State
from app.window.paper.entrymodel import EntryModel, Index
from app.window.paper.marks import mark_colour, paint_mark
from app.window.paper.strokes import hairline, middle_base, write, write_right
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

    # painting ------------------------------------------------------------------------------
    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        model = index.model()
        assert isinstance(model, EntryModel)
        theme, c = self._theme, self._theme.palette
        rect: QRect = option.rect
        box = QRectF(rect)
        line, column = model.rows[index.row()], model.columns[index.column()]
        if isinstance(line, GroupRow):
            self._paint_group(painter, box, line, column)
            return
        selected = index.row() == self._view.currentIndex().row()
        if selected:
            painter.fillRect(rect, c.sel)
        hairline(painter, theme, box.left(), box.bottom() - theme.px(1), box.width(), c.rule)
        cell = model.cell(index.row(), index.column())
        painter.save()
        painter.setClipRect(rect)
        if column.paint is not None:
            if cell.data is not None:
                column.paint(painter, box, cell.data, theme, selected)
        else:
            here = index == self._view.currentIndex() and self._view.hasFocus()
            if here and cell.editable:
                paint_field(painter, theme, box.adjusted(0, theme.px(1), 0, -theme.px(1)))
            if self.editing != (index.row(), index.column()):
                self._paint_cell(painter, box, cell, column, selected)
        painter.restore()
        if selected and index.column() == 0:
            painter.fillRect(QRectF(box.left(), box.top(), theme.px(3), box.height()), c.act)

    def _paint_group(self, painter: QPainter, box: QRectF, line: GroupRow, column: Column) -> None:
        theme, c = self._theme, self._theme.palette
        bottom = box.bottom() - theme.px(1)
        hairline(painter, theme, box.left(), bottom, box.width(), c.rule2)
        if column.paint_group is not None:
            column.paint_group(painter, box, line.data, theme, False)
        # The words run over several columns: each paints its part, so that a partial repaint
        # of one of them does not wipe the words away.
        painter.save()
        painter.setClipRect(box)
        left = float(self._view.columnViewportPosition(0))
        base = box.bottom() - theme.px(9)
        room = self._group_room() - left
        title = theme.elided("group", line.title, room)
        end = write(painter, theme, "group", left, base, title, c.ink)
        space = left + room - end - theme.px(9)
        if line.note and space > theme.px(60):
            note = theme.elided("aside", line.note, space)
            write(painter, theme, "aside", end + theme.px(9), base, note, c.ink2)
        painter.restore()

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

    def _paint_cell(
        self, painter: QPainter, box: QRectF, cell: Cell, column: Column, selected: bool
    ) -> None:
        theme, c = self._theme, self._theme.palette
        role = self.role_of(cell, column)
        middle = (box.top() + box.bottom() - theme.px(1)) / 2
        base = middle_base(theme, "dense" if column.dense else "row", middle)
        ink = getattr(c, _TONE.get(cell.state, "ink3" if column.unit else "ink"))
        left, right = box.left() + theme.px(column.pad), box.right() - theme.px(column.pad)
        if column.key and box.left() == 0 and column.pad < 10:
            left = box.left() + theme.px(10)
        text = "·" if cell.state is State.UNUSED and not cell.text else cell.text
        if cell.mark:
            tint = mark_colour(cell.mark, c)
            if cell.state in (State.LOOK, State.ALARM, State.GOOD):
                tint = ink
            inset = 24 if column.right else 7
            at = QPointF(
                box.left() + theme.px(inset) if column.right else left + theme.px(7), middle
            )
            paint_mark(painter, theme, cell.mark, at, tint, 14)
            if not column.right:
                left += theme.px(17)
        room = right - left
        shown = theme.elided(role, text, room) if theme.width(role, text) > room + 0.5 else text
        if column.right:
            start = write_right(painter, theme, role, right, base, shown, ink)
            if cell.state is State.CHANGED and cell.old:
                paint_old(painter, theme, start - theme.px(8), middle, cell.old)
            end = right
        else:
            start = left
            end = write(painter, theme, role, left, base, shown, ink)
        if cell.state is State.FEW:
            self._underline(painter, start - theme.px(1), end + theme.px(1), base + theme.px(4.5))
        if cell.detail and not column.right:
            at_detail = end + theme.px(8)
            space = right - at_detail
            if space > theme.px(12):
                tail = theme.elided("unit", cell.detail, space)
                write(painter, theme, "unit", at_detail, base, tail, c.ink3)
        if cell.unit and column.right:
            write(painter, theme, "unit", right + theme.px(5), base, cell.unit, c.ink3)

    def _underline(self, painter: QPainter, left: float, right: float, y: float) -> None:
        pen = QPen(self._theme.palette.look, 2 * self._theme.scale)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setDashPattern([1.5, 1.0])
        painter.setPen(pen)
        painter.drawLine(QPointF(left, y), QPointF(right, y))

    def full_text(self, cell: Cell, column: Column, width: float) -> str:
        """The whole text where the column is too narrow for it, else nothing."""
        role = self.role_of(cell, column)
        need = self._theme.width(role, cell.text) + 2 * self._theme.px(column.pad)
        if cell.mark and not column.right:
            need += self._theme.px(17)
        if cell.detail:
            need += self._theme.px(8) + self._theme.width("unit", cell.detail)
        return f"{cell.text} {cell.detail}".strip() if need > width else ""

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
