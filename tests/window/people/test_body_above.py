"""The body seen from above: its panels lie apart, and every number on it can be read."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath

from app.calculations.layers.bodies import Body
from app.calculations.layers.protection import SurfaceGroup
from app.window.paper.palette import DARK, LIGHT, Palette
from app.window.people.body_above import ink_of, number_ink
from app.window.people.bodylines import LINES
from app.window.people.bodyshape import HALF_HIGH, LEFT, RIGHT, panels
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


@pytest.mark.parametrize("body", Body)
def test_panels_belong_to_surface_groups_and_none_lies_on_another(body: Body) -> None:
    parts = panels(body)
    groups = {panel.group for panel in parts}
    assert groups <= {group.value for group in SurfaceGroup}
    assert groups == {panel.group for panel in panels()}, "each body has all groups"
    for one, other in combinations(parts, 2):
        both = area(one.shape.intersected(other.shape))
        assert both < 0.02 * min(area(one.shape), area(other.shape)), (one.group, other.group)
    frame = QRectF(LEFT, -HALF_HIGH, RIGHT - LEFT, 2 * HALF_HIGH)
    assert all(frame.contains(panel.shape.boundingRect()) for panel in parts)
    told = [panel for panel in parts if panel.number is not None]
    assert all(panel.shape.contains(panel.number) for panel in told)
    assert {panel.group for panel in told} == groups - {"other glass"}
    lines = LINES[body]
    sides = [panel for panel in told if panel.group in ("upper sides", "lowers")]
    assert len(sides) == 2 * (len(lines.uppers) + len(lines.lowers)), "every number has its panel"


@pytest.mark.parametrize("body", Body)
def test_left_and_right_are_alike(body: Body) -> None:
    def mirrored(spot: QPointF) -> tuple[float, float]:
        return round(spot.x(), 2), round(-spot.y(), 2)

    numbers = [panel.number for panel in panels(body) if panel.number is not None]
    places = {(round(spot.x(), 2), round(spot.y(), 2)) for spot in numbers}
    assert all(mirrored(spot) in places for spot in numbers if spot.y())
