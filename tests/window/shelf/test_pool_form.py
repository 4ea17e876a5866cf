"""A pool on a supply's card, by keys."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.actions.shelf.pool_view import pool_view
from app.actions.shelf.pools import put_in, set_out
from app.actions.stock.supply_facts import add_supply, edit_supply
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.paper.brush import Brush
from app.window.paper.cells import TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import LineField
from app.window.shelf.pool_bars import PoolBar, draw_pool_bar
from app.window.shelf.pool_rows import step_rows
from app.window.shelf.shelf_place import ShelfPlace
from tests.shop import SmallShop

Shown = Callable[[QWidget, int, int], QWidget]


@pytest.fixture
def place(office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot) -> ShelfPlace:
    shell = Shell(office, [PlaceEntry("shelf", "Shelf", "shelf", ShelfPlace)])
    shown(shell, 1366, 768)
    shell.open("shelf")
    qtbot.waitUntil(lambda: not office.runner.busy)
    made = shell.place("shelf")
    assert isinstance(made, ShelfPlace)
    return made


def enter(field: LineField, text: str) -> None:
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def stepped(table: EntryTable) -> list[list[str]]:
    """The texts of the steps."""
    rows = [row for row in table.rows if isinstance(row, TableRow)]
    return [[cell.text for cell in row.cells[:3]] for row in rows]


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
    enter(form.put_in, "20")
    enter(form.set_out, "30")
    enter(form.washed, "1 load")
    enter(form.demoted, "6")
    enter(form.retired, "2 interior")
    enter(form.lost, "1")
    enter(form.counted, "51")
    assert stepped(form.steps) == [
        ["paint", "49", "2"], ["interior", "4", "0"], ["wheels", "0", "0"], ["out", "2", ""],
        ["lost", "3", ""],
    ]  # fmt: skip
    assert place.card.entries[-1].result == "53 clean, 2 in use"
    assert place.card.pool_view.standing.came_in == 60
    enter(form.counted, "3 interior")
    assert stepped(form.steps)[1] == ["interior", "3", "0"]
    enter(form.demoted, "5 hood")
    assert "no number of pieces" in form.demoted.trouble
    enter(form.set_out, "500")
    assert "Only 49 pieces" in form.set_out.trouble
    for _ in range(3):
        office.undo()
    assert pool_view(office.desk, cloths).standing.lost == 0
    office.undo()
    assert pool_view(office.desk, cloths).standing.out == 0
    assert "In the pool" in str(place.margin.note.blocks)


def test_the_caution_stands_where_pieces_are_thrown_out(
    place: ShelfPlace, shop: SmallShop, office: Office
) -> None:
    cloths = shop.supplies["cloths"]
    edit_supply(office.desk, cloths, pool="paint", pool_uses=100)
    place.open_item(cloths)
    place.card.open("pool", still=True)
    enter(place.card.pool.washed, "1 load")
    assert "lidded metal can" not in office.question
    enter(place.card.pool.retired, "2")
    assert "lidded metal can" in office.question
    assert "override this" in office.question


def test_the_bars_are_as_long_as_the_numbers_beside_them(
    place: ShelfPlace, shop: SmallShop, office: Office
) -> None:
    cloths = shop.supplies["cloths"]
    edit_supply(office.desk, cloths, pool="paint", pool_load=25, pool_uses=100)
    office.act(lambda: set_out(office.desk, office.day, cloths, "16"))
    view = pool_view(office.desk, cloths)
    bars = [row.cells[3].data for row in step_rows(view)]
    assert bars[0] == PoolBar(clean=24, in_use=16, most=50, floor=50)
    picture = QImage(400, 24, QImage.Format.Format_ARGB32)
    theme = office.theme
    picture.fill(theme.palette.paper)
    painter = QPainter(picture)
    draw_pool_bar(Brush(painter, theme), QRectF(0, 0, 400, 24), bars[0], False)
    painter.end()
    row = [picture.pixelColor(x, 12) for x in range(400)]
    solid = [x for x, colour in enumerate(row) if colour == theme.palette.bar]
    # 368 pixels are left for 50 pieces: 24 of them are 177 px, the 16 after them an open frame.
    assert max(x for x in solid if x < 200) == pytest.approx(12 + 368 * 24 / 50, abs=3)
    assert row[250] == theme.palette.paper


def test_none_one_and_twelve_pools_with_long_names_stand_under_the_shelf(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    assert not [one for one in place.table.rows if str(one.key).startswith("pool")]
    ids = []
    for number in range(12):
        name = f"{number:02d} towels of a name of forty letters, no less"
        _, made = add_supply(office.desk, name, "piece", pool="paint", pool_uses=100)
        put_in(office.desk, office.day, made, str(number + 1))
        ids.append(made)
    place.refresh(frozenset({"supplies"}))
    qtbot.waitUntil(lambda: not office.runner.busy)
    rows = [one for one in place.table.rows if str(one.key).startswith("pool ")]
    assert [row.key for row in rows] == [f"pool {one}" for one in ids]
    assert place.table.go(f"pool {ids[-1]}")
    QTest.keyClick(place.table, Qt.Key.Key_Return)
    assert place.card.open_key == "pool"
    assert place.card.pool_view.first.clean == 12


def test_pools_stand_under_the_shelf_and_open_into_their_loads(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    cloths = shop.supplies["cloths"]
    edit_supply(office.desk, cloths, pool="paint", pool_load=25, pool_uses=100)
    office.act(lambda: set_out(office.desk, office.day, cloths, "15"))
    qtbot.waitUntil(lambda: not office.runner.busy)
    key = f"pool {cloths}"
    row = next(one for one in place.table.rows if one.key == key)
    assert isinstance(row, TableRow)
    assert [row.cells[at].text for at in (0, 1, 7)] == ["Cloths", "25", "15 in use"]
    assert place.table.go(key)
    assert "Ten pieces short" in str(place.margin.note.blocks)
    QTest.keyClick(place.table, Qt.Key.Key_Return)
    assert place.card.open_key == "pool"
