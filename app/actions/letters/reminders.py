"""Whom to remind: one message to a household, prepared here, read and sent by a person.

Every household that is not contacted is listed too, with the reason.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import uuid4

from app.actions.desk.desk import NOTHING, Changed, Desk, there
from app.actions.desk.meant_days import must_be_meant
from app.actions.layers.protection_state import protection
from app.actions.letters.choosing import choose, judge_prepared, off_words, take_off, ways
from app.actions.letters.letter_views import LetterView, prepared_of
from app.actions.letters.reminder_changes import (
    KINDS,
    going_day,
    reminder_change,
    reminder_event,
    set_state,
    unsent_row,
    why_none_goes,
)
from app.actions.letters.unsure_mail import UnsureView, unsure_mail
from app.actions.letters.words_now import LONGEST_SUBJECT, in_words_of, words_of
from app.actions.people.consents import check_channel, end_marketing
from app.actions.people.customers import refused_words
from app.actions.people.left_bookings import telling_what_is_open
from app.calculations.letters.letters import ChosenLetter
from app.calculations.numbers.dates import day_year, months_of, near
from app.calculations.numbers.wording import capital, count_of
from app.errors import Mendable
from app.records.models import Customer, OwnerLink, Reminder, ReminderItem
from app.records.queries import protection as queries
from app.records.queries.people import open_links
from app.records.queries.protection import PersonRow

ANSWERS = ("booked", "later", "no", "fine", "sold", "moved", "stop", "undeliverable")


@dataclass(frozen=True)
class SuppressedView:
    """A household that is due but not contacted, and why; `kind` is a value of `letters.Why`."""

    household: str
    name: str
    what: str
    why: str
    layer_ids: tuple[int, ...]
    kind: str = ""


@dataclass(frozen=True)
class WhomToRemind:
    """The station: messages, and those who are not contacted with why."""

    letters: tuple[LetterView, ...]
    suppressed: tuple[SuppressedView, ...]
    waiting: int  # layers not yet due
    unsure: tuple[UnsureView, ...] = ()  # may or may not have gone


_Worded = tuple[LetterView, str, str, str]  # with the way, subject and text typed, or ""


def whom_to_remind(desk: Desk, day: date) -> WhomToRemind:
    """The messages of the day: those prepared and unsent first, then those that may be written."""
    return desk.remembered(("whom to remind", day), lambda: _whom(desk, day))


def vehicles_to_ask(desk: Desk, day: date) -> int:
    """How many vehicles someone may be asked about now: what leaf and day sheet both count.

    Fewer than are due: who asked not to be, was written to lately or has a job booked is left out.
    """
    letters = whom_to_remind(desk, day).letters
    return len({vehicle for letter in letters for vehicle in letter.vehicle_ids})


def _whom(desk: Desk, day: date, customer_id: int | None = None) -> WhomToRemind:
    """The same, of one household where a customer is named."""
    choice, people = choose(desk, day, customer_id)
    letters = prepared_of(desk, day, people, choice.letters)
    waiting_households = {letter.key for letter in letters}
    letters += [
        _letter_view(desk, day, letter, people)
        for letter in choice.letters
        if letter.household not in waiting_households
    ]
    names = {person.household: person.name for person in people.values()}
    suppressed = tuple(
        SuppressedView(
            one.household,
            names.get(one.household, one.household),
            ", ".join(dict.fromkeys(due.candidate.vehicle_title for due in one.items)),
            f"{capital(one.why)}.",
            tuple(due.candidate.layer for due in one.items),
            one.whys[0][0].value if one.whys else "",
        )
        for one in choice.suppressed
    )
    return WhomToRemind(tuple(letters), suppressed, len(choice.waiting), unsure_mail(desk, day))


def prepare(
    desk: Desk,
    day: date,
    letter: LetterView,
    *,
    channel: str = "",
    subject: str = "",
    text: str = "",
) -> tuple[Changed, int]:
    """Write the message into the book, not sent yet; once for a household, however often asked.

    What the letter says was read before: inside the change it is chosen anew, so that nobody else
    has written it meanwhile, and whoever is not to be contacted by now stays out. Raises
    `Mendable` with the reason then.
    """
    if letter.prepared_id is not None:
        return NOTHING, letter.prepared_id
    must_be_meant(desk, day)
    name = f"Wrote the reminder to {letter.name}"
    with reminder_change(desk, day, name) as session:
        now = _as_it_is_now(desk, day, letter)
        if now.prepared_id is None:
            (reminder_id,) = _add(session, desk, day, [(now, channel, subject, text)])
            return Changed(name, KINDS), reminder_id
        if not (channel or subject or text):
            return NOTHING, now.prepared_id
        # Written elsewhere meanwhile: what was typed here is kept all the same.
        _change_words(session, desk, day, now.prepared_id, subject or None, text or None, channel)
        return Changed(name, KINDS), now.prepared_id


def _as_it_is_now(desk: Desk, day: date, letter: LetterView) -> LetterView:
    view = _whom(desk, day, letter.customer_id)
    for one in view.letters:
        if one.key == letter.key:
            return one
    peace = next((one.why for one in view.suppressed if one.household == letter.key), "")
    why = peace or "Nothing of theirs is due any more."
    raise Mendable(f"{letter.name} is not to be contacted now. {why}")


def prepare_all(desk: Desk, day: date) -> tuple[Changed, tuple[int, ...]]:
    """Prepare every message of the day as one action; what is prepared already stays as it is."""
    ids, new = _prepared_and_new(desk, day)
    if not new:
        return NOTHING, tuple(ids)
    must_be_meant(desk, day)
    name = f"Wrote {count_of(len(new), 'reminder')}"
    with reminder_change(desk, day, name) as session:
        return Changed(name, KINDS), add_all(session, desk, day)


def add_all(session: queries.Session, desk: Desk, day: date) -> tuple[int, ...]:
    """Prepare every message of the day within a change; all that then wait to be sent."""
    ids, new = _prepared_and_new(desk, day)
    return (*ids, *_add(session, desk, day, [(letter, "", "", "") for letter in new]))


def _prepared_and_new(desk: Desk, day: date) -> tuple[list[int], list[LetterView]]:
    letters = _whom(desk, day).letters  # not what is remembered: typing leaves that as it was
    ids = [letter.prepared_id for letter in letters if letter.prepared_id is not None]
    return ids, [letter for letter in letters if letter.prepared_id is None]


def unsent(desk: Desk, day: date) -> tuple[int, ...]:
    """The messages that were prepared until a day and are not sent yet."""
    with desk.book.reading() as session:
        rows = queries.reminders(session, states=("prepared",))
    return tuple(row.id for row in rows if row.day <= day)


def change_text(
    desk: Desk,
    day: date,
    reminder_id: int,
    *,
    subject: str | None = None,
    text: str | None = None,
    channel: str = "",
) -> Changed:
    """Change a prepared message, its words or its way; a sent one stands as it went.

    What is not given stays, so that words no one typed are still those of the day it goes on.
    """
    words = subject is not None or text is not None
    name = "Changed the words of a reminder" if words else "Changed the way of a reminder"
    with reminder_change(desk, day, name) as session:
        _change_words(session, desk, day, reminder_id, subject, text, channel)
    return Changed(name, KINDS)


def _change_words(
    session: queries.Session,
    desk: Desk,
    day: date,
    reminder_id: int,
    subject: str | None,
    text: str | None,
    channel: str,
) -> None:
    if channel:
        check_channel(channel)
    reminder = unsent_row(session, reminder_id)
    before = reminder.subject, reminder.text
    subject = before[0] if subject is None else subject[:LONGEST_SUBJECT]
    text = before[1] if text is None else text
    if not text.strip():
        raise Mendable("A reminder without words cannot go; type some, or leave it unsent.")
    reminder.subject, reminder.text = subject, text
    reminder.channel = channel or reminder.channel
    kind = "rerouted" if (subject, text) == before else "changed"
    session.add(reminder_event(desk, day, reminder_id, kind))


def mark_sent(desk: Desk, day: date, reminder_ids: Sequence[int]) -> Changed:
    """Note that a person has sent the messages; one that is sent already is not sent twice.

    What must not go any more is taken off the list instead, and that is said. They go today,
    whatever page lies open.
    """
    day = going_day(desk, day)
    if not reminder_ids:
        return NOTHING
    must_be_meant(desk, day)
    off = take_off(desk, day, reminder_ids)
    with desk.book.reading() as session:
        rows = queries.reminders(session, ids=tuple(reminder_ids))
        unsent = [row.id for row in rows if row.state == "prepared"]
        wrote = {row.customer_id for row in rows}
        people = {row.customer_id: row for row in queries.people(session, wrote)}
        proposed = queries.in_proposed_words(session, unsent)
    if not unsent:
        sentence = off_words(off) or why_none_goes(rows)
        return Changed("", KINDS if off else frozenset(), sentence)
    first = next(row for row in rows if row.id == unsent[0])
    name = (
        f"Reminded {people[first.customer_id].name}"
        if len(unsent) == 1
        else f"Sent {len(unsent)} reminders"
    )
    with reminder_change(desk, day, name) as session:
        for reminder_id, judged in judge_prepared(desk, day, unsent).items():
            if judged.why_not:
                continue  # since a moment ago: it stays, and is taken off when it is tried again
            reminder = unsent_row(session, reminder_id)
            row = next(one for one in rows if one.id == reminder_id)
            person = people[row.customer_id]
            told = in_words_of(desk, day, row, judged.letter, person, proposed)
            reminder.subject, reminder.text = told.subject, told.text
            reminder.sent_on = day
            set_state(session, desk, day, reminder, "sent")
    return Changed(name, KINDS, f"{name}. {off_words(off)}" if off else "")


def words_to_copy(desk: Desk, day: date, letter: LetterView) -> tuple[Changed, str]:
    """The words of a message, to be sent by hand: judged as it would be by any other way.

    No words where it is taken off the list; `Mendable` where one that is not written yet must not
    be written any more.
    """
    day = going_day(desk, day)
    off = take_off(desk, day, () if letter.prepared_id is None else (letter.prepared_id,))
    if off:
        return Changed("", KINDS, off_words(off)), ""
    now = _as_it_is_now(desk, day, letter)
    spoken = now.channel in ("phone", "text")  # these have no line above them
    return NOTHING, now.text if spoken else f"{now.subject}\n\n{now.text}"


def sent_about(desk: Desk, layer_ids: Sequence[int]) -> int:
    """The newest sent, unanswered reminder about any of these layers."""
    with desk.book.reading() as session:
        rows = queries.reminders(session, states=("sent",))
    about = [row.id for row in rows if set(row.layers) & set(layer_ids)]
    if not about:
        raise Mendable("No reminder about this layer waits for an answer.")
    return about[-1]


def answer(
    desk: Desk,
    day: date,
    reminder_id: int,
    word: str,
    *,
    later_until: date | None = None,
) -> Changed:
    """Note what came back, with what follows from it.

    "stop" ends all marketing to that customer; "later" needs the day it holds until and outranks
    the rules; "sold" closes the owner link of the vehicles it was about and of no other; "moved"
    and "undeliverable" mark the address as bad.
    """
    if word not in ANSWERS:
        raise Mendable(f"“{word}” is no answer Bayledger knows; say one of {', '.join(ANSWERS)}.")
    if word == "later" and later_until is None:
        raise Mendable("“Later” needs the day until which to wait, such as 1 March.")
    if word == "later" and later_until is not None and later_until <= day:
        raise Mendable(f"{day_year(later_until)} is not to come any more; say a later day.")
    with desk.book.reading() as session:
        rows = queries.reminders(session, ids=(reminder_id,))
    row = there(rows[0] if rows else None, "This reminder")
    name = f"Noted the answer to a reminder: {word}"
    kinds = frozenset({"reminders", "customers", "vehicles"})
    with desk.book.change(name, day=day, kinds=kinds, at=desk.clock()) as session:
        reminder = session.get_one(Reminder, reminder_id)
        customer = session.get_one(Customer, row.customer_id)
        reminder.state, reminder.answer, reminder.answered_on = "answered", word, day
        session.add(reminder_event(desk, day, reminder_id, "answered", word))
        if word == "stop":
            customer.stopped_on = day
            end_marketing(session, row.customer_id, day)
        elif word == "later":
            customer.later_until = later_until
        elif word in ("moved", "undeliverable"):
            bad = "email_bad_since" if reminder.channel == "mail" else "address_bad_since"
            setattr(customer, bad, day)
        elif word == "sold":
            for link in open_links(session, row.customer_id, row.vehicles):
                session.get_one(OwnerLink, link).to_day = day
    follows = row.answer in ("stop", "later", "moved", "undeliverable", "sold")
    first = f"{name}. What followed from the answer before, {row.answer}, still stands."
    changed = Changed(name, kinds, first if follows and word != row.answer else "")
    return telling_what_is_open(desk, changed, [row.customer_id] if word == "sold" else [])


def drop(desk: Desk, day: date, reminder_id: int) -> Changed:
    """Leave a prepared message unsent."""
    name = "Left a reminder unsent"
    with reminder_change(desk, day, name) as session:
        set_state(session, desk, day, unsent_row(session, reminder_id), "dropped")
    return Changed(name, KINDS)


def not_now(desk: Desk, day: date, customer_id: int, weeks: int = 4) -> Changed:
    """Ask this household again in some weeks: the shop's own wish, which promises nothing."""
    until = day + timedelta(weeks=weeks)
    kinds = frozenset({"reminders", "customers"})
    name = f"Not now; asked again from {near(until, day)}"
    with desk.book.change(name, day=day, kinds=kinds, at=desk.clock()) as session:
        there(session.get(Customer, customer_id), "This customer").not_before = until
        household = {row.customer_id: row.household for row in queries.people(session)}
        for row in queries.reminders(session, states=("prepared",)):
            if household.get(row.customer_id) == household[customer_id]:
                set_state(session, desk, day, unsent_row(session, row.id), "dropped")
    return Changed(name, kinds)


def _letter_view(
    desk: Desk, day: date, letter: ChosenLetter, people: dict[int, PersonRow]
) -> LetterView:
    person = people[letter.customer]
    candidates = [due.candidate for due in letter.items]
    channels = ways(person)
    channel = channels[0] if channels else "phone"
    subject, text = words_of(desk, day, letter, person, channel)
    return LetterView(
        key=letter.household,
        customer_id=letter.customer,
        name=person.name,
        vehicles=tuple(dict.fromkeys(one.vehicle_title for one in candidates)),
        reason=letter.reason,
        due_short=months_of(letter.due_from, letter.due_to),
        due_text=f"{near(letter.due_from, day)} to {near(letter.due_to, day)}",
        channel=channel,
        channels=channels,
        subject=subject,
        text=text,
        prepared_id=None,
        vehicle_ids=tuple(dict.fromkeys(one.vehicle for one in candidates)),
        layer_ids=tuple(one.layer for one in candidates),
        bad_mail=refused_words(person.mail_refused),
    )


def _add(session: queries.Session, desk: Desk, day: date, letters: Sequence[_Worded]) -> list[int]:
    """Write messages, not sent yet; their ids."""
    rows = []
    for letter, channel, subject, text in letters:
        if channel:
            check_channel(channel)
        rows.append(
            Reminder(
                customer_id=letter.customer_id,
                day=day,
                channel=channel or letter.channel,
                subject=(subject or letter.subject)[:LONGEST_SUBJECT],
                text=text if text.strip() else letter.text,
                reason=letter.reason,
                uid=f"reminder-{uuid4()}",
            )
        )
    session.add_all(rows)
    session.flush()  # all at once: they get their ids
    owners = {due.candidate.layer: due.candidate.vehicle for due in protection(desk, day).dues}
    for reminder, (letter, *_) in zip(rows, letters, strict=True):
        session.add_all(
            ReminderItem(
                reminder_id=reminder.id,
                vehicle_id=owners.get(layer, letter.vehicle_ids[0]),
                layer_event_id=layer,
            )
            for layer in letter.layer_ids
        )
        typed = (reminder.subject, reminder.text) != (letter.subject, letter.text)
        session.add(reminder_event(desk, day, reminder.id, "prepared" if typed else "proposed"))
    return [reminder.id for reminder in rows]
