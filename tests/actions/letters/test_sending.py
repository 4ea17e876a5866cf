"""Reminders by mail: none sent twice, none lost, and the uncertain ones said to be so.

The server is a real one on this machine (aiosmtpd).
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from app.actions.day.closing import close_day
from app.actions.desk.desk import Desk
from app.actions.desk.undoing import undo
from app.actions.letters.reminders import change_text, mark_sent, not_now, whom_to_remind
from app.actions.letters.sending import interrupted, send, settle
from app.actions.people import customers
from app.documents.papers.post import MailOutcome, MailServer
from app.errors import Mendable, Refused
from app.records.book import Book
from app.records.models import Reminder, ReminderEvent, ReminderItem
from app.records.queries import settings as setting_queries
from tests import ROOT
from tests.mailserver import Box, serving
from tests.waxed import waxed

DAY = date(2026, 8, 14)
NOW = datetime(2026, 8, 14, 22, 30, tzinfo=UTC)


def found(path: Path, count: int = 3, channel: str = "mail") -> None:
    """A book with so many prepared reminders, numbered from 1, each about a waxed vehicle."""
    with Book.create(path) as book, book.load() as session:
        setting_queries.write(
            session, {"shop_name": "Clearwater Finish", "shop_email": "shop@example.org"}
        )
        for number in range(1, count + 1):
            waxed(session, number, DAY)
            session.add(
                Reminder(
                    id=number,
                    customer_id=number,
                    day=DAY,
                    channel=channel,
                    subject=f"Letter {number}",
                    text="Hello",
                    uid=f"reminder-{number}",
                )
            )
            session.flush()
            session.add(ReminderItem(reminder_id=number, vehicle_id=number, layer_event_id=number))


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    found(tmp_path / "shop.bayledger")
    with Book.open(tmp_path / "shop.bayledger") as book:
        yield Desk(book, clock=lambda: NOW)


def use_server(desk: Desk, server: MailServer) -> None:
    values = {"mail_host": server.host, "mail_port": server.port, "mail_security": "none"}
    with desk.book.change("Set the mail server", kinds=["settings"]) as session:
        setting_queries.write(session, values)
    desk.reload()


def states(desk: Desk) -> list[str]:
    with desk.book.reading() as session:
        return [session.get_one(Reminder, number).state for number in (1, 2, 3)]


def subjects(box: Box) -> list[str]:
    return sorted(
        line.decode().removeprefix("Subject: ").strip()
        for mail in box.taken
        for line in mail.splitlines()
        if line.startswith(b"Subject: ")
    )


def test_each_reminder_goes_once_however_often_send_is_pressed(desk: Desk) -> None:
    box = Box()
    with serving(box) as server:
        use_server(desk, server)
        first = send(desk, DAY, [1, 2, 3, 3])
        second = send(desk, DAY, [1, 2, 3])
    assert [result.outcome for result in first.results] == [MailOutcome.TAKEN] * 3
    assert second.results == ()
    assert subjects(box) == ["Letter 1", "Letter 2", "Letter 3"]
    assert states(desk) == ["sent"] * 3


@pytest.mark.parametrize("answer", ["550 no", "451 come back later"])
def test_what_the_server_does_not_take_stays_prepared_and_can_be_sent_later(
    desk: Desk, answer: str
) -> None:
    box = Box(answer)
    with serving(box) as server:
        use_server(desk, server)
        refused = send(desk, DAY, [1])
        box.answer = "250 OK"
        later = send(desk, DAY, [1])
    assert refused.results[0].outcome in (MailOutcome.REFUSED, MailOutcome.LATER)
    assert later.results[0].outcome is MailOutcome.TAKEN
    assert subjects(box) == ["Letter 1"]


def test_a_refused_address_is_not_tried_again_until_it_is_changed(desk: Desk) -> None:
    customers.edit_customer(desk, 1, phone="+13125550142")
    box = Box(rcpt="550 no such user")
    with serving(box) as server:
        use_server(desk, server)
        told = send(desk, DAY, [1]).changed.sentence
        assert "(550 no such user); the reminder waits to go by telephone instead." in told
        with pytest.raises(Mendable, match="goes by phone, not by mail"):
            send(desk, DAY, [1])
        (letter, *_) = whom_to_remind(desk, DAY).letters
        assert (letter.prepared_id, letter.channel, letter.channels) == (1, "phone", ("phone",))
        assert "“550 no such user”" in letter.bad_mail
        (said,) = customers.customer_page(desk, 1).bad_ways
        assert said.startswith("Since 14 August 2026: The mail server refuses their address")
        assert "“550 no such user”" in said
        customers.edit_customer(desk, 1, email="owner@example.org")
        assert customers.customer_page(desk, 1).bad_ways == ()
        assert whom_to_remind(desk, DAY).letters[0].bad_mail == ""
        change_text(desk, DAY, 1, channel="mail")
        box.rcpt = "250 OK"
        assert send(desk, DAY, [1]).results[0].outcome is MailOutcome.TAKEN


def test_a_refused_address_that_was_the_only_way_takes_the_reminder_off_the_list(
    desk: Desk,
) -> None:
    with serving(Box(rcpt="550 5.1.1 unknown")) as server:
        use_server(desk, server)
        told = send(desk, DAY, [1]).changed.sentence
    assert told.endswith("and there is no other way to reach them.")
    assert states(desk)[0] == "withheld"
    (peace,) = (one for one in whom_to_remind(desk, DAY).suppressed if one.name == "Owner 1")
    assert "the mail server refuses theirs (“550 5.1.1 unknown”)" in peace.why


def test_an_address_that_is_refused_stays_so_when_two_customers_are_put_together(
    desk: Desk,
) -> None:
    with serving(Box(rcpt="550 no such user")) as server:
        use_server(desk, server)
        send(desk, DAY, [1])
    _, kept = customers.add_customer(desk, name="O. Ner")
    customers.merge_customers(desk, kept, 1)
    (said,) = customers.customer_page(desk, kept).bad_ways
    assert "550 no such user" in said


def test_a_line_dropped_after_the_mail_was_taken_is_uncertain_and_not_sent_again(
    desk: Desk,
) -> None:
    box = Box(drop_after=2)
    with serving(box) as server:
        use_server(desk, server)
        broken = send(desk, DAY, [1, 2, 3])
        box.drop_after = -1
        again = send(desk, DAY, [1, 2, 3])
    assert [result.outcome for result in broken.results] == [
        MailOutcome.TAKEN,
        MailOutcome.UNCERTAIN,
        MailOutcome.TAKEN,  # on a line that was opened anew
    ]
    assert "2 sent, 1 uncertain. Look into the mail account’s sent mail; Renewals asks" in (
        broken.changed.sentence
    )
    assert again.results == ()
    assert subjects(box) == ["Letter 1", "Letter 2", "Letter 3"], "none doubled, none lost"
    assert states(desk) == ["sent", "uncertain", "sent"]


def test_what_is_off_the_list_is_never_called_sent(desk: Desk) -> None:
    with serving(Box()) as server:
        use_server(desk, server)
        not_now(desk, DAY, 1)
        for said in (send(desk, DAY, [1]).changed.sentence, mark_sent(desk, DAY, [1]).sentence):
            assert "Nothing went" in said
            assert "sent already" not in said
        send(desk, DAY, [2])
        assert mark_sent(desk, DAY, [2]).sentence == "This reminder was sent already."


def test_undo_after_a_mail_went_says_that_it_has_gone_out(desk: Desk) -> None:
    change_text(desk, DAY, 1, text="Come by.")
    with serving(Box()) as server:
        use_server(desk, server)
        send(desk, DAY, [1])
    undo(desk)  # the setting of the server
    with pytest.raises(Mendable, match=r"a reminder .* has gone out\.$"):
        undo(desk)


def test_undo_where_a_mail_may_have_gone_says_where_that_is_asked(desk: Desk) -> None:
    change_text(desk, DAY, 1, text="Come by.")
    with serving(Box(drop_after=1)) as server:
        use_server(desk, server)
        send(desk, DAY, [1])
    undo(desk)  # the setting of the server
    told = r"of 14 August 2026 may have gone; Renewals asks whether it did\.$"
    with pytest.raises(Mendable, match=told):
        undo(desk)


def test_by_a_clock_that_runs_years_ahead_nothing_goes_from_an_old_page_either(
    desk: Desk,
) -> None:
    close_day(desk, DAY)
    box = Box()
    with serving(box) as server:
        use_server(desk, server)
        ahead = Desk(desk.book, clock=lambda: NOW + timedelta(days=4000))
        with pytest.raises(Refused, match="clock"):
            send(ahead, DAY, [1])
    assert box.taken == []


def test_nothing_asked_for_is_nothing_sent(desk: Desk) -> None:
    with serving(Box()) as server:
        use_server(desk, server)
        assert send(desk, DAY, []).results == ()
        mark_sent(desk, DAY, [])
    assert states(desk) == ["prepared"] * 3


def test_a_person_settles_what_is_uncertain(desk: Desk) -> None:
    box = Box(drop_after=1)
    with serving(box) as server:
        use_server(desk, server)
        send(desk, DAY, [1])
        settle(desk, DAY, 1, gone=False)
        assert states(desk)[0] == "prepared"
        box.drop_after = -1
        send(desk, DAY, [1])
    assert states(desk)[0] == "sent"
    with pytest.raises(Mendable, match="not uncertain"):
        settle(desk, DAY, 1, gone=True)


def test_an_uncertain_mail_that_went_keeps_the_day_on_which_it_was_tried(desk: Desk) -> None:
    with serving(Box(drop_after=1)) as server:
        use_server(desk, server)
        send(desk, DAY, [1])
    settle(desk, DAY + timedelta(days=6), 1, gone=True)
    with desk.book.reading() as session:
        assert session.get_one(Reminder, 1).sent_on == DAY


def test_a_mail_of_which_the_next_start_found_out_was_tried_on_the_day_before(desk: Desk) -> None:
    with desk.book.change("Sending a reminder", undoable=False) as session:
        session.get_one(Reminder, 1).state = "sending"
        session.add(ReminderEvent(reminder_id=1, day=DAY, at=NOW, kind="sending"))
    next_day = DAY + timedelta(days=1)
    interrupted(desk, next_day)
    (one,) = whom_to_remind(desk, next_day).unsure
    assert one.tried_on == "14 August"
    settle(desk, next_day, 1, gone=True)
    with desk.book.reading() as session:
        assert session.get_one(Reminder, 1).sent_on == DAY


def test_breaking_off_leaves_the_rest_prepared(desk: Desk) -> None:
    box = Box()
    with serving(box) as server:
        use_server(desk, server)
        result = send(desk, DAY, [1, 2, 3], progress=lambda done, whole: done < 1)
    assert result.stopped
    assert states(desk) == ["sent", "prepared", "prepared"]


def test_no_server_set_is_one_sentence_and_sends_nothing(desk: Desk) -> None:
    with pytest.raises(Mendable, match="No mail server"):
        send(desk, DAY, [1])
    assert states(desk) == ["prepared"] * 3


KILLED = """
import os, sys
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from app.actions.desk.desk import Desk
from app.actions.letters.reminders import whom_to_remind
from app.actions.letters import sending
from app.documents.papers.post import Post
from app.records.book import Book

where, path = sys.argv[1], Path(sys.argv[2])
whole = Post.send
def dying(self, mail):
    if where == "before":
        os._exit(9)
    whole(self, mail)
    os._exit(9)
Post.send = dying
desk = Desk(Book.open(path), clock=lambda: datetime(2026, 8, 14, 22, tzinfo=UTC))
sending.send(desk, date(2026, 8, 14), [1])
"""


@pytest.mark.slow
@pytest.mark.parametrize("where", ["before", "after"])
def test_a_program_killed_while_sending_never_doubles_and_says_what_it_does_not_know(
    tmp_path: Path, where: str
) -> None:
    path = tmp_path / "shop.bayledger"
    found(path)
    box = Box()
    with serving(box) as server:
        with Book.open(path) as book:
            use_server(Desk(book), server)
        killed = subprocess.run(
            [sys.executable, "-c", KILLED, where, str(path)],
            check=False,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
            cwd=ROOT,
        )
        assert killed.returncode == 9
        with Book.open(path) as book:
            desk = Desk(book, clock=lambda: NOW)
            assert send(desk, DAY, [1]).results == (), "not sent again on its own"
            interrupted(desk, DAY)
            assert states(desk)[0] == "uncertain"
            with book.reading() as session:
                kinds = [event.kind for event in session.query(ReminderEvent)]
    assert kinds == ["sending", "uncertain"]
    assert len(box.taken) == (0 if where == "before" else 1)


def test_what_is_uncertain_stands_among_those_to_remind_until_a_person_says(desk: Desk) -> None:
    with serving(Box(drop_after=1)) as server:
        use_server(desk, server)
        send(desk, DAY, [1])
    view = whom_to_remind(desk, DAY)
    assert [(one.reminder_id, one.words, one.to_be_said) for one in view.unsure] == [
        (1, "may or may not have gone", True)
    ]
    assert "Owner 1" in view.unsure[0].voice
    assert [letter.prepared_id for letter in view.letters] == [2, 3], "not offered again"
    settle(desk, DAY, 1, gone=False)
    view = whom_to_remind(desk, DAY)
    assert view.unsure == ()
    assert [letter.prepared_id for letter in view.letters] == [1, 2, 3]


def test_what_is_on_its_way_is_shown_but_nobody_can_say_yet(desk: Desk) -> None:
    with desk.book.change("Sending a reminder", undoable=False) as session:
        session.get_one(Reminder, 1).state = "sending"
    (one,) = whom_to_remind(desk, DAY).unsure
    assert (one.words, one.to_be_said) == ("being sent", False)
    with pytest.raises(Mendable, match="not uncertain"):
        settle(desk, DAY, 1, gone=True)
