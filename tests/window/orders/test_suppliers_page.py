"""Suppliers by keyboard: add one, write its terms, give a supply its supplier and a pack."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from app.actions.orders.suppliers import list_suppliers
from app.actions.shelf import supplies
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.orders.suppliers_page import SuppliersPage
from app.window.paper.fields import Choice
from app.window.shelf.shelf_place import ShelfPlace
from tests.shop import TODAY, SmallShop

Shown = Callable[[QWidget, int, int], QWidget]


@pytest.fixture
def shell(office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot) -> Shell:
    made = Shell(
        office,
        [PlaceEntry("shelf", "Shelf", "shelf", ShelfPlace)],
        asides=[PlaceEntry("suppliers", "Suppliers", "", SuppliersPage)],
    )
    shown(made, 1366, 768)
    made.open("shelf")
    qtbot.waitUntil(lambda: not office.runner.busy)
    return made


def page_of(shell: Shell) -> SuppliersPage:
    page = shell.place("suppliers")
    assert isinstance(page, SuppliersPage)
    return page


def press(key: Qt.Key, *, alt: bool = False) -> None:
    keys = Qt.KeyboardModifier.AltModifier if alt else Qt.KeyboardModifier.NoModifier
    target = QApplication.focusWidget()
    assert target is not None
    QTest.keyClick(target, key, keys)


def type_in(text: str) -> None:
    target = QApplication.focusWidget()
    assert isinstance(target, QLineEdit), target
    target.selectAll()
    QTest.keyClicks(target, text)


def test_s_on_the_shelf_goes_to_the_supplier_of_the_supply_in_view(
    shell: Shell, shop: SmallShop
) -> None:
    place = shell.place("shelf")
    assert isinstance(place, ShelfPlace)
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    place.table.go(shop.supplies["wax"])
    QTest.keyClick(place.table, Qt.Key.Key_S)
    assert shell.here_key == "suppliers"
    page = page_of(shell)
    assert page.supplier == shop.suppliers["parcel"]
    assert page.strip.open_key == "terms"
    assert page.margin.note.title == "Friday parcel"
    press(Qt.Key.Key_Escape)
    assert page.strip.open_key == "list"
    press(Qt.Key.Key_Escape)
    assert shell.here_key == "shelf"


def test_a_supplier_is_added_and_its_terms_written_by_keys_alone(
    shell: Shell, office: Office
) -> None:
    shell.open("suppliers")
    page = page_of(shell)
    press(Qt.Key.Key_Insert)
    QTest.keyClicks(page.list.writing, "Corner store")
    QTest.keyClick(page.list.writing, Qt.Key.Key_Return)
    made = next(one for one in list_suppliers(office.desk) if one.name == "Corner store")
    assert page.supplier == made.supplier_id
    press(Qt.Key.Key_2, alt=True)
    page.terms.focus("freight")
    type_in("12.50")
    press(Qt.Key.Key_Tab)
    type_in("100")
    press(Qt.Key.Key_Tab)
    page.terms.focus("order_weekdays")
    type_in("tue")
    press(Qt.Key.Key_Tab)
    known = next(one for one in list_suppliers(office.desk) if one.name == "Corner store")
    assert (known.freight, known.free_freight_from, known.order_weekdays) == (1250, 10000, (1,))
    page.terms.focus("order_weekdays")
    type_in("someday")
    press(Qt.Key.Key_Tab)
    field = page.terms.field("order_weekdays")
    assert "no day of the week" in field.trouble
    assert field.text() == "someday", "what cannot be read stays to be mended"
    office.undo()
    assert list_suppliers(office.desk)[0].order_weekdays == ()


def test_a_supply_is_given_its_supplier_and_a_pack_on_its_card(
    shell: Shell, office: Office, shop: SmallShop
) -> None:
    place = shell.place("shelf")
    assert isinstance(place, ShelfPlace)
    soap = shop.supplies["soap"]
    place.open_item(soap)
    place.card.open("facts", still=True)
    choice = place.card.facts.field("supplier_id")
    assert isinstance(choice, Choice)
    choice.setFocus()
    QTest.keyClicks(choice, "Friday")
    assert choice.currentText() == "Friday parcel"
    choice.activated.emit(choice.currentIndex())
    page = supplies.supply_page(office.desk, TODAY, soap)
    assert page.supply.supplier_id == shop.suppliers["parcel"]
    place.card.open("packs", still=True)
    form = place.card.packs.form
    form.label.setFocus()
    type_in("a lot")
    press(Qt.Key.Key_Return)
    assert form.label.trouble
    # Which of the two is wrong is not read out of the sentence, which holds what was typed.
    type_in("money bag")
    form.price.setFocus()
    type_in("38")
    press(Qt.Key.Key_Return)
    assert (bool(form.label.trouble), form.price.trouble) == (True, "")
    type_in("many")
    form.label.setFocus()
    type_in("1 gal")
    press(Qt.Key.Key_Return)
    assert form.price.trouble
    form.label.setFocus()
    type_in("1 gal")
    press(Qt.Key.Key_Tab)
    type_in("38")
    press(Qt.Key.Key_Return)
    labels = {
        pack.label: pack.price for pack in supplies.supply_page(office.desk, TODAY, soap).packs
    }
    assert labels["1 gal"] == 3800
    assert form.label.text() == ""
    office.undo()
    labels = {
        pack.label: pack.price for pack in supplies.supply_page(office.desk, TODAY, soap).packs
    }
    assert "1 gal" not in labels
