"""The day's close, done by the keys that a person presses."""

from __future__ import annotations

import threading
from datetime import date, timedelta

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.day.closing import close_day
from app.actions.day.day import STATIONS, day_view
from app.actions.day.money_taken import money_taken
from app.actions.day.supplies_used import supplies_used
from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.layers.protection_state import protection
from app.actions.letters import choosing
from app.records.contents import contents
from app.records.stock import balances
from app.window.day.place import DayPlace
from app.window.house.office import Office
from app.window.house.place import STILL, PlaceEntry
from app.window.house.shell import Shell
from app.window.jobs.place import JobsPlace
from app.window.paper.cells import Cell, State
from tests.shop import TODAY, SmallShop
from tests.window.day.conftest import ALT, CONTROL, Hands, Show

Key = Qt.Key


def stock(desk: Desk) -> dict[int, int]:
    with desk.book.reading() as session:
        return {supply: quantity for supply, (quantity, _value) in balances(session).items()}


def states(hands: Hands) -> list[str]:
    return [entry.state for entry in hands.sheet.strip.entries]


def test_a_day_of_two_jobs_is_closed_by_keyboard_alone_with_five_typed_entries(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    before = stock(desk)
    assert hands.sheet.open_key == "jobs"
    hands.press(Key.Key_Down)  # from the button into the table
    hands.press(Key.Key_Up)
    hands.type("1:40")
    hands.press(Key.Key_Return)
    hands.press(Key.Key_Return, CONTROL)
    assert hands.sheet.open_key == "supplies"
    hands.press(Key.Key_Down)
    hands.press(Key.Key_Up)
    hands.type("50")
    hands.press(Key.Key_Return)
    hands.type("150ml")
    hands.press(Key.Key_Return)
    hands.press(Key.Key_Return, CONTROL)
    assert hands.sheet.open_key == "money"
    hands.press(Key.Key_Down)
    hands.press(Key.Key_Up)
    hands.type("96.53 cash")
    hands.press(Key.Key_Return)
    for _ in range(4):
        hands.press(Key.Key_Return, CONTROL)
    assert hands.typed <= 5
    assert hands.sheet.is_closed
    assert "Day closed" in hands.foot
    assert day_view(desk, TODAY).state == "closed"
    fell = {supply: before[supply] - left for supply, left in stock(desk).items()}
    used = supplies_used(desk, TODAY)
    assert fell == {row.supply_id: row.today for row in used.rows} | {
        supply: 0 for supply in before if supply not in {row.supply_id for row in used.rows}
    }
    soap = next(row for row in used.rows if row.supply_id == shop.supplies["soap"])
    assert soap.cells[0].amount == 50_000
    paid = next(r for r in money_taken(desk, TODAY).rows if r.job.job_id == shop.jobs["0411"])
    assert (paid.taken, paid.method) == (9653, "cash")
    backups = list((desk.book.path.parent / "backups").iterdir())
    assert len(backups) == 1


def test_enter_and_nothing_but_enter_closes_a_day_as_filled_in(hands: Hands, desk: Desk) -> None:
    pressed = 0
    while not hands.sheet.is_closed and pressed < 10:
        hands.press(Key.Key_Return)
        pressed += 1
    assert hands.sheet.is_closed
    # Each row of the table that has the focus when the day opens, then each station.
    assert pressed == 3 + len(STATIONS)
    assert states(hands) == ["done"] * 6


def test_ctrl_enter_and_nothing_else_closes_a_day_in_one_press_a_station(hands: Hands) -> None:
    for _station in STATIONS:
        hands.press(Key.Key_Return, CONTROL)
    assert hands.sheet.is_closed


def test_when_the_day_opens_the_table_has_the_focus_and_a_number_goes_into_it(
    hands: Hands, shop: SmallShop
) -> None:
    assert hands.sheet.station().table.hasFocus()
    hands.type("2:30")
    hands.press(Key.Key_Return)
    assert hands.cell(hands.sheet.station().table.rows[0].key, "hours").text == "2 h 30 min"


def test_a_key_held_down_does_not_walk_through_the_day(hands: Hands) -> None:
    from PySide6.QtCore import QEvent
    from PySide6.QtGui import QKeyEvent

    button = hands.sheet.station().row.button
    button.setFocus()
    held = QKeyEvent(QEvent.Type.KeyPress, Key.Key_Return, Qt.KeyboardModifier.NoModifier, "", True)
    QApplication.sendEvent(button, held)
    hands.settle()
    assert hands.sheet.open_key == "jobs"


def test_alt_3_from_a_cell_that_cannot_be_read_says_that_esc_leads_out(hands: Hands) -> None:
    hands.press(Key.Key_Down)
    hands.press(Key.Key_Up)
    hands.type("1x")
    hands.press(Key.Key_3, ALT)
    assert hands.sheet.open_key == "jobs"
    assert hands.foot.endswith("Esc leaves the cell as it was.")
    hands.press(Key.Key_Escape)
    hands.press(Key.Key_3, ALT)
    assert hands.sheet.open_key == "money"


def test_while_a_station_still_loads_nothing_is_said_to_be_missing_and_nothing_confirmed(
    hands: Hands, desk: Desk
) -> None:
    focused = QApplication.focusWidget()
    QTest.keyClick(focused, Key.Key_2, ALT)
    station = hands.sheet.station()
    assert station.key == "supplies"
    empty = station.table.findChild(QWidget, "empty page")
    assert empty is None or not empty.isVisible()
    QTest.keyClick(QApplication.focusWidget(), Key.Key_Return, CONTROL)
    assert hands.sheet.open_key == "supplies"
    assert hands.foot == STILL
    assert day_view(desk, TODAY).stations[1].state != "done"
    hands.settle()
    assert hands.foot != STILL
    hands.press(Key.Key_Return, CONTROL)
    assert day_view(desk, TODAY).stations[1].state == "done"


def test_what_changed_on_another_page_is_read_before_it_is_confirmed(
    office: Office, shown: Show, qtbot: QtBot, desk: Desk
) -> None:
    shell = Shell(
        office,
        [
            PlaceEntry("day", "Day sheet", "day", DayPlace),
            PlaceEntry("jobs", "Jobs", "jobs", JobsPlace),
        ],
    )
    shown(shell, 1366, 768)
    shell.open("day")
    hands = Hands(shell, qtbot)
    hands.settle()
    before = len(hands.sheet.station().table.rows)
    hands.press(Key.Key_2, CONTROL)
    office.act_now(lambda: book_job(desk, NewJob(customer_id=1, first_day=TODAY)))
    QTest.keyClick(QApplication.focusWidget(), Key.Key_1, CONTROL)
    QTest.keyClick(QApplication.focusWidget(), Key.Key_Return, CONTROL)
    assert hands.foot == STILL
    assert day_view(desk, TODAY).stations[0].state != "done"
    hands.settle()
    assert len(hands.sheet.station().table.rows) == before + 1
    hands.press(Key.Key_Return, CONTROL)
    assert day_view(desk, TODAY).stations[0].state == "done"


def test_a_station_shows_no_other_days_numbers_while_its_own_are_read(hands: Hands) -> None:
    hands.open(2)
    assert hands.sheet.station().table.rows
    hands.open(1)
    hands.shell.go_to_day(TODAY - timedelta(days=30))
    hands.settle()
    QTest.keyClick(QApplication.focusWidget(), Key.Key_2, ALT)
    assert hands.sheet.station().table.rows == ()
    hands.settle()
    empty = hands.sheet.station().table.findChild(QWidget, "empty page")
    assert empty is not None
    assert empty.isVisible()


def test_money_above_the_due_is_asked_about_at_the_till_and_a_tip_is_typed(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    hands.open(3)
    hands.sheet.station().table.go(shop.jobs["0411"], "taken")
    hands.type("106.53")
    hands.press(Key.Key_Return)
    assert "10.00 more than the 96.53 due" in hands.foot
    assert hands.sheet.station().table.writing is not None
    row = next(r for r in money_taken(desk, TODAY).rows if r.job.job_id == shop.jobs["0411"])
    assert (row.state, row.sums.due) == ("expected", 9653)
    hands.type(" tip 10")
    hands.press(Key.Key_Return)
    cell = hands.cell(shop.jobs["0411"], "taken")
    assert isinstance(cell, Cell)
    assert cell.text == "96.53 + tip 10.00"
    hands.press(Key.Key_M)
    cell = hands.cell(shop.jobs["0411"], "taken")
    assert isinstance(cell, Cell)
    assert cell.text == "96.53 + tip 10.00", "another way of paying leaves the tip"


def test_closing_at_once_books_what_nobody_confirmed_and_marks_it_so(
    hands: Hands, desk: Desk
) -> None:
    hands.open(6)
    lines = [row.cells[0].text for row in hands.sheet.station().table.rows if hasattr(row, "cells")]
    assert any("from recipe, unconfirmed" in line for line in lines)
    hands.press(Key.Key_Return, CONTROL)
    assert hands.sheet.is_closed


def test_a_closed_day_is_not_written_in_until_it_is_opened_again_with_a_reason(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    hands.open(6)
    hands.press(Key.Key_Return, CONTROL)
    hands.open(2)
    column = f"job {shop.jobs['0411']}"
    cell = hands.cell(shop.supplies["soap"], column)
    assert isinstance(cell, Cell)
    assert cell.state is State.CLOSED
    assert not cell.editable
    hands.press(Key.Key_Return, CONTROL)
    assert "closed" in hands.foot
    hands.open(6)
    hands.press(Key.Key_F4)
    assert "why the day is opened again" in hands.foot
    assert hands.sheet.is_closed
    hands.type("wrong supply on 0411")
    hands.press(Key.Key_F4)
    assert not hands.sheet.is_closed
    hands.press(Key.Key_Return, CONTROL)
    assert hands.sheet.is_closed


def test_ctrl_z_takes_a_closed_day_back_and_says_what_it_took_back(
    hands: Hands, desk: Desk
) -> None:
    before = stock(desk)
    hands.open(6)
    hands.press(Key.Key_Return, CONTROL)
    assert stock(desk) != before
    hands.press(Key.Key_Z, CONTROL)
    assert not hands.sheet.is_closed
    assert "undone" in hands.foot
    assert stock(desk) == before


def test_stations_open_by_number_by_arrow_and_by_mouse(hands: Hands) -> None:
    hands.open(3)
    assert hands.sheet.open_key == "money"
    hands.press(Key.Key_Down, Qt.KeyboardModifier.AltModifier)
    assert hands.sheet.open_key == "orders"
    strip = hands.sheet.strip
    QTest.mouseClick(strip, Qt.MouseButton.LeftButton, pos=QPoint(300, 12))
    hands.settle()
    assert hands.sheet.open_key == "jobs"


def test_each_station_says_what_it_holds_while_it_is_folded(hands: Hands) -> None:
    results = {entry.key: entry.result for entry in hands.sheet.strip.entries}
    assert results["jobs"].startswith("2 jobs")
    assert results["supplies"]
    assert "expected" in results["money"]
    assert results["orders"]
    assert results["reminders"]


def test_the_day_before_has_its_own_sheet_and_its_date_stands_in_the_head(hands: Hands) -> None:
    hands.press(Key.Key_Left, CONTROL)
    assert hands.shell.office.day == TODAY - timedelta(days=1)
    assert hands.sheet.open_key == "jobs"
    assert hands.sheet.station().table.rows == ()
    hands.press(Key.Key_T, CONTROL)
    assert hands.shell.office.day == TODAY
    assert len(hands.sheet.station().table.rows) >= 2


def test_a_day_that_has_not_come_cannot_be_closed_and_says_why(hands: Hands, desk: Desk) -> None:
    hands.shell.go_to_day(date(2025, 8, 15))
    hands.settle()
    hands.open(6)
    button = hands.sheet.station().row.button
    assert not button.ready
    hands.press(Key.Key_Return, CONTROL)
    assert "has not come yet" in hands.foot
    assert day_view(desk, date(2025, 8, 15)).state == "open"


def test_the_sheet_fits_a_narrow_window_and_a_large_one(hands: Hands) -> None:
    for width, height in ((1366, 700), (1100, 700), (900, 580), (1920, 1080)):
        hands.shell.resize(width, height)
        for number in range(1, 7):
            hands.open(number)
            station = hands.sheet.station()
            assert station.geometry().right() <= hands.sheet.text_right()
            strip = hands.sheet.strip
            assert station.geometry().bottom() <= strip.height()
            assert not hands.shell.grab().isNull()


def test_a_day_that_the_book_speaks_against_is_asked_about_before_it_is_written_on(
    hands: Hands, desk: Desk
) -> None:
    close_day(desk, TODAY)
    hands.shell.go_to_day(date(2019, 3, 5))
    hands.settle()
    asked = "1 closed day, 14 August 2025, lies later than 5 March 2019; press Ctrl M if this day"
    assert asked in hands.foot
    before = contents(desk.book)
    hands.press(Key.Key_Return, CONTROL)
    assert contents(desk.book) == before
    assert asked in hands.foot
    hands.press(Key.Key_M, CONTROL)
    assert "is meant; it can be written on" in hands.foot
    hands.press(Key.Key_Return, CONTROL)
    assert contents(desk.book) != before


def test_going_to_a_closed_day_looks_through_no_layers_in_the_windows_thread(
    hands: Hands, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    close_day(desk, TODAY - timedelta(days=1))
    threads: list[int] = []

    def watched(of_desk: Desk, day: date) -> object:
        threads.append(threading.get_ident())
        return protection(of_desk, day)

    monkeypatch.setattr(choosing, "protection", watched)
    hands.shell.go_to_day(TODAY - timedelta(days=1))
    assert hands.sheet.open_key == "close"
    hands.settle()
    assert hands.sheet.station().shown
    assert threads
    assert threading.get_ident() not in threads
