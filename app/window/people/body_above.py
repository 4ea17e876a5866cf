"""What is left on a vehicle, as its body seen from above: ink is the chance that a layer protects.

Under 50 % a panel is striped, where nothing was put on it is dashed; the number says it too.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QLinearGradient, QTransform

from app.calculations.layers.bodies import Body
from app.window.paper.accessible import Part, Role
from app.window.paper.brush import Brush, Spot, Spotted
from app.window.paper.palette import mix
from app.window.paper.theme import Theme
from app.window.people.bodyshape import (
    BELT,
    HALF_HIGH,
    INSET,
    LEFT,
    RIGHT,
    Panel,
    panels,
    scale_for,
)

SCALE = 0.78  # pixels a unit, at scale 1
_KEY = 44  # pixels under the body for the key of the drawing
STRIPED = 0.5  # below this chance a panel is striped


def ink_of(chance: float, ground: QColor, layer: QColor) -> QColor:
    """The fill of a chance, as in the time bars."""
    return mix(ground, layer, 0.06 + 0.80 * chance)


def _light(colour: QColor) -> float:
    """Relative luminance, WCAG 2.2."""
    parts = (colour.redF(), colour.greenF(), colour.blueF())
    linear = [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def number_ink(ground: QColor) -> QColor:
    """Black or white, whichever reads better on a ground: never less than 4.5 to 1."""
    light = _light(ground)
    on_white, on_black = 1.05 / (light + 0.05), (light + 0.05) / 0.05
    return QColor(Qt.GlobalColor.white if on_white > on_black else Qt.GlobalColor.black)


class BodyAbove(Spotted):
    """The panels of one vehicle by surface group; a click chooses a group."""

    told_as = Role.Graphic
    group_chosen = Signal(str)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._standing: frozenset[str] = frozenset()
        self._chances: Mapping[str, float] = {}
        self._here = ""
        self._body = Body.WAGON
        self._unit = 1.0
        self.setAccessibleName("What is left, as the body seen from above")
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the table beside it has the keys

    def show_left(
        self, standing: frozenset[str], chances: Mapping[str, float], body: Body = Body.WAGON
    ) -> None:
        """The groups on which something stands, and the chances that are known of them (0 to 1)."""
        self._standing, self._chances, self._body = standing, chances, body
        self.setAccessibleName(f"What is left, as the body of a {body} seen from above")
        self.update()

    def set_here(self, group: str) -> None:
        """The surface group whose row has the focus."""
        if group != self._here:
            self._here = group
            self.update()

    def sizeHint(self) -> QSize:
        px = self._theme.px
        wide, high = SCALE * (RIGHT - LEFT), SCALE * 2 * HALF_HIGH + _KEY
        return QSize(px(wide), px(high))

    # where -----------------------------------------------------------------------------------
    def _to_page(self) -> QTransform:
        most = SCALE * self._theme.scale
        high = self.height() - self._theme.px(_KEY)
        self._unit = min(most, scale_for(self.width(), high))
        return QTransform(self._unit, 0, 0, self._unit, -LEFT * self._unit, HALF_HIGH * self._unit)

    def spot_at(self, point: QPointF) -> Spot | None:
        back, _possible = self._to_page().inverted()
        on_body = back.map(point)
        for panel in panels(self._body):
            if panel.shape.contains(on_body) and panel.group in self._standing:
                box = self._to_page().mapRect(panel.shape.boundingRect())
                do = partial(self.group_chosen.emit, panel.group)
                return Spot(box, do, self._said(panel.group))
        return None

    def _said(self, group: str) -> str:
        chance = self._chances.get(group)
        if group not in self._standing:
            return f"{group}: nothing was put on"
        return f"{group}: {round(100 * chance)} %" if chance is not None else f"{group}: reading…"

    def told_parts(self) -> tuple[Part, ...]:
        groups = dict.fromkeys(panel.group for panel in panels(self._body))
        page, parts = self._to_page(), []
        for group in groups:
            shape = next(panel.shape for panel in panels(self._body) if panel.group == group)
            do = partial(self.group_chosen.emit, group) if group in self._standing else None
            states = frozenset({"selected"} if group == self._here else ())
            box = page.mapRect(shape.boundingRect())
            parts.append(Part(self._said(group), box, do, Role.ListItem, states))
        return tuple(parts)

    # paint -----------------------------------------------------------------------------------
    def draw(self, brush: Brush) -> None:
        page = self._to_page()
        with brush.smooth():
            for panel in panels(self._body):
                self._panel(brush, panel, page)
            # Over its neighbours: else their gaps would cut the outline.
            brush.stroke(brush.c.ink, 2)
            for panel in panels(self._body):
                if panel.group == self._here and panel.group in self._standing:
                    brush.painter.drawPath(page.map(panel.shape))
        c, px = brush.c, brush.px
        sides = ("right side", -BELT - 6), ("left side", BELT - 2)
        for words, y in sides:
            spot = page.map(QPointF(-28, y - 34 if y > 0 else y + 52))
            brush.write("aside", spot.x(), spot.y(), words, c.ink2)
        self._key(brush, page.map(QPointF(0, HALF_HIGH)).y() + px(8))

    def _panel(self, brush: Brush, panel: Panel, page: QTransform) -> None:
        c = brush.c
        shape = page.map(panel.shape)
        chance = self._chances.get(panel.group)
        if panel.group not in self._standing:
            brush.stroke(c.rule2, 1, dash=(4, 3))
            brush.painter.drawPath(shape)
            return
        ground = ink_of(chance, c.paper, c.layer) if chance is not None else c.paper
        brush.stroke(None, fill=ground)
        brush.painter.drawPath(shape)
        if chance is not None and chance < STRIPED:
            brush.painter.save()
            brush.painter.setClipPath(shape)
            brush.hatch(shape.boundingRect(), c.paper, 7, 2)
            brush.painter.restore()
        brush.stroke(c.paper, 2 * INSET * self._unit / brush.theme.scale)
        brush.painter.drawPath(shape)  # an even gap to its neighbours
        brush.stroke(c.layer, 1)
        brush.painter.drawPath(shape)
        if chance is not None and panel.number is not None:
            self._number(brush, page.map(panel.number), chance, ground)

    def _number(self, brush: Brush, spot: QPointF, chance: float, ground: QColor) -> None:
        text, px = f"{round(100 * chance)} %", brush.px
        wide = brush.theme.width("unit_total", text)
        if chance < STRIPED:  # stripes would run through it
            box = QRectF(spot.x() - wide / 2 - px(3), spot.y() - px(8), wide + px(6), px(16))
            brush.painter.fillRect(box, ground)
        base = brush.base("unit_total", spot.y())
        brush.write_centred("unit_total", spot.x(), base, text, number_ink(ground))

    def _key(self, brush: Brush, top: float) -> None:
        """From nothing to all: striped under half; and what dashes mean."""
        c, px = brush.c, brush.px
        bar = QRectF(px(1), round(top) + 0.5, px(150), px(9))
        shade = QLinearGradient(bar.topLeft(), bar.topRight())
        for share in (0.0, 1.0):
            shade.setColorAt(share, ink_of(share, c.paper, c.layer))
        with brush.smooth():
            brush.painter.fillRect(bar, shade)
            half = QRectF(bar.left(), bar.top(), bar.width() * STRIPED, bar.height())
            brush.hatch(half, c.paper, 7, 2)
            brush.stroke(c.layer, 1)
            brush.painter.drawRect(bar)
        base = bar.bottom() + px(15)
        brush.write("tick", bar.left(), base, "0 %", c.ink2)
        brush.write_centred("tick", bar.center().x(), base, "50 %", c.ink2)
        brush.write_right("tick", bar.right(), base, "100 %", c.ink2)
        left, middle = bar.right() + px(18), bar.center().y()
        frame = QRectF(left, round(middle - px(5)) + 0.5, px(16), px(10))
        with brush.smooth():
            brush.stroke(c.rule2, 1, dash=(4, 3))
            brush.painter.drawRect(frame)
        words = "nothing was put on"
        brush.write("tick", frame.right() + px(6), brush.base("tick", middle), words, c.ink2)
