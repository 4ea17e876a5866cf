"""The dot strip of the notes margin: what such jobs really used, and where this one stands."""

from __future__ import annotations

import math
from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from app.window.paper.notes import DotStrip
from app.window.paper.strokes import write
from app.window.paper.theme import Theme

_TOP, _BAND = 20, 26


def strip_height(strip: DotStrip) -> int:
    """Height at scale 1: with an axis and a caption, or with the values under the dots."""
    return 48 + (20 if not strip.labelled else 18) + (17 if strip.caption else 0)


def axis_ticks(low: float, high: float, most: int = 5) -> list[float]:
    """Round numbers that enclose a range: steps of 1, 2 or 5 times a power of ten, 3 to `most`."""
    span = max(high - low, 1e-9)
    raw = span / (most - 1)
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(power * times for times in (1, 2, 5, 10) if power * times >= raw - 1e-12)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    if last == first:
        last += 1
    return [at * step for at in range(first, last + 1)]


def _words(value: float, step: float) -> str:
    """A number with as many decimals as steps of that size need."""
    decimals = max(0, -math.floor(math.log10(step) + 1e-9)) if step > 0 else 0
    return f"{value:,.{decimals}f}"


def paint_strip(painter: QPainter, box: QRectF, strip: DotStrip, theme: Theme) -> None:
    """Paint the strip in `box`."""
    c, px = theme.palette, theme.px
    marks = [*strip.values, *(line.value for line in strip.lines)]
    marks += [edge for edge in (strip.low, strip.high) if edge is not None]
    if not marks:
        return
    ticks = axis_ticks(min(marks), max(marks))
    low, high = ticks[0], ticks[-1]
    step = 1.0 if strip.labelled and max(marks) >= 10 else ticks[1] - ticks[0]
    left, right = box.left() + px(4), box.right() - px(4)

    def x(value: float) -> float:
        return left + (value - low) / (high - low) * (right - left)

    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    floor = box.top() + px(_TOP + _BAND)
    if strip.low is not None and strip.high is not None:
        painter.fillRect(
            QRectF(x(strip.low), floor - px(_BAND), x(strip.high) - x(strip.low), px(_BAND)),
            c.act_soft,
        )
    painter.fillRect(QRectF(box.left(), floor, box.width(), px(1)), c.rule2)
    radius = 3.6 * theme.scale
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(c.ink2)
    for at, value in enumerate(sorted(strip.values)):
        # Two rows in turn, so that dots close together do not hide each other.
        middle = floor - px(13 if strip.labelled else (18, 8)[at % 2])
        painter.drawEllipse(QPointF(x(value), middle), radius, radius)
    _paint_lines(painter, box, strip, theme, x, floor)
    base = floor + px(18)
    for value in strip.values if strip.labelled else ticks:
        text = _words(value, step)
        wide = theme.width("tick", text)
        start = min(max(x(value) - wide / 2, box.left() - px(2)), box.right() + px(2) - wide)
        write(painter, theme, "tick", start, base, text, c.ink2 if strip.labelled else c.ink3)
    if strip.caption:
        write(painter, theme, "tick", box.left(), base + px(17), strip.caption, c.ink3)
    painter.restore()


def _paint_lines(
    painter: QPainter,
    box: QRectF,
    strip: DotStrip,
    theme: Theme,
    x: Callable[[float], float],
    floor: float,
) -> None:
    px = theme.px
    taken = -math.inf
    for line in sorted(strip.lines, key=lambda line: line.value):
        at = x(line.value)
        colour = getattr(theme.palette, line.tone)
        pen = QPen(colour, (2.4 if line.strong else 1.5) * theme.scale)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        if line.dashed:
            pen.setDashPattern([3, 2])
        painter.setPen(pen)
        painter.drawLine(QPointF(at, floor - px(31)), QPointF(at, floor + px(4)))
        role = "key" if line.strong else "tick"
        wide = theme.width(role, line.label)
        left = min(max(at - wide / 2, box.left()), box.right() - wide)
        left = max(left, taken + px(6))
        left = min(left, box.right() - wide)
        taken = left + wide
        write(painter, theme, role, left, box.top() + px(11), line.label, colour)
