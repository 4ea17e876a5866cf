"""Reminders of which nobody knows whether they went: shown as that until a person says which.

The line may drop, or the program end, between "taken by the server" and "noted in the book". Such a
message is neither sent again nor called sent; `app.actions.letters.sending.settle` settles it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from app.actions.desk.desk import Desk
from app.calculations.numbers.dates import near
from app.calculations.numbers.wording import capital
from app.records.queries import protection as queries

MAY_HAVE_GONE = "may or may not have gone"
BEING_SENT = "being sent"


@dataclass(frozen=True, kw_only=True)
class UnsureView:
    """A message that may or may not have gone, or is being sent at this moment."""

    reminder_id: int
    customer_id: int
    household: str
    name: str
    vehicles: tuple[str, ...]
    words: str  # MAY_HAVE_GONE or BEING_SENT
    tried_on: str  # the day in words
    subject: str
    voice: str
    facts: tuple[tuple[str, str], ...]
    layer_ids: tuple[int, ...]

    @property
    def to_be_said(self) -> bool:
        """Whether a person can say which: not while it is on its way."""
        return self.words == MAY_HAVE_GONE


def unsure_mail(desk: Desk, day: date) -> tuple[UnsureView, ...]:
    """The messages whose fate is unknown, the oldest first."""
    with desk.book.reading() as session:
        rows = queries.reminders(session, states=("sending", "uncertain"))
        if not rows:
            return ()
        people = {
            row.customer_id: row
            for row in queries.people(session, {row.customer_id for row in rows})
        }
        tried = queries.last_tried(session, [row.id for row in rows])
        held = {row.vehicle_id: row.description for row in queries.holders(session, day)}
    found = []
    for row in rows:
        person = people[row.customer_id]
        on, note = tried.get(row.id, (row.day, ""))
        going = row.state == "sending"
        voice = (
            "This message is being handed to the mail server."
            if going
            else f"{_because(note)} Look among the sent mail, or ask {person.name}, and say which."
        )
        found.append(
            UnsureView(
                reminder_id=row.id,
                customer_id=row.customer_id,
                household=person.household,
                name=person.name,
                vehicles=tuple(held.get(vehicle, "vehicle") for vehicle in row.vehicles),
                words=BEING_SENT if going else MAY_HAVE_GONE,
                tried_on=near(on, day),
                subject=row.subject,
                voice=voice,
                facts=(("Tried", near(on, day)), ("To", person.email), ("Subject", row.subject)),
                layer_ids=row.layers,
            )
        )
    return tuple(found)


def _because(note: str) -> str:
    words = note.strip().rstrip(".") or "the line broke before the server had answered"
    return f"{capital(words)}."
