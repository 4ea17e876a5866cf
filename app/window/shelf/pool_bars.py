"""Bars of a pool's pieces, one for each step of the ladder: clean solid, in use an open frame."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF

from app.window.paper.brush import Brush
from app.window.shelf.timebars import draw_level

_LEFT, _RIGHT, _HIGH = 12, 20, 11


@dataclass(frozen=True)
class PoolBar:
    """Pieces of a step against the most of any; `floor` marks the least that is to stand there.

    `gone` pieces are out or lost: a thin line, for they stand nowhere any more.
    """

    clean: int = 0
    in_use: int = 0
    gone: int = 0
    most: int = 1
    floor: int | None = None


def spoken_pool(bar: PoolBar) -> str:
    """What a bar shows, in words."""
    if bar.gone:
        return f"{bar.gone} gone"
    least = f", {bar.floor} are to be there" if bar.floor is not None else ""
    return f"{bar.clean} clean, {bar.in_use} in use{least}"


def draw_pool_bar(brush: Brush, box: QRectF, bar: PoolBar, _selected: bool) -> None:
    c, px = brush.c, brush.px
    left, width = box.left() + px(_LEFT), box.width() - px(_LEFT + _RIGHT)
    if width <= 0:
        return
    each = width / max(1, bar.most)
    high = px(_HIGH)
    top = round(box.center().y() - high / 2)
    brush.fill(left, top, px(1), high, c.rule2)
    if bar.gone:
        brush.fill(left, top + high / 2 - px(1), bar.gone * each, px(2), c.ink3)
    clean, used = max(0, bar.clean) * each, max(0, bar.in_use) * each
    brush.fill(left, top, clean, high, c.bar)
    if used:
        half = 0.6 * brush.theme.scale
        brush.stroke(c.bar, 1.2)
        frame = QRectF(left + clean, top, used, high)
        brush.painter.drawRect(frame.adjusted(half, half, -half, -half))
    if bar.floor is not None and 0 < bar.floor <= bar.most:
        _draw_floor(brush, left + bar.floor * each, top, top + high)


def _draw_floor(brush: Brush, x: float, top: float, bottom: float) -> None:
    """The mark at which is rebought, as on the shelf."""
    with brush.smooth():
        draw_level(brush, x, top, bottom, rise=3, tip=0)


def draw_pool_head(brush: Brush, box: QRectF) -> None:
    """The signs and their words, over the bars."""
    c, px = brush.c, brush.px
    base, middle = box.bottom() - px(11), box.bottom() - px(15)
    at = box.left() + px(_LEFT)
    brush.fill(at, middle - px(4), px(18), px(8), c.bar)
    at = brush.write("head", at + px(24), base, "clean", c.ink2) + px(16)
    brush.stroke(c.bar, 1.2)
    brush.painter.drawRect(QRectF(at, middle - px(4), px(18), px(8)))
    at = brush.write("head", at + px(24), base, "in use", c.ink2) + px(20)
    if at + px(70) < box.right():
        _draw_floor(brush, at, middle - px(4), middle + px(4))
        brush.write("head", at + px(8), base, "two loads", c.ink2)
