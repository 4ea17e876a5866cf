"""Find anything in the real window: each thing opens at its row, and no key is lost on the way."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Desk
from app.actions.finding import catch_up, is_behind
from app.actions.orders.suppliers import add_supplier
from app.actions.people.customers import edit_customer
from app.actions.people.tidying import archive_customer
from app.actions.people.vehicles import add_vehicle
from app.calculations.numbers.dates import weekday_day
from app.records.models import Order
from app.window.found import BookFinder
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.orders.suppliers_page import SuppliersPage
from app.window.paper.fields import LineField
from app.window.people.customers_place import CustomersPlace
from app.window.places import asides, places
from tests.shop import TODAY, SmallShop
from tests.window.keys import press, type_words

Key, CTRL = Qt.Key, Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def shell(
    office: Office,
    shop: SmallShop,
    shown: Callable[[QWidget, int, int], QWidget],
    qtbot: QtBot,
) -> Shell:
    finder = BookFinder(office)
    made = Shell(office, places(), asides=asides(), find=finder.find)
    shown(made, 1366, 768)
    made.open("day")
    return made


def find(shell: Shell, words: str) -> list[tuple[str, str, str]]:
    """Ctrl+K and the words, as far as Enter: what stands there then."""
    press(Key.Key_K, CTRL)
    type_words(words)
    shell.finder.search()
    return [(line.kind, line.text, line.detail) for line in shell.finder.lines]


def test_what_is_found_opens_at_its_row(shell: Shell, shop: SmallShop, desk: Desk) -> None:
    edit_customer(desk, shop.customers["tolk"], street="12 Bellwether Avenue")
    archive_customer(desk, shop.customers["tolk"])
    van = shop.suppliers["van"]
    while catch_up(desk):
        pass
    assert find(shell, "bellwehter")[0] == (
        "Customers", "Mara Tolk", "12 Bellwether Avenue, archived",
    )  # fmt: skip
    press(Key.Key_Return)
    assert (shell.here_key, shell.here._open) == ("customers", shop.customers["tolk"])  # type: ignore[union-attr]
    assert find(shell, "tuesday")[0][:2] == ("Suppliers", "Tuesday van")
    press(Key.Key_Return)
    assert (shell.here_key, shell.here.supplier) == ("suppliers", van)  # type: ignore[union-attr]
    assert find(shell, "wash")[0][:2] == ("Supplies", "Wash soap")
    shell.finder.open_line([line.kind for line in shell.finder.lines].index("Services"))
    assert shell.here_key == "services"
    assert shell.here.list.current_key() in shop.services.values()  # type: ignore[union-attr]


def test_a_setting_and_a_paper_are_found_by_their_words(shell: Shell) -> None:
    assert ("Settings", "Currency", "Money") in find(shell, "currency")
    press(Key.Key_Return)
    field = QApplication.focusWidget()
    assert shell.here_key == "settings"
    assert isinstance(field, LineField)
    assert field.text() == "USD"
    assert find(shell, "currancy")[0][:2] == ("Settings", "Currency")
    assert ("Papers", "Count sheet") in [line[:2] for line in find(shell, "count sheet")]


def test_a_day_typed_opens_its_day_sheet(shell: Shell, shop: SmallShop) -> None:
    last_week = TODAY - timedelta(days=7)
    assert find(shell, f"{last_week:%-d %b}")[0] == (
        "Days", f"{weekday_day(last_week)} {last_week.year}", "no job",
    )  # fmt: skip
    press(Key.Key_Return)
    assert (shell.here_key, shell.office.day) == ("day", last_week)
    assert find(shell, "today")[0][:2] == ("Days", f"{weekday_day(TODAY)} {TODAY.year}")
    assert int(find(shell, TODAY.isoformat())[0][2].split()[0]) > 0
    for other in ("krt 2210", "555-0142", "31", "", "1040", "31 june"):
        assert "Days" not in [line[0] for line in find(shell, other)], other


def test_a_vehicle_opens_at_itself_and_an_order_that_came_at_its_row(
    shell: Shell, shop: SmallShop, desk: Desk
) -> None:
    tolk, van = shop.customers["tolk"], shop.suppliers["van"]
    _, second = add_vehicle(desk, tolk, description="old pickup", plate="KRT 2210")
    with desk.book.change("Orders", day=desk.today) as session:
        came = [
            Order(number=number, supplier_id=van, day=desk.today, state="received",
                          received_on=desk.today)
            for number in (8001, 8002)
        ]  # fmt: skip
        session.add_all(came)
        session.flush()
        first = came[0].id
    find(shell, "krt2210")
    press(Key.Key_Return)
    place = shell.here
    assert isinstance(place, CustomersPlace)
    assert (place.card.open_key, place.card.vehicle and place.card.vehicle.vehicle_id) == (
        "vehicles", second,
    )  # fmt: skip
    find(shell, "order 8001")
    press(Key.Key_Return)
    page = shell.here
    assert isinstance(page, SuppliersPage)
    assert (page.supplier, page.strip.open_key) == (van, "orders")
    assert page.orders.current_key() == first


def test_signs_alone_find_nothing_and_papers_for_money_are_found(shell: Shell) -> None:
    assert find(shell, "%") == []
    assert ("Papers", "Estimate") in [line[:2] for line in find(shell, "estimate")]
    assert ("Papers", "Invoice or credit note") in [line[:2] for line in find(shell, "credit")]


def test_a_page_that_is_read_meanwhile_takes_no_key_from_the_finder(
    shell: Shell, shop: SmallShop
) -> None:
    press(Key.Key_K, CTRL)
    type_words("mara")
    shell.here.entered()  # type: ignore[union-attr]  # as pages do when they are read
    assert shell.finder.field.hasFocus()
    type_words(" tolk")
    press(Key.Key_Return)
    assert (shell.here_key, shell.here._open) == ("customers", shop.customers["tolk"])  # type: ignore[union-attr]
    press(Key.Key_K, CTRL)
    QTest.mouseClick(shell.leaf, Qt.MouseButton.LeftButton)
    assert shell.finder.isVisible()  # who clicks elsewhere may: nothing pulls them back


def test_the_full_text_is_made_in_the_background_and_followed(
    shell: Shell, desk: Desk, qtbot: QtBot
) -> None:
    assert is_behind(desk)
    press(Key.Key_K, CTRL)
    type_words("t")
    shell.finder.search()
    qtbot.waitUntil(lambda: not is_behind(desk))
    add_supplier(desk, "Corner store")
    assert not is_behind(desk)
    assert find(shell, "cornre")[0][:2] == ("Suppliers", "Corner store")
