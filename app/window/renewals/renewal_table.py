"""The table of Renewals: as many rows of each part as fit, the rest of a part in one sentence."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from datetime import date

from PySide6.QtGui import QResizeEvent

from app.actions.letters.renewal_groups import GroupedRenewals, RenewalGroup, rows_shown
from app.window.paper.cells import EmptyText, GroupRow, TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.rowtable import LOW
from app.window.paper.theme import Theme
from app.window.renewals.renewal_rows import (
    GROUP,
    MOST,
    ROW,
    fold_key,
    group_lines,
    opened_lines,
    renewal_columns,
)

Lines = list[TableRow | GroupRow]


class RenewalTable(EntryTable):
    """Parts that fold to what fits; one that was opened shows all its rows until it is folded."""

    def __init__(self, theme: Theme, day: date, empty: EmptyText) -> None:
        super().__init__(
            theme, renewal_columns(day), rows_from=ROW, rows_to=MOST, groups=GROUP, empty=empty
        )
        self._groups_shown: tuple[RenewalGroup, ...] = ()
        self._before: Sequence[TableRow | GroupRow] = ()
        self._open: set[str] = set()
        self.cell_clicked.connect(lambda key, _column: self.unfold(key))

    def show_groups(
        self, found: GroupedRenewals, before: Sequence[TableRow | GroupRow], day: date
    ) -> None:
        """Show the parts under what stands `before` them."""
        at, gone = self.currentIndex().row(), self.current_key()
        part = self._part_of(gone)
        self._groups_shown = found.groups if any(one.rows for one in found.groups) else ()
        self._before = before
        self.show_rows(self._lines(), renewal_columns(day))
        if gone is not None and self._part_of(gone) != part:
            self._stay_near(at)  # its layer went to another part: the next one has the focus

    def _part_of(self, key: Hashable) -> str:
        for one in self._groups_shown:
            if any(each.row.key == key for each in one.rows):
                return one.key
        return ""

    def _stay_near(self, at: int) -> None:
        last = len(self.rows) - 1
        for row in (*range(min(at, last), last + 1), *range(min(at, last), -1, -1)):
            if isinstance(self.rows[row], TableRow):
                self._set_current(row, 0)
                return

    def _lines(self) -> Lines:
        groups, px = self._groups_shown, self._theme.px
        room = self.height() - self._head - 1 - len(groups) * px(GROUP + LOW)
        room -= sum(px(LOW if isinstance(row, TableRow) else GROUP) for row in self._before)
        counts = rows_shown([len(one.rows) for one in groups], room // px(ROW))
        lines: Lines = list(self._before)
        for one, shown in zip(groups, counts, strict=True):
            opened = one.key in self._open
            lines += opened_lines(one) if opened else group_lines(one, shown)
        return lines

    def turn(self, group: str) -> None:
        """Show all rows of a part, or fold them again."""
        if all(one.key != group for one in self._groups_shown):
            return
        before = {row.key for row in self.rows}
        self._open ^= {group}
        self.show_rows(self._lines())
        came = [row.key for row in self.rows if isinstance(row, TableRow) and row.key not in before]
        if came and group in self._open:
            self.go(came[0])
        elif group not in self._open:
            self.go(fold_key(group))

    def unfold(self, key: Hashable) -> bool:
        """Turn the part whose sentence a row is; False where the row is none."""
        for one in self._groups_shown:
            if key == fold_key(one.key):
                self.turn(one.key)
                return True
        return False

    def reveal(self, key: Hashable) -> None:
        """Give a layer the focus, and open its part where it is folded away."""
        if not self.go(key) and (part := self._part_of(key)):
            self.turn(part)
            self.go(key)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self._groups_shown:
            self.show_rows(self._lines())
