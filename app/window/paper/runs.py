"""A line of runs: words, marks and key caps in one row, some of which can be clicked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.paper.marks import keycap_width, mark_colour, paint_keycap, paint_mark
from app.window.paper.strokes import middle_base
from app.window.paper.theme import Theme


@dataclass(frozen=True)
class Run:
    """A stretch of a line.

    `role` and `tone` name a font role and a palette colour; `mark` stands before the text and
    `key` (a key cap) after it; a run with `on_click` can be clicked. `gap` is the space after it.
    """

    text: str
    role: str = "row"
    tone: str = "ink2"
    mark: str = ""
    key: str = ""
    on_click: Callable[[], object] | None = None
    gap: int = 12


class RunLine(QWidget):
    """Paints runs in one line, from the left or flush right; too long a text ends in …"""

    def __init__(self, theme: Theme, *, right: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._right = right
        self._runs: tuple[Run, ...] = ()
        self._hits: list[tuple[QRectF, Run]] = []
        self._over: Run | None = None
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        theme.recoloured.connect(self.update)

    def show_runs(self, runs: Sequence[Run]) -> None:
        """Replace what the line says."""
        self._runs = tuple(runs)
        self._over = None
        self._lay()
        self.setAccessibleName(" ".join(run.text for run in self._runs))
        self.updateGeometry()
        self.update()

    def text(self) -> str:
        """What the line says, in words."""
        return " ".join(run.text for run in self._runs if run.text)

    def _run_width(self, run: Run) -> float:
        width = self._theme.width(run.role, run.text) if run.text else 0.0
        if run.mark:
            width += self._theme.px(16 + (5 if run.text else 0))
        if run.key:
            width += keycap_width(self._theme, run.key) + self._theme.px(9 if run.text else 0)
        return width

    def _lay(self) -> None:
        self._hits = []
        widths = [self._run_width(run) for run in self._runs]
        gaps = [self._theme.px(run.gap) for run in self._runs]
        total = sum(widths) + sum(gaps[:-1])
        at = self.width() - total if self._right else 0.0
        at = max(at, 0.0)
        for run, width, gap in zip(self._runs, widths, gaps, strict=True):
            self._hits.append((QRectF(at, 0, min(width, self.width() - at), self.height()), run))
            at += width + gap

    def sizeHint(self) -> QSize:
        widths = [self._run_width(run) for run in self._runs]
        gaps = [self._theme.px(run.gap) for run in self._runs][:-1]
        return QSize(round(sum(widths) + sum(gaps)) + 1, self._theme.px(22))

    def minimumSizeHint(self) -> QSize:
        return QSize(0, self._theme.px(22))

    def resizeEvent(self, event: object) -> None:
        self._lay()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        over = self._at(event.position())
        if over is not self._over:
            self._over = over
            self.setCursor(
                Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor
            )
            self.update()

    def leaveEvent(self, event: object) -> None:
        self._over = None
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()  # else the release would go to the parent

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        run = self._at(event.position())
        if run is not None and run.on_click is not None:
            run.on_click()

    def _at(self, point: QPointF) -> Run | None:
        for box, run in self._hits:
            if run.on_click is not None and box.contains(point):
                return run
        return None

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), self._theme
        middle = self.height() / 2
        for box, run in self._hits:
            if box.width() <= 0:
                continue
            colour: QColor = getattr(theme.palette, run.tone)
            if run is self._over:
                colour = theme.palette.act
            at = box.left()
            if run.mark:
                own = mark_colour(run.mark, theme.palette)
                paint_mark(painter, theme, run.mark, QPointF(at + theme.px(8), middle), own)
                at += theme.px(16 + 5)
            cap = keycap_width(theme, run.key) + theme.px(9) if run.key else 0.0
            if run.text:
                room = box.right() - at - cap
                text = run.text
                if theme.width(run.role, text) > room + 0.5:
                    text = theme.elided(run.role, text, room)
                painter.setFont(theme.font(run.role))
                painter.setPen(colour)
                painter.drawText(QPointF(at, middle_base(theme, run.role, middle)), text)
                at += theme.width(run.role, text) + theme.px(9)
            if run.key:
                paint_keycap(painter, theme, run.key, at, middle)
