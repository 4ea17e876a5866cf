"""Reminders: one to a household, prepared once, sent by a person, and what an answer does.

That a carnauba topper lasts one to three months is common practice, no source.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from email import message_from_bytes
from email.policy import default
from pathlib import Path

import pytest
import vobject

from app.actions.desk.desk import Desk
from app.actions.layers.judging import judge
from app.actions.letters import reminder_files, reminders, renewing
from app.actions.people import customers
from app.errors import Mendable
from app.records.models import Customer, Job, LayerEvent, OwnerLink, Reminder, Supply
from app.records.queries import settings as setting_queries
from tests.shop import TODAY, SmallShop


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
    if silence != "sold":  # then nobody holds the vehicles: there is nobody to leave in peace
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
