"""A figure on the page: number, finding, legend, picture; `T` swaps the picture for its table."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QToolTip, QWidget

from app.window.house.runner import Runner, Task
from app.window.paper.cells import Cell, Column, TableRow
from app.window.paper.charts import Picture, Plot, draw
from app.window.paper.entrytable import EntryTable
from app.window.paper.strokes import middle_base, write
from app.window.paper.theme import Theme
from app.window.shelf.timebars import hatch

_HEAD = 46


class ChartView(QWidget):
    """One figure. It draws itself in the background when shown, resized, or recoloured."""

    chosen = Signal(int)  # the figure has the focus now
    opened = Signal(int, int)  # figure number, index of the item clicked or of the table's row

    def __init__(self, theme: Theme, runner: Runner, number: int, *, now: bool = False) -> None:
        """`now` draws in the window's thread at once (for printing and tests)."""
        super().__init__()
        self._theme = theme
        self._runner = runner
        self._now = now
        self.number = number
        self._finding = ""
        self._subtitle = ""
        self._legend: Sequence[tuple[str, str]] = ()
        self._plot: Plot | None = None
        self._picture: Picture | None = None
        self._task: Task | None = None
        self._heads: tuple[str, ...] = ()
        self._rows: tuple[tuple[str, ...], ...] = ()
        self._table: EntryTable | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(30)
        self._pause.timeout.connect(self._draw)
        theme.recoloured.connect(self._again)

    def show_figure(
        self,
        finding: str,
        plot: Plot,
        heads: Sequence[str],
        rows: Sequence[Sequence[str]],
        *,
        subtitle: str = "",
        legend: Sequence[tuple[str, str]] = (),
    ) -> None:
        """What it says, how it is drawn, and its numbers as a table."""
        self._finding, self._subtitle, self._legend = finding, subtitle, tuple(legend)
        self._plot = plot
        self._heads = tuple(heads)
        self._rows = tuple(tuple(row) for row in rows)
        self.setAccessibleName(finding)
        if self._table is not None:
            self._fill_table(self._table)
        self._again()

    @property
    def picture(self) -> Picture | None:
        """What was drawn last."""
        return self._picture

    @property
    def shows_table(self) -> bool:
        """Whether the table stands in place of the picture."""
        return self._table is not None and self._table.isVisible()

    @property
    def table(self) -> EntryTable | None:
        """The table, once it was asked for."""
        return self._table

    # picture -------------------------------------------------------------------------------
    def _again(self) -> None:
        if self.isVisible():
            self._pause.start()
        else:
            self._picture = None  # drawn anew when it is shown again
        self.update()

    def showEvent(self, event: object) -> None:
        if self._picture is None:
            self._pause.start()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._pause.start()
        if self._table is not None:
            self._table.setGeometry(self._area())

    def _area(self) -> QRect:
        top = self._theme.px(_HEAD)
        return self.rect().adjusted(0, top, 0, 0)

    def _draw(self) -> None:
        size = QSize(self.width(), self.height() - self._theme.px(_HEAD))
        plot = self._plot
        if plot is None or size.width() < 120 or size.height() < 60:
            return
        palette, scale, ratio = self._theme.palette, self._theme.scale, self.devicePixelRatioF()
        if self._now:
            self._take(draw(plot, palette, size, scale, ratio))
            return
        if self._task is not None:
            self._task.stop()
        self._task = self._runner.run(
            f"Figure {self.number}",
            lambda _task: draw(plot, palette, size, scale, ratio),
            done=self._take,
            owner=self,
            quiet=True,
        )

    def _take(self, picture: Picture) -> None:
        self._picture = picture
        self._task = None
        self.update()

    # table ---------------------------------------------------------------------------------
    def swap(self) -> None:
        """The table in place of the picture, or the picture again."""
        if self._table is None:
            columns = [
                Column(
                    f"c{at}", head, right=at > 0, width=0 if at == 0 else 92, least=60, dense=True
                )
                for at, head in enumerate(self._heads)
            ]
            self._table = EntryTable(self._theme, columns, rows_from=21, rows_to=26, parent=self)
            self._table.row_opened.connect(lambda key: self.opened.emit(self.number, int(key)))
            self._fill_table(self._table)
            self._table.setGeometry(self._area())
            self._table.show()
            self._table.setFocus()
        elif self._table.isVisible():
            self._table.hide()
            self.setFocus()
        else:
            self._table.show()
            self._table.setFocus()
        self.update()

    def _fill_table(self, table: EntryTable) -> None:
        table.show_rows(
            [TableRow(at, tuple(Cell(text) for text in row)) for at, row in enumerate(self._rows)]
        )

    # hands ---------------------------------------------------------------------------------
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_T and not event.modifiers():
            self.swap()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: object) -> None:
        self.chosen.emit(self.number)
        self.update()

    def focusOutEvent(self, event: object) -> None:
        self.update()

    def _index_at(self, point: QPointF) -> tuple[int, str] | None:
        if self._picture is None or self.shows_table:
            return None
        region = self._picture.region_at(point.x(), point.y() - self._theme.px(_HEAD))
        return (region.index, region.text) if region else None

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        over = self._index_at(event.position())
        self.setCursor(Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        over = self._index_at(event.position())
        if over is not None:
            self.opened.emit(self.number, over[0])

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            over = self._index_at(QPointF(event.pos()))
            if over is not None:
                QToolTip.showText(event.globalPos(), over[1], self)
            else:
                QToolTip.hideText()
            return True
        return super().event(event)

    # paint ---------------------------------------------------------------------------------
    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), self._theme
        c, px = theme.palette, theme.px
        here = self.hasFocus() or (self._table is not None and self._table.hasFocus())
        line = QRectF(0, 0, self.width(), px(2) if here else px(1))
        painter.fillRect(line, c.act if here else c.rule2)
        tone = c.act if here else c.ink2
        write(painter, theme, "entry_number", 0, px(24), str(self.number), tone)
        text = theme.elided("entry", self._finding, self.width() - px(20))
        write(painter, theme, "entry", px(20), px(24), text, c.ink)
        if self._legend:
            self._paint_legend(painter)
        elif self._subtitle:
            words = theme.elided("unit", self._subtitle, self.width() - px(20))
            write(painter, theme, "unit", px(20), px(42), words, c.ink2)
        if self._picture is not None and not self.shows_table:
            painter.drawImage(QPointF(0, px(_HEAD)), self._picture.image)

    def _paint_legend(self, painter: QPainter) -> None:
        theme, c, px = self._theme, self._theme.palette, self._theme.px
        at = float(px(20))
        for kind, words in self._legend:
            box = QRectF(at, px(32), px(12), px(11))
            if kind == "solid":
                painter.fillRect(box, c.bar)
            else:
                if kind == "hatch":
                    hatch(painter, box, c.ink, theme, 4, 1)
                pen = QPen(c.ink if kind == "hatch" else c.bar, theme.scale)
                if kind == "dash":
                    pen.setDashPattern([3, 2])
                painter.setPen(pen)
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))
            base = middle_base(theme, "unit", box.center().y())
            at = write(painter, theme, "unit", box.right() + px(6), base, words, c.ink2) + px(15)
