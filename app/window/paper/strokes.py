"""Small strokes of the page: hairlines, dotted leaders, the gutter, texts on a baseline."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QLinearGradient, QPainter

from app.window.paper.theme import Theme


def hairline(
    painter: QPainter, theme: Theme, left: float, top: float, width: float, colour: QColor
) -> None:
    """A horizontal line one pixel high."""
    painter.fillRect(QRectF(left, top, width, theme.px(1)), colour)


def leader(
    painter: QPainter, theme: Theme, left: float, right: float, base: float, colour: QColor
) -> None:
    """Dots on a 6 pixel grid counted from the widget's left edge, so that all lines agree.

    They stand at half the height of small letters over the baseline `base`.
    """
    base = base - 3 * theme.scale
    step = 6 * theme.scale
    dot = max(1.0, 1.5 * theme.scale)
    at = -(-left // step) * step
    while at + dot <= right:
        painter.fillRect(QRectF(at, base - dot, dot, dot), colour)
        at += step


def gutter(painter: QPainter, theme: Theme, area: QRectF, *, leaf: bool) -> None:
    """The shade at the fold: grows to the right on the leaf, fades to the right on the page."""
    width = theme.px(22 if leaf else 26)
    share = theme.palette.gutter_leaf if leaf else theme.palette.gutter_page
    box = QRectF(area.right() - width if leaf else area.left(), area.top(), width, area.height())
    shade = QLinearGradient(box.topLeft(), box.topRight())
    dark, clear = QColor(0, 0, 0, round(255 * share)), QColor(0, 0, 0, 0)
    for stop, weight in ((0.0, 0.0), (0.5, 0.32), (0.8, 0.66), (1.0, 1.0)):
        tint = QColor(0, 0, 0, round(dark.alpha() * weight))
        shade.setColorAt(stop if leaf else 1.0 - stop, tint if weight else clear)
    painter.fillRect(box, shade)


def middle_base(theme: Theme, role: str, middle: float) -> float:
    """The baseline on which capitals and figures of a role stand centred on `middle`."""
    return round(middle + theme.metrics(role).capHeight() / 2)


def write(
    painter: QPainter, theme: Theme, role: str, left: float, base: float, text: str, colour: QColor
) -> float:
    """Write a text from `left` on a baseline; returns where it ends."""
    painter.setFont(theme.font(role))
    painter.setPen(colour)
    painter.drawText(QPointF(left, base), text)
    return left + theme.width(role, text)


def write_right(
    painter: QPainter, theme: Theme, role: str, right: float, base: float, text: str, colour: QColor
) -> float:
    """Write a text that ends at `right`; returns where it begins."""
    left = right - theme.width(role, text)
    write(painter, theme, role, left, base, text, colour)
    return left


def write_wrapped(
    painter: QPainter, theme: Theme, role: str, box: QRectF, text: str, colour: QColor
) -> None:
    """Write a text broken into lines within a box, from its top left."""
    painter.setFont(theme.font(role))
    painter.setPen(colour)
    flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap
    painter.drawText(box, int(flags), text)
