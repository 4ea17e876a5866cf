"""Where figures stand on the open page: two by two, or one alone where they would be small."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QApplication, QWidget

from app.window.figures.chartview import ChartView
from app.window.figures.pages import PAGES, page_of
from app.window.paper.action import ActionRow
from app.window.paper.theme import Theme

GAP = 28
LEAST_WIDE, LEAST_HIGH = 340, 200  # of a figure, at scale 1, that can still be read


class FiguresGrid(QWidget):
    """A page of figures with the action's row beneath; one alone where they would be small."""

    room_changed = Signal()  # from four to one, or back

    def __init__(self, views: Sequence[ChartView], row: ActionRow, theme: Theme) -> None:
        super().__init__()
        self._views, self._row, self._theme = views, row, theme
        self._here, self._was_single = 0, False
        for view in (*views, row):
            view.setParent(self)

    @property
    def single(self) -> bool:
        """Whether there is room for one figure only."""
        px = self._theme.px
        return self.width() < 2 * px(LEAST_WIDE) + px(GAP) or self.height() < 2 * px(LEAST_HIGH)

    @property
    def page(self) -> tuple[int, ...]:
        """The numbers of the figures that stand on the open page."""
        return PAGES[page_of(self._here + 1)]

    def show_one(self, at: int) -> None:
        """Turn to a figure's page; where there is room for one, it is this."""
        self._here = at
        self._lay()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay()

    def _lay(self) -> None:
        gap, foot = self._theme.px(GAP), self._row.height()
        top = gap // 2
        single = self.single
        if single != self._was_single:
            self._was_single = single
            self.room_changed.emit()
        page = (self._here + 1,) if single else self.page
        across = min(2, len(page))
        down = -(-len(page) // across)
        wide = (self.width() - (across - 1) * gap) // across
        high = (self.height() - foot - top - gap // 3) // down
        for view in self._views:
            if view.number in page:
                at = page.index(view.number)
                left, line = at % across, at // across
                alone = at == len(page) - 1 and left == 0
                broad = self.width() if alone else wide
                view.setGeometry(left * (wide + gap), top + line * (high + gap // 3), broad, high)
                view.show()
        here = self._views[self._here]
        for view in self._views:
            if view.number not in page:
                if view.isAncestorOf(QApplication.focusWidget() or self):
                    here.setFocus()  # else the next one that is still shown would take it
                view.hide()
        self._row.setGeometry(0, self.height() - foot, self.width(), foot)
