"""Announced days by keyboard: noted, written over, turned yearly, forgotten, brought back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from app.actions.orders.supplier_terms import announced_days
from app.records.queries.terms import DateRow
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.orders.suppliers_page import SuppliersPage
from tests.shop import SmallShop

Show = Callable[[QWidget, int, int], QWidget]
Key = Qt.Key


@pytest.fixture
def page(office: Office, shop: SmallShop, shown: Show, qtbot: QtBot) -> SuppliersPage:
    shell = Shell(office, [PlaceEntry("suppliers", "Suppliers", "", SuppliersPage)])
    shown(shell, 1366, 768)
    shell.open("suppliers")
    qtbot.waitUntil(lambda: not office.runner.busy)
    made = shell.place("suppliers")
    assert isinstance(made, SuppliersPage)
    made.open_item(shop.suppliers["van"])
    return made


def press(key: Qt.Key, *, alt: bool = False) -> None:
    keys = Qt.KeyboardModifier.AltModifier if alt else Qt.KeyboardModifier.NoModifier
    target = QApplication.focusWidget()
    assert target is not None
    QTest.keyClick(target, key, keys)
    QApplication.processEvents()


def type_in(text: str) -> None:
    target = QApplication.focusWidget()
    assert isinstance(target, QLineEdit), target
    target.selectAll()
    QTest.keyClicks(target, text)


def noted(office: Office, shop: SmallShop) -> tuple[DateRow, ...]:
    return announced_days(office.desk, shop.suppliers["van"])


def test_a_cold_stop_is_noted_with_six_keystrokes_of_fields(
    page: SuppliersPage, office: Office, shop: SmallShop
) -> None:
    press(Key.Key_3, alt=True)
    assert page.strip.open_key == "days"
    assert QApplication.focusWidget() is page.days.kind
    press(Key.Key_Tab)
    type_in("1 Dec")
    press(Key.Key_Tab)
    type_in("28 Feb")
    press(Key.Key_Tab)
    press(Key.Key_Tab)
    press(Key.Key_Space)
    page.days.last.setFocus()
    press(Key.Key_Return)
    (one,) = noted(office, shop)
    assert (one.kind, one.first_day, one.last_day, one.yearly) == (
        "cold", date(2025, 12, 1), date(2026, 2, 28), True,
    )  # fmt: skip
    assert page.days.first.text() == ""
    assert page.days.table.rows


def test_days_are_written_over_turned_yearly_forgotten_and_brought_back(
    page: SuppliersPage, office: Office, shop: SmallShop
) -> None:
    press(Key.Key_3, alt=True)
    page.days.kind.choose("sale")
    page.days.first.setFocus()
    type_in("20 Aug")
    press(Key.Key_Tab)
    type_in("24 Aug")
    press(Key.Key_Return)
    (one,) = noted(office, shop)
    table = page.days.table
    table.setFocus()
    assert table.go(one.date_id, "last_day")
    QTest.keyClicks(table, "2")
    assert table.writing is not None
    table.writing.selectAll()
    QTest.keyClicks(table.writing, "29 Aug")
    press(Key.Key_Return)
    assert noted(office, shop)[0].last_day == date(2025, 8, 29)
    table.setFocus()
    table.go(one.date_id, "first_day")
    press(Key.Key_Y)
    assert noted(office, shop)[0].yearly
    table.setFocus()
    table.go(one.date_id, "first_day")
    press(Key.Key_Delete)
    assert not noted(office, shop)
    office.undo()
    assert noted(office, shop)[0].yearly
    office.undo()
    assert not noted(office, shop)[0].yearly


def test_a_day_that_is_none_stays_in_its_field_with_the_reason(
    page: SuppliersPage, office: Office, shop: SmallShop
) -> None:
    press(Key.Key_3, alt=True)
    page.days.first.setFocus()
    type_in("someday")
    press(Key.Key_Return)
    assert "is no day" in page.days.first.trouble
    assert page.days.first.text() == "someday"
    type_in("20 Aug 2025")
    page.days.last.setFocus()
    type_in("1 Aug 2025")
    press(Key.Key_Return)
    assert "before they begin" in page.days.last.trouble
    assert not noted(office, shop)


def test_the_day_that_cannot_be_read_is_marked_though_both_read_the_same(
    page: SuppliersPage, office: Office, shop: SmallShop
) -> None:
    press(Key.Key_3, alt=True)
    page.days.first.setFocus()
    type_in("someday")
    page.days.last.setFocus()
    type_in("someday")
    press(Key.Key_Return)
    assert "is no day" in page.days.first.trouble
    assert page.days.last.trouble == ""


def test_days_that_were_typed_are_noted_when_their_form_is_left_without_enter(
    page: SuppliersPage, office: Office, shop: SmallShop
) -> None:
    press(Key.Key_3, alt=True)
    page.days.first.setFocus()
    type_in("1 Dec")
    page.days.last.setFocus()
    type_in("28 Feb")
    press(Key.Key_1, alt=True)
    assert [one.first_day.month for one in noted(office, shop)] == [12]
