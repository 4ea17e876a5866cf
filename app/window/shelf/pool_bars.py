"""Bars of a pool's pieces, one for each step of the ladder: clean solid, in use an open frame."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPolygonF

from app.window.paper.strokes import write
from app.window.paper.theme import Theme

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


def paint_pool_bar(
    painter: QPainter, box: QRectF, bar: PoolBar, theme: Theme, _selected: bool
) -> None:
    """Paint one step's bar."""
    c, px = theme.palette, theme.px
    left, width = box.left() + px(_LEFT), box.width() - px(_LEFT + _RIGHT)
    if width <= 0:
        return
    each = width / max(1, bar.most)
    top = round(box.center().y() - px(_HIGH) / 2)
    high = px(_HIGH)
    painter.save()
    painter.fillRect(QRectF(left, top, px(1), high), c.rule2)
    if bar.gone:
        middle = top + high / 2
        painter.fillRect(QRectF(left, middle - px(1), bar.gone * each, px(2)), c.ink3)
    clean, used = max(0, bar.clean) * each, max(0, bar.in_use) * each
    painter.fillRect(QRectF(left, top, clean, high), c.bar)
    if used:
        half = 0.6 * theme.scale
        painter.setPen(QPen(c.bar, 1.2 * theme.scale))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        frame = QRectF(left + clean, top, used, high)
        painter.drawRect(frame.adjusted(half, half, -half, -half))
    if bar.floor is not None and 0 < bar.floor <= bar.most:
        _paint_floor(painter, left + bar.floor * each, top, top + high, theme)
    painter.restore()


def _paint_floor(painter: QPainter, x: float, top: float, bottom: float, theme: Theme) -> None:
    """The mark at which is rebought: as on the shelf, an upright with a head and a paper halo."""
    c, px = theme.palette, theme.px
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillRect(QRectF(x - px(2), top, px(4), bottom - top), c.paper)
    painter.fillRect(QRectF(x - px(1) + 0.25, top - px(3), px(1.5), bottom - top + px(6)), c.ink)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(c.ink)
    reach = px(3.6)
    head = (QPointF(x - reach, top - px(6)), QPointF(x + reach, top - px(6)), QPointF(x, top))
    painter.drawPolygon(QPolygonF(list(head)))


def paint_pool_head(painter: QPainter, box: QRectF, theme: Theme) -> None:
    """The signs and their words, over the bars."""
    c, px = theme.palette, theme.px
    base, middle = box.bottom() - px(11), box.bottom() - px(15)
    at = box.left() + px(_LEFT)
    painter.fillRect(QRectF(at, middle - px(4), px(18), px(8)), c.bar)
    at = write(painter, theme, "head", at + px(24), base, "clean", c.ink2) + px(16)
    painter.setPen(QPen(c.bar, 1.2 * theme.scale))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(QRectF(at, middle - px(4), px(18), px(8)))
    at = write(painter, theme, "head", at + px(24), base, "in use", c.ink2) + px(20)
    if at + px(70) < box.right():
        _paint_floor(painter, at, middle - px(4), middle + px(4), theme)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        write(painter, theme, "head", at + px(8), base, "two loads", c.ink2)
