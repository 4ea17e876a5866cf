"""Reminders: one to a household, prepared once, sent by a person, and what an answer does.

That a carnauba topper lasts one to three months is common practice, no source.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime, timedelta
from email import message_from_bytes
from email.policy import default
from pathlib import Path
from threading import Barrier

import pytest
import vobject
from sqlalchemy import event
from sqlalchemy.orm import Session

from app.actions.day.closing import close_day
from app.actions.desk.desk import Desk
from app.actions.layers.judging import judge
from app.actions.letters import reminder_files, reminders, renewing
from app.actions.letters.reminders import add_all
from app.actions.people import customers
from app.errors import Mendable
from app.records.models import (
    Customer,
    Job,
    LayerEvent,
    OwnerLink,
    Reminder,
    Supply,
    Vehicle,
)
from app.records.queries import settings as setting_queries
from tests.shop import TODAY, Clock, SmallShop, new_desk
from tests.worn_layers import fill_with_layers


def moment(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, 17, tzinfo=UTC)


def put_on(desk: Desk, vehicle: int, supply: int, day: date, group: str = "upper sides") -> None:
    with desk.book.load() as session:
        session.add(
            LayerEvent(
                vehicle_id=vehicle,
                day=day,
                at=moment(day),
                kind="applied",
                surface_group=group,
                supply_id=supply,
            )
        )


@pytest.fixture
def waxed(desk: Desk, shop: SmallShop) -> Desk:
    """Both of Mara Tolk's vehicles were waxed ten weeks ago; nobody is booked or was here since."""
    with desk.book.load() as session:
        session.get_one(Supply, shop.supplies["wax"]).protection = "carnauba wax"
        tolk = session.get_one(Customer, shop.customers["tolk"])
        tolk.street, tolk.city = "7 High Street", "Lindmoor"
        for job in shop.jobs.values():
            session.get_one(Job, job).state = "cancelled"
        setting_queries.write(
            session, {"shop_email": "shop@lindmoor.example", "shop_address": "2 Mill Lane"}
        )
    desk.reload()
    for vehicle in ("wagon", "coupe"):
        put_on(desk, shop.vehicles[vehicle], shop.supplies["wax"], TODAY - timedelta(days=70))
    return desk


def states(desk: Desk) -> list[str]:
    with desk.book.reading() as session:
        return [one.state for one in session.query(Reminder).order_by(Reminder.id)]


def test_a_household_gets_one_message_about_all_its_vehicles(waxed: Desk) -> None:
    letters = reminders.whom_to_remind(waxed, TODAY).letters
    assert [letter.name for letter in letters] == ["Mara Tolk"]
    assert set(letters[0].vehicles) == {"grey wagon", "red coupe"}
    assert "grey wagon" in letters[0].text
    assert "red coupe" in letters[0].text
    assert letters[0].channel == "mail"


def test_preparing_twice_writes_once_and_sending_twice_sends_once(waxed: Desk) -> None:
    reminders.prepare_all(waxed, TODAY)
    reminders.prepare_all(waxed, TODAY)
    assert states(waxed) == ["prepared"]
    prepared = reminders.whom_to_remind(waxed, TODAY).letters
    assert [letter.prepared_id for letter in prepared] == [1]
    reminders.mark_sent(waxed, TODAY, [1])
    assert "already" in reminders.mark_sent(waxed, TODAY, [1]).sentence
    assert states(waxed) == ["sent"]
    assert reminders.whom_to_remind(waxed, TODAY).letters == ()


def test_whoever_was_just_written_to_is_left_in_peace_and_it_says_why(waxed: Desk) -> None:
    _, (number,) = reminders.prepare_all(waxed, TODAY)
    reminders.mark_sent(waxed, TODAY, [number])
    found = reminders.whom_to_remind(waxed, TODAY + timedelta(days=10))
    assert found.letters == ()
    assert "written to" in found.suppressed[0].why


@pytest.mark.parametrize("silence", ["stop", "deceased", "sold", "no consent", "no address"])
def test_silence_is_kept_and_its_reason_shown(waxed: Desk, shop: SmallShop, silence: str) -> None:
    tolk = shop.customers["tolk"]
    if silence == "stop":
        customers.stop(waxed, tolk, TODAY)
    elif silence == "deceased":
        customers.deceased(waxed, tolk)
    elif silence == "no consent":
        customers.edit_customer(waxed, tolk, may_remind=False)
    elif silence == "no address":
        customers.edit_customer(waxed, tolk, email="", street="", phone="")
    else:
        with waxed.book.change("Sold") as session:
            for link in session.query(OwnerLink).filter_by(customer_id=tolk):
                link.to_day = TODAY
    found = reminders.whom_to_remind(waxed, TODAY)
    assert found.letters == ()
    if silence != "sold":  # then nobody holds the vehicles: there is nobody not to contact
        assert found.suppressed[0].name == "Mara Tolk"
        assert found.suppressed[0].why.endswith(".")


def test_the_words_are_the_persons_own_until_it_is_sent(waxed: Desk) -> None:
    _, (number,) = reminders.prepare_all(waxed, TODAY)
    reminders.change_text(waxed, TODAY, number, subject="Your cars", text="Come by on Monday.")
    assert reminders.whom_to_remind(waxed, TODAY).letters[0].text == "Come by on Monday."
    reminders.mark_sent(waxed, TODAY, [number])
    with pytest.raises(Mendable, match="already sent"):
        reminders.change_text(waxed, TODAY, number, subject="x", text="y")


@pytest.mark.parametrize(
    ("word", "field", "value"),
    [
        ("stop", "stopped_on", TODAY),
        ("undeliverable", "email_bad_since", TODAY),
        ("later", "later_until", date(2026, 3, 1)),
    ],
)
def test_an_answer_is_noted_with_what_follows_from_it_and_can_be_undone(
    waxed: Desk, shop: SmallShop, word: str, field: str, value: date
) -> None:
    _, (number,) = reminders.prepare_all(waxed, TODAY)
    reminders.mark_sent(waxed, TODAY, [number])
    reminders.answer(waxed, TODAY, number, word, later_until=date(2026, 3, 1))
    with waxed.book.reading() as session:
        tolk = session.get_one(Customer, shop.customers["tolk"])
        assert getattr(tolk, field) == value
    assert states(waxed) == ["answered"]
    waxed.book.undo(today=TODAY)
    with waxed.book.reading() as session:
        tolk = session.get_one(Customer, shop.customers["tolk"])
        assert getattr(tolk, field) is None
    assert states(waxed) == ["sent"]


def test_a_second_answer_says_that_the_first_one_still_stands(waxed: Desk) -> None:
    _, (number,) = reminders.prepare_all(waxed, TODAY)
    reminders.mark_sent(waxed, TODAY, [number])
    assert reminders.answer(waxed, TODAY, number, "fine").sentence == ""
    assert reminders.answer(waxed, TODAY, number, "sold").sentence == ""
    assert "sold, still stands" in reminders.answer(waxed, TODAY, number, "booked").sentence


def test_later_is_a_day_to_come(waxed: Desk) -> None:
    _, (number,) = reminders.prepare_all(waxed, TODAY)
    reminders.mark_sent(waxed, TODAY, [number])
    with pytest.raises(Mendable, match="not to come any more"):
        reminders.answer(waxed, TODAY, number, "later", later_until=TODAY)


def test_later_needs_its_day(waxed: Desk) -> None:
    _, (number,) = reminders.prepare_all(waxed, TODAY)
    with pytest.raises(Mendable, match="needs the day"):
        reminders.answer(waxed, TODAY, number, "later")


def test_what_was_seen_moves_the_due_span(waxed: Desk, shop: SmallShop) -> None:
    before = renewing.renewals(waxed, TODAY).rows[0]
    assert before.state == "due"
    judge(waxed, TODAY, before.layer.vehicle_id, before.groups[0], after="holding")
    after = next(r for r in renewing.renewals(waxed, TODAY).rows if r.key == before.key)
    assert after.due.due_from > before.due.due_from
    assert after.checks == (TODAY,)
    assert after.due.still == pytest.approx(1.0)
    with pytest.raises(Mendable, match="no judgement"):
        judge(waxed, TODAY, before.layer.vehicle_id, before.groups[0], after="shiny")


def test_the_curve_never_rises_but_where_it_was_seen(waxed: Desk) -> None:
    row = renewing.renewals(waxed, TODAY).rows[0]
    chances = [chance for _, chance in row.curve]
    assert chances == sorted(chances, reverse=True)
    assert row.curve[0][0] >= row.layer.applied_on


def test_drafts_hold_the_text_the_mail_and_the_day_to_look_for_an_answer(
    waxed: Desk, tmp_path: Path
) -> None:
    _, ids = reminders.prepare_all(waxed, TODAY)
    files = reminder_files.draft_files(waxed, TODAY, ids, tmp_path / "out").files
    by_ending = {file.suffix: file for file in files}
    assert set(by_ending) == {".txt", ".eml", ".ics"}
    mail = message_from_bytes(by_ending[".eml"].read_bytes(), policy=default)
    assert mail["To"].addresses[0].addr_spec == "mara.tolk@lindmoor.example"
    assert "red coupe" in mail.get_content()
    event = vobject.readOne(by_ending[".ics"].read_text()).vevent
    assert event.dtstart.value > TODAY
    again = reminder_files.draft_files(waxed, TODAY, ids, tmp_path / "out").files
    assert sorted(again) == sorted(files), "written twice, the same files stand"


def test_a_letter_on_paper_needs_no_mail_address(
    waxed: Desk, shop: SmallShop, qapp: object
) -> None:
    customers.edit_customer(waxed, shop.customers["tolk"], asks_by="letter")
    _, ids = reminders.prepare_all(waxed, TODAY)
    out = Path(waxed.book.path).parent / "out"
    files = reminder_files.draft_files(waxed, TODAY, ids, out).files
    assert "letters.pdf" in {file.name for file in files}


def test_a_household_whose_last_mail_may_have_gone_gets_no_second_one(waxed: Desk) -> None:
    _, (number,) = reminders.prepare_all(waxed, TODAY)
    with waxed.book.change("Sending a reminder", undoable=False) as session:
        session.get_one(Reminder, number).state = "uncertain"
    view = reminders.whom_to_remind(waxed, TODAY)
    assert view.letters == ()
    assert [one.name for one in view.unsure] == ["Mara Tolk"]


def test_those_by_phone_are_a_list_of_calls_with_its_caution_once(
    waxed: Desk, shop: SmallShop, tmp_path: Path, qapp: object
) -> None:
    customers.edit_customer(waxed, shop.customers["tolk"], asks_by="phone")
    _, ids = reminders.prepare_all(waxed, TODAY)
    files = reminder_files.draft_files(waxed, TODAY, ids, tmp_path / "out").files
    names = {file.name for file in files}
    assert {"calls.txt", "calls.pdf"} <= names
    text = (tmp_path / "out" / "calls.txt").read_text(encoding="utf-8")
    assert "Mara Tolk, (312) 555-0142" in text
    assert "grey wagon" in text
    assert text.count("between 8 in the morning and 9 at night") == 1


def test_a_letter_asked_for_twice_from_the_same_page_is_written_once(waxed: Desk) -> None:
    """Two quick keys: the page that both were pressed on was read before either."""
    (page,) = reminders.whom_to_remind(waxed, TODAY).letters
    _, first = reminders.prepare(waxed, TODAY, page)
    changed, second = reminders.prepare(waxed, TODAY, page)
    assert (second, changed.name) == (first, "")
    assert states(waxed) == ["prepared"]


def test_words_typed_into_a_letter_that_was_written_meanwhile_are_kept(waxed: Desk) -> None:
    (page,) = reminders.whom_to_remind(waxed, TODAY).letters
    reminders.prepare_all(waxed, TODAY)
    reminders.prepare(waxed, TODAY, page, text="Come by on Monday.")
    (letter,) = reminders.whom_to_remind(waxed, TODAY).letters
    assert letter.text == "Come by on Monday."
    assert states(waxed) == ["prepared"]


@pytest.mark.parametrize("other", ["page", "all", "close"])
def test_two_threads_write_one_letter_to_one_household(waxed: Desk, other: str) -> None:
    (page,) = reminders.whom_to_remind(waxed, TODAY).letters
    both = Barrier(2)

    def write(how: str) -> None:
        both.wait()
        if how == "page":
            reminders.prepare(waxed, TODAY, page)
        elif how == "all":
            reminders.prepare_all(waxed, TODAY)
        else:
            close_day(waxed, TODAY)

    with ThreadPoolExecutor(2) as threads:
        list(threads.map(write, ("page", other)))
    assert states(waxed) == ["prepared"]


def test_a_letter_on_an_old_page_is_not_written_to_whoever_said_stop_since(
    waxed: Desk, shop: SmallShop
) -> None:
    (page,) = reminders.whom_to_remind(waxed, TODAY).letters
    customers.stop(waxed, shop.customers["tolk"], TODAY)
    with pytest.raises(
        Mendable, match=r"Mara Tolk is not to be contacted now\. Asked on 14 August 2025"
    ):
        reminders.prepare(waxed, TODAY, page)
    assert states(waxed) == []


@pytest.mark.parametrize(
    "words", ["tolk", "TOLK", " Tolk ", "T o l k"], ids=["alike", "case", "spaces", "between"]
)
def test_households_are_alike_without_regard_to_case_and_spaces(
    waxed: Desk, shop: SmallShop, words: str
) -> None:
    quell, tolk = shop.customers["quell"], shop.customers["tolk"]
    customers.edit_customer(waxed, quell, household=words, email="quell@lindmoor.example")
    put_on(waxed, shop.vehicles["sedan"], shop.supplies["wax"], TODAY - timedelta(days=70))
    (letter,) = reminders.whom_to_remind(waxed, TODAY).letters
    assert set(letter.vehicles) == {"grey wagon", "red coupe", "blue sedan"}
    assert letter.customer_id in (quell, tolk)


def test_people_without_a_household_are_no_household_together(waxed: Desk, shop: SmallShop) -> None:
    for key in ("tolk", "quell"):
        customers.edit_customer(waxed, shop.customers[key], household=" ")
    customers.edit_customer(waxed, shop.customers["quell"], email="quell@lindmoor.example")
    put_on(waxed, shop.vehicles["sedan"], shop.supplies["wax"], TODAY - timedelta(days=70))
    assert len(reminders.whom_to_remind(waxed, TODAY).letters) == 2


def test_not_now_is_kept_apart_from_what_a_customer_asked_for(waxed: Desk, shop: SmallShop) -> None:
    tolk = shop.customers["tolk"]
    reminders.prepare_all(waxed, TODAY)
    reminders.not_now(waxed, TODAY, tolk)
    until = TODAY + timedelta(weeks=4)
    with waxed.book.reading() as session:
        row = session.get_one(Customer, tolk)
        assert (row.not_before, row.later_until) == (until, None)
    assert states(waxed) == ["dropped"]
    before = reminders.whom_to_remind(waxed, until - timedelta(days=1))
    assert before.letters == ()
    assert "You said not now" in before.suppressed[0].why
    (letter,) = reminders.whom_to_remind(waxed, until).letters
    assert "Asked to be written to" not in letter.reason
    with waxed.book.load() as session:
        session.get_one(Job, shop.jobs["0412"]).state = "done"
        session.get_one(Job, shop.jobs["0412"]).done_on = until - timedelta(days=3)
    waxed = Desk(waxed.book, waxed.clock)
    assert reminders.whom_to_remind(waxed, until).letters == (), "was here: manners hold"


def test_a_promise_survives_the_end_of_its_layer(waxed: Desk, shop: SmallShop) -> None:
    tolk = shop.customers["tolk"]
    customers.edit_customer(waxed, tolk, later_until=TODAY + timedelta(days=30))
    for vehicle in ("wagon", "coupe"):
        with waxed.book.change("Stripped") as session:
            session.add(
                LayerEvent(
                    vehicle_id=shop.vehicles[vehicle],
                    day=TODAY,
                    at=moment(TODAY),
                    kind="stripped",
                    surface_group="upper sides",
                )
            )
    assert reminders.whom_to_remind(waxed, TODAY + timedelta(days=29)).letters == ()
    later = TODAY + timedelta(days=30)
    (letter,) = reminders.whom_to_remind(waxed, later).letters
    assert letter.reason == "Asked to be written to from 13 September 2025."
    assert letter.subject == "Time for a look at your vehicle"
    assert "You asked us to get in touch again about now." in letter.text
    assert "{" not in letter.text
    _, (number,) = reminders.prepare_all(waxed, later)
    assert "Reminded Mara Tolk" in reminders.mark_sent(waxed, later, [number]).name
    assert reminders.whom_to_remind(waxed, later + timedelta(days=60)).letters == ()


def test_a_promise_ends_when_they_hold_no_vehicle_any_more(waxed: Desk, shop: SmallShop) -> None:
    tolk = shop.customers["tolk"]
    customers.edit_customer(waxed, tolk, later_until=TODAY)
    with waxed.book.change("Sold") as session:
        for link in session.query(OwnerLink).filter_by(customer_id=tolk):
            link.to_day = TODAY
    assert reminders.whom_to_remind(waxed, TODAY).letters == ()


def test_a_reason_is_never_cut_and_says_nothing_of_how_it_was_reckoned(
    waxed: Desk, shop: SmallShop, tmp_path: Path, qapp: object
) -> None:
    customers.edit_customer(waxed, shop.customers["tolk"], asks_by="phone")
    titles = {"wagon": "w" * 190, "coupe": "c" * 190}
    with waxed.book.change("Long names") as session:
        for key, title in titles.items():
            session.get_one(Vehicle, shop.vehicles[key]).description = title
    _, ids = reminders.prepare_all(waxed, TODAY)
    with waxed.book.reading() as session:
        reason = session.get_one(Reminder, ids[0]).reason
    assert len(reason) > 380
    assert reason.endswith(".")
    files = reminder_files.draft_files(waxed, TODAY, ids, tmp_path / "out").files
    calls = next(file for file in files if file.name == "calls.txt").read_text(encoding="utf-8")
    event = vobject.readOne((tmp_path / "out" / "reminders.ics").read_text()).vevent
    for told in (calls, event.description.value):
        assert reason in told
        for word in ("exposure", "as likely", "chance", "survival", " %"):
            assert word not in told


def test_letters_carry_the_shops_telephone_and_mail(waxed: Desk, tmp_path: Path) -> None:
    with waxed.book.load() as session:
        setting_queries.write(session, {"shop_phone": "(312) 555-0100"})
    waxed.reload()
    _, ids = reminders.prepare_all(waxed, TODAY)
    for file in reminder_files.draft_files(waxed, TODAY, ids, tmp_path / "out").files:
        if file.suffix in (".txt", ".eml"):
            assert "(312) 555-0100, shop@lindmoor.example" in file.read_text()


def test_many_reminders_are_written_in_as_many_flushes_as_few(tmp_path: Path) -> None:
    flushes: dict[int, int] = {}
    for layers in (60, 180):
        with new_desk(tmp_path / f"{layers}.bayledger", Clock(TODAY)).book as book:
            fill_with_layers(book, layers, TODAY)
            counted: list[object] = []

            def watch(session: Session, *_: object, counted: list[object] = counted) -> None:
                counted.append(session)

            with book.change("letters", day=TODAY) as session:
                event.listen(session, "before_flush", watch)
                written = add_all(session, Desk(book, Clock(TODAY)), TODAY)
            flushes[len(written)] = len(counted)
    assert len(flushes) == 2
    assert len(set(flushes.values())) == 1
