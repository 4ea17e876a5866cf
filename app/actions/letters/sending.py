"""Sending reminders by mail: each goes once, and what is uncertain is shown as uncertain.

Before a mail is handed over the book notes, durably, that it is being sent; after the server's
answer it notes what came of it. A crash or a dropped line between the two leaves "being sent",
which the next start turns into "uncertain": nobody can know, so it is neither sent again nor
called sent until a person says which.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date

from app.actions.desk.desk import Changed, Desk
from app.actions.letters.reminder_files import as_letter
from app.actions.letters.reminders import KINDS, reminder_event
from app.actions.shop.mail_account import mail_server, password_of
from app.documents.papers.mail import message
from app.documents.papers.post import Delivery, MailServer, Outcome, Post, open_post
from app.errors import Mendable
from app.records.models import Reminder
from app.records.queries import protection as queries

Opener = Callable[[MailServer, str], AbstractContextManager[Post]]
Progress = Callable[[int, int], bool]


@dataclass(frozen=True)
class SendResult:
    """What came of one reminder."""

    reminder_id: int
    name: str
    outcome: Outcome
    sentence: str


@dataclass(frozen=True)
class Sending:
    """What came of all of them; `stopped` when the person broke off."""

    changed: Changed
    results: tuple[SendResult, ...]
    stopped: bool = False


def send(
    desk: Desk,
    day: date,
    reminder_ids: Sequence[int],
    progress: Progress | None = None,
    opener: Opener = open_post,
) -> Sending:
    """Send prepared reminders through the owner's own server, one after the other.

    `progress(done, whole)` is asked before each; False breaks off, and what was not begun stays
    prepared. A reminder that is not prepared any more (a double click, another window) is passed
    over. Raises `Mendable` when no server is set or none answers; nothing is sent then.
    """
    ready = _ready(desk, tuple(dict.fromkeys(reminder_ids)))
    if not ready:
        return Sending(Changed("", frozenset(), "These reminders were sent already."), ())
    server = mail_server(desk.settings)
    results: list[SendResult] = []
    with opener(server, password_of(server)) as post:
        for number, (row, name) in enumerate(ready):
            if progress is not None and not progress(number, len(ready)):
                return Sending(_changed(results), tuple(results), stopped=True)
            results.extend(_send_one(desk, day, row, name, post))
    if progress is not None:
        progress(len(ready), len(ready))
    return Sending(_changed(results), tuple(results))


def _send_one(
    desk: Desk, day: date, row: queries.ReminderRow, name: str, post: Post
) -> Iterator[SendResult]:
    with desk.book.reading() as session:
        person = queries.people(session, {row.customer_id})[0]
    try:
        mail = message(as_letter(desk, row, person))
    except Mendable as wrong:
        yield SendResult(row.id, name, Outcome.NOT_SENT, wrong.sentence)
        return
    if not _begin(desk, day, row.id):
        return  # somebody else has begun it meanwhile
    delivery = post.send(mail)
    _note_delivery(desk, day, row.id, delivery)
    yield SendResult(row.id, name, delivery.outcome, delivery.sentence)


def interrupted(desk: Desk, day: date) -> Changed:
    """At the start: what was being sent when the last run ended becomes uncertain."""
    with desk.book.reading() as session:
        rows = queries.reminders(session, states=("sending",))
    if not rows:
        return Changed("", frozenset())
    name = "Found reminders whose sending was interrupted"
    with desk.book.change(name, day=day, kinds=KINDS, undoable=False, at=desk.clock()) as session:
        for row in rows:
            session.get_one(Reminder, row.id).state = "uncertain"
            session.add(
                reminder_event(desk, day, row.id, "uncertain", "the program ended while sending")
            )
    return Changed(name, KINDS, f"{len(rows)} may or may not have gone; say which.")


def settle(desk: Desk, day: date, reminder_id: int, *, gone: bool) -> Changed:
    """A person says whether an uncertain reminder went out after all."""
    name = "Said that a reminder went out" if gone else "Said that a reminder did not go out"
    with desk.book.change(name, day=day, kinds=KINDS, at=desk.clock()) as session:
        reminder = session.get(Reminder, reminder_id)
        if reminder is None or reminder.state != "uncertain":
            raise Mendable("This reminder is not uncertain any more.")
        reminder.state = "sent" if gone else "prepared"
        reminder.sent_on = day if gone else None
        session.add(reminder_event(desk, day, reminder_id, "sent" if gone else "not sent"))
    return Changed(name, KINDS)


def send_test(desk: Desk, opener: Opener = open_post) -> Delivery:
    """A message to the shop itself, to see that the account works."""
    from app.documents.papers.mail import Letter

    settings = desk.settings
    if not settings.shop_email:
        raise Mendable("The shop has no mail address yet; enter it in the settings first.")
    server = mail_server(settings)
    letter = Letter(
        uid=f"test-{desk.clock().timestamp():.0f}",
        sender_name=settings.shop_name or "The shop",
        sender_mail=settings.shop_email,
        sender_address=settings.shop_address,
        name=settings.shop_name or "The shop",
        mail=settings.shop_email,
        address=(),
        subject="Bayledger: the mail account works",
        text="This message was sent to try the mail account. Nothing else is to be done.",
        at=desk.clock(),
    )
    with opener(server, password_of(server)) as post:
        return post.send(message(letter))


def _ready(desk: Desk, ids: tuple[int, ...]) -> list[tuple[queries.ReminderRow, str]]:
    with desk.book.reading() as session:
        rows = queries.reminders(session, ids=ids)
        people = {row.customer_id: row.name for row in queries.people(session)}
    for row in rows:
        if row.state == "prepared" and row.channel != "mail":
            raise Mendable(
                f"The reminder to {people.get(row.customer_id, 'a customer')} goes by "
                f"{row.channel}, not by mail; choose mail for it or leave it out."
            )
    return [
        (row, people.get(row.customer_id, "a customer")) for row in rows if row.state == "prepared"
    ]


def _begin(desk: Desk, day: date, reminder_id: int) -> bool:
    """Note that it is being sent; False when it is not prepared any more."""
    with desk.book.change(
        "Sending a reminder", day=day, kinds=KINDS, undoable=False, at=desk.clock()
    ) as session:
        reminder = session.get(Reminder, reminder_id)
        if reminder is None or reminder.state != "prepared":
            return False
        reminder.state = "sending"
        session.add(reminder_event(desk, day, reminder_id, "sending"))
    return True


def _note_delivery(desk: Desk, day: date, reminder_id: int, delivery: Delivery) -> None:
    """Note what came of it."""
    state = {Outcome.TAKEN: "sent", Outcome.UNCERTAIN: "uncertain"}.get(
        delivery.outcome, "prepared"
    )
    with desk.book.change(
        "Sent a reminder", day=day, kinds=KINDS, undoable=False, at=desk.clock()
    ) as session:
        reminder = session.get_one(Reminder, reminder_id)
        reminder.state = state
        reminder.sent_on = day if state == "sent" else None
        kind = state if state != "prepared" else "not sent"
        session.add(reminder_event(desk, day, reminder_id, kind, delivery.sentence))


def _changed(results: Sequence[SendResult]) -> Changed:
    taken = sum(one.outcome is Outcome.TAKEN for one in results)
    uncertain = sum(one.outcome is Outcome.UNCERTAIN for one in results)
    failed = len(results) - taken - uncertain
    words = [f"{taken} sent"]
    words += [f"{failed} not sent"] if failed else []
    words += [f"{uncertain} uncertain"] if uncertain else []
    return Changed("Sent reminders", KINDS, ", ".join(words) + ".")
