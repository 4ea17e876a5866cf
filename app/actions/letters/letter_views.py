"""A message as it is shown: one that may be written, or one that is prepared and waits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from app.actions.desk.desk import Desk
from app.actions.letters.choosing import ways
from app.actions.letters.words_now import in_words_of
from app.actions.people.customers import refused_words
from app.calculations.letters.letters import ChosenLetter
from app.records.queries import protection as queries
from app.records.queries.protection import PersonRow, ReminderRow


@dataclass(frozen=True, kw_only=True)
class LetterView:
    """A message that may be written today, or is prepared and not sent."""

    key: str  # the household
    customer_id: int
    name: str
    vehicles: tuple[str, ...]
    reason: str
    due_text: str
    channel: str
    channels: tuple[str, ...]
    subject: str
    text: str
    prepared_id: int | None
    vehicle_ids: tuple[int, ...]
    layer_ids: tuple[int, ...]
    due_short: str = ""  # its months, as Renewals says them
    bad_mail: str = ""  # why it goes by another way than mail, where mail was refused


def prepared_letters(desk: Desk, day: date) -> list[LetterView]:
    """The messages that wait to be sent, in the words in which they were written."""
    with desk.book.reading() as session:
        people = {row.customer_id: row for row in queries.people(session)}
    return prepared_of(desk, day, people, ())


def prepared_of(
    desk: Desk, day: date, people: Mapping[int, PersonRow], chosen: Sequence[ChosenLetter]
) -> list[LetterView]:
    """The messages of these people that wait, in the words of what the rule would write now."""
    with desk.book.reading() as session:
        prepared = queries.reminders(session, states=("prepared",))
        prepared = [row for row in prepared if row.customer_id in people]
        proposed = queries.in_proposed_words(session, {row.id for row in prepared})
        holders = queries.holders(session, day) if prepared else []
    held = {row.vehicle_id: row.description for row in holders}
    now = {letter.household: letter for letter in chosen}
    letters = []
    for row in prepared:
        person = people[row.customer_id]
        told = in_words_of(desk, day, row, now.get(person.household), person, proposed)
        letters.append(_prepared_view(told, person, held))
    return letters


def _prepared_view(row: ReminderRow, person: PersonRow, held: dict[int, str]) -> LetterView:
    return LetterView(
        key=person.household,
        customer_id=row.customer_id,
        name=person.name,
        vehicles=tuple(held.get(vehicle, "vehicle") for vehicle in row.vehicles),
        reason=row.reason,
        due_text="prepared, not sent",
        channel=row.channel,
        channels=ways(person) or (row.channel,),
        subject=row.subject,
        text=row.text,
        prepared_id=row.id,
        vehicle_ids=row.vehicles,
        layer_ids=row.layers,
        bad_mail=refused_words(person.mail_refused),
    )
