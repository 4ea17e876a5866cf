"""Marks stay on their grid and every one paints."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPointF
from PySide6.QtGui import QImage, QPainter

from app.window.paper.marks import MARKS, keycap_width, mark_path, paint_keycap, paint_mark
from app.window.paper.theme import Theme


@pytest.mark.parametrize("name", MARKS)
def test_a_mark_stays_within_its_sixteen_by_sixteen_grid(name: str):
    box = mark_path(name).boundingRect()
    assert box.left() >= 0.7
    assert box.top() >= 0.7
    assert box.right() <= 15.3
    assert box.bottom() <= 15.3


def _inked(image: QImage) -> int:
    return sum(
        1
        for x in range(image.width())
        for y in range(image.height())
        if image.pixelColor(x, y).alpha() > 40
    )


@pytest.mark.parametrize("name", MARKS)
def test_a_mark_paints_something_and_a_half_drawn_one_less(theme: Theme, name: str):
    counts = []
    for drawn in (1.0, 0.4):
        image = QImage(20, 20, QImage.Format.Format_ARGB32_Premultiplied)
        image.fill(0)
        painter = QPainter(image)
        paint_mark(painter, theme, name, QPointF(10, 10), drawn=drawn)
        painter.end()
        counts.append(_inked(image))
    assert counts[0] > 4
    assert counts[1] <= counts[0]


def test_a_key_cap_is_as_wide_as_it_says(theme: Theme):
    for text in ("F8", "Ctrl ↵", "⇧ ↵", "0–9", "Space"):
        image = QImage(90, 24, QImage.Format.Format_ARGB32_Premultiplied)
        image.fill(0)
        painter = QPainter(image)
        width = paint_keycap(painter, theme, text, 2, 12)
        painter.end()
        assert width == keycap_width(theme, text)
        columns = [
            x
            for x in range(image.width())
            if any(image.pixelColor(x, y).alpha() > 20 for y in range(image.height()))
        ]
        assert columns[0] >= 1
        assert columns[-1] <= 2 + width
