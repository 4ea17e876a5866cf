"""The words of a reminder on the day it goes: names and days move between writing and sending."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import date

from app.actions.desk.desk import Desk
from app.actions.layers.protection_state import protection
from app.actions.letters.letter_wording import WorkDone, compose
from app.calculations.letters.letters import ChosenLetter
from app.records.queries.protection import PersonRow, ReminderRow

LONGEST_SUBJECT = 200


def words_of(
    desk: Desk, day: date, letter: ChosenLetter, person: PersonRow, channel: str
) -> tuple[str, str]:
    """(subject, text) that the book proposes for a letter to this person, this way, on a day."""
    names = protection(desk, day).names
    candidates = [due.candidate for due in letter.items]
    subject, text = compose(
        desk.settings.letter_text,
        desk.settings.letter_subject,
        name=person.name,
        works=[
            WorkDone(one.vehicle_title, names.get(one.supply, "layer"), one.applied)
            for one in candidates
        ],
        due_from=letter.due_from,
        due_to=letter.due_to,
        shop=desk.settings.shop_name,
        today=day,
        promised=letter.promised,
        channel=channel,
    )
    return subject[:LONGEST_SUBJECT], text


def in_words_of(
    desk: Desk,
    day: date,
    row: ReminderRow,
    letter: ChosenLetter | None,
    person: PersonRow,
    proposed: Collection[int],
) -> ReminderRow:
    """A prepared reminder in the words of the day, where they are the book's own.

    `proposed` are the reminders whose words no person has typed: what was typed stays as it is.
    `letter` is what the rule would write now; what it tells besides is left out.
    """
    if letter is None or row.id not in proposed:
        return row
    about = tuple(due for due in letter.items if due.candidate.layer in row.layers)
    if len(about) < len(row.layers):
        return row
    spans = [(due.due_from, due.due_to) for due in about]
    told = replace(
        letter,
        items=about,
        due_from=min((first for first, _ in spans), default=letter.due_from),
        due_to=min((last for _, last in spans), default=letter.due_to),
    )
    subject, text = words_of(desk, day, told, person, row.channel)
    return replace(row, subject=subject, text=text)
