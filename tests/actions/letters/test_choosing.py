"""Between prepared and gone the world moves: what must not go is taken off the list, and said.

Every kind of change is tried before every way in which a letter goes. The mail server is a real one
on this machine (aiosmtpd).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, event

from app.actions.day.closing import close_day
from app.actions.desk.desk import Desk
from app.actions.layers.judging import judge
from app.actions.letters import choosing
from app.actions.letters.choosing import TakenOff, off_words, take_off
from app.actions.letters.reminder_files import draft_files
from app.actions.letters.reminders import (
    change_text,
    mark_sent,
    prepare_all,
    whom_to_remind,
)
from app.actions.letters.sending import send
from app.actions.people import consents, customers, tidying, vehicles
from app.errors import Mendable
from app.records.book import Book
from app.records.models import (
    Consent,
    Customer,
    Hours,
    Job,
    LayerEvent,
    Reminder,
    ReminderEvent,
)
from app.records.queries import settings as setting_queries
from tests.mailserver import Box, serving
from tests.shop import Clock, new_desk
from tests.waxed import WAX, waxed

DAY = date(2025, 8, 14)
ADDRESS = {
    "street": "7 High Street", "city": "Lindmoor", "phone": "+13125550142", "may_remind": True,
}  # fmt: skip
GOES_BY = {"sent": "mail", "printed": "letter", "drafted": "mail", "called": "phone",
           "texted": "text", "marked": "mail"}  # fmt: skip


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A shop with two waxed vehicles, whose owners agreed to everything on every channel."""
    desk = new_desk(tmp_path / "shop.bayledger", Clock(), shop_email="shop@lindmoor.example")
    with desk.book.load() as session:
        for number in (1, 2):
            waxed(session, number, DAY, **ADDRESS)
            for channel in consents.CHANNELS:
                for purpose in consents.PURPOSES:
                    session.add(
                        Consent(customer_id=number, channel=channel, purpose=purpose, day=DAY)
                    )
    yield desk
    desk.book.close()


def write(desk: Desk, change: Callable[..., object]) -> None:
    with desk.book.change("Something happened") as session:
        change(session)


def withdrawn(desk: Desk, channel: str, purpose: str = "reminders") -> None:
    """Noted on the line alone, as a list that is brought in may say it: no stop stands beside."""
    write(
        desk,
        lambda session: setattr(
            session.query(Consent).filter_by(customer_id=1, channel=channel, purpose=purpose).one(),
            "withdrawn_on",
            DAY,
        ),
    )


def came_in(desk: Desk) -> None:
    def work(session: object) -> None:
        session.add(Job(id=1, number=1, customer_id=1, vehicle_id=1, state="working"))
        session.flush()
        session.add(Hours(job_id=1, day=DAY, minutes=60))

    write(desk, work)


def booked(desk: Desk) -> None:
    job = Job(
        number=1, customer_id=1, vehicle_id=1, state="booked", first_day=DAY + timedelta(days=9)
    )
    write(desk, lambda session: session.add(job))


def renewed(desk: Desk) -> None:
    event = LayerEvent(
        vehicle_id=1, day=DAY, at=datetime.combine(DAY, time(18), UTC), kind="stripped",
        surface_group="upper sides",
    )  # fmt: skip
    again = LayerEvent(
        vehicle_id=1, day=DAY, at=datetime.combine(DAY, time(19), UTC), kind="applied",
        surface_group="upper sides", supply_id=WAX,
    )  # fmt: skip
    write(desk, lambda session: session.add_all([event, again]))


def gone_bad(desk: Desk) -> None:
    """Everything that it could go to."""

    def bad(session: object) -> None:
        one = session.get_one(Customer, 1)
        one.email_bad_since = one.address_bad_since = DAY
        one.phone = ""

    write(desk, bad)


def no_channel(desk: Desk) -> None:
    """Their consent to reminders, and to reminders alone, is taken back channel by channel."""
    for channel in consents.CHANNELS:
        withdrawn(desk, channel)


def another_went(desk: Desk) -> None:
    """A letter to the same household, by hand, of the same day."""
    row = Reminder(
        customer_id=1, day=DAY, state="sent", sent_on=DAY, channel="letter", uid="by hand"
    )
    write(desk, lambda session: session.add(row))


def may_have_gone(desk: Desk) -> None:
    row = Reminder(customer_id=1, day=DAY, state="uncertain", channel="mail", uid="uncertain")
    write(desk, lambda session: session.add(row))


CHANGES = {
    "died": (lambda desk: customers.deceased(desk, 1), "has died"),
    "said stop": (lambda desk: customers.stop(desk, 1, DAY), "asked on 14 August 2025"),
    "archived": (lambda desk: tidying.archive_customer(desk, 1), "is archived, and kept"),
    "withdrew this channel": (no_channel, "no good address on a channel they agreed to"),
    "no reminders": (
        lambda desk: customers.edit_customer(desk, 1, may_remind=False),
        "has not agreed",
    ),
    "sold the vehicle": (lambda desk: vehicles.sold(desk, 1, DAY), "wagon is not theirs any more"),
    "sold it to a customer": (
        lambda desk: vehicles.sold(desk, 1, DAY, 2),
        "wagon is not theirs any more",
    ),
    "archived the vehicle": (
        lambda desk: tidying.archive_vehicle(desk, 1),
        "the blue wagon is archived",
    ),
    "came in": (came_in, "was here on 14 August 2025"),
    "booked": (booked, "is booked for 23 August 2025"),
    "had it renewed": (renewed, "the layer on the blue wagon was renewed or taken off"),
    "address went": (gone_bad, "no good address"),
    "judged holding": (
        lambda desk: judge(desk, DAY, 1, "upper sides", after="holding"),
        "was judged holding on 14 August 2025",
    ),
    "asked for later": (
        lambda desk: customers.edit_customer(desk, 1, later_until=DAY + timedelta(days=60)),
        "asked to be written to later",
    ),
    "stored": (
        lambda desk: vehicles.edit_vehicle(desk, 1, stored_until=DAY + timedelta(days=60)),
        "is stored until",
    ),
    "was written to": (another_went, "was written to on 14 August 2025"),
    "a mail may have gone": (may_have_gone, "may or may not have gone"),
}


def prepared(desk: Desk, way: str) -> tuple[int, int]:
    """The two letters, both to go in this way."""
    _, ids = prepare_all(desk, DAY)
    with desk.book.reading() as session:
        rows = {row.customer_id: row for row in session.query(Reminder)}
    for row in rows.values():
        change_text(desk, DAY, row.id, subject=row.subject, text=row.text, channel=GOES_BY[way])
    assert sorted(row.id for row in rows.values()) == sorted(ids)
    return rows[1].id, rows[2].id


def let_go(desk: Desk, way: str, ids: tuple[int, ...], out: Path) -> tuple[str, str]:
    """Let letters go in a way; what went (as one text) and what the person is told."""
    if way == "sent":
        box = Box()
        with serving(box) as server:
            values = {"mail_host": server.host, "mail_port": server.port, "mail_security": "none"}
            with desk.book.change("Set the mail server", kinds=["settings"]) as session:
                setting_queries.write(session, values)
            desk.reload()
            told = send(desk, DAY, ids).changed.sentence
        return b"\n".join(box.taken).decode(), told
    if way == "marked":
        told = mark_sent(desk, DAY, ids).sentence
        with desk.book.reading() as session:
            rows = [session.get_one(Reminder, number) for number in ids]
        went = [f"Owner {row.customer_id}" for row in rows if row.state == "sent"]
        return " ".join(went), told
    drafts = draft_files(desk, DAY, ids, out)
    texts = [path.read_text() for path in drafts.files if path.suffix in (".txt", ".eml", ".ics")]
    return "\n".join(texts), drafts.changed.sentence


def row_of(desk: Desk, number: int) -> Reminder:
    with desk.book.reading() as session:
        return session.get_one(Reminder, number)


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("way", GOES_BY)
@pytest.mark.parametrize("kind", CHANGES)
def test_what_changed_after_a_letter_was_prepared_keeps_it_from_going(
    desk: Desk, tmp_path: Path, kind: str, way: str
) -> None:
    first, second = prepared(desk, way)
    change, words = CHANGES[kind]
    change(desk)
    went, told = let_go(desk, way, (first, second), tmp_path / "out")
    assert "Owner 1" not in went
    assert "o1@example.org" not in went
    assert "Owner 2" in went, "the other household's letter goes"
    assert row_of(desk, first).state == "withheld"
    assert "The reminder to Owner 1 is taken off the list" in told
    assert words in told
    with desk.book.reading() as session:
        (event,) = session.query(ReminderEvent).filter_by(reminder_id=first, kind="withheld")
    assert words in event.note


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("way", GOES_BY)
def test_what_nothing_speaks_against_goes(desk: Desk, tmp_path: Path, way: str) -> None:
    went, told = let_go(desk, way, prepared(desk, way), tmp_path / "out")
    assert "Owner 2" in went
    assert "taken off" not in told
    assert {row_of(desk, number).state for number in (1, 2)} <= {"sent", "prepared"}


@pytest.mark.parametrize("channel", consents.CHANNELS)
def test_consent_taken_back_on_one_channel_leaves_the_others(desk: Desk, channel: str) -> None:
    withdrawn(desk, channel)
    (letter,) = (one for one in whom_to_remind(desk, DAY).letters if one.customer_id == 1)
    assert set(letter.channels) == set(consents.CHANNELS) - {channel}


def test_offers_taken_back_end_no_reminder_in_any_way(desk: Desk) -> None:
    for row in consents.consents_of(desk, 1):
        if row.purpose == "offers":
            consents.withdraw(desk, row.consent_id, DAY)
    (letter,) = (one for one in whom_to_remind(desk, DAY).letters if one.customer_id == 1)
    assert set(letter.channels) == set(consents.CHANNELS)


def test_texts_need_consent_to_reminders_and_that_to_offers_is_none(desk: Desk) -> None:
    withdrawn(desk, "text", "offers")
    first, second = prepared(desk, "texted")
    assert take_off(desk, DAY, (first, second)) == ()
    withdrawn(desk, "text")
    (off,) = take_off(desk, DAY, (first, second))
    assert (off.name, off.why) == ("Owner 1", "no good address on a channel they agreed to")


def test_a_letter_taken_off_the_list_is_put_back_by_undo_and_judged_again(desk: Desk) -> None:
    first, second = prepared(desk, "marked")
    customers.stop(desk, 1, DAY)
    assert [one.reminder_id for one in take_off(desk, DAY, (first, second))] == [first]
    with pytest.raises(Mendable, match="taken off the list"):
        change_text(desk, DAY, first, subject="x", text="y")
    assert desk.book.undo(today=DAY).name == "Took off the list what must not go any more"
    assert row_of(desk, first).state == "prepared"
    mark_sent(desk, DAY, [first])
    assert row_of(desk, first).state == "withheld"


def test_what_is_taken_off_is_told_in_one_sentence_however_much_it_is() -> None:
    off = [TakenOff(number, f"Owner {number}", "has died") for number in range(1, 6)]
    assert off_words([]) == ""
    assert off_words(off[:1]) == "The reminder to Owner 1 is taken off the list: has died."
    assert off_words(off) == (
        "5 reminders are taken off the list: Owner 1, has died; Owner 2, has died; "
        "Owner 3, has died; and 2 more."
    )


def test_a_household_left_in_peace_for_that_can_be_written_to_anew_later(desk: Desk) -> None:
    first, _ = prepared(desk, "marked")
    judge(desk, DAY, 1, "upper sides", after="holding")
    mark_sent(desk, DAY, [first])
    later = DAY + timedelta(days=80)
    letters = whom_to_remind(desk, later).letters
    assert {one.customer_id: one.prepared_id is None for one in letters}[1]


def test_the_close_takes_off_the_list_what_was_written_earlier_and_says_so(
    desk: Desk, tmp_path: Path
) -> None:
    first, second = prepared(desk, "drafted")
    customers.stop(desk, 1, DAY)
    closed = close_day(desk, DAY, out=tmp_path / "out")
    told = "The reminder to Owner 1 is taken off the list: asked on 14 August 2025"
    assert sum(line.startswith(told) for line in closed.lines) == 1
    assert closed.trouble == ()
    assert [path.name for path in closed.files if path.suffix == ".eml"] == [
        f"reminder {second:04d} Owner 2.eml"
    ]
    again = close_day(desk, DAY, out=tmp_path / "out")
    assert again.files == (), "nothing is missing that should stand there"
    assert row_of(desk, first).state == "withheld"


def test_of_two_letters_to_one_household_that_go_together_one_goes(
    desk: Desk, tmp_path: Path
) -> None:
    ids = prepared(desk, "drafted")
    for number in (1, 2):
        customers.edit_customer(desk, number, household="The Owners")
    drafts = draft_files(desk, DAY, ids, tmp_path / "out")
    assert len([path for path in drafts.files if path.suffix == ".eml"]) == 1
    assert "has another letter that waits to be sent" in drafts.changed.sentence
    assert sorted(row_of(desk, number).state for number in ids) == ["prepared", "withheld"]


def test_of_two_letters_to_one_household_the_second_does_not_go(desk: Desk) -> None:
    """Two people became one household after both had a letter."""
    ids = prepared(desk, "marked")
    for number, words in ((1, "The Owners"), (2, " the  OWNERS ")):
        customers.edit_customer(desk, number, household=words)
    mark_sent(desk, DAY, [ids[0]])
    told = mark_sent(desk, DAY, [ids[1]]).sentence
    assert "was written to on 14 August 2025" in told
    assert [row_of(desk, number).state for number in ids] == ["sent", "withheld"]


def test_a_letter_goes_by_the_address_of_the_moment(desk: Desk, tmp_path: Path) -> None:
    first, _ = prepared(desk, "sent")
    customers.edit_customer(desk, 1, email="new@example.org")
    went, _ = let_go(desk, "sent", (first,), tmp_path)
    assert "new@example.org" in went
    assert "o1@example.org" not in went


def test_the_state_is_kept_by_the_book_that_is_opened_again(desk: Desk, tmp_path: Path) -> None:
    first, _ = prepared(desk, "marked")
    customers.deceased(desk, 1)
    take_off(desk, DAY, [first])
    desk.book.close()
    with Book.open(tmp_path / "shop.bayledger") as book, book.reading() as session:
        assert session.get_one(Reminder, first).state == "withheld"


def test_nothing_goes_about_a_vehicle_that_was_layered_later_than_the_day(desk: Desk) -> None:
    """A clock put back, or a day turned back to, knows nothing of the layer put on since."""
    assert len(whom_to_remind(desk, DAY).letters) == 2
    prepare_all(desk, DAY)
    numbers = [one.prepared_id for one in whom_to_remind(desk, DAY).letters]
    later = DAY + timedelta(days=3)

    def put_on(session: Any) -> None:
        old = session.query(LayerEvent).filter_by(vehicle_id=1).first()
        session.add(
            LayerEvent(
                vehicle_id=1,
                day=later,
                at=datetime.combine(later, time(17), UTC),
                kind="applied",
                supply_id=old.supply_id,
                surface_group=old.surface_group,
            )
        )

    write(desk, put_on)
    mark_sent(desk, DAY, [one for one in numbers if one is not None])
    with desk.book.reading() as session:
        states = {one.customer_id: one.state for one in session.query(Reminder)}
    assert states == {1: "withheld", 2: "sent"}
    whys = [one.why for one in whom_to_remind(desk, DAY).suppressed]
    assert "A layer was put on later than this day." in whys


def test_what_bears_on_writing_is_kept_by_every_table_that_it_is_read_from(desk: Desk) -> None:
    asked: list[str] = []

    def listen(_connection: object, _cursor: object, statement: str, *_: object) -> None:
        asked.append(statement)

    event.listen(Engine, "before_cursor_execute", listen)
    choosing._facts_of_all(desk, DAY, frozenset({"oak"}))
    event.remove(Engine, "before_cursor_execute", listen)
    read = {table for one in asked for table in re.findall(r"(?:FROM|JOIN) (\w+)", one)}
    assert read == choosing._FACTS_FROM
