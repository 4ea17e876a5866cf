"""The margin of the Jobs place: the line of the list with the focus, a card's entry, a form."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from app.actions.desk.telephones import shown_phone
from app.actions.jobs import job_card
from app.actions.jobs.job_card import JobCard
from app.actions.jobs.jobs import OwedInvoice
from app.actions.jobs.owed import Habit, habit
from app.window.house.runner import Task
from app.window.jobs.job_keys import CARD_KEYS, ENQUIRY_LIST_KEYS, LIST_KEYS, PART_KEYS
from app.window.jobs.margins import card_note, line_note, list_note
from app.window.jobs.owed_note import owed_note
from app.window.paper.notes import Keys, Note

if TYPE_CHECKING:
    from app.window.jobs.place import JobsPlace


class PlaceMargin:
    """What needs long to be read is read in the background and said when it is there."""

    def __init__(self, place: JobsPlace) -> None:
        self._place = place
        self._asked: Task | None = None

    def explain(self) -> None:
        """Say what is known behind the line, the entry or the form in view."""
        place = self._place
        if place.booking:
            place.margin.say(place.new.note())
        elif place.enquiring:
            place.margin.say(place.enquiry.note())
        elif place.open_job is not None and place.card.card is not None:
            body = place.card.here
            focused = body.focused() if body is not None else None
            keys = CARD_KEYS.get(place.card.open_key, ())
            place.margin.say(
                card_note(place.card.card, place.card.open_key, focused, place.office, keys)
            )
        else:
            self._line()

    def _line(self) -> None:
        """The job with the focus in short; read in the background, for it needs its whole plan."""
        place = self._place
        key, desk = place.listing.current_key(), place.office.desk
        if place.listing.planning:
            place.margin.say(place.listing.plan.note())
            return
        if self._asked is not None:
            self._asked.stop()
            self._asked = None
        found = place.listing.list
        line = next((one for one in found.rows if one.job_id == key), None) if found else None
        invoice = place.listing.invoice_of(key)
        which = place.listing.open_key
        usual = ENQUIRY_LIST_KEYS if which == "enquiries" else LIST_KEYS
        keys = (*PART_KEYS.get(which, ()), *usual)
        if invoice is not None:
            self._invoice(invoice, keys)
            return
        if line is None or not isinstance(key, int):
            place.margin.say(Note("", (), keys))
            return
        place.margin.say(line_note(line, keys))

        def say(card: JobCard) -> None:
            self._asked = None
            here = place.listing.current_key()
            if place.lists and here == card.job.job_id:
                phone = shown_phone(line.phone, desk.settings.region)
                place.margin.say(list_note(card, keys, phone))

        self._asked = place.office.runner.run(
            "a note",
            lambda _task: job_card.job_card(desk, key),
            done=say,
            failed=lambda _sentence: None,
            owner=place,
            quiet=True,
        )

    def _invoice(self, invoice: OwedInvoice, keys: Keys) -> None:
        """How late it is, and how they paid before, which is read in the background."""
        place = self._place
        office, key = place.office, ("invoice", invoice.invoice_id)
        remind = partial(place.owed.statement, "remind")
        place.margin.say(owed_note(invoice, None, office.desk.today, keys, remind))

        def say(found: Habit) -> None:
            self._asked = None
            if place.lists and place.listing.current_key() == key:
                place.margin.say(owed_note(invoice, found, office.desk.today, keys, remind))

        self._asked = office.runner.run(
            "a note",
            lambda _task: habit(office.desk, invoice.invoice_id),
            done=say,
            failed=lambda _sentence: None,
            owner=place,
            quiet=True,
        )
