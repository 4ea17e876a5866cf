"""Parts under each other in a page or entry: each as high as it needs, the table takes the rest.

Where all of it is more than the page is high, as with large type, it is moved up and down: to the
field with the focus, by the wheel, or by a bar.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QApplication, QScrollBar, QWidget

from app.window.paper.entrytable import EntryTable
from app.window.paper.theme import Theme

LEAST_TABLE = 96  # of a table that has to share a low page: its head and a row or two


class PartsBody(QWidget):
    """Parts stacked; `focus` is the part (or what it gives) that is entered first.

    With `fill`, a table takes the rest even where it needs less.
    """

    def __init__(
        self,
        theme: Theme,
        *parts: QWidget,
        focus: Callable[[], QWidget | None] | None = None,
        gap: int = 6,
        top: int = 0,
        fill: bool = False,
    ) -> None:
        super().__init__()
        self._parts = parts
        self._focus = focus
        self._gap, self._top = theme.px(gap), theme.px(top)
        self._fills = fill
        self._least = theme.px(LEAST_TABLE)
        for part in parts:
            part.setParent(self)
            part.show()
        self._bar = QScrollBar(Qt.Orientation.Vertical, self)
        self._bar.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._bar.hide()
        self._bar.valueChanged.connect(lambda _value: self.lay())
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.focusChanged.connect(self._focus_moved)

    def _shown(self) -> list[QWidget]:
        return [part for part in self._parts if not part.isHidden()]

    @staticmethod
    def _need(part: QWidget, width: int) -> int:
        natural = getattr(part, "natural_height", None)
        if natural is not None:
            return int(natural(width))
        fixed = part.minimumHeight() == part.maximumHeight()
        return part.height() if fixed else part.sizeHint().height()

    def natural_height(self, width: int) -> int:
        """What the parts need together."""
        shown = self._shown()
        gaps = self._gap * max(0, len(shown) - 1)
        return self._top + sum(self._need(part, width) for part in shown) + gaps

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay()

    def event(self, event: QEvent) -> bool:
        """A part that needs another height, as a table with other rows, is given it."""
        if event.type() == QEvent.Type.LayoutRequest:
            self.lay()
        return super().event(event)

    def lay(self) -> None:
        """Place the parts; where there is no table the rest stays empty."""
        shown = self._shown()
        heights, over = self._heights(shown, self.width())
        if over:
            heights, over = self._heights(shown, self.width() - self._bar.sizeHint().width())
        self._show_bar(over)
        width = self.width() - (self._bar.width() if over else 0)
        top = self._top - (min(self._bar.value(), over) if over else 0)
        for part in shown:
            part.setGeometry(0, top, width, heights[part])
            top += heights[part] + self._gap

    def _heights(self, shown: list[QWidget], width: int) -> tuple[dict[QWidget, int], int]:
        """How high each part becomes, and by how much all of them are too high."""
        heights = {part: self._need(part, width) for part in shown}
        tables = sorted(
            (part for part in shown if isinstance(part, EntryTable)), key=heights.__getitem__
        )
        gaps = self._gap * max(0, len(shown) - 1)
        fixed = sum(heights.values()) - sum(heights[table] for table in tables)
        left = max(0, self.height() - self._top - fixed - gaps)
        for nth, table in enumerate(tables):  # what one does not need is left to the others
            share = left // (len(tables) - nth)
            least = min(heights[table], self._least)
            heights[table] = share if self._fills else min(share, max(heights[table], 0))
            left -= heights[table]
            heights[table] = max(heights[table], least)
        over = self._top + sum(heights.values()) + gaps - self.height()
        return heights, over if over > self._gap else 0

    def _show_bar(self, over: int) -> None:
        self._bar.blockSignals(True)  # else its first value would lay all out again
        self._bar.setRange(0, over)
        self._bar.setPageStep(max(1, self.height()))
        self._bar.blockSignals(False)
        self._bar.setVisible(bool(over))
        wide = self._bar.sizeHint().width()
        self._bar.setGeometry(self.width() - wide, 0, wide, self.height())
        self._bar.raise_()

    def _focus_moved(self, _before: QWidget | None, now: QWidget | None) -> None:
        """Move so far that what has the focus is seen, with the label above it."""
        if now is None or self._bar.isHidden() or not self.isAncestorOf(now):
            return
        if isinstance(now, EntryTable):
            return  # it is higher than a field, and shows its own row
        top = now.mapTo(self, QPoint(0, 0)).y() - self._least // 4
        bottom = top + self._least // 4 + now.height() + self._gap
        if top < 0:
            self._bar.setValue(self._bar.value() + top)
        elif bottom > self.height():
            self._bar.setValue(self._bar.value() + bottom - self.height())

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self._bar.isHidden():
            event.ignore()
        else:
            QApplication.sendEvent(self._bar, event)

    def entered(self) -> None:
        """Set the focus."""
        target = self._focus() if self._focus is not None else self._parts[0]
        if target is not None:
            target.setFocus()
