"""The Customers place by keyboard: narrow, open, write, undo, add, and go back."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.actions.people import customers, vehicles
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.people.customers_place import CustomersPlace

Shown = Callable[[QWidget, int, int], QWidget]


@pytest.fixture
def place(office: Office, shown: Shown, qtbot: QtBot) -> CustomersPlace:
    """The place in a window, with three customers."""
    desk = office.desk
    for name in ("Ida Morrow", "Jonas Quell", "Bartholomew Vandersteen-Ashcombe Hill"):
        _, number = customers.add_customer(desk, name=name, city="East Harrow")
        vehicles.add_vehicle(desk, number, description=f"{name.split()[0].lower()}’s wagon")
    shell = Shell(office, [PlaceEntry("customers", "Customers", "customers", CustomersPlace)])
    shown(shell, 1366, 768)
    shell.open("customers")
    made = shell.place("customers")
    assert isinstance(made, CustomersPlace)
    return made


def names(place: CustomersPlace) -> list[str]:
    return [row.cells[0].text for row in place.table.rows]  # type: ignore[union-attr]


def test_typing_narrows_the_list_and_escape_shows_all_again(
    place: CustomersPlace, qtbot: QtBot
) -> None:
    assert len(names(place)) == 3
    QTest.keyClicks(place.table, "quell")
    qtbot.waitUntil(lambda: names(place) == ["Jonas Quell"])
    QTest.keyClick(place.filter, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: len(names(place)) == 3)


def test_a_customer_is_opened_changed_and_put_back_by_keyboard_alone(
    place: CustomersPlace, office: Office, qtbot: QtBot
) -> None:
    place.table.setFocus()
    QTest.keyClick(place.table, Qt.Key.Key_Down)
    QTest.keyClick(place.table, Qt.Key.Key_Return)
    assert place.title == "Ida Morrow"
    QTest.keyClick(place.card, Qt.Key.Key_1, Qt.KeyboardModifier.AltModifier)
    place.card.write_name()
    field = place.card._who.field("phone")
    field.setFocus()
    QTest.keyClicks(field, "312 555 0187")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert customers.list_customers(office.desk, "0187")[0][0].name == "Ida Morrow"
    QTest.keyClick(place.window(), Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert customers.list_customers(office.desk, "0187")[0] == []


def test_what_cannot_be_read_stays_in_the_field_and_says_why(place: CustomersPlace) -> None:
    place.open_item(1)
    place.card.write_name()
    field = place.card._who.field("phone")
    field.setFocus()
    QTest.keyClicks(field, "ring me")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert "no telephone number" in field.trouble  # type: ignore[attr-defined]
    assert "no telephone number" in place.foot_left.text()


def test_a_customer_is_added_with_the_words_that_found_nobody(
    place: CustomersPlace, office: Office, qtbot: QtBot
) -> None:
    QTest.keyClicks(place.table, "Zed Lunt")
    qtbot.waitUntil(lambda: names(place) == [])
    place.table.setFocus()
    QTest.keyClick(place.table, Qt.Key.Key_Insert)
    assert place.title == "Zed Lunt"
    QTest.keyClick(place.card, Qt.Key.Key_2, Qt.KeyboardModifier.AltModifier)
    QTest.keyClick(place.window(), Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert customers.customer_page(office.desk, 4).vehicles[0].title == "new vehicle"


def test_where_a_vehicle_stands_is_saved_when_chosen(place: CustomersPlace, office: Office) -> None:
    place.open_item(1)
    place.card.open("vehicles", still=True)
    choice = place.card._car.field("stands")
    choice.setFocus()
    QTest.keyClicks(choice, "street")
    choice.activated.emit(choice.currentIndex())  # type: ignore[attr-defined]
    page = vehicles.vehicle_page(office.desk, 1)
    assert page.fields["exposure"] == {"stands": "street"}


def test_a_sold_vehicle_and_a_stop_are_one_key_each(place: CustomersPlace, office: Office) -> None:
    place.open_item(1)
    place.card.open("vehicles", still=True)
    QTest.keyClick(place.window(), Qt.Key.Key_F10)
    assert not customers.customer_page(office.desk, 1).vehicles[0].held
    QTest.keyClick(place.window(), Qt.Key.Key_F9)
    stopped = customers.customer_page(office.desk, 1).stopped_on
    assert isinstance(stopped, date)


def test_an_empty_book_teaches_how_to_begin(office: Office, shown: Shown) -> None:
    shell = Shell(office, [PlaceEntry("customers", "Customers", "customers", CustomersPlace)])
    shown(shell, 1366, 768)
    shell.open("customers")
    made = shell.place("customers")
    assert isinstance(made, CustomersPlace)
    assert made.table._empty_text is not None
    assert made.table._empty_text.title == "No customer yet"


def test_what_is_typed_while_the_book_is_written_goes_to_the_customer_it_was_typed_for(
    place: CustomersPlace, office: Office, qtbot: QtBot
) -> None:
    go = threading.Event()
    office.write_long("bringing in", lambda _task: go.wait(60), lambda _done: None)
    place.open_item(1)
    place.card.write_name()
    field = place.card._who.field("phone")
    field.setFocus()
    QTest.keyClicks(field, "312 555 0187")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert "waiting to be written" in place.foot_left.text()
    place.open_item(2)
    go.set()
    qtbot.waitUntil(lambda: not office.runner.busy)
    found = customers.list_customers(office.desk, "0187")[0]
    assert [row.name for row in found] == ["Ida Morrow"]


def test_what_cannot_be_read_is_said_at_once_also_while_the_book_is_written(
    place: CustomersPlace, office: Office, qtbot: QtBot
) -> None:
    go = threading.Event()
    office.write_long("bringing in", lambda _task: go.wait(60), lambda _done: None)
    place.open_item(1)
    place.card.write_name()
    field = place.card._who.field("phone")
    field.setFocus()
    QTest.keyClicks(field, "ring me")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert "no telephone number" in place.foot_left.text()
    assert field.text() == "ring me"  # type: ignore[attr-defined]
    go.set()
    qtbot.waitUntil(lambda: not office.runner.busy)
    assert field.text() == "ring me"  # type: ignore[attr-defined]
