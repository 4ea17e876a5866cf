"""Parts under each other in a page or entry: each as high as it needs, the table takes the rest."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from app.window.paper.entrytable import EntryTable
from app.window.paper.theme import Theme


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
        for part in parts:
            part.setParent(self)
            part.show()

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

    def lay(self) -> None:
        """Place the parts; where there is no table the rest stays empty."""
        shown, width = self._shown(), self.width()
        heights = {part: self._need(part, width) for part in shown}
        tables = sorted(
            (part for part in shown if isinstance(part, EntryTable)), key=heights.__getitem__
        )
        gaps = self._gap * max(0, len(shown) - 1)
        fixed = sum(heights.values()) - sum(heights[table] for table in tables)
        left = max(0, self.height() - self._top - fixed - gaps)
        for nth, table in enumerate(tables):  # what one does not need is left to the others
            share = left // (len(tables) - nth)
            heights[table] = share if self._fills else min(share, max(heights[table], 0))
            left -= heights[table]
        top = self._top
        for part in shown:
            part.setGeometry(0, top, width, heights[part])
            top += heights[part] + self._gap

    def entered(self) -> None:
        """Set the focus."""
        target = self._focus() if self._focus is not None else self._parts[0]
        if target is not None:
            target.setFocus()
