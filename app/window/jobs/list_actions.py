"""What is done with the chosen jobs of the list: booked, moved, called off, paid."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from functools import partial
from typing import TYPE_CHECKING

from app.actions.day.money_taken import METHODS
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.typed_days import read_typed_day
from app.actions.jobs import booking_jobs, enquiries, job_changes
from app.actions.jobs.job_card import job_card
from app.actions.plan.load import load
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.durations import shown_duration
from app.errors import Mendable
from app.window.house.acting import ask, on_book, on_each
from app.window.paper.finder import FoundLine

if TYPE_CHECKING:
    from app.window.jobs.place import JobsPlace

WAYS = (*((one, one) for one in METHODS), ("", "some other way"))
OFFERED = 8  # working days that are offered for a move, each with what it holds
NO_REASON = "without a reason"


class ListActions:
    """The keys of the list; each does one thing with the chosen rows, else that with the focus."""

    def __init__(self, place: JobsPlace) -> None:
        self._place = place
        self._office = place.office
        self._listing = place.listing

    def act(self, which: str) -> None:
        """The action of a part: book an enquiry, take a payment, else book a new job."""
        reason = self._listing.part.row.reason
        if which not in ("enquiries", "owed"):
            self._place.begin_booking()
        elif reason:
            self._office.say_trouble(reason)
        elif which == "enquiries":
            self._book()
        else:
            self._place.owed.take(WAYS)

    def _book(self) -> None:
        """Make bookings of enquiries; a single one is booked on the page, with its day."""
        ids = [one.job_id for one in self._listing.chosen]
        card = on_book(self._office, job_card, ids[0]) if len(ids) == 1 else None
        if card is not None and card.job.state == "enquiry" and not card.services:
            self._place.book_enquiry(card)
            return
        asked = self._each(ids, job_changes.book_again, "jobs are booked")
        if len(ids) == 1 and not self._office.trouble:
            self._place.open_item(ids[0])
            self._place.card.open("notes", still=True)
            ask(self._office, asked)

    def _each(self, ids: Sequence[int], do: Callable[[Desk, int], Changed], what: str) -> str:
        """Do something with each of these jobs, then ask what the last question of them is."""
        asked = ""

        def one(job: int) -> None:
            nonlocal asked
            changed = on_book(self._office, do, job)
            asked = changed.question if changed is not None and changed.question else asked

        on_each(self._office, ids, one, what)
        if asked and not self._office.trouble:
            ask(self._office, asked)
        return asked

    def end(self) -> None:
        """Call bookings off, or say why enquiries came to nothing."""
        if self._listing.planning:
            here = self._listing.plan.here
            self.ask_why([here] if here is not None else [], enquiry=False)
            return
        chosen = [one for one in self._listing.chosen if one.state not in ENDED_STATES]
        if not chosen:
            self._office.say_trouble("Nothing here can be called off.")
            return
        self.ask_why([one.job_id for one in chosen], chosen[0].state == "enquiry")

    def ask_why(self, ids: Sequence[int], enquiry: bool) -> None:
        """Ask why, and end these jobs so."""
        desk = self._office.desk

        def end(reason: str) -> None:
            def cancel(desk: Desk, job: int) -> Changed:
                return job_changes.cancel_job(desk, job, reason)

            said = "enquiries came to nothing" if enquiry else "jobs are called off"
            self._each(ids, cancel, said)

        title = "It came to nothing" if enquiry else "It is called off"

        def look_up(text: str) -> list[FoundLine]:
            found = [
                FoundLine(title, why, "", partial(end, why))
                for why in enquiries.reasons(desk, text, booked=not enquiry)
            ]
            none = FoundLine(title, NO_REASON, "", partial(end, ""))
            return found if text else [*found, none]

        self._place.pick("why", look_up)

    def move(self) -> None:
        """Move jobs to another first day, each as long as it was; each day says what it holds."""
        office, desk = self._office, self._office.desk
        if self._listing.planning:
            self._listing.plan.entered()
            office.say_trouble("← and → move it here, Ctrl ↵ keeps the move.")
            return
        ids = [one.job_id for one in self._listing.chosen if one.state in ("booked", "in work")]
        if not ids:
            office.say_trouble("Only what is booked can be moved to another day.")
            return
        last = desk.today + timedelta(days=4 * 7)
        held = office.read(lambda: load(desk, desk.today, last))

        def line(day: date) -> FoundLine:
            def put(desk: Desk, job: int) -> Changed:
                return booking_jobs.put_days(desk, job, day)

            go: Callable[[], object] = partial(self._each, ids, put, "jobs are moved")
            days = held.days if held is not None else {}
            words = day_words(days[day].booked, days[day].open_minutes) if day in days else ""
            return FoundLine("Move to", weekday_day(day), words, go)

        def look_up(text: str) -> list[FoundLine]:
            if text:
                try:
                    day = read_typed_day(desk, text)
                except Mendable:
                    return []
                return [line(day)] if day is not None else []
            days = held.days if held is not None else {}
            open_days = [day for day, one in days.items() if one.open_minutes]
            return [line(day) for day in open_days[:OFFERED]]

        self._place.pick("to which day: Tue, 14 Aug, +3", look_up)


ENDED_STATES = ("done", "cancelled", "came to nothing")


def day_words(booked: int, open_minutes: int) -> str:
    """What a day holds: `5 h of 8 h booked`."""
    if not open_minutes:
        return f"no working day, {shown_duration(booked)} booked" if booked else "no working day"
    return f"{shown_duration(booked)} of {shown_duration(open_minutes)} booked"
