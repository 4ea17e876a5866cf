"""Packs and prices on a supply's card: breaks by keyboard, the reason, the prices paid."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.orders.order_writing import orders_written, set_packs, write_orders
from app.actions.orders.receiving import receive
from app.actions.shelf.pack_page import pack_page
from app.actions.stock.supply_facts import add_pack, edit_supply
from app.records.queries import orders as order_queries
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.paper.notes import Note, Voice
from app.window.shelf.packs_body import PacksBody
from app.window.shelf.shelf_place import ShelfPlace
from tests.shop import TODAY, SmallShop

Show = Callable[[QWidget, int, int], QWidget]
Key = Qt.Key


def opened(office: Office, shop: SmallShop, shown: Show, qtbot: QtBot) -> PacksBody:
    shell = Shell(office, [PlaceEntry("shelf", "Shelf", "shelf", ShelfPlace)])
    shown(shell, 1366, 768)
    shell.open("shelf")
    qtbot.waitUntil(lambda: not office.runner.busy)
    place = shell.place("shelf")
    assert isinstance(place, ShelfPlace)
    place.open_item(shop.supplies["soap"])
    qtbot.waitUntil(lambda: not office.runner.busy)
    place.card.open("packs", still=True)
    place.card.packs.entered()
    return place.card.packs


def press(key: Qt.Key) -> None:
    target = QApplication.focusWidget()
    assert target is not None
    QTest.keyClick(target, key)
    QApplication.processEvents()


def breaks(office: Office, shop: SmallShop) -> str:
    return pack_page(office.desk, TODAY, shop.supplies["soap"]).packs[0].breaks_text


def write_breaks(body: PacksBody, shop: SmallShop, text: str) -> None:
    body.table.setFocus()
    assert body.table.go(shop.packs["soap"], "breaks")
    press(Key.Key_Backspace) if not text else QTest.keyClicks(body.table, text[0])
    field = body.table.writing
    assert field is not None
    field.selectAll()
    QTest.keyClick(field, Key.Key_Delete)
    QTest.keyClicks(field, text)
    press(Key.Key_Return)


def test_breaks_are_typed_beside_the_price_and_cleared_and_undone(
    office: Office, shop: SmallShop, shown: Show, qtbot: QtBot
) -> None:
    body = opened(office, shop, shown, qtbot)
    write_breaks(body, shop, "4 at 10.50, 12 at 9")
    assert breaks(office, shop) == "4 at 10.50; 12 at 9.00"
    write_breaks(body, shop, "from 6: 10")
    assert breaks(office, shop) == "6 at 10.00"
    write_breaks(body, shop, "-")
    assert breaks(office, shop) == ""
    office.undo()
    office.undo()
    assert breaks(office, shop) == "4 at 10.50; 12 at 9.00"


def test_a_break_that_is_none_stays_with_its_reason(
    office: Office, shop: SmallShop, shown: Show, qtbot: QtBot
) -> None:
    body = opened(office, shop, shown, qtbot)
    write_breaks(body, shop, "4 at 15")
    assert body.table.writing is not None
    assert "no less than before" in body.table.writing.wrong
    assert breaks(office, shop) == ""


def test_the_margin_says_why_the_pack_is_taken(
    office: Office, shop: SmallShop, shown: Show, qtbot: QtBot
) -> None:
    edit_supply(office.desk, shop.supplies["soap"], opened_life_days=60)
    add_pack(office.desk, shop.supplies["soap"], "50 L", "300.00")
    body = opened(office, shop, shown, qtbot)
    said: list[Note] = []
    body.explained.connect(said.append)
    body.entered()
    words = [block.text for block in said[-1].blocks if isinstance(block, Voice)]
    assert words[0] == "Orders take 1 L from Tuesday van."
    assert "opened it keeps 9 weeks" in words[1]


def test_what_was_paid_is_listed_under_the_packs(
    office: Office, shop: SmallShop, shown: Show, qtbot: QtBot
) -> None:
    desk, soap = office.desk, shop.supplies["soap"]
    set_packs(desk, TODAY, soap, shop.packs["soap"], 2)
    write_orders(desk, TODAY, [shop.suppliers["van"]])
    (order_id,) = orders_written(desk, TODAY)
    with desk.book.reading() as session:
        (order,) = order_queries.orders_by_id(session, [order_id])
    came = {one.line_id: 2 if one.supply_id == soap else 0 for one in order.lines}
    receive(desk, TODAY, order_id, came, freight=600)
    body = opened(office, shop, shown, qtbot)
    (row,) = body.paid.rows
    assert [cell.text for cell in row.cells][4:6] == ["12.00", "15.00"]  # type: ignore[union-attr]


def labels(office: Office, shop: SmallShop) -> list[str]:
    return [one.pack.label for one in pack_page(office.desk, TODAY, shop.supplies["soap"]).packs]


def test_a_pack_that_was_typed_is_added_when_its_form_is_left_without_enter(
    office: Office, shop: SmallShop, shown: Show, qtbot: QtBot
) -> None:
    body = opened(office, shop, shown, qtbot)
    body.form.label.setFocus()
    QTest.keyClicks(body.form.label, "5 gal")
    press(Key.Key_Tab)
    QTest.keyClicks(body.form.price, "151.20")
    assert "5 gal" not in labels(office, shop)
    press(Key.Key_Escape)
    assert "5 gal" in labels(office, shop)
    office.undo()
    assert "5 gal" not in labels(office, shop)


def test_a_price_without_a_pack_is_said_not_to_be_saved_and_stays(
    office: Office, shop: SmallShop, shown: Show, qtbot: QtBot
) -> None:
    body = opened(office, shop, shown, qtbot)
    body.form.price.setFocus()
    QTest.keyClicks(body.form.price, "151.20")
    body.table.setFocus()
    assert office.trouble == "Say which pack it is, such as 1 gal; it is not saved yet."
    assert body.form.price.text() == "151.20"


def test_the_window_stays_once_while_a_form_holds_what_is_not_saved(
    office: Office, shop: SmallShop, shown: Show, qtbot: QtBot
) -> None:
    body = opened(office, shop, shown, qtbot)
    body.form.price.setFocus()
    QTest.keyClicks(body.form.price, "151.20")
    window = body.window()
    assert not window.close()
    assert window.isVisible()
    assert "not saved yet" in office.trouble
    assert window.close()
