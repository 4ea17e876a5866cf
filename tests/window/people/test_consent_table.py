"""Consents, seasons and storage on a customer's card, by keyboard."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from app.actions.people import consents, customers, vehicles
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.paper.fields import LineField
from app.window.people.customers_place import CustomersPlace

Key = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def place(office: Office, shown: Callable[[QWidget, int, int], QWidget]) -> CustomersPlace:
    _, ida = customers.add_customer(office.desk, name="Ida Morrow", asks_by="text")
    vehicles.add_vehicle(office.desk, ida, description="blue wagon")
    shell = Shell(office, [PlaceEntry("customers", "Customers", "customers", CustomersPlace)])
    shown(shell, 1366, 768)
    shell.open_item("customers", ida)
    made = shell.place("customers")
    assert isinstance(made, CustomersPlace)
    return made


def write(field: QWidget, text: str) -> None:
    assert isinstance(field, LineField)
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Key.Key_Return)


def test_a_consent_is_written_down_withdrawn_and_undone(
    place: CustomersPlace, office: Office
) -> None:
    keys = [entry.key for entry in place.card.entries]
    number = keys.index("consent") + 1
    alt = Qt.KeyboardModifier.AltModifier
    QTest.keyClick(place.card, Qt.Key(Key.Key_0 + number), alt)
    assert place.card.open_key == "consent"
    place.card.consents.how.setFocus()
    QTest.keyClicks(place.card.consents.how, "signed")
    QTest.keyClick(place.window(), Key.Key_F4)
    (one,) = consents.consents_of(office.desk, 1)
    assert (one.channel, one.purpose, one.how) == ("text", "reminders", "signed")
    place.card.consents.table.setFocus()
    QTest.keyClick(place.window(), Key.Key_F11)
    assert consents.consents_of(office.desk, 1)[0].withdrawn_on
    assert customers.customer_page(office.desk, 1).stopped_on is None, "that one alone"
    QTest.keyClick(place.window(), Key.Key_Z, CTRL)
    assert consents.consents_of(office.desk, 1)[0].withdrawn_on is None


def test_a_season_and_a_storage_are_typed_and_saved_when_left(
    place: CustomersPlace, office: Office
) -> None:
    place.card.open("who", still=True)
    write(place.card._who.field("season_months"), "oct, nov")
    write(place.card._who.field("season_title"), "before salt")
    fields = customers.customer_page(office.desk, 1).fields
    assert (fields["season_months"], fields["season_title"]) == ([10, 11], "before salt")
    place.card.open("vehicles", still=True)
    write(place.card._car.field("stored_until"), "1 March 2026")
    write(place.card._car.field("lease_ends"), "someday")
    assert vehicles.vehicle_page(office.desk, 1).fields["stored_until"] == date(2026, 3, 1)
    assert "no day" in place.card._car.field("lease_ends").trouble  # type: ignore[attr-defined]


def test_nothing_is_written_down_without_how_nor_proposed_of_another(
    place: CustomersPlace, office: Office
) -> None:
    body = place.card.consents
    body.show_customer(1)
    usual = body.purpose.value, body.channel.value
    place.card.open("consent", still=True)
    QTest.keyClick(place.window(), Key.Key_F4)
    assert consents.consents_of(office.desk, 1) == ()
    assert "Type how they agreed" in place.foot_left.text()
    body.purpose.setCurrentIndex(1)
    body.channel.setCurrentIndex(1)
    body.show_customer(2)
    assert (body.purpose.value, body.channel.value) == usual


@pytest.mark.parametrize("key", [Key.Key_F9, Key.Key_F10, Key.Key_F12, Key.Key_F11])
def test_no_key_of_the_page_acts_from_a_drop_down_beside_a_consent_that_is_not_written_yet(
    place: CustomersPlace, office: Office, key: Qt.Key
) -> None:
    consents.give(office.desk, 1, "mail", "care")
    place.card.open("consent", still=True)
    place.card.consents.how.setFocus()
    QTest.keyClicks(place.card.consents.how, "signed")
    place.card.consents.channel.setFocus()
    before = office.desk.book.next_undo()
    QTest.keyClick(place.card.consents.channel, key)
    assert office.desk.book.next_undo() == before
    assert "F4 writes it down" in place.foot_left.text()
    QTest.keyClick(place.card.consents.channel, Key.Key_F4)
    assert consents.consents_of(office.desk, 1)[0].how == "signed"
    QTest.keyClick(place.card.consents.channel, Key.Key_F9)
    assert customers.customer_page(office.desk, 1).stopped_on, "with nothing unwritten it acts"
