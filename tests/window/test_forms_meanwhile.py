"""Forms that need their result, while the book is written in the background: they wait, and go on.

Each failed before by being refused: what was typed had to be typed again.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.actions.jobs.jobs import list_jobs
from app.actions.people import consents, customers
from app.actions.stock import stock
from app.records.models import Pack
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.jobs.place import JobsPlace
from app.window.people.customers_place import CustomersPlace
from app.window.shelf.shelf_place import ShelfPlace
from tests.shop import SmallShop
from tests.window.conftest import Written
from tests.window.keys import press, type_words

Key = Qt.Key
CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier


@pytest.fixture
def shell(
    office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget], qtbot: QtBot
) -> Shell:
    made = Shell(
        office,
        [
            PlaceEntry("jobs", "Jobs", "jobs", JobsPlace),
            PlaceEntry("customers", "Customers", "customers", CustomersPlace),
            PlaceEntry("shelf", "Shelf", "shelf", ShelfPlace),
        ],
    )
    shown(made, 1366, 768)
    made.open("customers")
    return made


def names(office: Office) -> list[str]:
    return [row.name for row in customers.list_customers(office.desk)[0]]


def test_a_customer_who_is_added_meanwhile_is_opened_when_they_stand_in_the_book(
    shell: Shell, office: Office, written: Written, qtbot: QtBot
) -> None:
    place = shell.place("customers")
    assert isinstance(place, CustomersPlace)
    end = written()
    QTest.keyClicks(place.table, "Ada Quillfeather")
    qtbot.waitUntil(lambda: not place.table.rows)
    press(Key.Key_Insert)
    assert "One entry waiting to be written" in place.foot_left.text()
    press(Key.Key_Insert)
    assert "waits to be written already" in place.foot_left.text()
    end()
    assert names(office).count("Ada Quillfeather") == 1
    assert place.title == "Ada Quillfeather"


def test_who_went_on_elsewhere_is_not_fetched_back(
    shell: Shell, office: Office, written: Written, qtbot: QtBot
) -> None:
    place = shell.place("customers")
    assert isinstance(place, CustomersPlace)
    end = written()
    QTest.keyClicks(place.table, "Ada Quillfeather")
    qtbot.waitUntil(lambda: not place.table.rows)
    press(Key.Key_Insert)
    press(Key.Key_1, CTRL)
    end()
    assert "Ada Quillfeather" in names(office)
    assert shell.here_key == "jobs"


def test_a_vehicle_and_a_consent_wait_for_the_customer_they_were_given_for(
    shell: Shell, office: Office, shop: SmallShop, written: Written, qtbot: QtBot
) -> None:
    tolk, quell = shop.customers["tolk"], shop.customers["quell"]
    shell.open_item("customers", tolk)
    place = shell.place("customers")
    assert isinstance(place, CustomersPlace)
    end = written()
    place.card.open("consent", still=True)
    place.card.consents.how.setFocus()
    type_words("signed")
    press(Key.Key_F4)
    press(Key.Key_2, ALT)
    place.card.add_vehicle()
    place.open_item(quell)
    end()
    assert [one.how for one in consents.consents_of(office.desk, tolk)] == ["signed"]
    assert consents.consents_of(office.desk, quell) == ()
    held = customers.customer_page(office.desk, tolk).vehicles
    assert "new vehicle" in [car.title for car in held]
    assert place.title == "Jonas Quell", "the page that was turned to stays"


def test_a_job_is_booked_once_when_its_turn_comes_and_is_opened_then(
    shell: Shell, office: Office, shop: SmallShop, written: Written, qtbot: QtBot
) -> None:
    shell.open("jobs")
    place = shell.place("jobs")
    assert isinstance(place, JobsPlace)
    end = written()
    press(Key.Key_Insert)
    type_words("quell")
    qtbot.waitUntil(lambda: len(place.new.who.rows) == 1)
    press(Key.Key_Return)
    before = len(list_jobs(office.desk, "booked").rows)
    press(Key.Key_Return, CTRL)
    press(Key.Key_Return, CTRL)
    assert len(list_jobs(office.desk, "booked").rows) == before
    assert "waits to be written already" in place.foot_left.text()
    end()
    assert len(list_jobs(office.desk, "booked").rows) == before + 1
    assert place.title == "Job 0413"


def test_somebody_new_is_booked_for_as_soon_as_they_stand_in_the_book(
    shell: Shell, office: Office, written: Written, qtbot: QtBot
) -> None:
    shell.open("jobs")
    place = shell.place("jobs")
    assert isinstance(place, JobsPlace)
    end = written()
    press(Key.Key_Insert)
    type_words("Ada Quillfeather")
    press(Key.Key_Insert)
    assert place.new.draft.customer is None
    end()
    assert place.new.draft.customer is not None
    assert place.new.draft.customer[1] == "Ada Quillfeather"


def test_what_is_thrown_away_meanwhile_is_that_of_the_supply_it_was_typed_for(
    shell: Shell, office: Office, shop: SmallShop, written: Written, qtbot: QtBot
) -> None:
    wheel, polish = shop.supplies["wheel"], shop.supplies["polish"]
    stood = {one: stock.on_hand(office.desk, one) for one in (wheel, polish)}
    shell.open_item("shelf", wheel)
    place = shell.place("shelf")
    assert isinstance(place, ShelfPlace)
    end = written()
    place.card.open("doing", still=True)
    place.card.doing.waste.setFocus()
    type_words("100 ml")
    press(Key.Key_Return)
    assert "waiting to be written" in place.foot_left.text()
    assert place.card.doing.waste.text() == ""
    place.open_item(polish)
    end()
    assert stock.on_hand(office.desk, wheel) == stood[wheel] - 100_000
    assert stock.on_hand(office.desk, polish) == stood[polish]


def test_a_pack_that_is_typed_meanwhile_is_added_to_the_supply_it_was_typed_for(
    shell: Shell, office: Office, shop: SmallShop, written: Written, qtbot: QtBot
) -> None:
    wheel, polish = shop.supplies["wheel"], shop.supplies["polish"]
    shell.open_item("shelf", wheel)
    place = shell.place("shelf")
    assert isinstance(place, ShelfPlace)
    end = written()
    place.card.open("packs", still=True)
    place.card.packs.form.label.setFocus()
    type_words("3 gal")
    press(Key.Key_Return)
    assert place.card.packs.form.label.text() == ""
    place.open_item(polish)
    end()
    with office.desk.book.reading() as session:
        added = [one.supply_id for one in session.query(Pack) if one.label == "3 gal"]
    assert added == [wheel]
