"""Words and keys of the notes margin: texts in lines, key caps under each other."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QRectF

from app.window.paper.brush import Brush
from app.window.paper.marks import keycap_width
from app.window.paper.notes import Keys
from app.window.paper.theme import Theme

KEY_PITCH = 24
_KEY_LINE = 17  # of words that are broken


def wrapped(theme: Theme, role: str, text: str, width: float) -> list[str]:
    """Break a text into lines that are not wider than `width`; long words are cut."""
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split(" "):
            trial = f"{line} {word}" if line else word
            if theme.width(role, trial) <= width:
                line = trial
                continue
            if line:
                lines.append(line)
            line = word
            while theme.width(role, line) > width and len(line) > 1:
                cut = len(line)
                while cut > 1 and theme.width(role, line[:cut]) > width:
                    cut -= 1
                lines.append(line[:cut])
                line = line[cut:]
        lines.append(line)
    return lines


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
