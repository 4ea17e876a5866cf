"""Deliveries by keyboard: sent, damaged, another price, the rest later, papers and a mail draft."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.actions.day.closing import close_day
from app.actions.orders import deliveries
from app.actions.orders.order_writing import set_packs, write_orders
from app.actions.stock import stock
from app.actions.stock.supply_facts import edit_supply
from app.records.models import Order, Pack
from app.window.house.office import Office
from app.window.orders import deliveries as window_deliveries
from app.window.paper.cells import State, TableRow
from app.window.shelf.shelf_place import ShelfPlace
from tests.shop import TODAY, SmallShop, small_shop
from tests.window.shelf.test_shelf_place import Shown, opened, press, settle


@pytest.fixture
def shop(shop: SmallShop, office: Office) -> SmallShop:
    for supply, packs in (("wheel", 2), ("coating", 1)):
        set_packs(office.desk, TODAY, shop.supplies[supply], shop.packs[supply], packs)
    write_orders(office.desk, TODAY)
    return shop


@pytest.fixture(autouse=True)
def a_second_press_is_meant(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(window_deliveries, "TWICE", 0)


@pytest.fixture
def files(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """What was handed to the system."""
    found: list[Path] = []
    monkeypatch.setattr(window_deliveries, "open_outside", found.append)
    return found


@pytest.fixture
def place(
    office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot, files: list[Path]
) -> ShelfPlace:
    made = opened(office, shown, qtbot)
    made.table.setFocus()
    QTest.keyClick(made.table, Qt.Key.Key_R)
    return made


def open_order(place: ShelfPlace, supplier: str) -> deliveries.DueOrder:
    found = deliveries.due_orders(place.office.desk, TODAY)
    order = next(one for one in found if one.supplier == supplier)
    place.coming.open(f"order {order.row.order_id}", still=True)
    return order


def write(place: ShelfPlace, qtbot: QtBot, line: int, column: str, text: str) -> None:
    table = place.coming._tables[place.coming.open_key]
    table.setFocus()
    table.go(line, column)
    QTest.keyClicks(table, text[0])
    assert table.writing is not None
    QTest.keyClicks(table.writing, text[1:])
    QTest.keyClick(table.writing, Qt.Key.Key_Return)
    settle(place, qtbot)


def hints(place: ShelfPlace) -> str:
    return place.coming._rows[place.coming.open_key].hints.text()


def test_writing_the_order_leads_to_where_it_is_sent_from(
    office: Office, shown: Shown, qtbot: QtBot
) -> None:
    shop = small_shop(office.desk)
    set_packs(office.desk, TODAY, shop.supplies["wheel"], shop.packs["wheel"], 1)
    place = opened(office, shown, qtbot)
    place.table.setFocus()
    press(place, qtbot, Qt.Key.Key_Return, control=True)
    assert place.title == "On their way"
    order = place.coming.order
    assert order is not None
    assert order.supplier == "Tuesday van"
    assert ("F4", "I sent it today") in place.margin.note.keys


def test_one_key_writes_the_papers_and_one_the_mail(
    place: ShelfPlace, qtbot: QtBot, files: list[Path]
) -> None:
    open_order(place, "Tuesday van")
    press(place, qtbot, Qt.Key.Key_F7)
    assert sorted(one.suffix for one in files[0].iterdir()) == [".pdf", ".txt", ".xlsx"]
    press(place, qtbot, Qt.Key.Key_M)
    assert files[1].suffix == ".eml"
    assert "send it, then say so (F4)" in place.office.saved


def test_a_sent_order_says_why_it_cannot_be_sent(place: ShelfPlace, qtbot: QtBot) -> None:
    order = open_order(place, "Tuesday van")
    assert "Sent" not in hints(place)
    press(place, qtbot, Qt.Key.Key_F4)
    second = place.coming._rows[f"order {order.row.order_id}"].second
    assert second is not None
    assert "Sent" in hints(place)
    press(place, qtbot, Qt.Key.Key_Z, control=True)
    assert "Sent" not in hints(place)


def test_on_the_evening_of_the_close_its_order_is_sent_by_one_key(
    place: ShelfPlace, office: Office, qtbot: QtBot
) -> None:
    close_day(office.desk, TODAY)
    open_order(place, "Tuesday van")
    press(place, qtbot, Qt.Key.Key_F4)
    assert "Sent" in hints(place)


def test_an_order_that_is_not_wanted_any_more_says_why_before_it_is_sent(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    edit_supply(office.desk, shop.supplies["wheel"], stopped=True)
    place.refresh(frozenset({"supplies"}))
    open_order(place, "Tuesday van")
    assert "is to be used up, not reordered" in str(place.margin.note.blocks)
    press(place, qtbot, Qt.Key.Key_X)
    assert "Tuesday van" not in [one.supplier for one in deliveries.due_orders(office.desk, TODAY)]


def test_after_home_and_end_what_is_typed_still_goes_into_the_row(
    place: ShelfPlace, office: Office, qtbot: QtBot
) -> None:
    (line,) = open_order(place, "Tuesday van").row.lines
    table = place.coming._tables[place.coming.open_key]
    table.setFocus()
    table.go(line.line_id)
    for key, column in ((Qt.Key.Key_End, "price"), (Qt.Key.Key_Home, "packs")):
        QTest.keyClick(table, key)
        assert table.current_column() == column
    QTest.keyClicks(table, "1")
    assert table.writing is not None
    QTest.keyClick(table.writing, Qt.Key.Key_Return)
    press(place, qtbot, Qt.Key.Key_Return, control=True)
    assert deliveries.still_due(open_order(place, "Tuesday van").row.lines[0]) == 1


def test_damaged_packs_are_typed_and_stay_due(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    before = stock.on_hand(office.desk, shop.supplies["wheel"])
    (line,) = open_order(place, "Tuesday van").row.lines
    write(place, qtbot, line.line_id, "damaged", "1")
    press(place, qtbot, Qt.Key.Key_Return, control=True)
    assert stock.on_hand(office.desk, shop.supplies["wheel"]) == before + 5_000_000
    order = open_order(place, "Tuesday van")
    assert (order.row.state, deliveries.still_due(order.row.lines[0])) == ("part", 1)
    said = str(place.margin.note.blocks)
    assert "came damaged" in said
    assert "('Goods to come', '38.00')" in said
    assert "Freight" not in said, "it came with the first part"
    press(place, qtbot, Qt.Key.Key_Z, control=True)
    assert stock.on_hand(office.desk, shop.supplies["wheel"]) == before


def test_the_rest_comes_on_a_day_typed_in_the_margin_or_will_not_come(
    place: ShelfPlace, office: Office, qtbot: QtBot
) -> None:
    (line,) = open_order(place, "Tuesday van").row.lines
    write(place, qtbot, line.line_id, "packs", "1")
    press(place, qtbot, Qt.Key.Key_Return, control=True)
    order = open_order(place, "Tuesday van")
    place.coming._tables[place.coming.open_key].setFocus()
    press(place, qtbot, Qt.Key.Key_L)
    QTest.keyClicks(QApplication.focusWidget(), "wed")
    press(place, qtbot, Qt.Key.Key_Tab)
    with office.desk.book.reading() as session:
        assert session.get_one(Order, order.row.order_id).expected_on == TODAY + timedelta(days=6)
    place.coming._tables[place.coming.open_key].setFocus()
    press(place, qtbot, Qt.Key.Key_X)
    found = deliveries.due_orders(office.desk, TODAY)
    assert order.row.order_id not in [one.row.order_id for one in found]


def test_another_price_is_asked_about_once_and_becomes_the_packs_price(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    (line,) = open_order(place, "Tuesday van").row.lines
    write(place, qtbot, line.line_id, "price", "41.50")
    assert "41.50 instead of 38.00" in office.question
    table = place.coming._tables[place.coming.open_key]
    price = next(r for r in table.rows if isinstance(r, TableRow)).cells[6]
    assert (price.state, price.old) == (State.CHANGED, "38.00")
    write(place, qtbot, line.line_id, "packs", "1")
    assert office.question == "", "asked once"
    press(place, qtbot, Qt.Key.Key_Return, control=True)
    with office.desk.book.reading() as session:
        assert session.get_one(Pack, shop.packs["wheel"]).price == 4150


def test_only_dated_goods_have_room_for_lot_and_last_day(place: ShelfPlace, qtbot: QtBot) -> None:
    open_order(place, "Tuesday van")
    keys = [c.key for c in place.coming._tables[place.coming.open_key].entries.columns]
    assert "lot" not in keys
    (line,) = open_order(place, "Friday parcel").row.lines
    write(place, qtbot, line.line_id, "lot", "K9")
    write(place, qtbot, line.line_id, "keeps", "2026-12-31")
    press(place, qtbot, Qt.Key.Key_Return, control=True)
    place.open_item(line_supply(place, "Ceramic layer"))
    place.card.open("lots", still=True)
    found = [lot for lot in place.card._page.lots if lot.lot.code == "K9"]  # type: ignore[union-attr]
    assert [lot.lot.expires_on for lot in found] == [date(2026, 12, 31)]


def line_supply(place: ShelfPlace, name: str) -> int:
    from app.actions.desk.amounts import all_supplies

    return next(one for one, row in all_supplies(place.office.desk).items() if row.name == name)


def test_a_key_pressed_twice_takes_no_order_that_has_not_come(
    place: ShelfPlace, office: Office, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(window_deliveries, "TWICE", 10**9)
    assert len(deliveries.due_orders(office.desk, TODAY)) == 2
    press(place, qtbot, Qt.Key.Key_Return, control=True)
    press(place, qtbot, Qt.Key.Key_Return, control=True)
    assert len(deliveries.due_orders(office.desk, TODAY)) == 1
    assert "The same key again takes this one" in office.saved
