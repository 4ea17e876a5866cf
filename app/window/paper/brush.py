"""The brush: a painter and the theme it paints in; and the widget that is painted with one.

Left, top, base and middle are pixels of the widget; widths of strokes are pixels at scale 1.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QLinearGradient,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QWidget

from app.window.paper.accessible import Part, Role, Told, say_focus
from app.window.paper.marks import paint_keycap, paint_mark
from app.window.paper.plain import set_tip, show_tip
from app.window.paper.stepping import ARROWS, neighbour
from app.window.paper.theme import Theme

Cut = tuple[QRectF, str]  # where a text stands that is cut, and the whole of it
Room = float | None  # how wide a text may be; None: as wide as it is
WRAP = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap)


class Brush:
    """Lines, areas, marks, and texts on a baseline; whatever else goes through `painter`."""

    def __init__(self, painter: QPainter, theme: Theme) -> None:
        self.painter, self.theme = painter, theme
        self.c, self.px = theme.palette, theme.px
        self.cut: list[Cut] = []  # what was written shorter than it is

    # texts ---------------------------------------------------------------------------------
    def base(self, role: str, middle: float) -> float:
        """The baseline on which capitals and figures of a role stand centred on `middle`."""
        return round(middle + self.theme.metrics(role).capHeight() / 2)

    def write(
        self, role: str, left: float, base: float, text: str, ink: QColor, room: Room = None
    ) -> float:
        """Write a text from `left` on a baseline, ending in … beyond `room`; where it ends."""
        whole = text
        if room is not None:
            text = self.theme.elided(role, text, room)
        self.painter.setFont(self.theme.font(role))
        self.painter.setPen(ink)
        self.painter.drawText(QPointF(left, base), text)
        wide = self.theme.width(role, text)
        if text != whole:
            self._note_cut(role, left, base, wide, whole)
        return left + wide

    def _note_cut(self, role: str, left: float, base: float, wide: float, whole: str) -> None:
        metrics = self.theme.metrics(role)
        self.cut.append((QRectF(left, base - metrics.ascent(), wide, metrics.height()), whole))

    def write_right(
        self, role: str, right: float, base: float, text: str, ink: QColor, room: Room = None
    ) -> float:
        """Write a text that ends at `right`; returns where it begins."""
        whole = self.theme.width(role, text)
        left = right - (whole if room is None else min(whole, max(room, 0.0)))
        self.write(role, left, base, text, ink, room)
        return left

    def write_centred(self, role: str, centre: float, base: float, text: str, ink: QColor) -> float:
        """Write a text around `centre`; returns where it ends."""
        return self.write(role, centre - self.theme.width(role, text) / 2, base, text, ink)

    def write_wrapped(self, role: str, box: QRectF, text: str, colour: QColor) -> None:
        """Write a text broken into lines within a box, from its top left."""
        self.painter.setFont(self.theme.font(role))
        self.painter.setPen(colour)
        self.painter.drawText(box, WRAP, text)
        if self.theme.wrapped_height(role, text, box.width()) > box.height() + self.px(2):
            self.cut.append((box, text))

    # lines and areas -----------------------------------------------------------------------
    def fill(self, left: float, top: float, width: float, height: float, colour: QColor) -> None:
        """A filled rectangle."""
        self.painter.fillRect(QRectF(left, top, width, height), colour)

    def hairline(self, left: float, top: float, width: float, colour: QColor) -> None:
        """A horizontal line one pixel high."""
        self.fill(left, top, width, self.px(1), colour)

    def leader(self, left: float, right: float, base: float, colour: QColor) -> None:
        """Dots on a 6 pixel grid counted from the widget's left edge, so that all lines agree.

        They stand at half the height of small letters over the baseline `base`.
        """
        scale = self.theme.scale
        base, step, dot = base - 3 * scale, 6 * scale, max(1.0, 1.5 * scale)
        at = -(-left // step) * step
        while at + dot <= right:
            self.fill(at, base - dot, dot, dot, colour)
            at += step

    def gutter(self, area: QRectF, *, leaf: bool) -> None:
        """The shade at the fold: grows to the right on the leaf, fades to the right on the page."""
        width = self.px(22 if leaf else 26)
        share = self.c.gutter_leaf if leaf else self.c.gutter_page
        left = area.right() - width if leaf else area.left()
        box = QRectF(left, area.top(), width, area.height())
        shade = QLinearGradient(box.topLeft(), box.topRight())
        for stop, weight in ((0.0, 0.0), (0.5, 0.32), (0.8, 0.66), (1.0, 1.0)):
            tint = QColor(0, 0, 0, round(round(255 * share) * weight))
            shade.setColorAt(stop if leaf else 1.0 - stop, tint)
        self.painter.fillRect(box, shade)

    def hatch(self, area: QRectF, colour: QColor, gap: float = 5, width: float = 1.3) -> None:
        """Rising 45 degree lines within an area, `gap` apart (pixels at scale 1)."""
        with self.smooth():
            self.painter.setClipRect(area, Qt.ClipOperation.IntersectClip)
            self.stroke(colour, width)
            step, high = gap * self.theme.scale, area.height()
            x = area.left() - high
            while x < area.right():
                self.draw_line(x, area.bottom(), x + high, area.top())
                x += step

    # shapes --------------------------------------------------------------------------------
    @contextmanager
    def smooth(self) -> Iterator[None]:
        """Smooth edges for what is painted within; pen, clip and the rest are as before after."""
        self.painter.save()
        self.painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        yield
        self.painter.restore()

    def stroke(
        self,
        colour: QColor | None,
        width: float = 1.0,
        *,
        dash: Sequence[float] = (),
        fill: QColor | None = None,
        flat: bool = False,
    ) -> None:
        """How the next shapes are drawn: their edge (none without a colour) and their filling."""
        if colour is None:
            self.painter.setPen(Qt.PenStyle.NoPen)
        else:
            pen = QPen(colour, width * self.theme.scale)
            if dash:
                pen.setDashPattern(list(dash))
            if flat:
                pen.setCapStyle(Qt.PenCapStyle.FlatCap)
            self.painter.setPen(pen)
        self.painter.setBrush(QBrush(fill) if fill is not None else Qt.BrushStyle.NoBrush)

    def draw_line(self, x: float, y: float, to_x: float, to_y: float) -> None:
        """A straight line."""
        self.painter.drawLine(QPointF(x, y), QPointF(to_x, to_y))

    def polygon(self, *points: tuple[float, float]) -> None:
        """A closed shape."""
        self.painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in points]))

    def dot(self, x: float, y: float, radius: float) -> None:
        """A round dot; the radius in pixels at scale 1."""
        size = radius * self.theme.scale
        self.painter.drawEllipse(QPointF(x, y), size, size)

    def rounded(self, box: QRectF, radius: float = 2) -> None:
        """A rectangle with rounded corners."""
        self.painter.drawRoundedRect(box, self.px(radius), self.px(radius))

    # marks ---------------------------------------------------------------------------------
    def mark(
        self,
        name: str,
        x: float,
        y: float,
        colour: QColor | None = None,
        size: float = 16,
        drawn: float = 1.0,
    ) -> None:
        """A mark around a point; see `paint_mark`."""
        paint_mark(self.painter, self.theme, name, QPointF(x, y), colour, size, drawn)

    def keycap(self, text: str, left: float, middle: float, ink: QColor | None = None) -> float:
        """A key cap; returns its width."""
        return paint_keycap(self.painter, self.theme, text, left, middle, ink)


class Drawn(QWidget, Told):
    """A widget that is painted with a brush, and anew when the colours change.

    What is cut on it is shown whole where the mouse rests.
    """

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._cut: list[Cut] = []
        theme.recoloured.connect(self.update)

    def paintEvent(self, event: QPaintEvent) -> None:
        brush = Brush(QPainter(self), self._theme)
        self.draw(brush)
        cut, self._cut = self._cut, brush.cut
        if [text for _box, text in cut] != [text for _box, text in brush.cut]:
            self._tell_cut()

    def _tell_cut(self) -> None:
        """Let the mouse show what is cut (not by `event`: every event would pass through it)."""
        set_tip(self, "\n".join(text for _box, text in self._cut))

    def draw(self, brush: Brush) -> None:
        """Paint it."""
        raise NotImplementedError


@dataclass(frozen=True)
class Spot:
    """A part of a drawing that can be clicked; `tip` is shown when the mouse rests there.

    `name` is what a screen reader calls it (else the tip), `states` how it stands; see `Part`.
    """

    box: QRectF
    do: Callable[[], object]
    tip: str = ""
    name: str = ""
    states: frozenset[str] = frozenset()


_PRESS = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)


class Spotted(Drawn):
    """A drawing with spots to click, the later ones on top; `over` is the one under the mouse.

    Where Tab reaches it (`reach_by_tab`), arrows go from spot to spot, and Enter or Space presses.
    """

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self.spots: list[Spot] = []
        self.over: QRectF | None = None
        self._at = 0  # the spot that keys press
        self.setMouseTracking(True)

    def spot_at(self, point: QPointF) -> Spot | None:
        """The spot under a point."""
        return next((spot for spot in reversed(self.spots) if spot.box.contains(point)), None)

    def told_parts(self) -> tuple[Part, ...]:
        here = self._spot_with_focus()
        return tuple(
            Part(spot.name or spot.tip, spot.box, spot.do, Role.Button,
                 spot.states | {"focused"} if spot is here else spot.states)
            for spot in self.spots
        )  # fmt: skip

    # keys ----------------------------------------------------------------------------------
    def reach_by_tab(self, reached: bool) -> None:
        """Whether Tab stops here: where a spot has no key of its own."""
        policy = Qt.FocusPolicy.TabFocus if reached else Qt.FocusPolicy.NoFocus
        if policy != self.focusPolicy():
            self.setFocusPolicy(policy)

    def first_spot(self) -> int:
        """Which spot has the focus when Tab comes here."""
        return 0

    def _spot_with_focus(self) -> Spot | None:
        if not self.spots or not self.hasFocus():
            return None
        return self.spots[min(self._at, len(self.spots) - 1)]

    def focusInEvent(self, event: QFocusEvent) -> None:
        self._at = self.first_spot()
        self.update()
        super().focusInEvent(event)
        say_focus(self, self._at)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.update()
        super().focusOutEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        spot = self._spot_with_focus()
        held = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        if spot is not None and not held and event.key() in ARROWS:
            boxes = [one.box for one in self.spots]
            self._at = neighbour(boxes, self.spots.index(spot), ARROWS[Qt.Key(event.key())])
            self.update()
            say_focus(self, self._at)
        elif spot is not None and not held and event.key() in _PRESS:
            if not event.isAutoRepeat():
                spot.do()
        else:
            super().keyPressEvent(event)

    def _is_own(self, event: QEvent) -> bool:
        """Whether a key is one of a spot's, before it is one of the page's."""
        return (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
            and (event.key() in ARROWS or event.key() in _PRESS)
            and self._spot_with_focus() is not None
        )

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        spot = self._spot_with_focus()
        if spot is not None:
            brush = Brush(QPainter(self), self._theme)
            with brush.smooth():
                inside = QRectF(self.rect()).intersected(spot.box.adjusted(-3, 0, 3, 0))
                brush.stroke(brush.c.act, 2)
                brush.rounded(inside.adjusted(1, 1, -1, -1))

    # mouse ---------------------------------------------------------------------------------
    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        spot = self.spot_at(event.position())
        self.setCursor(Qt.CursorShape.PointingHandCursor if spot else Qt.CursorShape.ArrowCursor)
        box = spot.box if spot else None
        if box != self.over:
            self.over = box
            self.update()

    def leaveEvent(self, event: QEvent) -> None:
        self.over = None
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()  # else the release would go to the parent

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        spot = self.spot_at(event.position())
        if spot is not None and event.button() == Qt.MouseButton.LeftButton:
            spot.do()

    def _tell_cut(self) -> None:
        """A spot says its own words; what is cut is found with them, see `tip_at`."""

    def tip_at(self, point: QPointF) -> tuple[str, QRectF]:
        """What is said where the mouse rests on a point, and in which part of the drawing."""
        spot = self.spot_at(point)
        if spot is not None and spot.tip:
            return spot.tip, spot.box
        found = ((text, box) for box, text in self._cut if box.contains(point))
        return next(found, ("", QRectF()))

    def event(self, event: QEvent) -> bool:
        if self._is_own(event):
            event.accept()
            return True
        if (
            event.type() == QEvent.Type.ToolTip
            and isinstance(event, QHelpEvent)
            and not self.toolTip()
        ):
            tip, box = self.tip_at(QPointF(event.pos()))
            show_tip(event.globalPos(), tip, self, box.toRect())
            return True
        return super().event(event)
