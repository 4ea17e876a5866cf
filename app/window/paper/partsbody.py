"""Parts under each other in a page or entry: each as high as it needs, the table takes the rest."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from app.window.paper.entrytable import EntryTable
from app.window.paper.theme import Theme


class PartsBody(QWidget):
    """Parts stacked; `focus` is the part (or what it gives) that is entered first."""

    def __init__(
        self,
        theme: Theme,
        *parts: QWidget,
        focus: Callable[[], QWidget | None] | None = None,
        gap: int = 6,
        top: int = 0,
    ) -> None:
        super().__init__()
        self._parts = parts
        self._focus = focus
        self._gap = theme.px(gap)
        self._top = theme.px(top) if top else 0
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
        return (
            part.height()
            if part.minimumHeight() == part.maximumHeight()
            else (part.sizeHint().height())
        )

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
        fixed = sum(self._need(p, width) for p in shown if not isinstance(p, EntryTable))
        gaps = self._gap * max(0, len(shown) - 1)
        left = max(0, self.height() - self._top - fixed - gaps)
        # Tables share the rest; what one does not need is left to the others.
        needs = [(self._need(p, width), at) for at, p in enumerate(shown)
                 if isinstance(p, EntryTable)]  # fmt: skip
        heights = {}
        for nth, (need, at) in enumerate(sorted(needs)):
            heights[at] = min(left // (len(needs) - nth), max(need, 0))
            left -= heights[at]
        top = self._top
        for at, part in enumerate(shown):
            high = heights[at] if at in heights else self._need(part, width)
            part.setGeometry(0, top, width, high)
            top += high + self._gap

    def entered(self) -> None:
        """Set the focus."""
        target = self._focus() if self._focus is not None else self._parts[0]
        if target is not None:
            target.setFocus()
