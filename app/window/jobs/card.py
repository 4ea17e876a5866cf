"""A job's card: five numbered entries of one strip."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.actions.jobs.job_card import JobCard
from app.window.house.office import Office
from app.window.jobs.bodies import CardBody, HoursBody, StepsBody, SuppliesBody
from app.window.jobs.owed_bodies import HeadBody, MoneyBody
from app.window.paper.strip import Strip, StripEntry

TITLES = {
    "steps": ("Steps", "Space says done or later; type a reason where one was not done."),
    "supplies": ("Supplies", "What the day sheets booked, beside what was expected."),
    "hours": ("Hours", "Written on the day sheets."),
    "money": ("Money", "Type over words, rates and amounts."),
    "notes": ("Notes and days", "Every field is saved when you leave it."),
}
_MADE: dict[str, Callable[[CardStrip], CardBody]] = {
    "steps": StepsBody,
    "supplies": SuppliesBody,
    "hours": HoursBody,
    "money": MoneyBody,
    "notes": HeadBody,
}


class CardStrip(Strip):
    """The strip of one job. Its bodies are given each new reading of the card."""

    moved = Signal()  # another row has the focus
    pick_asked = Signal(str, object)  # a hint, and what finds the lines to choose from
    sell_asked = Signal()
    book_asked = Signal()  # the enquiry becomes a booking
    end_asked = Signal()  # it is called off, or came to nothing

    def __init__(self, office: Office) -> None:
        super().__init__(office.theme, self._make)
        self.office = office
        self.card: JobCard | None = None

    def _make(self, key: str) -> QWidget:
        body = _MADE[key](self)
        if self.card is not None:
            body.show_card(self.card)
        return body

    @property
    def here(self) -> CardBody | None:
        """The open entry's body."""
        body = self.made(self.open_key)
        return body if isinstance(body, CardBody) else None

    def show_card(self, card: JobCard) -> None:
        """Show a job, or the same job as it stands now."""
        other = self.card is None or self.card.job.job_id != card.job.job_id
        self.card = card
        for key in TITLES:
            body = self.made(key)
            if isinstance(body, CardBody):
                if other:
                    body.forget()
                body.show_card(card)
        self.set_entries([StripEntry(key, *TITLES[key], *card.stations[key]) for key in TITLES])
