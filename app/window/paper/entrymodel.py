"""The table model: rows of cells, replaced as a whole, found again by their keys."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import replace

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from app.window.paper.cells import Cell, Column, GroupRow, TableRow
from app.window.paper.plain import plain
from app.window.paper.spoken import spoken_cell, spoken_group

Index = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()
_ROLES = (
    Qt.ItemDataRole.DisplayRole,
    Qt.ItemDataRole.EditRole,
    Qt.ItemDataRole.AccessibleTextRole,
    Qt.ItemDataRole.AccessibleDescriptionRole,
)
BLANK = Cell()


class EntryModel(QAbstractTableModel):
    """Holds columns and rows; knows nothing about the book."""

    def __init__(self, columns: Sequence[Column], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.columns: tuple[Column, ...] = tuple(columns)
        self.rows: tuple[TableRow | GroupRow, ...] = ()
        self._at: dict[Hashable, int] = {}

    def same_shape(
        self, rows: Sequence[TableRow | GroupRow], columns: Sequence[Column] | None = None
    ) -> bool:
        """Whether other rows have the same keys, so that only texts change."""
        wanted = self.columns if columns is None else columns
        return (
            [row.key for row in rows] == [row.key for row in self.rows]
            and [column.key for column in wanted] == [column.key for column in self.columns]
            and [type(row) for row in rows] == [type(row) for row in self.rows]
        )

    def replace(
        self, rows: Sequence[TableRow | GroupRow], columns: Sequence[Column] | None = None
    ) -> bool:
        """Show other rows; returns whether the shape changed (else only texts did)."""
        same = self.same_shape(rows, columns)
        wanted = self.columns if columns is None else tuple(columns)
        if same:
            self.columns, self.rows = wanted, tuple(rows)
            if self.rows:
                last = self.index(len(self.rows) - 1, len(self.columns) - 1)
                self.dataChanged.emit(self.index(0, 0), last)
            self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, len(self.columns) - 1)
            return False
        self.beginResetModel()
        self.columns, self.rows = wanted, tuple(rows)
        self._at = {row.key: at for at, row in enumerate(self.rows)}
        self.endResetModel()
        return True

    def patch(self, row: int, column: int, cell: Cell) -> None:
        """Replace one cell."""
        line = self.rows[row]
        if isinstance(line, TableRow) and column < len(line.cells):
            cells = (*line.cells[:column], cell, *line.cells[column + 1 :])
            self.rows = (*self.rows[:row], replace(line, cells=cells), *self.rows[row + 1 :])
            index = self.index(row, column)
            self.dataChanged.emit(index, index)

    def row_of(self, key: Hashable) -> int | None:
        """Where the row with a key stands."""
        return self._at.get(key)

    def column_of(self, key: str) -> int | None:
        """Where the column with a key stands."""
        for at, column in enumerate(self.columns):
            if column.key == key:
                return at
        return None

    def cell(self, row: int, column: int) -> Cell:
        """The cell, or a blank one on a group line."""
        line = self.rows[row]
        if isinstance(line, GroupRow) or column >= len(line.cells):
            return BLANK
        return line.cells[column]

    def rowCount(self, parent: Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.columns)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if not index.isValid() or role not in _ROLES:
            return None
        line, cell = self.rows[index.row()], self.cell(index.row(), index.column())
        if role == Qt.ItemDataRole.AccessibleDescriptionRole:
            return cell.tip or None
        aloud = role == Qt.ItemDataRole.AccessibleTextRole
        if isinstance(line, GroupRow):
            title = spoken_group(line) if aloud else line.title
            return title if index.column() == 0 else None
        return spoken_cell(cell, self.columns[index.column()]) if aloud else cell.text

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        roles = (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole)
        if orientation != Qt.Orientation.Horizontal or role not in roles:
            return None
        if section >= len(self.columns):
            return None
        column = self.columns[section]
        head = f"{column.head} {column.subhead}".strip()
        return plain(head) if role == Qt.ItemDataRole.ToolTipRole else head

    def flags(self, index: Index) -> Qt.ItemFlag:
        if not index.isValid() or isinstance(self.rows[index.row()], GroupRow):
            return Qt.ItemFlag.NoItemFlags
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        if self.cell(index.row(), index.column()).editable:
            flags |= Qt.ItemFlag.ItemIsEditable
        return flags
