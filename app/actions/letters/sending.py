"""Sending reminders by mail: each goes once, and what is uncertain is shown as uncertain.

Before a mail is handed over the book notes, durably, that it is being sent; after the server's
answer it notes what came of it. A crash or a dropped line between the two leaves "being sent",
which the next start turns into "uncertain": nobody can know, so it is neither sent again nor
called sent until a person says which.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date
from email.message import EmailMessage

from app.actions.desk.desk import Changed, Desk
from app.actions.desk.meant_days import must_be_meant
from app.actions.desk.telephones import shown_phone
from app.actions.letters.choosing import TOLD, TakenOff, judge_prepared, off_words, take_off, ways
from app.actions.letters.reminder_changes import (
    KINDS,
    going_day,
    reminder_change,
    reminder_event,
    set_state,
    why_none_goes,
)
from app.actions.letters.reminder_files import as_letter
from app.actions.letters.words_now import in_words_of
from app.actions.shop.mail_account import mail_server, password_of
from app.calculations.numbers.wording import capital
from app.documents.papers.mail import message
from app.documents.papers.post import Delivery, MailOutcome, MailServer, Post, open_post
from app.errors import Mendable
from app.records.models import Customer, Reminder
from app.records.queries import protection as queries

REFUSED = KINDS | {"customers"}  # an address that is refused is bad from then on
WAY_WORDS = {"mail": "mail", "letter": "letter", "phone": "telephone", "text": "text message"}
Opener = Callable[[MailServer, str], AbstractContextManager[Post]]
Progress = Callable[[int, int], bool]


@dataclass(frozen=True)
class SendResult:
    """What came of one reminder."""

    reminder_id: int
    name: str
    outcome: MailOutcome
    sentence: str


@dataclass(frozen=True)
class Sending:
    """What came of all of them; `stopped` when the person broke off.

    `off` are those that must not go any more and were taken off the list.
    """

    changed: Changed
    results: tuple[SendResult, ...]
    stopped: bool = False
    off: tuple[TakenOff, ...] = ()


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
    over, and one that must not go any more is taken off the list.
    Raises `Mendable` when no server is set or none answers; nothing is sent then.
    """
    must_be_meant(desk, going_day(desk, day))
    ready, rows = _ready(desk, tuple(dict.fromkeys(reminder_ids)))
    if not ready:
        return Sending(Changed("", frozenset(), why_none_goes(rows)), ())
    server = mail_server(desk.settings)
    results: list[SendResult] = []
    refused: list[int] = []
    stopped = False
    with opener(server, password_of(server)) as post:
        for number, (row, name) in enumerate(ready):
            if progress is not None and not progress(number, len(ready)):
                stopped = True
                break
            found = _send_one(desk, day, row.id, name, post)
            if found is None:
                refused.append(row.id)
            else:
                results.append(found)
    off = take_off(desk, going_day(desk, day), refused)
    if progress is not None and not stopped:
        progress(len(ready), len(ready))
    return Sending(_changed(results, off), tuple(results), stopped, off)


def _send_one(desk: Desk, day: date, reminder_id: int, name: str, post: Post) -> SendResult | None:
    """Send one; None where it is not to go: no longer prepared, or by now not to be contacted."""
    day = going_day(desk, day)
    try:
        mail = _begin(desk, day, reminder_id)
    except Mendable as wrong:
        return SendResult(reminder_id, name, MailOutcome.NOT_SENT, wrong.sentence)
    if mail is None:
        return None
    delivery = post.send(mail)
    if delivery.bad_address:
        sentence = _note_refusal(desk, day, reminder_id, name, delivery.bad_address)
        return SendResult(reminder_id, name, delivery.outcome, sentence)
    _note_delivery(desk, day, reminder_id, delivery)
    return SendResult(reminder_id, name, delivery.outcome, delivery.sentence)


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
        tried, _ = queries.last_tried(session, [reminder_id]).get(reminder_id, (day, ""))
        reminder.state = "sent" if gone else "prepared"
        reminder.sent_on = tried if gone else None  # it went on the day it was handed over
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
        sender_phone=shown_phone(settings.shop_phone, settings.region),
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


def _ready(
    desk: Desk, ids: tuple[int, ...]
) -> tuple[list[tuple[queries.ReminderRow, str]], list[queries.ReminderRow]]:
    """Those that wait to be sent, with their names, and all that were asked for."""
    if not ids:
        return [], []
    with desk.book.reading() as session:
        rows = queries.reminders(session, ids=ids)
        people = {row.customer_id: row.name for row in queries.people(session)}
    for row in rows:
        if row.state == "prepared" and row.channel != "mail":
            raise Mendable(
                f"The reminder to {people.get(row.customer_id, 'a customer')} goes by "
                f"{row.channel}, not by mail; choose mail for it or leave it out."
            )
    waiting = [row for row in rows if row.state == "prepared"]
    return [(row, people.get(row.customer_id, "a customer")) for row in waiting], rows


def _begin(desk: Desk, day: date, reminder_id: int) -> EmailMessage | None:
    """Note that it is being sent and give the mail; None when it is not to go.

    All of it within one change: nobody can say stop between the question and the note.
    """
    with reminder_change(desk, day, "Sending a reminder", undoable=False) as session:
        judged = judge_prepared(desk, day, [reminder_id]).get(reminder_id)
        row = queries.reminders(session, ids=(reminder_id,))[0]
        if judged is None or judged.why_not or row.channel != "mail":
            return None
        person = queries.people(session, {row.customer_id})[0]
        proposed = queries.in_proposed_words(session, [reminder_id])
        row = in_words_of(desk, day, row, judged.letter, person, proposed)
        mail = message(as_letter(desk, row, person))
        reminder = session.get_one(Reminder, reminder_id)
        reminder.subject, reminder.text = row.subject, row.text
        set_state(session, desk, day, reminder, "sending")
    return mail


def _note_delivery(desk: Desk, day: date, reminder_id: int, delivery: Delivery) -> None:
    """Note what came of it."""
    state = {MailOutcome.TAKEN: "sent", MailOutcome.UNCERTAIN: "uncertain"}.get(
        delivery.outcome, "prepared"
    )
    with reminder_change(desk, day, "Sent a reminder", undoable=False) as session:
        reminder = session.get_one(Reminder, reminder_id)
        reminder.state = state
        reminder.sent_on = day if state == "sent" else None
        kind = state if state != "prepared" else "not sent"
        session.add(reminder_event(desk, day, reminder_id, kind, delivery.sentence))


def _note_refusal(desk: Desk, day: date, reminder_id: int, name: str, words: str) -> str:
    """Note that the address is bad until it is changed; the reminder waits for another way."""
    with desk.book.change(
        "Sent a reminder", day=day, kinds=REFUSED, at=desk.clock(), undoable=False
    ) as session:
        reminder = session.get_one(Reminder, reminder_id)
        session.get_one(Customer, reminder.customer_id).email_bad_since = day
        session.add(reminder_event(desk, day, reminder_id, "refused", words))
        session.flush()
        left = ways(queries.people(session, {reminder.customer_id})[0])
        why = f"the mail server refuses the address of {name} for good ({words})"
        if left:
            reminder.state, reminder.channel = "prepared", left[0]
            return f"{capital(why)}; the reminder waits to go by {WAY_WORDS[left[0]]} instead."
        set_state(session, desk, day, reminder, "withheld", why)
    return f"{capital(why)}, and there is no other way to reach them."


def _changed(results: Sequence[SendResult], off: Sequence[TakenOff]) -> Changed:
    taken = sum(one.outcome is MailOutcome.TAKEN for one in results)
    uncertain = sum(one.outcome is MailOutcome.UNCERTAIN for one in results)
    failed = len(results) - taken - uncertain
    words = [f"{taken} sent"]
    words += [f"{failed} not sent"] if failed else []
    words += [f"{uncertain} uncertain"] if uncertain else []
    ask = (
        " Look into the mail account’s sent mail; Renewals asks whether it went."
        if uncertain
        else ""
    )
    said = [f"{', '.join(words)}.{ask}", off_words(off)] if results or not off else [off_words(off)]
    refused = [one.sentence for one in results if one.outcome is MailOutcome.REFUSED]
    said += refused[:TOLD]
    said += [f"{len(refused) - TOLD} more were refused."] if len(refused) > TOLD else []
    kinds = KINDS | REFUSED if refused else KINDS
    return Changed("Sent reminders", kinds, " ".join(filter(None, said)))
