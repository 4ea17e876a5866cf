"""The body seen from above: its panels lie apart, and every number on it can be read."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath

from app.calculations.layers.protection import SurfaceGroup
from app.window.paper.palette import DARK, LIGHT, Palette
from app.window.people.body_above import ink_of, number_ink
from app.window.people.bodyshape import panels
from tests.contrast import contrast


def area(shape: QPainterPath) -> float:
    """What a shape covers, by Gauss's shoelace formula."""
    whole = 0.0
    for polygon in shape.toSubpathPolygons():
        points = [polygon[at] for at in range(polygon.size())]
        whole += sum(a.x() * b.y() - b.x() * a.y() for a, b in pairwise([*points, points[0]])) / 2
    return abs(whole)


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_a_number_has_4_5_to_1_on_every_ink(palette: Palette) -> None:
    # WCAG 2.2, success criterion 1.4.3
    for percent in range(101):
        ground = ink_of(percent / 100, palette.paper, palette.layer)
        assert contrast(number_ink(ground), ground) >= 4.5, percent


def test_panels_belong_to_surface_groups_and_none_lies_on_another() -> None:
    assert {panel.group for panel in panels()} <= {group.value for group in SurfaceGroup}
    for one, other in combinations(panels(), 2):
        both = area(one.shape.intersected(other.shape))
        assert both < 0.02 * min(area(one.shape), area(other.shape)), (one.group, other.group)
    assert all(panel.number is None or panel.shape.contains(panel.number) for panel in panels())


def test_left_and_right_are_alike() -> None:
    def mirrored(spot: QPointF) -> tuple[float, float]:
        return round(spot.x(), 2), round(-spot.y(), 2)

    numbers = [panel.number for panel in panels() if panel.number is not None]
    places = {(round(spot.x(), 2), round(spot.y(), 2)) for spot in numbers}
    assert all(mirrored(spot) in places for spot in numbers if spot.y())
