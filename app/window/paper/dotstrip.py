"""The dot strip of the notes margin: what such jobs really used, and where this one stands."""

from __future__ import annotations

import math
from collections.abc import Callable

from PySide6.QtCore import QRectF

from app.window.paper.brush import Brush
from app.window.paper.notes import DotStrip

_TOP, _BAND = 20, 26


def strip_height(strip: DotStrip) -> int:
    """Height at scale 1: with an axis and a caption, or with the values under the dots."""
    return 48 + (20 if not strip.labelled else 18) + (17 if strip.caption else 0)


def round_step(raw: float, slack: float = 1e-12) -> float:
    """The first step of 1, 2 or 5 times a power of ten that is not less than `raw`."""
    power = 10.0 ** math.floor(math.log10(raw))
    return next(power * times for times in (1, 2, 5, 10) if power * times >= raw - slack * power)


def axis_ticks(low: float, high: float, most: int = 5) -> list[float]:
    """Round numbers that enclose a range: steps of 1, 2 or 5 times a power of ten, 3 to `most`."""
    step = round_step(max(high - low, 1e-9) / (most - 1))
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    if last == first:
        last += 1
    return [at * step for at in range(first, last + 1)]


def _words(value: float, step: float) -> str:
    """A number with as many decimals as steps of that size need."""
    decimals = max(0, -math.floor(math.log10(step) + 1e-9)) if step > 0 else 0
    return f"{value:,.{decimals}f}"


def paint_strip(brush: Brush, box: QRectF, strip: DotStrip) -> None:
    """Paint the strip in `box`."""
    c, px = brush.c, brush.px
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

    with brush.smooth():
        floor = box.top() + px(_TOP + _BAND)
        if strip.low is not None and strip.high is not None:
            wide = x(strip.high) - x(strip.low)
            brush.fill(x(strip.low), floor - px(_BAND), wide, px(_BAND), c.act_soft)
            for edge in (x(strip.low), x(strip.high) - px(1)):  # its ground alone is too faint
                brush.fill(edge, floor - px(_BAND), px(1), px(_BAND), c.ink3)
        brush.fill(box.left(), floor, box.width(), px(1), c.rule2)
        brush.stroke(None, fill=c.ink2)
        for at, value in enumerate(sorted(strip.values)):
            # Two rows in turn, so that dots close together do not hide each other.
            brush.dot(x(value), floor - px(13 if strip.labelled else (18, 8)[at % 2]), 3.6)
        _paint_lines(brush, box, strip, x, floor)
        base = floor + px(18)
        for value in strip.values if strip.labelled else ticks:
            text = _words(value, step)
            wide = brush.theme.width("tick", text)
            start = min(max(x(value) - wide / 2, box.left() - px(2)), box.right() + px(2) - wide)
            brush.write("tick", start, base, text, c.ink2 if strip.labelled else c.ink3)
        if strip.caption:
            brush.write("tick", box.left(), base + px(17), strip.caption, c.ink3)


def _paint_lines(
    brush: Brush, box: QRectF, strip: DotStrip, x: Callable[[float], float], floor: float
) -> None:
    px, taken = brush.px, -math.inf
    for line in sorted(strip.lines, key=lambda line: line.value):
        at, colour = x(line.value), getattr(brush.c, line.tone)
        dash = (3, 2) if line.dashed else ()
        brush.stroke(colour, 2.4 if line.strong else 1.5, dash=dash, flat=True)
        brush.draw_line(at, floor - px(31), at, floor + px(4))
        role = "key" if line.strong else "tick"
        wide = brush.theme.width(role, line.label)
        left = min(max(at - wide / 2, box.left()), box.right() - wide)
        left = min(max(left, taken + px(6)), box.right() - wide)
        taken = left + wide
        brush.write(role, left, box.top() + px(11), line.label, colour)
