"""Marks and icons: paths on a 16 by 16 grid, one 1.5 stroke, round ends; and key caps.

Every mark stands beside a word, never instead of one (the folded contents leaf excepted, where a
tooltip says it).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

from app.window.paper.palette import Palette
from app.window.paper.theme import Theme, wrapped

if TYPE_CHECKING:
    from app.window.paper.brush import Brush
    from app.window.paper.notes import Keys

KEY_PITCH = 24
_KEY_LINE = 17  # of words that are broken

# Absolute path commands: M and L take points, C three points, Z closes, O cx cy r is a circle.
_SHAPES = {
    "done": "M3,8.6 L6.4,12 L13.2,4.4",
    "here": "M5,3.4 L11.8,8 L5,12.6 Z",
    "to come": "O8,8,2.3",
    "look": "M8,2.4 L14.2,13.2 L1.8,13.2 Z M8,6.4 L8,9.3 M8,11.2 L8,11.25",
    "wrong": "M5.4,1.8 L10.6,1.8 L14.2,5.4 L14.2,10.6 L10.6,14.2 L5.4,14.2 L1.8,10.6 L1.8,5.4 Z "
    "M8,4.8 L8,8.6 M8,11 L8,11.05",
    "changed": "M3,13 L3.5,10.1 L10.7,2.9 L13.1,5.3 L5.9,12.5 Z M9.3,4.3 L11.7,6.7",
    "few jobs": "M1.6,10.4 L3,10.4 M5.4,10.4 L6.8,10.4 M9.2,10.4 L10.6,10.4 M13,10.4 L14.4,10.4",
    "reminded": "M1.8,3.2 L14.2,3.2 L14.2,12.8 L1.8,12.8 Z M2.2,3.8 L8,8.6 L13.8,3.8",
    "photo": "M1.8,4.2 L5,4.2 L6,2.4 L10,2.4 L11,4.2 L14.2,4.2 L14.2,13.2 L1.8,13.2 Z O8,8.6,2.7",
    "hours": "O8,8,6.4 M8,4.4 L8,8.2 L10.6,9.6",
    "layer": "M8,1.8 C9.6,4.4,12.4,7,12.4,9.8 C12.4,12.4,10.4,14.2,8,14.2 "
    "C5.6,14.2,3.6,12.4,3.6,9.8 C3.6,7,6.4,4.4,8,1.8 Z",
    "order": "M2.4,6 L4.4,2.6 L11.6,2.6 L13.6,6 L13.6,13.8 L2.4,13.8 Z M2.4,6 L13.6,6 "
    "M8,2.6 L8,8.8",
    "day": "M3.2,1.8 L9.6,1.8 L12.8,5 L12.8,14.2 L3.2,14.2 Z M5.6,7.4 L10.4,7.4 "
    "M5.6,10.6 L10.4,10.6",
    "jobs": "M2.9,11.2 L1.8,11.2 L1.8,8.6 C1.8,7.8,2.4,7.4,3.2,7.2 L5.2,4.4 L9.8,4.4 L12.2,7.2 "
    "C13.6,7.4,14.4,8.2,14.4,9.4 L14.4,11.2 L13.1,11.2 M6.3,11.2 L9.7,11.2 O4.6,11.2,1.7 "
    "O11.4,11.2,1.7",
    "customers": "O8,5,3 M2.2,14 C2.4,10.8,4.8,9.8,8,9.8 C11.2,9.8,13.6,10.8,13.8,14",
    "shelf": "M1,13.8 L15,13.8 M2.6,13.6 L2.6,7.6 L5.8,7.6 L5.8,13.6 M3.4,7.4 L3.4,5.2 L5,5.2 "
    "L5,7.4 M7.6,13.6 L7.6,9.4 M9.6,13.6 L9.6,3 L13.4,3 L13.4,13.6",
    "renewals": "M1,2.6 C5,3.2,6.6,6,8,8.4 C9.6,11.2,11.6,12.8,15,13.4 M9.6,2 L9.6,14.2",
    "figures": "M1.6,14 L14.4,14 M4.2,10.8 L4.2,7 M8,10.8 L8,2.4 M11.8,10.8 L11.8,5.2",
    "more": "M2.4,8 L3.6,8 M7.4,8 L8.6,8 M12.4,8 L13.6,8",
    "find": "O6.8,6.8,4.6 M10.2,10.2 L14.2,14.2",
    "diamond": "M8,3.6 L12.4,8 L8,12.4 L3.6,8 Z",
    "add": "M8,3 L8,13 M3,8 L13,8",
    "down": "M4,6.2 L8,10.2 L12,6.2",
    "tick": "M3.4,8.4 L6.6,11.6 L12.6,4.8",
    "peace": "O8,8,6.2 M4.8,8 L11.2,8",
    "fixed": "M3.6,7.2 L12.4,7.2 L12.4,14 L3.6,14 Z M5.4,7 L5.4,4.6 C5.4,1,10.6,1,10.6,4.6 L10.6,7",
    "phone": "M4.8,1.8 L11.2,1.8 L11.2,14.2 L4.8,14.2 Z M7.3,12 L8.7,12",
    "sheet": "M3.2,1.8 L12.8,1.8 L12.8,14.2 L3.2,14.2 Z M5.6,5 L10.4,5 "
    "M5.6,8 L10.4,8 M5.6,11 L8.6,11",
    "note": "M2.4,2.4 L13.6,2.4 L13.6,13.6 L2.4,13.6 Z M5,5.8 L11,5.8 M5,9.2 L9,9.2",
}
MARKS = tuple(_SHAPES)
_FILLED = {"here"}
_WIDTH = {"done": 1.9, "few jobs": 2.0}
_COLOUR = {
    "done": "good",
    "here": "act",
    "look": "look",
    "wrong": "alarm",
    "few jobs": "look",
}
_TOKEN = re.compile(r"([MLCZO])([^MLCZO]*)")


@cache
def _path(commands: str) -> QPainterPath:
    path = QPainterPath()
    for command, rest in _TOKEN.findall(commands):
        n = [float(number) for number in re.findall(r"-?[\d.]+", rest)]
        if command == "M":
            path.moveTo(n[0], n[1])
        elif command == "L":
            path.lineTo(n[0], n[1])
        elif command == "C":
            path.cubicTo(n[0], n[1], n[2], n[3], n[4], n[5])
        elif command == "O":
            path.addEllipse(QPointF(n[0], n[1]), n[2], n[2])
        else:
            path.closeSubpath()
    return path


def mark_path(name: str) -> QPainterPath:
    """The path of a mark on its 16 by 16 grid."""
    return _path(_SHAPES[name])


def mark_colour(name: str, palette: Palette) -> QColor:
    """The colour a mark has of its own: look and alarm and done and here; else second ink."""
    colour = getattr(palette, _COLOUR.get(name, "ink2"))
    assert isinstance(colour, QColor)
    return colour


def _round_pen(colour: QColor, width: float) -> QPen:
    join = Qt.PenJoinStyle.RoundJoin
    return QPen(colour, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, join)


def paint_mark(
    painter: QPainter,
    theme: Theme,
    name: str,
    centre: QPointF,
    colour: QColor | None = None,
    size: float = 16,
    drawn: float = 1.0,
) -> None:
    """Paint a mark around `centre`; `size` in pixels at scale 1; `drawn` (0 to 1) draws a part."""
    unit = size * theme.scale / 16
    tint = colour or mark_colour(name, theme.palette)
    path = mark_path(name)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(centre.x() - 8 * unit, centre.y() - 8 * unit)
    painter.scale(unit, unit)
    pen = _round_pen(tint, _WIDTH.get(name, 1.5))
    if name == "few jobs":
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if drawn < 1.0:
        length = path.length() / pen.widthF()
        pen.setDashPattern([max(length * drawn, 0.01), length + 1])
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    painter.setBrush(tint if name in _FILLED else Qt.BrushStyle.NoBrush)
    painter.drawPath(path)
    painter.restore()


# Glyphs that neither font has alike; drawn on a 12 by 12 grid within a cap.
_GLYPHS = {
    "↵": "M10,3 L10,6.6 L2.4,6.6 M4.8,4.2 L2.4,6.6 L4.8,9",
    "⇧": "M6,1.6 L10.6,6.2 L8,6.2 L8,10.2 L4,10.2 L4,6.2 L1.4,6.2 Z",
    "→": "M2,6 L10,6 M7,3 L10,6 L7,9",
    "←": "M10,6 L2,6 M5,3 L2,6 L5,9",
    "↑": "M6,10 L6,2 M3,5 L6,2 L9,5",
    "↓": "M6,2 L6,10 M3,7 L6,10 L9,7",
}
_GLYPH_WIDTH = 12.0


def _pieces(text: str) -> list[str]:
    return [piece for piece in re.split(r"([↵⇧→←↑↓])", text) if piece]


def _inner_width(theme: Theme, text: str) -> float:
    return sum(
        theme.px(_GLYPH_WIDTH) if piece in _GLYPHS else theme.width("key", piece)
        for piece in _pieces(text)
    )


def keycap_width(theme: Theme, text: str) -> float:
    """The width of a key cap, in the present scale's pixels."""
    return max(round(_inner_width(theme, text) + theme.px(11)), theme.px(18))


def paint_keycap(
    painter: QPainter,
    theme: Theme,
    text: str,
    left: float,
    middle: float,
    ink: QColor | None = None,
) -> float:
    """Paint a key cap from `left`, centred on `middle`, edge and words in `ink`; its width."""
    width, height = keycap_width(theme, text), theme.px(18)
    top = round(middle - height / 2)
    box = QRectF(round(left) + 0.5, top + 0.5, width - 1, height - 1)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(ink or theme.palette.rule2, 1.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(box, theme.px(3), theme.px(3))
    painter.setFont(theme.font("key"))
    at = box.left() + (box.width() - _inner_width(theme, text)) / 2
    base = top + height / 2 + theme.metrics("key").capHeight() / 2
    for piece in _pieces(text):
        if piece in _GLYPHS:
            painter.save()
            painter.translate(at, top + height / 2 - theme.px(6))
            unit = theme.px(_GLYPH_WIDTH) / 12
            painter.scale(unit, unit)
            painter.setPen(_round_pen(ink or theme.palette.ink2, 1.3))
            painter.drawPath(_path(_GLYPHS[piece]))
            painter.restore()
            at += theme.px(_GLYPH_WIDTH)
        else:
            painter.setPen(ink or theme.palette.ink2)
            painter.drawText(QPointF(at, base), piece)
            at += theme.width("key", piece)
    painter.restore()
    return width


def draw_keys(brush: Brush, box: QRectF, keys: Keys, first: int, indent: int) -> None:
    """Key caps under each other, the first centred `first` below the top, with what they do."""
    for row, (key, what) in enumerate(keys):
        middle = box.top() + brush.px(first + KEY_PITCH * row)
        brush.keycap(key, box.left(), middle)
        at, base = box.left() + brush.px(indent), brush.base("unit", middle)
        brush.write("unit", at, base, what, brush.c.ink2, box.right() - at)


def _key_lines(theme: Theme, keys: Keys, width: float) -> list[tuple[str, float, list[str]]]:
    """Each cap, where its words begin, and the lines that they are broken into."""
    made = []
    for key, what in keys:
        left = max(float(theme.px(82)), keycap_width(theme, key) + theme.px(8))
        made.append((key, left, wrapped(theme, "unit", what, max(width - left, 1.0))))
    return made


def keys_height(theme: Theme, keys: Keys, width: float) -> int:
    lines = sum(len(words) for _, _, words in _key_lines(theme, keys, width))
    return theme.px(KEY_PITCH) * len(keys) + theme.px(_KEY_LINE) * (lines - len(keys))


def draw_all_keys(
    brush: Brush, keys: Keys, width: float, seen: Callable[[float, float], bool]
) -> None:
    top = 0.0
    for key, left, words in _key_lines(brush.theme, keys, width):
        middle = top + brush.px(12)
        high = brush.px(KEY_PITCH) + brush.px(_KEY_LINE) * (len(words) - 1)
        if seen(top, top + high):
            brush.keycap(key, 0, middle)
            for line in words:
                brush.write("unit", left, brush.base("unit", middle), line, brush.c.ink2)
                middle += brush.px(_KEY_LINE)
        top += high
