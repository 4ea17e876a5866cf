"""The window while something long is written: locked there, and typing goes on elsewhere."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.actions.day import closing
from app.actions.day.day import day_view
from app.actions.day.jobs_worked import jobs_worked
from app.actions.day.supplies_used import set_use
from app.actions.desk.desk import Desk
from app.records.models import Reminder, Use
from app.window.house.office import Office
from tests.shop import TODAY, SmallShop
from tests.turns import never_waiting_here
from tests.waxed import wax_the_coupe
from tests.window.day.conftest import CONTROL, Hands

Key = Qt.Key
TOMORROW = TODAY + timedelta(days=1)


class Gate:
    """Where a close is held in the middle."""

    def __init__(self, qtbot: QtBot) -> None:
        self.within, self.go = threading.Event(), threading.Event()
        self._qtbot = qtbot

    def reached(self) -> None:
        self._qtbot.waitUntil(self.within.is_set)


@pytest.fixture(autouse=True)
def never_waiting(office: Office, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Through all of these tests the window's thread waits for no writer."""
    waited = never_waiting_here(desk.book, monkeypatch)
    yield
    assert waited == []


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch, qtbot: QtBot) -> Iterator[Gate]:
    """Holds a close in the middle of its transaction until it is opened."""
    made = Gate(qtbot)
    work_of: Any = closing.work_of

    def wait(*given: Any) -> Any:
        made.within.set()
        made.go.wait(60)
        return work_of(*given)

    monkeypatch.setattr(closing, "work_of", wait)
    yield made
    made.go.set()


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(QApplication.focusWidget(), key, modifier)
    QApplication.processEvents()


def begin_close(hands: Hands, gate: Gate) -> None:
    hands.open(6)
    press(Key.Key_Return, CONTROL)
    gate.reached()


def minutes_of(desk: Desk, day: date, job: int) -> int:
    return next(row.minutes for row in jobs_worked(desk, day).rows if row.job.job_id == job)


def test_the_day_being_closed_is_not_written_in_and_says_why(
    hands: Hands, desk: Desk, shop: SmallShop, gate: Gate
) -> None:
    begin_close(hands, gate)
    press(Key.Key_2, Qt.KeyboardModifier.AltModifier)
    table = hands.sheet.station("supplies").table
    table.setFocus()
    table.go(shop.supplies["soap"], f"job {shop.jobs['0411']}")
    for letter in "77":
        QTest.keyClicks(table, letter)
    assert table.writing is None
    assert "is being closed; nothing is written on it now" in hands.foot
    assert not hands.sheet.station().row.button.ready
    gate.go.set()
    hands.settle()
    assert hands.sheet.is_closed
    with desk.book.reading() as session:
        assert {use.state for use in session.query(Use)} == {"recipe"}


def test_what_is_typed_on_another_day_waits_and_is_written_once_when_the_close_has_ended(
    hands: Hands, desk: Desk, shop: SmallShop, gate: Gate
) -> None:
    job = shop.jobs["0412"]
    begin_close(hands, gate)
    press(Key.Key_Right, CONTROL)
    table = hands.sheet.station("jobs").table
    hands.sheet.strip.open("jobs", still=True)
    table.setFocus()
    table.go(job, "hours")
    for letter in "3:15":
        QTest.keyClicks(QApplication.focusWidget(), letter)
    press(Key.Key_Return)
    assert hands.shell.office.runner.waiting_here == 1
    assert "One entry waiting to be written" in hands.foot
    cell: Any = hands.cell(job, "hours")
    assert cell.text == "3:15"  # and it is seen meanwhile
    # The person goes on to another day; what was typed belongs to the day it was typed on.
    press(Key.Key_Left, CONTROL)
    gate.go.set()
    hands.settle()
    assert "waiting" not in hands.foot
    assert day_view(desk, TODAY).state == "closed"
    assert minutes_of(desk, TOMORROW, job) == 195
    assert "3 h 15 min" in (desk.book.next_undo() or "")


def test_what_is_refused_when_its_turn_comes_is_said_with_what_was_typed(
    hands: Hands, desk: Desk, shop: SmallShop, gate: Gate
) -> None:
    begin_close(hands, gate)
    office = hands.shell.office
    job, soap = shop.jobs["0411"], shop.supplies["soap"]
    # From elsewhere than the sheet, which is locked: onto the day that is being closed.
    office.typed(lambda: set_use(desk, TODAY, job, soap, "77 mL"), "77 mL")
    office.typed(lambda: set_use(desk, TODAY, job, soap, "78 mL"), "78 mL")
    gate.go.set()
    hands.settle()
    assert "“77 mL” is not written: Thursday 14 August is closed" in office.trouble
    assert "“78 mL” is not written" in office.trouble
    assert "“77 mL”" in hands.foot


def test_what_needs_its_result_at_once_is_refused_and_not_done_later(
    hands: Hands, desk: Desk, gate: Gate
) -> None:
    from app.actions.people.customers import add_customer

    begin_close(hands, gate)
    office = hands.shell.office
    assert office.act_now(lambda: add_customer(desk, name="Ada Quillfeather")) is None
    assert "being written in the background" in hands.foot
    gate.go.set()
    hands.settle()
    assert office.act_now(lambda: add_customer(desk, name="Ada Quillfeather")) is not None


def test_an_undo_asked_for_meanwhile_takes_back_what_was_asked_for_before_it(
    hands: Hands, desk: Desk, shop: SmallShop, gate: Gate
) -> None:
    begin_close(hands, gate)
    press(Key.Key_Z, CONTROL)
    press(Key.Key_Z, CONTROL)
    gate.go.set()
    hands.settle()
    assert day_view(desk, TODAY).state == "open"
    assert "undone" in hands.foot or "nothing to undo" in hands.foot
    assert desk.book.check() == []


def test_the_window_closes_only_when_what_is_written_and_what_was_typed_are_in_the_book(
    hands: Hands, desk: Desk, shop: SmallShop, gate: Gate, qtbot: QtBot
) -> None:
    from app.actions.day.jobs_worked import set_hours

    job = shop.jobs["0412"]
    begin_close(hands, gate)
    office = hands.shell.office
    office.typed(lambda: set_hours(desk, TOMORROW, job, "2h"), "2h")
    assert not hands.shell.close()
    assert "Closing after closing the day" in hands.foot
    assert hands.shell.isVisible()
    gate.go.set()
    qtbot.waitUntil(lambda: not hands.shell.isVisible())
    assert day_view(desk, TODAY).state == "closed"
    assert minutes_of(desk, TOMORROW, job) == 120


def test_asked_twice_to_leave_a_close_is_stopped_with_nothing_half_done(
    hands: Hands, desk: Desk, shop: SmallShop, gate: Gate, qtbot: QtBot
) -> None:
    begin_close(hands, gate)
    assert not hands.shell.close()
    assert not hands.shell.close()
    gate.go.set()
    qtbot.waitUntil(lambda: not hands.shell.isVisible())
    assert day_view(desk, TODAY).state == "open"
    assert desk.book.check() == []


@pytest.fixture
def due(desk: Desk, shop: SmallShop) -> None:
    wax_the_coupe(desk, shop)


def test_one_ctrl_z_takes_back_a_whole_close_its_reminders_too_and_says_what_was_countered(
    due: None, hands: Hands, desk: Desk
) -> None:
    before = desk.book.next_undo()
    hands.open(6)
    hands.press(Key.Key_Return, CONTROL)
    with desk.book.reading() as session:
        assert session.query(Reminder).count() == 1
    hands.press(Key.Key_Z, CONTROL)
    with desk.book.reading() as session:
        assert session.query(Reminder).count() == 0
    assert not hands.sheet.is_closed
    assert desk.book.next_undo() == before
    assert "taken back by counter-entries" in hands.foot


def test_a_day_whose_close_broke_off_before_its_backup_offers_to_make_it(
    hands: Hands, desk: Desk
) -> None:
    hands.open(6)
    hands.press(Key.Key_Return, CONTROL)
    newest = desk.book.newest_backup()
    assert newest is not None
    newest.unlink()
    hands.press(Key.Key_Left, CONTROL)
    hands.press(Key.Key_T, CONTROL)
    button = hands.sheet.station().row.button
    assert button.ready
    hands.press(Key.Key_Return, CONTROL)
    assert "what was missing is written" in hands.foot
    assert desk.book.newest_backup() is not None
    assert not hands.sheet.station().row.button.ready


def test_while_a_day_is_closed_the_stations_of_another_show_what_stands_on_that_one(
    hands: Hands, desk: Desk, shop: SmallShop, gate: Gate
) -> None:
    hands.open(1)
    hands.open(2)
    begin_close(hands, gate)
    press(Key.Key_Right, CONTROL)
    press(Key.Key_2, Qt.KeyboardModifier.AltModifier)
    supplies = hands.sheet.station("supplies").table
    shown = [
        column.key for column in supplies.entries.columns if str(column.key).startswith("job ")
    ]
    assert shown == [f"job {shop.jobs['0412']}"]
    # From today's, by way of tomorrow's, to yesterday, where no job stands.
    press(Key.Key_Left, CONTROL)
    press(Key.Key_Left, CONTROL)
    press(Key.Key_2, Qt.KeyboardModifier.AltModifier)
    shown = [
        column.key for column in supplies.entries.columns if str(column.key).startswith("job ")
    ]
    assert shown == []
    gate.go.set()
    hands.settle()


def test_a_close_that_is_stopped_leaves_a_sheet_that_goes_on_reading(
    hands: Hands, desk: Desk, shop: SmallShop, gate: Gate
) -> None:
    job = shop.jobs["0412"]
    begin_close(hands, gate)
    press(Key.Key_Right, CONTROL)
    hands.shell.office.runner.stop()  # the person clicks Stop in the foot
    gate.go.set()
    hands.settle()
    assert day_view(desk, TODAY).state == "open"
    hands.open(1)
    hands.sheet.station("jobs").table.setFocus()
    hands.sheet.station("jobs").table.go(job, "hours")
    hands.type("3:15")
    hands.press(Key.Key_Return)
    assert "3 h 15 min" in hands.sheet.strip.entries[0].result


def test_how_far_a_close_is_and_its_stop_stay_in_the_foot_whatever_else_is_said(
    hands: Hands, desk: Desk, shop: SmallShop, gate: Gate
) -> None:
    begin_close(hands, gate)
    hands.qtbot.waitUntil(lambda: "Working out what is booked, 10 %" in hands.foot)
    press(Key.Key_Return, CONTROL)  # once too often
    assert "is being closed" in hands.foot
    assert "Working out what is booked, 10 % Stop" in hands.foot
    press(Key.Key_Right, CONTROL)
    hands.shell.office.say("Light")
    assert hands.foot == "Working out what is booked, 10 % Stop Light"
    gate.go.set()
    hands.settle()
    assert hands.foot.startswith("Day closed")
    assert "Stop" not in hands.foot


def test_an_undo_of_what_is_then_refused_takes_back_nothing_else(
    hands: Hands, desk: Desk, shop: SmallShop, gate: Gate
) -> None:
    begin_close(hands, gate)
    office = hands.shell.office
    job, soap = shop.jobs["0411"], shop.supplies["soap"]
    office.typed(lambda: set_use(desk, TODAY, job, soap, "77 mL"), "77 mL")
    press(Key.Key_Z, CONTROL)  # the 77 mL, before it is known that they are not taken
    gate.go.set()
    hands.settle()
    assert day_view(desk, TODAY).state == "closed"
    assert "“77 mL” is not written" in hands.foot
    assert "Day closed, backup in" in hands.foot  # that is said as well
    hands.press(Key.Key_Z, CONTROL)
    assert day_view(desk, TODAY).state == "open"


def test_what_an_undo_in_the_queue_took_back_is_said_beside_what_was_refused(
    hands: Hands, desk: Desk, shop: SmallShop, gate: Gate
) -> None:
    begin_close(hands, gate)
    office = hands.shell.office
    job, soap = shop.jobs["0411"], shop.supplies["soap"]
    office.typed(lambda: set_use(desk, TODAY, job, soap, "77 mL"), "77 mL")
    press(Key.Key_Z, CONTROL)
    press(Key.Key_Z, CONTROL)  # and the close
    gate.go.set()
    hands.settle()
    assert day_view(desk, TODAY).state == "open"
    assert "“77 mL” is not written" in hands.foot
    assert "undone" in hands.foot


def test_what_a_close_came_to_is_said_also_where_the_type_was_made_larger_meanwhile(
    hands: Hands, desk: Desk, gate: Gate
) -> None:
    begin_close(hands, gate)
    press(Key.Key_Plus, CONTROL)
    gate.go.set()
    hands.settle()
    assert hands.sheet.is_closed
    assert "Day closed, backup in" in hands.foot
