"""How long a supply lasts: the curve with its band over the label's range, and the figures."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QPolygonF

from app.actions.layers.life_page import LifePage, life_page
from app.calculations.numbers.dates import age_words
from app.calculations.numbers.wording import count_of
from app.window.house.acting import in_background
from app.window.house.office import Office
from app.window.paper.brush import Brush, Drawn
from app.window.paper.cells import Column, EmptyText, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Facts, Note, Rule, Voice
from app.window.paper.palette import mix
from app.window.paper.partsbody import PartsBody
from app.window.paper.theme import Theme

HEIGHT = 232
_LEFT, _TOP, _RIGHT, _FLOOR = 46, 18, 14, 52  # room around the drawing
_STEPS = (7, 14, 28, 61, 91, 183, 365, 731)  # days between the ticks


class LifeDrawing(Drawn):
    """Chance that a layer still protects, over its age, with the 80 % band around it."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._life: LifePage | None = None
        self.setFixedHeight(theme.px(HEIGHT))

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(400), self._theme.px(HEIGHT))

    def show_life(self, life: LifePage | None) -> None:
        self._life = life
        self.setAccessibleName(" ".join(life.voice) if life else "")
        self.update()

    def draw(self, brush: Brush) -> None:
        life = self._life
        if life is None:
            return
        c, px = brush.c, brush.px
        box = QRectF(px(_LEFT), px(_TOP), self.width() - px(_LEFT + _RIGHT), 0)
        box.setBottom(self.height() - px(_FLOOR))
        reach = max(life.ages[-1], life.label[1] * 1.05)

        def at(age: float, chance: float) -> QPointF:
            return QPointF(
                box.left() + box.width() * age / reach, box.bottom() - box.height() * chance
            )

        with brush.smooth():
            for chance in (0.0, 0.5, 1.0):
                y = at(0, chance).y()
                brush.hairline(box.left(), round(y), box.width(), c.rule)
                base = y + self._theme.metrics("tick").capHeight() / 2
                words = f"{100 * chance:.0f} %"
                brush.write_right("tick", box.left() - px(8), base, words, c.ink2)
            band = [at(*pair) for pair in zip(life.ages, life.high, strict=True)]
            band += [at(*pair) for pair in zip(life.ages[::-1], life.low[::-1], strict=True)]
            brush.stroke(c.ink3, 0.8, fill=mix(c.paper, c.layer, 0.20))  # the ground is too faint
            brush.painter.drawPolygon(QPolygonF(band))
            # dashed where it is guessed, by the label alone
            brush.stroke(c.layer, 1.8, dash=() if life.summary.layers else (4, 3))
            still = [at(*pair) for pair in zip(life.ages, life.still, strict=True)]
            brush.painter.drawPolyline(QPolygonF(still))
            self._draw_median(brush, life, at(life.median, 0.5))
            self._draw_label(brush, life, at(life.label[0], 0).x(), at(life.label[1], 0).x(), box)
            self._draw_ages(brush, reach, box)

    @staticmethod
    def _draw_median(brush: Brush, life: LifePage, spot: QPointF) -> None:
        c, px = brush.c, brush.px
        if life.summary.layers:
            brush.stroke(c.paper, 1.6, fill=c.ink)
        else:
            brush.stroke(c.ink, 1.4, fill=c.paper)
        brush.dot(spot.x(), spot.y(), 4.2)
        words = f"half last {age_words(life.median)}"
        brush.write("unit", spot.x() + px(8), spot.y() - px(9), words, c.ink)

    @staticmethod
    def _draw_label(brush: Brush, life: LifePage, left: float, right: float, box: QRectF) -> None:
        px = brush.px
        ink = brush.c.look if life.summary.differs else brush.c.ink2
        y = box.bottom() + px(9)
        brush.fill(left, y, right - left, px(1.5), ink)
        for x in (left, right):
            brush.fill(x - px(1), y - px(4), px(1.5), px(9), ink)
        x = min(right + px(7), box.right() - brush.theme.width("unit", "label"))
        brush.write("unit", x, y + px(5), "label", ink)

    @staticmethod
    def _draw_ages(brush: Brush, reach: float, box: QRectF) -> None:
        px, step = brush.px, next((one for one in _STEPS if reach / one <= 9), _STEPS[-1])
        for age in range(step, int(reach) + 1, step):
            x = box.left() + box.width() * age / reach
            brush.fill(x, box.bottom(), px(1), px(3), brush.c.rule2)
            brush.write_centred("tick", x, box.bottom() + px(34), _tick(age, step), brush.c.ink2)


class LifeBody(PartsBody):
    """The entry of a supply's card: the drawing over its figures."""

    def __init__(self, office: Office) -> None:
        self._office = office
        self.drawing = LifeDrawing(office.theme)
        self.table = EntryTable(
            office.theme,
            (
                Column("age", "After", width=150, least=100),
                Column("still", "Still", subhead="protects", width=110, right=True),
                Column("band", "80 % band", width=160, right=True, dense=True),
                Column("rest", "", width=0),
            ),
            rows_from=24,
            rows_to=26,
            empty=EmptyText(
                "No life known yet",
                "Say under the facts of which class a layer this supply leaves, "
                "and what its label promises.",
            ),
        )
        super().__init__(office.theme, self.drawing, self.table, focus=lambda: self.table)
        self.life: LifePage | None = None

    def read(self, supply_id: int, shown: Callable[[object], object]) -> None:
        """Read a supply's life in the background, show it, and call `shown`."""
        office, day = self._office, self._office.day

        def done(life: LifePage | None) -> None:
            self.show_life(life)
            shown(life)

        in_background(
            office,
            self,
            "Reading how long it lasts",
            lambda: life_page(office.desk, day, supply_id),
            done,
            quiet=True,
        )

    def show_life(self, life: LifePage | None) -> None:
        self.life = life
        self.drawing.show_life(life)
        self.table.show_rows(
            [
                row_of(
                    at,
                    age_words(age),
                    f"{100 * still:.0f} %",
                    quiet(f"{100 * low:.0f} to {100 * high:.0f} %"),
                    "",
                )
                for at, (age, still, low, high) in enumerate(life.rows if life else ())
            ]
        )

    def note(self) -> Note:
        life, keys = self.life, (("Esc", "back"),)
        if life is None:
            return Note("How long it lasts", (), keys)
        spoken = tuple(Voice(words) for words in life.voice)
        name = f"{life.name[:1].lower()}{life.name[1:]}"
        return Note(f"How long {name} lasts", (*spoken, Rule(), Facts(life.facts)), keys)


def _tick(age: int, step: int) -> str:
    if step < 61:
        return count_of(age // 7, "week")
    return count_of(round(age / 30.44), "month")
