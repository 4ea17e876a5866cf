"""How long a supply lasts: the curve with its band over the label's range, and the figures."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from app.actions.layers.life_page import LifePage, age_words, life_page
from app.window.house.office import Office
from app.window.paper.cells import Cell, Column, EmptyText, State, TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Block, Facts, Note, Rule, Voice
from app.window.paper.palette import mix
from app.window.paper.partsbody import PartsBody
from app.window.paper.strokes import hairline, write, write_right
from app.window.paper.theme import Theme

HEIGHT = 232
_LEFT, _TOP, _RIGHT, _FLOOR = 46, 18, 14, 52  # room around the drawing
_STEPS = (7, 14, 28, 61, 91, 183, 365, 731)  # days between the ticks


class LifeDrawing(QWidget):
    """Chance that a layer still protects, over its age, with the 80 % band around it."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._life: LifePage | None = None
        self.setFixedHeight(theme.px(HEIGHT))
        theme.recoloured.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(400), self._theme.px(HEIGHT))

    def show_life(self, life: LifePage | None) -> None:
        """Draw another supply's life."""
        self._life = life
        self.setAccessibleName(" ".join(life.voice) if life else "")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        life = self._life
        if life is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        theme, c, px = self._theme, self._theme.palette, self._theme.px
        box = QRectF(px(_LEFT), px(_TOP), self.width() - px(_LEFT + _RIGHT), 0)
        box.setBottom(self.height() - px(_FLOOR))
        reach = max(life.ages[-1], life.label[1] * 1.05)

        def at(age: float, chance: float) -> QPointF:
            return QPointF(
                box.left() + box.width() * age / reach, box.bottom() - box.height() * chance
            )

        for chance in (0.0, 0.5, 1.0):
            y = at(0, chance).y()
            hairline(painter, theme, box.left(), round(y), box.width(), c.rule)
            base = y + theme.metrics("tick").capHeight() / 2
            words = f"{100 * chance:.0f} %"
            write_right(painter, theme, "tick", box.left() - px(8), base, words, c.ink2)
        band = [at(*pair) for pair in zip(life.ages, life.high, strict=True)]
        band += [at(*pair) for pair in zip(life.ages[::-1], life.low[::-1], strict=True)]
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(mix(c.paper, c.layer, 0.20))
        painter.drawPolygon(QPolygonF(band))
        pen = QPen(c.layer, 1.8 * theme.scale)
        if not life.summary.layers:
            pen.setDashPattern([4, 3])  # guessed: by the label alone
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(
            QPolygonF([at(*pair) for pair in zip(life.ages, life.still, strict=True)])
        )
        self._paint_median(painter, life, at(life.median, 0.5))
        self._paint_label(painter, life, at(life.label[0], 0).x(), at(life.label[1], 0).x(), box)
        self._paint_ages(painter, reach, box)

    def _paint_median(self, painter: QPainter, life: LifePage, spot: QPointF) -> None:
        theme, c, px = self._theme, self._theme.palette, self._theme.px
        painter.setPen(QPen(c.paper, 1.6 * theme.scale))
        painter.setBrush(c.ink if life.summary.layers else c.paper)
        if not life.summary.layers:
            painter.setPen(QPen(c.ink, 1.4 * theme.scale))
        painter.drawEllipse(spot, 4.2 * theme.scale, 4.2 * theme.scale)
        words = f"half last {age_words(life.median)}"
        base = spot.y() - px(9)
        write(painter, theme, "unit", spot.x() + px(8), base, words, c.ink)

    def _paint_label(
        self, painter: QPainter, life: LifePage, left: float, right: float, box: QRectF
    ) -> None:
        theme, px = self._theme, self._theme.px
        ink = theme.palette.look if life.summary.differs else theme.palette.ink2
        y = box.bottom() + px(9)
        painter.fillRect(QRectF(left, y, right - left, px(1.5)), ink)
        for x in (left, right):
            painter.fillRect(QRectF(x - px(1), y - px(4), px(1.5), px(9)), ink)
        words = "label"
        room = theme.width("unit", words)
        x = min(right + px(7), box.right() - room)
        write(painter, theme, "unit", x, y + px(5), words, ink)

    def _paint_ages(self, painter: QPainter, reach: float, box: QRectF) -> None:
        theme, px = self._theme, self._theme.px
        step = next((one for one in _STEPS if reach / one <= 9), _STEPS[-1])
        base = box.bottom() + px(34)
        age = step
        while age <= reach:
            x = box.left() + box.width() * age / reach
            words = _tick(age, step)
            left = x - theme.width("tick", words) / 2
            painter.fillRect(QRectF(x, box.bottom(), px(1), px(3)), theme.palette.rule2)
            write(painter, theme, "tick", left, base, words, theme.palette.ink2)
            age += step


class LifeBody(PartsBody):
    """The entry of a supply's card: the drawing over its figures."""

    def __init__(self, office: Office) -> None:
        self._office = office
        self.drawing = LifeDrawing(office.theme)
        self.table = EntryTable(
            office.theme,
            (
                Column("age", "After", width=150, least=100),
                Column("still", "Still", "protects", width=110, right=True),
                Column("band", "80 % band", width=160, right=True, dense=True),
                Column("rest", "", width=0),
            ),
            rows_from=21,
            rows_to=26,
        )
        super().__init__(office.theme, self.drawing, self.table, focus=lambda: self.table)
        self.life: LifePage | None = None
        self.table.teach_when_empty(
            EmptyText(
                "No life known yet",
                "Say under the facts of which class a layer this supply leaves, "
                "and what its label promises.",
            )
        )

    def read(self, supply_id: int, shown: object = None) -> None:
        """Read a supply's life in the background and show it."""
        office, day = self._office, self._office.day

        def done(life: LifePage | None) -> None:
            self.show_life(life)
            if callable(shown):
                shown(life)

        office.runner.run(
            "Reading how long it lasts",
            lambda _task: life_page(office.desk, day, supply_id),
            done=done,
            failed=office.say_trouble,
            owner=self,
            quiet=True,
        )

    def show_life(self, life: LifePage | None) -> None:
        """Show what was read."""
        self.life = life
        self.drawing.show_life(life)
        self.table.show_rows(
            [
                TableRow(
                    at,
                    (
                        Cell(age_words(age)),
                        Cell(f"{100 * still:.0f} %"),
                        Cell(f"{100 * low:.0f} to {100 * high:.0f} %", State.QUIET),
                        Cell(),
                    ),
                )
                for at, (age, still, low, high) in enumerate(life.rows if life else ())
            ]
        )

    def note(self) -> Note:
        """What the margin says of it."""
        life = self.life
        if life is None:
            return Note("How long it lasts", (), (("Esc", "back"),))
        blocks: list[Block] = [Voice(words) for words in life.voice]
        blocks += [Rule(), Facts(life.facts)]
        return Note(f"How long {life.name[:1].lower()}{life.name[1:]} lasts", tuple(blocks),
                    (("Esc", "back"),))  # fmt: skip


def _tick(age: float, step: float) -> str:
    if step < 61:
        weeks = age / 7
        return "1 week" if weeks == 1 else f"{weeks:.0f} weeks"
    months = round(age / 30.44)
    return "1 month" if months == 1 else f"{months} months"
