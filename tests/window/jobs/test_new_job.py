"""Booking a job: who and which vehicle typed in a line, and what each day holds."""

from __future__ import annotations

from collections.abc import Callable
from datetime import time, timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.job_card import job_card
from app.actions.jobs.jobs import list_jobs
from app.actions.people.customers import customer_page, list_customers
from app.actions.people.vehicles import vehicle_page
from app.calculations.bay.opening import instant_of
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.jobs.new_job import NewJobStrip
from app.window.jobs.place import JobsPlace
from tests.shop import TODAY, SmallShop
from tests.window.keys import press, type_words

Key = Qt.Key
CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
MONDAY = TODAY + timedelta(days=4)


@pytest.fixture
def new(
    office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget]
) -> NewJobStrip:
    shell = Shell(office, [PlaceEntry("jobs", "Jobs", "jobs", JobsPlace)])
    shown(shell, 1366, 768)
    shell.open("jobs")
    assert isinstance(shell.here, JobsPlace)
    press(Key.Key_Insert)
    return shell.here.new


def fill_monday(desk: Desk, shop: SmallShop, hours: int) -> None:
    book_job(
        desk,
        NewJob(vehicle_id=shop.vehicles["sedan"], first_day=MONDAY, last_day=MONDAY,
               minutes=60 * hours, title="Engine bay"),
    )  # fmt: skip


def test_name_telephone_and_vehicle_words_get_their_fields(new: NewJobStrip, desk: Desk) -> None:
    type_words("ilse varga 312 555 0177")
    assert "(312) 555-0177" in repr(new.note().blocks)
    press(Key.Key_Insert)
    (row,) = list_customers(desk, "Ilse Varga")[0]
    assert row.phone == "+13125550177"
    type_words("2019 Norvane Skiff, silver, GHT 4412")
    assert new.car is not None
    assert new.car.words.text() == (
        "read as year 2019 make Norvane model Skiff color silver plate GHT 4412"
    )
    press(Key.Key_Return)
    QApplication.processEvents()
    assert new.open_key == "sold"
    assert new.entries[1].result == "2019 Norvane Skiff, silver, plate GHT 4412"
    press(Key.Key_2, ALT)
    press(Key.Key_Tab)
    while not new.car.form.field("model").hasFocus():
        press(Key.Key_Tab)
    type_words("Skiff Wide")  # over what was read
    press(Key.Key_Tab)
    (car,) = customer_page(desk, row.id).vehicles
    assert vehicle_page(desk, car.vehicle_id).fields["model"] == "Skiff Wide"


def test_who_is_in_the_book_is_found_by_name_beside_a_new_number(new: NewJobStrip) -> None:
    type_words("mara tolk 312 555 0999")
    press(Key.Key_Return)
    assert new.draft.customer is not None
    assert new.draft.customer[1] == "Mara Tolk"


def test_a_day_that_then_holds_more_than_it_has_is_asked_about_once(
    new: NewJobStrip, desk: Desk, shop: SmallShop, qtbot: QtBot
) -> None:
    fill_monday(desk, shop, 7)
    type_words("quell")
    press(Key.Key_Return)  # one vehicle, taken
    press(Key.Key_Space)
    press(Key.Key_4, ALT)
    assert new.when is not None
    drawing = new.when.drawing
    qtbot.waitUntil(lambda: any(one.day == MONDAY and one.booked for one in drawing.shown))
    type_words("mon")
    press(Key.Key_Tab)
    monday = next(one for one in drawing.shown if one.day == MONDAY)
    assert monday.over
    assert new.guess is not None
    assert 2 * monday.added == new.guess.minutes  # ten hours go on on Tuesday
    assert "More than the day has" in repr(new.note().blocks)
    before = len(list_jobs(desk, "all").rows)
    press(Key.Key_Return, CTRL)
    question = new.office.question
    assert question.startswith("Monday then holds ")
    assert "Engine bay on the blue sedan and this one." in question
    assert len(list_jobs(desk, "all").rows) == before
    press(Key.Key_Return, CTRL)
    assert len(list_jobs(desk, "all").rows) == before + 1
    newest = list_jobs(desk, "all").rows[0]
    assert job_card(desk, newest.job_id).job.first_day == MONDAY


def test_arrows_take_the_next_working_day_and_a_spot_takes_its_own(
    new: NewJobStrip, desk: Desk, qtbot: QtBot
) -> None:
    press(Key.Key_4, ALT)
    assert new.when is not None
    drawing = new.when.drawing
    qtbot.waitUntil(lambda: len(drawing.shown) == 21)
    press(Key.Key_Down)
    assert new.form.read().first == TODAY
    press(Key.Key_Down)
    press(Key.Key_Down)
    assert new.form.read().first == MONDAY  # over Saturday and Sunday
    press(Key.Key_Up)
    assert new.form.read().first == TODAY + timedelta(days=1)
    drawing.setFocus()
    press(Key.Key_Right)
    press(Key.Key_Return)
    assert new.form.read().first == TODAY + timedelta(days=2)
    press(Key.Key_PageDown)
    qtbot.waitUntil(lambda: drawing.shown[0].day == TODAY + timedelta(days=7))


def test_a_coating_finds_its_begin_after_a_full_week_and_holds_the_bay_over_night(
    new: NewJobStrip, desk: Desk, shop: SmallShop, qtbot: QtBot
) -> None:
    for day in range(-3, 5):  # from Friday on, without the weekend
        first = MONDAY + timedelta(days=day)
        if first.weekday() < 5:
            engine = NewJob(
                vehicle_id=shop.vehicles["sedan"], minutes=480, title="Engine bay",
                begins_at=desk.instant(first, time(8)),
            )  # fmt: skip
            book_job(desk, engine)
    type_words("quell")
    press(Key.Key_Return)
    press(Key.Key_Space)  # the coating, first in the list
    press(Key.Key_4, ALT)
    assert new.when is not None
    form = new.form
    qtbot.waitUntil(lambda: bool(form.first.text()))
    begin = new.when.begin_taken
    assert begin is not None
    free = MONDAY + timedelta(days=7)
    assert desk.day_of(instant_of(begin.begin)) >= free, "that week is full"
    assert begin.nights >= 1
    assert not form.first.typed
    assert new.entries[3].result == form.first.text()
    press(Key.Key_Down)  # another day that fits
    assert new.when.begin_taken != begin
    press(Key.Key_Up)
    type_words("mon 10:00")
    press(Key.Key_Tab)
    assert form.first.typed
    qtbot.waitUntil(lambda: bool(new.when and new.when.begin_taken))
    qtbot.waitUntil(lambda: "Clash in the bay with" in repr(new.note().blocks))
    press(Key.Key_Return, CTRL)
    assert new.office.question.startswith("It clashes in the bay with")
    form.first.setFocus()
    press(Key.Key_Escape)  # what was found stands again
    qtbot.waitUntil(lambda: new.when is not None and new.when.begin_taken == begin)
    press(Key.Key_Return, CTRL)
    newest = job_card(desk, list_jobs(desk, "all").rows[0].job_id).job
    assert newest.begins_at == instant_of(begin.begin)
    assert newest.promised_at == instant_of(begin.promised)


def test_an_emptied_begin_books_without_a_day(new: NewJobStrip, desk: Desk, qtbot: QtBot) -> None:
    type_words("quell")
    press(Key.Key_Return)
    press(Key.Key_Space)
    press(Key.Key_4, ALT)
    qtbot.waitUntil(lambda: bool(new.form.first.text()))
    press(Key.Key_Delete)
    press(Key.Key_Return, CTRL)
    newest = job_card(desk, list_jobs(desk, "all").rows[0].job_id).job
    assert (newest.first_day, newest.begins_at) == (None, None)
