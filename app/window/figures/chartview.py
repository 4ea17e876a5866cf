"""A figure on the page: number, finding, legend, picture; `T` swaps the picture for its table."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent

from app.actions.figures.figures import FigureTable
from app.window.house.runner import Runner, Task
from app.window.paper.accessible import Part, Role
from app.window.paper.brush import Brush, Spot, Spotted
from app.window.paper.cells import Column, row_of
from app.window.paper.charts import Picture, Plot, draw
from app.window.paper.entrytable import EntryTable
from app.window.paper.pause import Pause
from app.window.paper.theme import Theme

_HEAD = 46
LEAST_WIDE, LEAST_HIGH = 280, 80  # in which a picture can be drawn, at scale 1


PAPER_RATIO = 3.0  # pixels of a printed picture to one of the window's


def spoken_line(heads: Sequence[str], texts: Sequence[str]) -> str:
    """A line of a figure's table, as it is read out: its name, then each number by its head."""
    numbers = (
        f"{' '.join(head.split())} {text}"
        for head, text in zip(heads[1:], texts[1:], strict=False)
        if text
    )
    return ", ".join([texts[0], *numbers])


class ChartView(Spotted):
    """One figure. It draws itself in the background when shown, resized, or recoloured."""

    told_as = Role.Chart
    chosen = Signal(int)  # the figure has the focus now
    opened = Signal(int, int)  # figure number, index of the item clicked or of the table's row

    def __init__(self, theme: Theme, runner: Runner, number: int) -> None:
        super().__init__(theme)
        self._runner = runner
        self.number = number
        self.setAccessibleName(f"Figure {number}")
        self._finding = ""
        self._subtitle = ""
        self._legend: Sequence[tuple[str, str]] = ()
        self._plot: Plot | None = None
        self.picture: Picture | None = None
        self._task: Task | None = None
        self._numbers: FigureTable | None = None
        self.table: EntryTable | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._pause = Pause(self, 30, self._draw)
        theme.recoloured.connect(self._again)

    def show_figure(
        self,
        finding: str,
        plot: Plot,
        numbers: FigureTable,
        *,
        subtitle: str = "",
        legend: Sequence[tuple[str, str]] = (),
    ) -> None:
        """What it says, how it is drawn, and its numbers as a table."""
        self._finding, self._subtitle, self._legend = finding, subtitle, tuple(legend)
        self._plot, self._numbers = plot, numbers
        self.setAccessibleName(f"Figure {self.number}: {finding}")
        self.setAccessibleDescription(f"{subtitle} T shows its numbers as a table.".strip())
        if self.table is not None:
            self._fill_table(self.table)
        if self.isVisible():  # at once: whatever is read next comes after the picture
            self._pause.stop()
            self._draw()
            self.update()
        else:
            self._again()

    @property
    def shows_table(self) -> bool:
        """Whether the table stands in place of the picture."""
        return self.table is not None and self.table.isVisible()

    @property
    def draws(self) -> bool:
        """Whether its picture is being drawn, or is about to be when its numbers have come."""
        waits = self._plot is None or self._task is not None or self._pause.isActive()
        return self.isVisible() and waits

    # picture -------------------------------------------------------------------------------
    def _again(self) -> None:
        if self.isVisible():
            self._pause.start()
        else:
            self.picture = None  # drawn anew when it is shown again
        self.update()

    def showEvent(self, event: object) -> None:
        if self.picture is None:
            self._pause.start()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._pause.start()
        if self.table is not None:
            self.table.setGeometry(self._area())

    def _area(self) -> QRect:
        return self.rect().adjusted(0, self._theme.px(_HEAD), 0, 0)

    def _draw(self) -> None:
        size = QSize(self.width(), self.height() - self._theme.px(_HEAD))
        plot = self._plot
        px = self._theme.px
        if plot is None or size.width() < px(LEAST_WIDE) or size.height() < px(LEAST_HIGH):
            self.picture = None  # no room for names, bars and numbers: the table has them
            return
        palette, scale, ratio = self._theme.palette, self._theme.scale, self.devicePixelRatioF()
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
        self.picture = picture
        self._task = None
        self.update()

    # table ---------------------------------------------------------------------------------
    def swap(self) -> None:
        """The table in place of the picture, or the picture again."""
        shown = self.shows_table
        if self.table is None:
            heads = self._numbers.heads if self._numbers else ()
            columns = [
                Column(f"c{at}", head, subhead=under, width=92 if at else 0, least=60,
                       right=at > 0, dense=True)
                for at, (head, _, under) in enumerate(one.partition("\n") for one in heads)
            ]  # fmt: skip
            self.table = EntryTable(self._theme, columns, rows_from=24, rows_to=26, parent=self)
            self.table.sorts = False  # months stand in their order
            self.table.row_opened.connect(lambda key: self.opened.emit(self.number, int(key)))
            self._fill_table(self.table)
            self.table.setGeometry(self._area())
        self.table.setVisible(not shown)
        (self if shown else self.table).setFocus()
        self.update()

    def _fill_table(self, table: EntryTable) -> None:
        rows = self._numbers.rows if self._numbers else ()
        table.show_rows([row_of(at, *texts) for at, texts in enumerate(rows)])

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

    def spot_at(self, point: QPointF) -> Spot | None:
        if self.picture is None or self.shows_table:
            return None
        top = self._theme.px(_HEAD)
        region = self.picture.region_at(point.x(), point.y() - top)
        if region is None:
            return None
        do = partial(self.opened.emit, self.number, region.index)
        return Spot(region.box.translated(0, top), do, region.text)

    # for who cannot see it -----------------------------------------------------------------
    def told_parts(self) -> tuple[Part, ...]:
        """The numbers of the picture, line by line; each opens the jobs behind it."""
        if self.shows_table or self._numbers is None:
            return ()
        heads, boxes = self._numbers.heads, self._boxes()
        return tuple(
            Part(spoken_line(heads, texts), boxes.get(at, QRectF(self._area())),
                 partial(self.opened.emit, self.number, at), Role.ListItem)
            for at, texts in enumerate(self._numbers.rows)
        )  # fmt: skip

    def _boxes(self) -> dict[int, QRectF]:
        """Where the items of the picture stand on the page."""
        if self.picture is None:
            return {}
        down = self._theme.px(_HEAD)
        return {one.index: one.box.translated(0, down) for one in self.picture.regions}

    @property
    def _indent(self) -> int:
        """Where the words begin, after the number."""
        return 20 if self.number < 10 else 30

    # paint ---------------------------------------------------------------------------------
    def draw(self, brush: Brush) -> None:
        c, px = brush.c, brush.px
        here = self.hasFocus() or (self.table is not None and self.table.hasFocus())
        brush.fill(0, 0, self.width(), px(2) if here else px(1), c.act if here else c.rule2)
        tone = c.act if here else c.ink2
        brush.write("entry_number", 0, px(24), str(self.number), tone)
        left = px(self._indent)
        room = self.width() - left
        brush.write("entry", left, px(24), self._finding, c.ink, room)
        if self._legend:
            self._draw_legend(brush)
        elif self._subtitle:
            brush.write("unit", left, px(42), self._subtitle, c.ink2, room)
        picture = self._for_paper() if self._theme.on_paper else self.picture
        if picture is not None and not self.shows_table:
            brush.painter.drawImage(QPointF(0, px(_HEAD)), picture.image)
        elif self._task is not None and not self.shows_table:
            brush.write("aside", left, px(_HEAD + 24), "drawing…", c.ink2, room)

    def _for_paper(self) -> Picture | None:
        """The picture in the colours of paper, and finer; drawn at once, for paper waits."""
        if self.picture is None or self._plot is None:
            return None
        size = QSize(self.width(), self.height() - self._theme.px(_HEAD))
        return draw(self._plot, self._theme.palette, size, self._theme.scale, PAPER_RATIO)

    def _draw_legend(self, brush: Brush) -> None:
        c, px = brush.c, brush.px
        at = float(px(self._indent))
        for kind, words in self._legend:
            box = QRectF(at, px(32), px(12), px(11))
            if kind == "solid":
                brush.painter.fillRect(box, c.bar)
            elif kind == "line":
                brush.fill(at, px(37), px(16), px(2.4), c.ink)
                box.setWidth(px(16))
            else:
                if kind == "hatch":
                    brush.hatch(box, c.ink, 4, 1)
                brush.stroke(c.ink if kind == "hatch" else c.bar,
                             dash=(3, 2) if kind == "dash" else ())  # fmt: skip
                brush.painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))
            base = brush.base("unit", box.center().y())
            at = brush.write("unit", box.right() + px(6), base, words, c.ink2) + px(15)
