"""The panels of a body, unfolded: a plan in the middle, the sides folded out above and below."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath, QTransform

from app.calculations.layers.bodies import Body
from app.window.people.bodylines import LINES, SILL, WHEELS, BodyLines

LEFT, RIGHT, HALF_HIGH = -30.0, 433.0, 208.0  # what all of it takes
BELT = 146.0  # below it a side is a lower
INSET = 1.4  # of each panel, so that even gaps stand between them
_WHEEL = 31.0
_NARROW = 36.0  # a number needs more


@dataclass(frozen=True)
class Panel:
    """A part of the drawing: its surface group, its shape, and where its number stands."""

    group: str
    shape: QPainterPath
    number: QPointF | None


def _path(text: str) -> QPainterPath:
    made, at = QPainterPath(), 0
    while at < len(text):
        end = at + 1
        while end < len(text) and not text[end].isalpha():
            end += 1
        kind, numbers = text[at], [float(one) for one in text[at + 1 : end].split(",") if one]
        if kind == "M":
            made.moveTo(*numbers)
        elif kind == "L":
            made.lineTo(*numbers)
        elif kind == "C":
            for first in range(0, len(numbers), 6):
                made.cubicTo(*numbers[first : first + 6])
        else:
            x, y, radius, start, sweep = numbers
            box = QRectF(x - radius, y - radius, 2 * radius, 2 * radius)
            made.arcTo(box, start, sweep)
        at = end
    made.closeSubpath()
    return made


def _band(top: float, bottom: float) -> QPainterPath:
    made = QPainterPath()
    made.addRect(QRectF(-100, top, 700, bottom - top))
    return made


def _side(lines: BodyLines) -> Iterator[Panel]:
    """The left side, folded out below the plan."""
    bands = (
        ("upper sides", _band(-300, BELT), lines.uppers),
        ("lowers", _band(BELT, 300), lines.lowers),
    )
    for text in lines.sides:
        whole = _path(text)
        for group, band, spots in bands:
            shape = whole.intersected(band)
            numbers = [QPointF(*spot) for spot in spots if shape.contains(QPointF(*spot))]
            yield Panel(group, shape, numbers[0] if numbers else None)
    yield Panel("lowers", _path(SILL), None)
    for text in lines.windows:
        yield Panel("other glass", _path(text), None)
    for x in WHEELS:
        wheel = QPainterPath()
        wheel.addEllipse(QPointF(x, 176), _WHEEL, _WHEEL)
        yield Panel("wheels", wheel, QPointF(x, 176))


@cache
def panels(body: Body = Body.WAGON) -> tuple[Panel, ...]:
    """All parts of a body, those of the plan first."""
    made, lines = [], LINES[body]
    for group, texts in lines.plan.items():
        for text in texts:
            shape = _path(text)
            box = shape.boundingRect()
            told = group not in ("lowers", "other glass") and box.width() > _NARROW
            made.append(
                Panel(group, shape, box.center() if told and box.height() > _NARROW else None)
            )
    over = QTransform.fromScale(1, -1)
    for side in list(_side(lines)):
        made.append(side)
        up = QPointF(side.number.x(), -side.number.y()) if side.number is not None else None
        made.append(Panel(side.group, over.map(side.shape), up))
    return tuple(made)


def scale_for(width: float, height: float) -> float:
    """How many pixels a unit gets where the whole drawing has this room."""
    return math.floor(1000 * min(width / (RIGHT - LEFT), height / (2 * HALF_HIGH))) / 1000
