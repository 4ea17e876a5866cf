"""What was chosen of a booking so far, and how its entries and the margin say it."""

from __future__ import annotations

from dataclasses import dataclass, field

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk
from app.actions.jobs.estimates import Estimate
from app.actions.jobs.job_card import JobCard
from app.calculations.numbers.durations import shown_duration
from app.window.jobs.booking_days import BookingDays
from app.window.jobs.margins import hours_facts, price_facts
from app.window.paper.notes import Block, Rule, Voice, known
from app.window.paper.strip import StripEntry

_ENTRIES = {
    "who": ("Who", "Type a part of the name; Enter takes the line."),
    "vehicle": ("Which vehicle", "Enter takes the line; a new one needs a few words."),
    "sold": ("Services", "Space adds or removes one; type how many times, or how many coats."),
    "when": ("When", "Found for you. Take another line, or type over it."),
    "more": ("What else", "Everything here can wait."),
}
_USUAL = (
    "Only who or which vehicle is needed. Services bring steps, charges, hours and what the shelf "
    "will need; they can also be added later."
)


@dataclass
class Booking:
    """What was chosen so far; the job stands in the book once it is booked."""

    customer: tuple[int, str] | None = None
    vehicle: tuple[int, str] | None = None
    sold: dict[int, int] = field(default_factory=dict)  # service -> layers
    of_enquiry: JobCard | None = None  # the enquiry that becomes the job

    @property
    def missing(self) -> str:
        """Why nothing can be booked yet."""
        known_ = self.customer or self.vehicle
        return "" if known_ else "First say who it is for. Alt 1 goes there."


def booking_entries(
    desk: Desk, draft: Booking, guess: Estimate | None, days: BookingDays
) -> list[StripEntry]:
    """The five entries, each with what was chosen."""
    sold = ""
    minutes = guess.minutes if guess is not None else 0
    if guess is not None:
        names = ", ".join(line.name for line in guess.lines)
        sold = f"{names}: {shown_duration(minutes)}, {money(desk, guess.price)}"
    results = {
        "who": draft.customer[1] if draft.customer else "",
        "vehicle": draft.vehicle[1] if draft.vehicle else "",
        "sold": sold,
        "when": days.words,
        "more": days.more.said,
    }
    return [
        StripEntry(key, *_ENTRIES[key], results[key], "", "done" if results[key] else "to come")
        for key in _ENTRIES
    ]


def booking_blocks(desk: Desk, draft: Booking, guess: Estimate | None) -> list[Block]:
    """What the margin says while no day is typed: what was asked for, and the estimate."""
    blocks: list[Block] = []
    if draft.of_enquiry is not None:
        asked = draft.of_enquiry.job
        blocks += [known(("Asked for", asked.title), ("Wanted", asked.wanted)), Rule()]
    if guess is None:
        return [*blocks, Voice(_USUAL)]
    return [
        *blocks,
        hours_facts(guess, ("Hours, low", "likely", "not above")),
        Rule(),
        price_facts(desk, guess, ("Price, low", "likely", "not above")),
        Rule(),
        Voice(guess.voice),
    ]
