"""What is done with the chosen jobs of the list, by keys."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Desk
from app.actions.desk.undoing import undo
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.enquiries import note_enquiry
from app.actions.jobs.job_card import job_card
from app.actions.jobs.job_changes import add_charge
from app.actions.jobs.jobs import list_jobs
from app.records.models import Job
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.jobs.place import JobsPlace
from app.window.paper.finder import Finder
from tests.shop import TODAY, SmallShop
from tests.window.keys import found, press, type_words

Key = Qt.Key
CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def place(
    office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget]
) -> JobsPlace:
    made = Shell(office, [PlaceEntry("jobs", "Jobs", "jobs", JobsPlace)])
    shown(made, 1366, 768)
    made.open("jobs")
    assert isinstance(made.here, JobsPlace)
    return made.here


def owing(desk: Desk, shop: SmallShop, *days: int) -> list[int]:
    """Jobs that were done so many days ago, of 100.00 each before tax."""
    jobs = []
    for ago in days:
        job = book_job(desk, NewJob(customer_id=shop.customers["quell"], title="Wash"))[1]
        add_charge(desk, job, "Wash", "100", 0)
        with desk.book.load() as session:
            row = session.get_one(Job, job)
            row.state, row.done_on = "done", TODAY - timedelta(days=ago)
        jobs.append(job)
    return jobs


def due(desk: Desk, job: int) -> int:
    return job_card(desk, job).money.sums.due


def test_payment_is_proposed_and_taken_only_when_it_is_confirmed(
    place: JobsPlace, desk: Desk, shop: SmallShop
) -> None:
    (job,) = owing(desk, shop, 40)
    press(Key.Key_6, ALT)
    press(Key.Key_Return, CTRL)
    assert place.body is place.card
    table = place.card.body("money").table  # type: ignore[attr-defined]
    assert table.writing is not None
    assert table.writing.text() == "100.00"
    press(Key.Key_Tab)  # looked at, and left: nothing came
    assert table.writing is None
    assert due(desk, job) == 10_000
    press(Key.Key_Escape)
    press(Key.Key_Return, CTRL)
    press(Key.Key_Return)
    assert due(desk, job) == 0
    press(Key.Key_Escape)
    assert list_jobs(desk, "owed").rows == ()
    assert place.body is place.listing


def test_another_sum_is_typed_over_the_proposed_one(
    place: JobsPlace, desk: Desk, shop: SmallShop
) -> None:
    (job,) = owing(desk, shop, 10)
    press(Key.Key_6, ALT)
    press(Key.Key_Return, CTRL)
    type_words("60 card")
    press(Key.Key_Return)
    assert due(desk, job) == 4_000
    assert job_card(desk, job).money.receipts[-1].method == "card"


def test_several_are_paid_in_one_way_and_the_ages_are_drawn(
    place: JobsPlace, desk: Desk, shop: SmallShop, qtbot: QtBot
) -> None:
    jobs = owing(desk, shop, 95, 70, 3)
    press(Key.Key_6, ALT)
    drawing = place.listing.part.drawing
    assert drawing is not None
    assert drawing.isVisible()
    said = drawing.accessibleName()
    assert "0–30 days: 100.00, 1 job" in said
    assert "31–60 days: 0.00, 0 jobs" in said
    assert "over 90 days: 100.00, 1 job" in said
    assert place.listing.entries[5].subtitle == "200.00 is older than 60 days."
    table = place.listing.part.table
    place.window().resize(860, 768)  # what is due stays in sight
    seen = [one.key for at, one in enumerate(table.entries.columns) if not table.isColumnHidden(at)]
    assert {"customer", "number", "days", "money"} <= set(seen)
    assert "word" not in seen
    wide = sum(table.columnWidth(at) for at in range(len(table.entries.columns)))
    assert wide <= table.viewport().width()  # a hidden one has no width
    place.window().resize(1366, 768)
    press(Key.Key_Down, SHIFT)
    assert "2 jobs, owed 200.00" in place.listing.part.row.total.text()
    press(Key.Key_Return, CTRL)
    type_words("check")
    found("check", qtbot)
    press(Key.Key_Return)
    assert [due(desk, job) for job in jobs] == [0, 0, 10_000]
    undo(desk)
    assert [due(desk, job) for job in jobs] == [10_000, 10_000, 10_000], "one deed, one Ctrl Z"


def test_an_enquiry_is_noted_by_key_and_booked_by_another(
    place: JobsPlace, desk: Desk, shop: SmallShop, qtbot: QtBot
) -> None:
    press(Key.Key_F7)
    type_words("ilse varga 312 555 0177")
    qtbot.waitUntil(lambda: "(312) 555-0177" in repr(place.enquiry.note().blocks))
    press(Key.Key_Return)
    type_words("a coating")
    press(Key.Key_Return)
    type_words("before winter")
    press(Key.Key_Return)
    assert place.listing.open_key == "enquiries"
    (row,) = list_jobs(desk, "enquiries").rows
    assert (row.customer, row.services, row.when_text) == (
        "Ilse Varga", "a coating", "before winter",
    )  # fmt: skip
    assert place.listing.part.table.current_key() == row.job_id
    press(Key.Key_Return, CTRL)  # on the booking page, with what was said filled in
    assert job_card(desk, row.job_id).job.state == "enquiry"
    assert place.new.open_key == "vehicle"
    assert "before winter" in repr(place.new.note().blocks)
    type_words("2014 blue wagon, 7KLM 204")
    press(Key.Key_Return)
    qtbot.waitUntil(lambda: place.new.open_key == "sold")
    press(Key.Key_Space)
    press(Key.Key_Down, ALT)
    type_words("+4")
    press(Key.Key_Return, CTRL)
    job = job_card(desk, row.job_id).job
    assert (job.state, job.vehicle, job.title) == ("booked", "blue wagon", "a coating")
    assert job.first_day == TODAY + timedelta(days=4)
    press(Key.Key_Return, CTRL)  # once too often: nothing of a later day is finished by it
    assert place.office.trouble.startswith("It is booked for")


def test_a_booking_that_is_begun_outlives_another_text_size(
    place: JobsPlace, desk: Desk, shop: SmallShop, qtbot: QtBot
) -> None:
    shell = place.window()
    assert isinstance(shell, Shell)
    press(Key.Key_Insert)
    type_words("quell")
    press(Key.Key_Return)
    place.new.open("when", still=True)
    type_words("+4")
    place.new.days.more.notes.setText("keys in the box")
    press(Key.Key_Plus, CTRL)
    again = shell.here
    assert isinstance(again, JobsPlace)
    assert again is not place
    assert again.new.draft.customer is not None
    assert again.new.open_key == "when"
    lines = again.new.form.first, again.new.days.more.notes
    assert [line.text() for line in lines] == ["+4", "keys in the box"]


def test_what_came_to_nothing_is_said_and_kept_in_the_list(
    place: JobsPlace, desk: Desk, shop: SmallShop, qtbot: QtBot
) -> None:
    jobs = [note_enquiry(desk, name)[1] for name in ("Mara Tolk", "Jonas Quell", "Ida Mott")]
    press(Key.Key_4, ALT)
    press(Key.Key_Down, SHIFT)
    press(Key.Key_F6)
    type_words("wanted it in a week")
    found("wanted it in a week", qtbot)
    press(Key.Key_Return)
    rows = list_jobs(desk, "enquiries").rows
    assert [(one.job_id, one.because) for one in rows] == [
        (jobs[2], ""),
        (jobs[1], "wanted it in a week"),
        (jobs[0], "wanted it in a week"),
    ]
    shown = [row.key for row in place.listing.part.table.rows]
    assert shown == [jobs[2], "ended", jobs[1], jobs[0]]


def test_several_bookings_are_moved_to_a_day_that_says_what_it_holds(
    place: JobsPlace, desk: Desk, shop: SmallShop, qtbot: QtBot
) -> None:
    monday = TODAY + timedelta(days=4)
    for ahead in (1, 5):
        new = NewJob(
            vehicle_id=shop.vehicles["wagon"], first_day=TODAY + timedelta(days=ahead), minutes=300,
            title="Wash",
        )  # fmt: skip
        book_job(desk, new)
    press(Key.Key_3, ALT)
    press(Key.Key_Down, SHIFT)
    press(Key.Key_F5)
    type_words("mon")
    found("monday 18 august", qtbot)
    assert "0 min of 8 h booked" in place.findChild(Finder).lines[0].detail  # type: ignore[union-attr]
    press(Key.Key_Return)
    assert {row.day for row in list_jobs(desk, "booked").rows} == {monday}
    assert place.office.question.startswith("Monday then holds 10 h of 8 h: Wash on the grey")


def test_esc_asks_once_before_an_enquiry_is_thrown_away(
    place: JobsPlace, desk: Desk, shop: SmallShop
) -> None:
    press(Key.Key_F7)
    type_words("ilse")
    press(Key.Key_Escape)
    assert place.body is place.enquiry
    press(Key.Key_Escape)
    assert place.body is place.listing
    assert list_jobs(desk, "enquiries").rows == ()
