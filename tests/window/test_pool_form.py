"""A pool on a supply's card, by keys."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.actions.pools import pool_view, put_in, set_out
from app.actions.supplies import edit_supply
from app.window.cells import TableRow
from app.window.fields import LineField
from app.window.office import Office
from app.window.place import PlaceEntry
from app.window.shelf_place import ShelfPlace
from app.window.shell import Shell
from tests.shop import SmallShop, small_shop

Shown = Callable[[QWidget, int, int], QWidget]


@pytest.fixture
def shop(office: Office) -> SmallShop:
    return small_shop(office.desk)


@pytest.fixture
def place(office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot) -> ShelfPlace:
    shell = Shell(office, [PlaceEntry("shelf", "Shelf", "shelf", ShelfPlace)])
    shown(shell, 1366, 768)
    shell.open("shelf")
    qtbot.waitUntil(lambda: not office.runner.busy, timeout=15000)
    made = shell.place("shelf")
    assert isinstance(made, ShelfPlace)
    return made


def enter(field: LineField, text: str) -> None:
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def test_only_pieces_have_a_pool(place: ShelfPlace, shop: SmallShop) -> None:
    place.open_item(shop.supplies["soap"])
    assert "pool" not in [entry.key for entry in place.card.entries]
    place.back()
    place.open_item(shop.supplies["cloths"])
    assert place.card.entries[-1].result == "used up, not washed"


def test_a_pool_is_made_filled_washed_and_undone_by_keys(
    place: ShelfPlace, shop: SmallShop, office: Office
) -> None:
    cloths = shop.supplies["cloths"]
    place.open_item(cloths)
    QTest.keyClick(place, Qt.Key.Key_9, Qt.KeyboardModifier.AltModifier)
    assert place.card.open_key == "pool"
    form = place.card.pool
    assert form.form.isHidden(), "what is used up has no loads"
    edit_supply(office.desk, cloths, pool="paint", pool_uses=100)
    place.refresh(frozenset({"supplies"}))
    assert not form.form.isHidden()
    enter(form.put_in, "60")
    enter(form.set_out, "30")
    enter(form.washed, "1 load")
    enter(form.demoted, "6")
    enter(form.retired, "2 interior")
    rows = [
        [cell.text for cell in row.cells] for row in form.steps.rows if isinstance(row, TableRow)
    ]
    assert rows == [["paint", "49", "5"], ["interior", "4", "0"], ["wheels", "0", "0"],
                    ["out", "2", ""]]  # fmt: skip
    assert place.card.entries[-1].result == "53 clean, 5 in use"
    enter(form.demoted, "5 hood")
    assert "no number of pieces" in form.demoted.trouble
    enter(form.set_out, "500")
    assert "Only 49 pieces" in form.set_out.trouble
    office.undo()
    assert pool_view(office.desk, cloths).out == 0
    assert "In the pool" in str(place.margin.note.blocks)


def test_pools_stand_under_the_shelf_and_open_into_their_loads(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    cloths = shop.supplies["cloths"]
    edit_supply(office.desk, cloths, pool="paint", pool_load=25, pool_uses=100)
    office.act(lambda: put_in(office.desk, office.day, cloths, "40"))
    office.act(lambda: set_out(office.desk, office.day, cloths, "15"))
    qtbot.waitUntil(lambda: not office.runner.busy, timeout=15000)
    key = f"pool {cloths}"
    row = next(one for one in place.table.rows if one.key == key)
    assert isinstance(row, TableRow)
    assert [row.cells[at].text for at in (0, 1, 7)] == ["Cloths", "25", "15 in use"]
    assert place.table.go(key)
    assert "Ten pieces short" in str(place.margin.note.blocks)
    QTest.keyClick(place.table, Qt.Key.Key_Return)
    assert place.card.open_key == "pool"
