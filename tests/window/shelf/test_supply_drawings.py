"""What a supply's card draws: it is there, says itself in words, and gives way in a low window."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.window.house.office import Office
from app.window.paper.theme import Theme
from app.window.shelf.shelf_place import ShelfPlace
from app.window.shelf.supply_drawings import LeadDrawing, PriceDrawing, PriceLine
from tests.shop import SmallShop
from tests.window.shelf.test_shelf_place import opened, press, settle

Shown = Callable[[QWidget, int, int], QWidget]


@pytest.fixture
def place(office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot) -> ShelfPlace:
    place = opened(office, shown, qtbot)
    place.open_item(shop.supplies["wheel"])
    place.card.open("ledger", still=True)
    settle(place, qtbot)
    return place


def columns_with(image: QImage, colour: object) -> list[int]:
    """The columns of a picture that hold a colour."""
    return [
        x
        for x in range(image.width())
        if any(image.pixelColor(x, y) == colour for y in range(image.height()))
    ]


def test_the_level_stands_over_its_ledger_and_says_itself(place: ShelfPlace) -> None:
    drawing = place.card.ledger.drawing
    assert drawing.isVisible()
    assert drawing.geometry().bottom() <= place.card.ledger.table.geometry().top()
    assert "mL left on 14 August 2025" in drawing.accessibleName()
    picture = drawing.grab().toImage()
    assert columns_with(picture, place.theme.palette.ink), "the line of today"
    assert columns_with(picture, place.theme.palette.layer), "the triangle of a delivery"


def test_in_a_low_window_the_lines_of_the_ledger_have_the_room(
    place: ShelfPlace, qtbot: QtBot
) -> None:
    place.window().resize(1366, 560)
    qtbot.waitUntil(lambda: not place.card.ledger.drawing.isVisible())
    assert place.card.ledger.table.isVisible()


def test_the_ledger_has_the_focus_and_not_its_drawing(place: ShelfPlace, qtbot: QtBot) -> None:
    press(place, qtbot, Qt.Key.Key_1, alt=True)
    assert place.card.ledger.table.hasFocus()


def test_deliveries_are_dots_with_a_band_from_five_on(theme: Theme, shown: Shown) -> None:
    drawing = LeadDrawing(theme)
    shown(drawing, 800, LeadDrawing.high)
    few = [(days, "Olvane") for days in (7, 9, 12, 12)]
    drawing.show_leads(few, 9, 12)
    soft = theme.palette.act_soft
    assert not columns_with(drawing.grab().toImage(), soft)
    drawing.show_leads([*few, (16, "Northmere")], 12, 16)
    band = columns_with(drawing.grab().toImage(), soft)
    assert band
    assert columns_with(drawing.grab().toImage(), theme.palette.bar)[0] < band[0] + 8
    assert drawing.accessibleName() == "5 deliveries, in 7 to 16 days."


def test_where_nothing_came_yet_no_empty_drawing_stands(theme: Theme, shown: Shown) -> None:
    leads, prices = LeadDrawing(theme), PriceDrawing(theme)
    shown(leads, 800, LeadDrawing.high)
    shown(prices, 800, PriceDrawing.high)
    leads.show_leads([], None, None)
    prices.show_prices([])
    assert leads.isHidden()
    assert prices.isHidden()


def test_the_three_packs_bought_last_are_drawn_on_one_scale(theme: Theme, shown: Shown) -> None:
    drawing = PriceDrawing(theme)
    shown(drawing, 800, PriceDrawing.high)
    days = (date(2024, 12, 1), date(2025, 8, 1))
    lines = [
        PriceLine(f"pack {number}", tuple((day, 2.0 + number / 10) for day in days), f"2.{number}0")
        for number in range(1, 5)
    ]
    drawing.show_prices(lines)
    assert drawing.accessibleName() == "pack 1: 2.10; pack 2: 2.20; pack 3: 2.30"
    first = columns_with(drawing.grab().toImage(), theme.palette.bar)
    assert first
