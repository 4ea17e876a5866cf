"""The Customers place by keyboard: narrow, open, write, undo, add, and go back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.day.money_taken import set_money
from app.actions.people import customers, tidying, vehicles
from app.records.models import Job, Reminder
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.paper.finder import Finder
from app.window.paper.notes import Voice
from app.window.paper.spoken import spoken_block
from app.window.people.customers_place import SCREENFUL, CustomersPlace
from tests.window.conftest import Written
from tests.window.keys import found, press, type_words

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
    QTest.keyClicks(place.table, "Zed Lunt zed@lunt.example")
    qtbot.waitUntil(lambda: names(place) == [])
    place.table.setFocus()
    QTest.keyClick(place.table, Qt.Key.Key_Insert)
    assert place.title == "Zed Lunt"
    assert customers.customer_page(office.desk, 4).fields["email"] == "zed@lunt.example"
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
    place: CustomersPlace, office: Office, written: Written
) -> None:
    end = written()
    place.open_item(1)
    place.card.write_name()
    field = place.card._who.field("phone")
    field.setFocus()
    QTest.keyClicks(field, "312 555 0187")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert "waiting to be written" in place.foot_left.text()
    place.open_item(2)
    end()
    found = customers.list_customers(office.desk, "0187")[0]
    assert [row.name for row in found] == ["Ida Morrow"]


def test_what_cannot_be_read_is_said_at_once_also_while_the_book_is_written(
    place: CustomersPlace, written: Written
) -> None:
    end = written()
    place.open_item(1)
    place.card.write_name()
    field = place.card._who.field("phone")
    field.setFocus()
    QTest.keyClicks(field, "ring me")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert "no telephone number" in place.foot_left.text()
    assert field.text() == "ring me"  # type: ignore[attr-defined]
    end()
    assert field.text() == "ring me"  # type: ignore[attr-defined]


def open_named(place: CustomersPlace, name: str) -> None:
    rows = {row.cells[0].text: row.key for row in place.table.rows}  # type: ignore[union-attr]
    place.open_item(rows[name])


def test_the_margin_of_the_list_names_the_keys_that_put_together_and_remove(
    place: CustomersPlace, qtbot: QtBot
) -> None:
    def told() -> bool:
        return {"F5", "F12"} <= {key for key, _words in place.margin.note.keys}

    qtbot.waitUntil(told)  # read in the background


def test_of_a_long_list_a_screenful_is_read_at_once_and_the_rest_in_the_background(
    office: Office, shown: Shown, qtbot: QtBot
) -> None:
    desk = office.desk
    for at in range(SCREENFUL + 60):
        customers.add_customer(desk, name=f"Customer {at:03}")
    shell = Shell(office, [PlaceEntry("customers", "Customers", "customers", CustomersPlace)])
    shown(shell, 1366, 768)
    shell.open("customers")
    place = shell.place("customers")
    assert isinstance(place, CustomersPlace)
    assert names(place) == [f"Customer {at:03}" for at in range(SCREENFUL)]
    qtbot.waitUntil(lambda: len(names(place)) == SCREENFUL + 60)
    # What stands far down is still in view after a card was opened, and after a change elsewhere.
    last = place.table.rows[-1].key
    place.table.go(last)
    QTest.keyClick(place.table, Qt.Key.Key_Return)
    QTest.keyClick(place.card, Qt.Key.Key_Escape)
    assert place.table.current_key() == last
    office.act_now(lambda: customers.add_customer(desk, name="Aa first"))
    qtbot.waitUntil(lambda: names(place)[0] == "Aa first")
    assert place.table.current_key() == last


def test_f12_removes_a_customer_without_history_and_undo_brings_them_back(
    place: CustomersPlace, office: Office, qtbot: QtBot
) -> None:
    open_named(place, "Jonas Quell")
    place.card.open("who", still=True)
    QTest.keyClick(place.card, Qt.Key.Key_F12)
    assert names(place) == ["Bartholomew Vandersteen-Ashcombe Hill", "Ida Morrow"]
    office.undo()
    assert "Jonas Quell" in names(place)


def test_f12_archives_a_customer_with_history_who_is_found_by_name_and_brought_back(
    place: CustomersPlace, office: Office, qtbot: QtBot
) -> None:
    desk = office.desk
    (quell,) = customers.list_customers(desk, "Quell")[0]
    with desk.book.change("A job", day=desk.today) as session:
        session.add(
            Job(number=1, customer_id=quell.id, title="Wash", state="done", first_day=desk.today)
        )
    open_named(place, "Jonas Quell")
    place.card.open("who", still=True)
    QTest.keyClick(place.card, Qt.Key.Key_F12)
    assert "Jonas Quell" not in names(place)
    place.table.setFocus()
    QTest.keyClicks(place.table, "quell")
    qtbot.waitUntil(lambda: names(place) == ["Jonas Quell"])
    open_named(place, "Jonas Quell")
    place.card.open("who", still=True)
    QTest.keyClick(place.card, Qt.Key.Key_F12)
    place.back()
    qtbot.waitUntil(lambda: "Jonas Quell" in names(place))
    assert not customers.customer_page(desk, quell.id).archived


def test_f12_pressed_twice_on_a_card_takes_nobody_else_out_of_the_list(
    place: CustomersPlace, office: Office, qtbot: QtBot
) -> None:
    open_named(place, "Ida Morrow")
    place.card.open("who", still=True)
    QTest.keyClick(place.card, Qt.Key.Key_F12)
    qtbot.waitUntil(lambda: "Ida Morrow" not in names(place))
    QTest.keyClick(place.table, Qt.Key.Key_F12)
    assert len(customers.list_customers(office.desk)[0]) == 2
    assert office.question.startswith("Bartholomew Vandersteen-Ashcombe Hill is to go?")
    QTest.keyClick(place.table, Qt.Key.Key_Down)
    QTest.keyClick(place.table, Qt.Key.Key_F12)  # another row: asked anew
    assert office.question.startswith("Jonas Quell is to go?")
    QTest.keyClick(place.table, Qt.Key.Key_F12)
    qtbot.waitUntil(lambda: names(place) == ["Bartholomew Vandersteen-Ashcombe Hill"])


def test_the_name_of_a_new_customer_is_written_over(place: CustomersPlace, office: Office) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_Insert)
    type_words("Ada Quill")
    press(Qt.Key.Key_Return)
    assert "Ada Quill" in [one.name for one in customers.list_customers(office.desk)[0]]


def test_escape_out_of_the_finder_leads_back_to_the_card(place: CustomersPlace) -> None:
    open_named(place, "Ida Morrow")
    place.card.open("who", still=True)
    press(Qt.Key.Key_K, Qt.KeyboardModifier.ControlModifier)
    press(Qt.Key.Key_Escape)
    assert place.card.isAncestorOf(QApplication.focusWidget())


def test_f5_puts_two_customers_together_and_undo_splits_them(
    place: CustomersPlace, office: Office, qtbot: QtBot
) -> None:
    open_named(place, "Ida Morrow")
    place.card.open("who", still=True)
    QTest.keyClick(place.card, Qt.Key.Key_F5)
    QTest.keyClicks(QApplication.focusWidget(), "quell")
    found("quell", qtbot)
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: len(customers.list_customers(office.desk)[0]) == 2)
    assert len(customers.customer_page(office.desk, place._open or 0).vehicles) == 2
    office.undo()
    assert len(customers.list_customers(office.desk)[0]) == 3


def test_f5_and_f12_are_about_the_vehicle_in_view(
    place: CustomersPlace, office: Office, qtbot: QtBot
) -> None:
    open_named(place, "Ida Morrow")
    place.card.open("vehicles", still=True)
    QTest.keyClick(place.card, Qt.Key.Key_F5)
    QTest.keyClicks(QApplication.focusWidget(), "jonas")
    found("jonas", qtbot)
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: office.saved.startswith("Put the jonas’s wagon together"))
    QTest.keyClick(place.card, Qt.Key.Key_F12)
    qtbot.waitUntil(lambda: "Removed the ida’s wagon" in office.saved)


def book_for(office: Office, customer: int) -> None:
    desk = office.desk
    with desk.book.change("A job", day=desk.today) as session:
        session.add(Job(number=7, customer_id=customer, vehicle_id=customer, first_day=desk.today))


def margin_words(place: CustomersPlace) -> str:
    return " ".join(one.text for one in place.margin.note.blocks if isinstance(one, Voice))


def job_of(office: Office) -> tuple[str, int | None]:
    with office.desk.book.reading() as session:
        job = session.query(Job).one()
        return job.state, job.customer_id


def test_a_vehicle_sold_with_work_booked_says_so_and_f6_calls_that_off(
    place: CustomersPlace, office: Office
) -> None:
    book_for(office, 1)
    place.open_item(1)
    place.card.open("vehicles", still=True)
    QTest.keyClick(place.window(), Qt.Key.Key_F6)
    assert job_of(office)[0] == "booked", "it is theirs and stays"
    QTest.keyClick(place.window(), Qt.Key.Key_F10)
    assert "Job 0007 for 14 August is still booked" in place.foot_left.text()
    assert "Job 0007 for 14 August: whoever booked it" in margin_words(place)
    QTest.keyClick(place.window(), Qt.Key.Key_F6)
    assert job_of(office)[0] == "cancelled"
    assert "0007" not in margin_words(place)


def test_a_death_is_ticked_and_f8_keeps_the_booked_work_for_whoever_is_found_by_typing(
    place: CustomersPlace, office: Office, qtbot: QtBot
) -> None:
    book_for(office, 1)
    place.open_item(1)
    place.card.open("who", still=True)
    tick = place.card._who.field("deceased")
    tick.setFocus()
    QTest.keyClick(tick, Qt.Key.Key_Space)
    assert customers.customer_page(office.desk, 1).deceased
    assert "Job 0007 for 14 August is still booked" in place.foot_left.text()
    QTest.keyClick(place.window(), Qt.Key.Key_F8)
    QTest.keyClicks(QApplication.focusWidget(), "quell")
    found("quell", qtbot)
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: job_of(office) == ("booked", 2))
    office.undo()
    assert job_of(office) == ("booked", 1)


def test_after_a_death_work_under_way_and_money_paid_ahead_are_said(
    place: CustomersPlace, office: Office
) -> None:
    book_for(office, 1)
    with office.desk.book.load() as session:
        job = session.query(Job).one()
        job.state, number = "working", job.id
    set_money(office.desk, office.desk.today, number, "310")
    place.open_item(1)
    place.card.open("who", still=True)
    tick = place.card._who.field("deceased")
    tick.setFocus()
    QTest.keyClick(tick, Qt.Key.Key_Space)
    for said in (place.foot_left.text(), margin_words(place)):
        assert "Job 0007 is under way. 310.00 was paid ahead." in said
    assert "No payment of theirs is filled in any more: type what comes" in margin_words(place)
    assert job_of(office)[0] == "working", "F6 calls off only what is not begun"


def test_what_is_archived_is_offered_to_nobody_as_the_new_owner_and_is_told_elsewhere(
    place: CustomersPlace, office: Office, qtbot: QtBot
) -> None:
    desk = office.desk
    (hill,) = customers.list_customers(desk, "Vandersteen")[0]
    tidying.archive_customer(desk, hill.id)
    book_for(office, 1)
    vehicles.sold(desk, 1, desk.today)
    place.open_item(1)
    QTest.keyClick(place.card, Qt.Key.Key_F8)
    QTest.keyClicks(QApplication.focusWidget(), "e")
    found("e", qtbot)
    finder = QApplication.focusWidget().parent()
    assert isinstance(finder, Finder)
    assert [line.text for line in finder.lines] == ["Jonas Quell"]
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape)
    place.card.open("who", still=True)
    QTest.keyClick(place.card, Qt.Key.Key_F5)
    QTest.keyClicks(QApplication.focusWidget(), "vander")
    found("vander", qtbot)
    finder = QApplication.focusWidget().parent()
    assert isinstance(finder, Finder)
    assert [line.detail.endswith("archived") for line in finder.lines] == [True]


def test_an_archived_vehicle_is_not_among_those_that_they_hold(
    place: CustomersPlace, office: Office
) -> None:
    tidying.archive_vehicle(office.desk, 1)
    (ida,) = customers.list_customers(office.desk, "Ida")[0]
    assert ida.vehicles == ()


def test_what_was_written_to_a_customer_is_read_word_for_word(
    place: CustomersPlace, office: Office, qtbot: QtBot
) -> None:
    desk = office.desk
    _, ida = customers.add_customer(desk, name="Ida Tock", city="East Harrow")
    text = "Dear Ida Tock,\nyour wagon’s sealant is due for a look."
    with desk.book.change("Letters", day=desk.today) as session:
        session.add_all(
            [
                Reminder(customer_id=ida, day=desk.today - timedelta(days=90), subject="Older",
                         state="answered", answer="later", channel="mail", uid="w1", text="Hello"),
                Reminder(customer_id=ida, day=desk.today, subject="Time for a look",
                         state="sent", uid="w2", text=text),
            ]
        )  # fmt: skip
        session.flush()
        newest = session.query(Reminder).filter_by(uid="w2").one().id
    office.go("customers", ("letter", ida, newest))
    assert place.card.open_key == "letters"
    assert place.margin.note.title == "Time for a look"
    assert text in read_out(place)
    press(Qt.Key.Key_Down)
    assert place.margin.note.title == "Older"
    assert "later" in read_out(place)
    assert "Hello" in read_out(place)


def read_out(place: CustomersPlace) -> str:
    return " ".join(spoken_block(one) for one in place.margin.note.blocks)
