"""How long a supply lasts, on its card: drawn, as figures, and said in the margin."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.records.models import Supply
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.paper.notes import Voice
from app.window.shelf.shelf_place import ShelfPlace
from tests.shop import SmallShop


@pytest.fixture
def shop(shop: SmallShop, office: Office) -> SmallShop:
    with office.desk.book.load() as session:
        session.get_one(Supply, shop.supplies["wax"]).protection = "carnauba wax"
    return shop


def test_the_entry_is_opened_by_its_number_and_shows_curve_figures_and_words(
    office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget], qtbot: QtBot
) -> None:
    shell = Shell(office, [PlaceEntry("shelf", "Shelf", "shelf", ShelfPlace)])
    shown(shell, 1366, 768)
    shell.open_item("shelf", shop.supplies["wax"])
    place = shell.place("shelf")
    assert isinstance(place, ShelfPlace)
    keys = [entry.key for entry in place.card.entries]
    number = keys.index("life") + 1
    QTest.keyClick(place.card, Qt.Key(Qt.Key.Key_0 + number), Qt.KeyboardModifier.AltModifier)
    qtbot.waitUntil(lambda: place.card.life.life is not None)
    body = place.card.life
    assert len(body.table.rows) == 8
    assert "label" in body.drawing.accessibleName()
    words = [block.text for block in place.margin._note.blocks if isinstance(block, Voice)]
    assert any("label speaks alone" in text for text in words)
    image = body.drawing.grab().toImage()
    colours = {image.pixelColor(x, image.height() // 2).name() for x in range(image.width())}
    assert len(colours) > 3, "a band and a curve are drawn"
    shell.open_item("shelf", shop.supplies["soap"])
    assert "life" not in [entry.key for entry in place.card.entries]
    assert place.card.open_key == "ledger"
