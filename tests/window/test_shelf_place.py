"""The Shelf place by keyboard: packs, orders, counting, using up, narrowing, a supply's card."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.actions import stock, supplies
from app.records.models import Order, Supply
from app.window.cells import TableRow
from app.window.office import Office
from app.window.place import PlaceEntry
from app.window.shelf_place import ShelfPlace
from app.window.shell import Shell
from tests.shop import TODAY, SmallShop, small_shop

Shown = Callable[[QWidget, int, int], QWidget]


@pytest.fixture
def shop(office: Office) -> SmallShop:
    return small_shop(office.desk)


def opened(office: Office, shown: Shown, qtbot: QtBot) -> ShelfPlace:
    shell = Shell(office, [PlaceEntry("shelf", "Shelf", "shelf", ShelfPlace)])
    shown(shell, 1366, 768)
    shell.open("shelf")
    place = shell.place("shelf")
    assert isinstance(place, ShelfPlace)
    qtbot.waitUntil(lambda: not office.runner.busy, timeout=15000)
    return place


@pytest.fixture
def place(office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot) -> ShelfPlace:
    return opened(office, shown, qtbot)


def settle(place: ShelfPlace, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not place.office.runner.busy, timeout=15000)


def type_at(place: ShelfPlace, qtbot: QtBot, supply: int, column: str, text: str) -> None:
    place.table.setFocus()
    place.table.go(supply, column)
    QTest.keyClicks(place.table, text[0])
    if place.table.writing is not None:
        QTest.keyClicks(place.table.writing, text[1:])
        QTest.keyClick(place.table.writing, Qt.Key.Key_Return)
    settle(place, qtbot)


def row(place: ShelfPlace, supply: int) -> TableRow:
    return next(r for r in place.table.rows if isinstance(r, TableRow) and r.key == supply)


def test_packs_are_typed_over_and_the_order_is_written(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    type_at(place, qtbot, shop.supplies["wheel"], "now", "2")
    assert row(place, shop.supplies["wheel"]).cells[7].text == "2 × 5 L"
    QTest.keyClick(place.table, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    settle(place, qtbot)
    with office.desk.book.reading() as session:
        orders = session.query(Order).all()
    assert [order.supplier_id for order in orders]
    assert row(place, shop.supplies["wheel"]).cells[6].text, "now it is on order"
    QTest.keyClick(place.table, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    settle(place, qtbot)
    with office.desk.book.reading() as session:
        assert session.query(Order).all() == []


def test_what_is_no_number_of_packs_keeps_the_focus_and_says_why(
    place: ShelfPlace, shop: SmallShop, qtbot: QtBot
) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    place.table.go(shop.supplies["wheel"], "now")
    QTest.keyClicks(place.table, "9")
    writing = place.table.writing
    assert writing is not None
    writing.setText("lots")
    QTest.keyClick(writing, Qt.Key.Key_Return)
    assert place.table.writing is not None
    assert "no number of packs" in writing.wrong


def test_counting_goes_row_by_row_and_the_difference_is_a_line(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_F4)
    assert place.row.button.text() == "End counting"
    type_at(place, qtbot, shop.supplies["wheel"], "hand", "1200 ml")
    assert stock.on_hand(office.desk, shop.supplies["wheel"]) == pytest.approx(
        1_200_000, abs=400_000
    )
    page = supplies.supply_page(office.desk, TODAY, shop.supplies["wheel"])
    assert page.ledger[0].kind == "counted"
    QTest.keyClick(place.table, Qt.Key.Key_F4)
    assert place.row.button.text() == "Write the order"


def test_c_counts_the_supply_in_view(place: ShelfPlace, qtbot: QtBot) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    key = place.table.current_key()
    QTest.keyClick(place.table, Qt.Key.Key_C)
    assert place.table.current_key() == key
    assert place.table.current_column() == "hand"


def test_u_uses_a_supply_up_and_again_reorders_it(
    place: ShelfPlace, office: Office, qtbot: QtBot
) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    key = place.table.current_key()
    for stopped in (True, False):
        QTest.keyClick(place.table, Qt.Key.Key_U)
        settle(place, qtbot)
        with office.desk.book.reading() as session:
            assert session.get_one(Supply, key).stopped is stopped


def test_the_shelf_is_narrowed_by_typing_and_shown_whole_again(
    place: ShelfPlace, qtbot: QtBot
) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_Slash)
    QTest.keyClicks(place.filter, "wax")
    names = [r.cells[0].text for r in place.table.rows if isinstance(r, TableRow)]
    assert names == ["Paste wax"]
    QTest.keyClick(place.filter, Qt.Key.Key_Escape)
    assert place.filter.isHidden()


def test_a_supply_opens_into_its_ledger_and_its_facts_are_saved_when_left(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    place.open_item(shop.supplies["soap"])
    assert place.title == "Wash soap"
    assert place.card._ledger.rows
    place.card.open("facts", still=True)
    field = place.card._facts.field("dilution")
    field.setFocus()
    field.selectAll()  # type: ignore[attr-defined]
    QTest.keyClicks(field, "1:128")
    QTest.keyClick(field, Qt.Key.Key_Return)
    settle(place, qtbot)
    with office.desk.book.reading() as session:
        assert session.get_one(Supply, shop.supplies["soap"]).dilution == 128_000
    QTest.keyClick(place.card, Qt.Key.Key_Escape)
    assert place.title == "The shelf"


def test_a_full_shelf_says_that_nothing_needs_anybody(place: ShelfPlace) -> None:
    assert place.table.rows == ()
    assert place.table._empty_text is not None
    assert place.table._empty_text.title == "Nothing needs you here"


def test_an_empty_shelf_teaches_and_the_first_supply_is_named_by_keyboard(
    office: Office, shown: Shown, qtbot: QtBot
) -> None:
    place = opened(office, shown, qtbot)
    QTest.keyClick(place.table, Qt.Key.Key_Insert)
    settle(place, qtbot)
    QTest.keyClicks(place.card._facts.field("name"), "Rinseless wash")
    QTest.keyClick(place.card._facts.field("name"), Qt.Key.Key_Return)
    settle(place, qtbot)
    assert place.title == "Rinseless wash"


def test_three_hundred_supplies_with_long_names_are_shown(
    office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot
) -> None:
    with office.desk.book.load() as session:
        for number in range(300):
            session.add(
                Supply(name=f"{'Polish of a very long name':<36}{number:04d}", kind="liquid")
            )
    place = opened(office, shown, qtbot)
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    assert sum(isinstance(r, TableRow) for r in place.table.rows) == 306
