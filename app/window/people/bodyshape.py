"""The body of a car, unfolded: a plan in the middle, the sides folded out above and below.

One unit is a centimetre; the nose points left at 0, the centre line is 0, y runs down. Drawn here,
of no make; other bodies are stretched between the front wing and the rear quarter.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath, QTransform

LEFT, RIGHT, HALF_HIGH = -30.0, 433.0, 208.0  # what all of it takes
BELT = 146.0  # below it a side is a lower
INSET = 1.4  # of each panel, so that even gaps stand between them
_WHEEL = 31.0

# Absolute moves (M), lines (L), curves (C) and arcs (A: centre, radius, start and sweep in degrees,
# counter-clockwise from the right), by the surface group that each is part of.
_PLAN = {
    "upper horizontals": (
        "M2,-62C-6,-30,-6,30,2,62C30,72,70,76,110,76C100,30,100,-30,110,-76C70,-76,30,-72,2,-62",
        "M166,-58C158,-20,158,20,166,58L316,56C322,20,322,-20,316,-56L166,-58",
        "M356,-66C363,-24,363,24,356,66C376,69,390,69,402,66C409,24,409,-24,402,-66"
        "C390,-69,376,-69,356,-66",
    ),
    "lowers": (
        "M2,-62C-6,-30,-6,30,2,62L-20,56C-32,28,-32,-28,-20,-56L2,-62",
        "M402,-66C409,-24,409,24,402,66L423,59C436,28,436,-28,423,-59L402,-66",
    ),
    "front glass": ("M110,-76C100,-30,100,30,110,76L166,58C158,20,158,-20,166,-58L110,-76",),
    "other glass": ("M316,-56C322,-20,322,20,316,56L356,66C363,24,363,-24,356,-66L316,-56",),
}
_SIDE = (  # each is cut at the belt into an upper side and a lower
    "M6,130C36,117,72,112,112,110C117,132,116,150,114,176L102,176A64,176,38,0,180"
    "C14,174,4,168,2,160C0,148,2,138,6,130",
    "M112,110C140,108.5,175,108,208,108C211,130,210,150,208,176L114,176C116,150,117,132,112,110",
    "M208,108C240,107,270,107,299,107C303,126,310,138,309.1,157A342,176,38,150,30L208,176"
    "C210,150,211,130,208,108",
    "M299,107L289,76C300,74,308,73,318,73C346,82,372,96,392,112C402,124,407,140,406,158"
    "C404,168,394,174,380,176A342,176,38,0,150C310,138,303,126,299,107",
)
_SILL = "M106,179L300,179L302,186L104,186L106,179"
_WINDOWS = (
    "M128,105C140,95,155,82,170,78L206,76L206,104L128,105",
    "M212,76L284,77L293,103L212,104L212,76",
)
_WHEELS = (64.0, 342.0)
# Where a panel's number stands, beside its middle: some are cut by a wheel or are too narrow.
_NUMBERED = {("upper sides", 1), ("upper sides", 2), ("upper sides", 3), ("lowers", 1),
             ("lowers", 2)}  # fmt: skip


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


def _side() -> Iterator[Panel]:
    """The left side, folded out below the plan."""
    for at, text in enumerate(_SIDE):
        whole = _path(text)
        for group, band in (("upper sides", _band(-300, BELT)), ("lowers", _band(BELT, 300))):
            shape = whole.intersected(band)
            box = shape.boundingRect()
            spot = QPointF(box.center().x(), box.center().y()) if (group, at) in _NUMBERED else None
            if at == 3 and spot is not None:
                spot = QPointF(346, 116)  # clear of the wheel
            yield Panel(group, shape, spot)
    yield Panel("lowers", _path(_SILL), None)
    for text in _WINDOWS:
        yield Panel("other glass", _path(text), None)
    for x in _WHEELS:
        wheel = QPainterPath()
        wheel.addEllipse(QPointF(x, 176), _WHEEL, _WHEEL)
        yield Panel("wheels", wheel, QPointF(x, 176))


@cache
def panels() -> tuple[Panel, ...]:
    """All parts, those of the plan first."""
    made = []
    for group, texts in _PLAN.items():
        for text in texts:
            shape = _path(text)
            number = None if group in ("lowers", "other glass") else shape.boundingRect().center()
            made.append(Panel(group, shape, number))
    over = QTransform.fromScale(1, -1)
    for side in list(_side()):
        made.append(side)
        up = QPointF(side.number.x(), -side.number.y()) if side.number is not None else None
        made.append(Panel(side.group, over.map(side.shape), up))
    return tuple(made)


def scale_for(width: float, height: float) -> float:
    """How many pixels a unit gets where the whole drawing has this room."""
    return math.floor(1000 * min(width / (RIGHT - LEFT), height / (2 * HALF_HIGH))) / 1000
