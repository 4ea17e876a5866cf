"""The time bars: what is drawn where, read back from the pixels."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.window.house.office import Office
from app.window.paper.brush import Brush
from app.window.paper.theme import Theme
from app.window.renewals.layerbars import LayerBar, LayerCalendar, draw_layer_bar, layer_head
from app.window.shelf.timebars import ShelfBar, ShelfCalendar, shelf_column
from tests.shop import SmallShop
from tests.window.shelf.test_shelf_place import opened, press

TODAY = date(2025, 8, 14)
SHELF = ShelfCalendar(TODAY)
LAYERS = LayerCalendar(TODAY - timedelta(days=517), TODAY + timedelta(days=578), TODAY)
WIDE, HIGH = 386, 36  # the shelf's axis then has ten pixels to a day, from x = 24


def image_of(theme: Theme, paint: Callable[[Brush], object]) -> QImage:
    image = QImage(WIDE, HIGH, QImage.Format.Format_RGB32)
    image.fill(theme.palette.paper)
    painter = QPainter(image)
    paint(Brush(painter, theme))
    painter.end()
    return image


def shelf_image(theme: Theme, bar: ShelfBar) -> QImage:
    cell, _group, _head = shelf_column(SHELF)
    return image_of(theme, lambda brush: cell(brush, QRectF(0, 0, WIDE, HIGH), bar, False))


def near(one: QColor, other: QColor, by: int = 24) -> bool:
    return all(
        abs(a - b) <= by
        for a, b in zip(one.getRgb()[:3], other.getRgb()[:3], strict=True)  # type: ignore[index]
    )


def test_a_supply_is_solid_until_its_ten_percent_day_and_fades_to_its_ninety(theme: Theme):
    image = shelf_image(theme, ShelfBar(low=10, high=20))
    top, floor = HIGH // 2 - 4, HIGH // 2 + 4
    assert near(image.pixelColor(24 + 95, top), theme.palette.bar)
    assert not near(image.pixelColor(24 + 170, top), theme.palette.bar)
    assert image.pixelColor(24 + 150, floor) != theme.palette.paper
    assert near(image.pixelColor(24 + 230, floor), theme.palette.paper)


def test_days_with_nothing_left_are_hatched_in_alarm_until_the_delivery(theme: Theme):
    image = shelf_image(theme, ShelfBar(1, 2, deliveries=(8.0, 22.0), gap=(2, 8)))
    row = HIGH // 2
    gap = [image.pixelColor(x, row) for x in range(24 + 25, 24 + 75)]
    assert any(near(colour, theme.palette.alarm) for colour in gap)
    assert any(near(colour, theme.palette.paper, 12) for colour in gap)  # hatched, not filled
    assert near(image.pixelColor(24 + 80, 2), theme.palette.act, 60)  # the delivery's line
    beyond = [image.pixelColor(x, row) for x in range(24 + 90, 24 + 130)]
    assert not any(near(colour, theme.palette.alarm) for colour in beyond)


def test_what_is_on_order_is_only_outlined(theme: Theme):
    image = shelf_image(theme, ShelfBar(2, 3, on_order=(5, 15)))
    assert near(image.pixelColor(24 + 100 + 3, HIGH // 2), theme.palette.paper, 12)


@pytest.mark.parametrize(
    "bar",
    [
        ShelfBar(0, 0),
        ShelfBar(-5, -1, reorder=-3, gap=(-5, 40)),
        ShelfBar(400, 900, reorder=200, deliveries=(-2, 90), on_order=(40, 60)),
        ShelfBar(3, 3, reorder=3),
    ],
)
@pytest.mark.parametrize("look", ["light", "dark"])
def test_any_numbers_are_drawn_within_the_row(theme: Theme, bar: ShelfBar, look: str):
    theme.set_look(look)
    assert not shelf_image(theme, bar).isNull()


def test_heads_and_groups_paint(theme: Theme):
    _cell, group, head = shelf_column(SHELF)
    box = QRectF(0, 0, WIDE, HIGH)
    blank = image_of(theme, lambda brush: None)
    for paint in (
        lambda brush: group(brush, box, (5.0, 12.0), False),
        lambda brush: head(brush, box),
        lambda brush: layer_head(LAYERS)(brush, box),
    ):
        assert image_of(theme, paint) != blank


def layer_image(theme: Theme, bar: LayerBar) -> QImage:
    box = QRectF(0, 0, WIDE, HIGH)
    return image_of(theme, lambda brush: draw_layer_bar(brush, box, bar, LAYERS))


def test_the_height_of_a_layer_is_the_chance_that_it_still_protects(theme: Theme):
    start = TODAY - timedelta(days=200)
    curve = tuple((start + timedelta(days=30 * at), 1.0 - at / 20) for at in range(20))
    image = layer_image(theme, LayerBar(curve, still=0.6))
    days = (LAYERS.right - LAYERS.left).days

    def inked(day: date) -> int:
        x = round(12 + (day - LAYERS.left).days / days * (WIDE - 24))
        return sum(
            1 for y in range(HIGH) if not near(image.pixelColor(x, y), theme.palette.paper, 10)
        )

    assert inked(start + timedelta(days=40)) > inked(start + timedelta(days=400)) > 0


@pytest.mark.parametrize(
    "bar",
    [
        LayerBar(()),
        LayerBar(((TODAY, 1.0),)),
        LayerBar(
            ((LAYERS.left, 0.9), (LAYERS.right, 0.1)),
            cut_left=True,
            unanswered=True,
            due=(TODAY - timedelta(days=3000), TODAY + timedelta(days=3000)),
        ),
        LayerBar(((TODAY, 1.0), (LAYERS.right, 0.5))),
        LayerBar(
            ((LAYERS.left, 1.0), (TODAY, 0.7)),
            checks=(TODAY, date(1999, 1, 1)),
            still=0.7,
            due=(date(1990, 1, 1), date(1990, 2, 1)),
        ),
    ],
)
def test_any_layer_is_drawn(theme: Theme, bar: LayerBar):
    assert not layer_image(theme, bar).isNull()


def test_the_shapes_of_the_bars_stand_under_the_shelf_as_they_are_drawn_and_go_while_counting(
    office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget], qtbot: QtBot
) -> None:
    place = opened(office, shown, qtbot)
    legend = place.list.legend
    assert legend.isHidden(), "no bar stands there yet"
    press(place, qtbot, Qt.Key.Key_Space)
    assert legend.isVisible()
    assert legend.text().startswith("lasts to about here reorder delivery")
    assert not legend.toolTip(), "nothing of it is cut"
    seen = legend.grab().toImage()
    colours = {
        seen.pixelColor(x, y).name() for x in range(seen.width()) for y in range(seen.height())
    }
    palette = office.theme.palette
    for shape in (palette.bar, palette.ink, palette.act):
        assert shape.name() in colours
    press(place, qtbot, Qt.Key.Key_F4)
    assert legend.isHidden()


def test_the_days_have_a_column_as_wide_as_drawn(
    office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget], qtbot: QtBot
) -> None:
    place = opened(office, shown, qtbot)
    press(place, qtbot, Qt.Key.Key_Space)
    table = place.list.table
    at = table.entries.column_of("time")
    assert at is not None
    assert table.columnWidth(at) >= 1.5 * 144
