"""The Jobs place by keyboard: the list, a card, and booking a job."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.job_card import job_card
from app.actions.jobs.job_changes import add_charge
from app.actions.jobs.jobs import list_jobs
from app.actions.people.customers import add_customer, customer_page
from app.actions.people.tidying import archive_vehicle
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.jobs.owed_bodies import HeadBody
from app.window.jobs.place import JobsPlace
from app.window.paper.cells import TableRow
from tests.shop import TODAY, SmallShop
from tests.window.keys import press, type_words

Key = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier
ALT = Qt.KeyboardModifier.AltModifier


@pytest.fixture
def shell(office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget]) -> Shell:
    made = Shell(office, [PlaceEntry("jobs", "Jobs", "jobs", JobsPlace)])
    shown(made, 1366, 768)
    made.open("jobs")
    return made


@pytest.fixture
def place(shell: Shell) -> JobsPlace:
    here = shell.here
    assert isinstance(here, JobsPlace)
    return here


def rows_of(place: JobsPlace) -> list[str]:
    return [row.cells[1].text for row in place.listing.part.table.rows if isinstance(row, TableRow)]


def test_the_list_opens_at_what_is_in_work(place: JobsPlace) -> None:
    assert place.listing.open_key == "work"
    assert sorted(rows_of(place)) == ["Jonas Quell", "Mara Tolk"]
    assert place.listing.part.table.hasFocus()


def test_a_first_opening_reads_the_list_once_and_counts_its_parts_once(
    office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget]
) -> None:
    shell, begun = Shell(office, [PlaceEntry("jobs", "Jobs", "jobs", JobsPlace)]), []
    office.runner.began.connect(lambda task: begun.append(task.name))
    place = shell.place("jobs")
    assert isinstance(place, JobsPlace)
    heads: list[object] = []
    place.listing.shown.connect(heads.append)
    shown(shell, 1366, 768)
    shell.open("jobs")
    assert len(heads) == 1
    assert begun.count("Counting jobs") == 1
    assert sorted(rows_of(place)) == ["Jonas Quell", "Mara Tolk"]


def test_the_other_parts_say_how_many_they_hold(place: JobsPlace, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: place.listing.entries[6].result == "2 jobs")
    assert place.listing.entries[5].result == "Nobody owes anything"
    assert place.listing.entries[3].result == "Nobody waits for an answer"


def test_letters_narrow_the_list_and_esc_widens_it(place: JobsPlace) -> None:
    type_words("quell")
    press(Key.Key_Return)
    assert rows_of(place) == ["Jonas Quell"]
    assert place.listing.part.table.hasFocus()
    press(Key.Key_Escape)
    assert len(rows_of(place)) == 2


def test_words_that_nothing_holds_teach(place: JobsPlace) -> None:
    type_words("zzz")
    press(Key.Key_Return)
    assert rows_of(place) == []
    page = place.listing.part.table.findChild(QWidget, "empty page")
    assert page is not None
    assert "No such job" in page.accessibleName()


def test_alt_and_a_number_open_another_part(place: JobsPlace, qtbot: QtBot) -> None:
    press(Key.Key_7, ALT)
    assert place.listing.open_key == "all"
    qtbot.waitUntil(lambda: len(rows_of(place)) == 2)
    press(Key.Key_Down)
    line = place.listing.part.table.current_key()
    press(Key.Key_Return)
    press(Key.Key_Escape)
    qtbot.waitUntil(lambda: place.listing.part.table.current_key() == line)


def test_enter_opens_the_card_and_esc_goes_back_to_the_line(place: JobsPlace) -> None:
    press(Key.Key_Down)
    line = place.listing.part.table.current_key()
    press(Key.Key_Return)
    assert place.body is place.card
    assert place.title.startswith("Job ")
    press(Key.Key_Escape)
    assert place.body is place.listing
    assert place.listing.part.table.current_key() == line


def test_space_ticks_a_step_and_undo_takes_it_back(place: JobsPlace, desk: Desk) -> None:
    press(Key.Key_Return)
    card = place.card.card
    assert card is not None
    press(Key.Key_Space)
    assert job_card(desk, card.job.job_id).steps[0].state == "done"
    press(Key.Key_Z, CTRL)
    assert job_card(desk, card.job.job_id).steps[0].state == "to do"


def test_words_typed_at_a_step_say_why_it_was_not_done(place: JobsPlace, desk: Desk) -> None:
    press(Key.Key_Return)
    card = place.card.card
    assert card is not None
    type_words("paint too soft")
    press(Key.Key_Return)
    step = job_card(desk, card.job.job_id).steps[0]
    assert (step.state, step.because) == ("not done", "paint too soft")


def test_the_whole_plan_is_ticked_by_the_action(place: JobsPlace, desk: Desk) -> None:
    press(Key.Key_Return)
    press(Key.Key_Return, CTRL)
    card = place.card.card
    assert card is not None
    assert {step.state for step in job_card(desk, card.job.job_id).steps} == {"done"}


def test_a_charge_a_discount_and_money_are_typed(place: JobsPlace, desk: Desk) -> None:
    number = book_job(desk, NewJob(customer_id=list_customer(desk)))[1]
    add_charge(desk, number, "Correction", "200")
    place.open_item(number)
    place.card.open("money")
    press(Key.Key_Insert)
    type_words("Odor 60")
    press(Key.Key_Return)
    assert job_card(desk, number).money.sums.net == 26000
    table = place.card.body("money").table  # type: ignore[attr-defined]
    table.setFocus()
    table.go("discount", "amount")
    type_words("10 %")
    press(Key.Key_Return)
    assert job_card(desk, number).money.sums.net == 23400
    table.go("take", "amount")
    type_words("100 check")
    press(Key.Key_Return)
    assert job_card(desk, number).money.paid == 10000
    press(Key.Key_Return, CTRL)  # take the rest: asks in which way it was paid
    type_words("card")
    press(Key.Key_Return)
    money = job_card(desk, number).money
    assert money.sums.due == 0
    assert [one.method for one in money.receipts] == ["card"]


def test_an_amount_that_cannot_be_read_keeps_the_focus(place: JobsPlace, desk: Desk) -> None:
    number = book_job(desk, NewJob(customer_id=list_customer(desk)))[1]
    add_charge(desk, number, "Correction", "200")
    place.open_item(number)
    place.card.open("money")
    table = place.card.body("money").table  # type: ignore[attr-defined]
    table.setFocus()
    table.go(table.rows[0].key, "amount")
    type_words("6o")
    press(Key.Key_Return)
    assert table.writing is not None
    assert job_card(desk, number).money.sums.net == 20000
    press(Key.Key_Escape)
    assert table.writing is None


def test_a_charge_is_taken_out_by_key(place: JobsPlace, desk: Desk) -> None:
    number = book_job(desk, NewJob(customer_id=list_customer(desk)))[1]
    add_charge(desk, number, "Correction", "200")
    place.open_item(number)
    place.card.open("money")
    press(Key.Key_Delete, CTRL)
    assert job_card(desk, number).money.charges == ()


def test_notes_and_days_are_saved_when_they_are_left(place: JobsPlace, desk: Desk) -> None:
    number = book_job(desk, NewJob(customer_id=list_customer(desk)))[1]
    place.open_item(number)
    place.card.open("notes")
    body = place.card.body("notes")
    assert isinstance(body, HeadBody)
    type_words("key on hook 7")
    body.form.focus("first_day")
    type_words("Mon")
    press(Key.Key_Tab)
    after = job_card(desk, number)
    assert after.job.notes == "key on hook 7"
    assert after.job.first_day == TODAY + timedelta(days=4)


def test_a_day_that_cannot_be_read_is_marked_and_changes_nothing(
    place: JobsPlace, desk: Desk
) -> None:
    number = book_job(desk, NewJob(customer_id=list_customer(desk)))[1]
    place.open_item(number)
    place.card.open("notes")
    body = place.card.body("notes")
    assert isinstance(body, HeadBody)
    body.form.focus("first_day")
    type_words("soonish")
    press(Key.Key_Tab)
    assert "no day" in place.office.trouble
    assert job_card(desk, number).job.first_day is None


def test_no_key_does_anything_while_a_field_cannot_be_read(place: JobsPlace, desk: Desk) -> None:
    number = book_job(desk, NewJob(customer_id=list_customer(desk)))[1]
    place.open_item(number)
    place.card.open("notes")
    body = place.card.body("notes")
    assert isinstance(body, HeadBody)
    body.form.focus("first_day")
    type_words("soonish")
    press(Key.Key_F6)
    assert job_card(desk, number).job.state == "booked"
    assert "no day" in place.office.trouble
    for _ in "soonish":
        press(Key.Key_Backspace)
    press(Key.Key_F6)
    assert job_card(desk, number).job.state == "cancelled"


def test_a_job_is_booked_by_keyboard_alone(place: JobsPlace, desk: Desk) -> None:
    press(Key.Key_Insert)
    type_words("mara")
    press(Key.Key_Return)  # two vehicles: choose one
    assert place.new.open_key == "vehicle"
    press(Key.Key_Return)
    assert place.new.open_key == "sold"
    press(Key.Key_Space)
    press(Key.Key_4, ALT)
    type_words("+4")
    press(Key.Key_Return, CTRL)
    assert place.body is place.card
    booked = list_jobs(desk, "booked").rows
    assert [row.customer for row in booked] == ["Mara Tolk"]
    card = job_card(desk, booked[0].job_id)
    assert card.job.first_day == TODAY + timedelta(days=4)
    assert card.services
    assert card.steps
    press(Key.Key_Z, CTRL)
    assert list_jobs(desk, "booked").rows == ()
    assert place.body is place.listing


def test_somebody_new_with_a_new_vehicle_is_booked_on_the_same_page(
    place: JobsPlace, desk: Desk
) -> None:
    press(Key.Key_Insert)
    type_words("ilse varga")
    press(Key.Key_Insert)
    assert place.new.open_key == "vehicle"
    type_words("green van")
    press(Key.Key_Return)
    QApplication.processEvents()
    assert place.new.open_key == "sold"
    press(Key.Key_Return, CTRL)
    row = list_jobs(desk, "booked").rows[0]
    assert (row.customer, row.vehicle) == ("Ilse Varga", "green van")


def test_esc_leaves_a_booking_and_nothing_stands_in_the_book(place: JobsPlace, desk: Desk) -> None:
    press(Key.Key_Insert)
    type_words("mara")
    press(Key.Key_Return)
    press(Key.Key_Escape)
    assert place.body is place.listing
    assert len(list_jobs(desk, "all").rows) == 2


def test_an_archived_vehicle_is_not_offered_for_a_new_job(
    place: JobsPlace, desk: Desk, shop: SmallShop
) -> None:
    page = customer_page(desk, shop.customers["tolk"])
    gone, kept = (car.vehicle_id for car in page.vehicles)
    archive_vehicle(desk, gone)
    place.new.office.changed.emit(frozenset({"vehicles"}))
    press(Key.Key_Insert)
    type_words("mara")
    press(Key.Key_Return)  # one vehicle is left, and taken
    assert place.new.open_key == "sold"
    assert place.new.draft.vehicle is not None
    assert place.new.draft.vehicle[0] == kept


def test_esc_asks_once_before_it_throws_away_what_was_sold_or_typed(
    place: JobsPlace, desk: Desk
) -> None:
    press(Key.Key_Insert)
    type_words("mara")
    press(Key.Key_Return)
    press(Key.Key_Return)
    press(Key.Key_4, ALT)
    type_words("+4")
    press(Key.Key_Escape)
    assert place.body is place.new
    assert place.office.trouble == "Esc once more leaves the new job without booking it."
    press(Key.Key_Escape)
    assert place.body is place.listing
    assert len(list_jobs(desk, "all").rows) == 2


def test_a_price_typed_after_a_charges_words_is_its_own_and_no_discount(
    place: JobsPlace, desk: Desk
) -> None:
    number = book_job(desk, NewJob(customer_id=list_customer(desk)))[1]
    add_charge(desk, number, "Correction", "200")
    place.open_item(number)
    place.card.open("money")
    press(Key.Key_Insert)
    type_words("Wax top-up")
    press(Key.Key_Return)
    type_words("20")
    press(Key.Key_Return)
    assert [(c.text, c.amount) for c in job_card(desk, number).money.charges] == [
        ("Correction", 20000),
        ("Wax top-up", 2000),
    ]


def test_a_booking_for_nobody_is_refused_with_a_sentence(place: JobsPlace, desk: Desk) -> None:
    press(Key.Key_Insert)
    press(Key.Key_Return, CTRL)
    assert "who it is for" in place.office.trouble
    assert len(list_jobs(desk, "all").rows) == 2


def test_the_margin_says_low_likely_and_not_above(place: JobsPlace) -> None:
    press(Key.Key_Insert)
    place.new._choose_who(list_customer(place.office.desk))
    place.new.open("sold")
    press(Key.Key_Space)
    note = place.new.note()
    said = repr(note.blocks)
    assert "Hours, low" in said
    assert "not above" in said


@pytest.mark.parametrize("count", [0, 500])
def test_a_list_of_any_length_is_shown(
    office: Office, desk: Desk, count: int, shown: Callable[[QWidget, int, int], QWidget]
) -> None:
    name = "Wilhelmina Featherstonehaugh-Brackenbury"
    if count:
        customer = add_customer(desk, name=name)[1]
        with desk.book.load() as session:
            from app.records.models import Job

            session.add_all(
                Job(number=number, customer_id=customer, first_day=TODAY)
                for number in range(1, count + 1)
            )
    shell = Shell(office, [PlaceEntry("jobs", "Jobs", "jobs", JobsPlace)])
    shown(shell, 1100, 700)
    shell.open("jobs")
    place = shell.here
    assert isinstance(place, JobsPlace)
    assert len(place.listing.part.table.rows) == count
    if count:
        press(Key.Key_End, CTRL)
        assert rows_of(place)[0] == name


def test_a_long_part_shows_a_screenful_at_once_and_then_all(
    place: JobsPlace, desk: Desk, qtbot: QtBot
) -> None:
    from app.records.models import Job

    with desk.book.load() as session:
        session.add_all(
            Job(number=number, customer_id=1, state="done", done_on=TODAY, first_day=TODAY)
            for number in range(1000, 1600)
        )
    press(Key.Key_5, ALT)
    assert len(rows_of(place)) == 40
    qtbot.waitUntil(lambda: len(rows_of(place)) == 500)
    assert place.listing.entries[4].result == "600 jobs"


def list_customer(desk: Desk) -> int:
    from app.actions.people.customers import list_customers

    return list_customers(desk, "quell")[0][0].id


def test_a_booking_that_is_left_says_that_it_was_not_booked(place: JobsPlace) -> None:
    press(Key.Key_Insert)
    press(Key.Key_Return)
    press(Key.Key_Escape)
    assert place.foot_left.text() == "The new job was left without booking it."
