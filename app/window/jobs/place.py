"""The Jobs place: the list, a job's card, and booking a job on the page."""

from __future__ import annotations

from functools import cached_property, partial

from PySide6.QtGui import QHideEvent

from app.actions.desk.amounts import money
from app.actions.jobs import booking_jobs, job_card, services
from app.actions.jobs.job_card import JobCard
from app.actions.jobs.jobs import JobList
from app.calculations.numbers.durations import shown_duration
from app.errors import Mendable
from app.window.house.acting import on_book
from app.window.house.office import Office
from app.window.house.place import Place
from app.window.house.runner import Task
from app.window.jobs.card import CardStrip
from app.window.jobs.listing import JobsListing
from app.window.jobs.margins import card_note, line_note, list_note
from app.window.jobs.new_job import KEYS as NEW_KEYS
from app.window.jobs.new_job import NewJobStrip
from app.window.jobs.owed_bodies import HeadBody
from app.window.paper.finder import FoundLine
from app.window.paper.notes import Note
from app.window.paper.pause import Pause
from app.window.paper.runs import Run
from app.window.paper.strip import Strip

LIST_KEYS = (
    ("A–Z", "narrow the list"),
    ("↵", "open the job"),
    ("Ins", "book a job"),
    ("Alt 1–5", "another part"),
)
CARD_KEYS = {
    "steps": (
        ("Space", "done, or later"),
        ("0–Z", "not done, because"),
        ("Ins", "another step"),
        ("Esc", "back to the list"),
    ),
    "supplies": (
        ("↑ ↓", "next supply"),
        ("Ctrl ↵", "to the day sheet"),
        ("F4", "add a service"),
        ("Esc", "back to the list"),
    ),
    "hours": (
        ("↵", "open that day"),
        ("Ctrl ↵", "to the day sheet"),
        ("Alt ↑↓", "next entry"),
        ("Esc", "back to the list"),
    ),
    "money": (
        ("0–9", "write over it"),
        ("Ins", "another charge"),
        ("Ctrl Del", "take a charge out"),
        ("Esc", "back to the list"),
    ),
    "notes": (
        ("Tab", "next field"),
        ("F6", "call it off"),
        ("F9", "open the customer"),
        ("Esc", "back to the list"),
    ),
}
_ONCE_MORE = "Esc once more leaves the new job without booking it."
NOTE_PAUSE = 60  # ms without moving before the margin explains a line


class JobsPlace(Place):
    """List, card and booking; Enter opens, Ins books, Esc goes back."""

    shows_money = True
    shows = frozenset(
        {"jobs", "hours", "uses", "money", "customers", "vehicles", "services", "supplies"}
        | {"days", "layers", "settings"}
    )
    keys = (
        ("The list", LIST_KEYS),
        ("A job", tuple(dict.fromkeys(key for keys in CARD_KEYS.values() for key in keys))),
        ("Booking", NEW_KEYS),
    )

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._open: int | None = None
        self._booking = False
        self._asked: Task | None = None
        self._pause = Pause(self, NOTE_PAUSE, self._explain)
        self.listing = JobsListing(office)
        self.listing.job_opened.connect(self.open_item)
        self.listing.add_asked.connect(self.begin_booking)
        self.listing.row_entered.connect(lambda _key: self._pause.start())
        self.listing.shown.connect(self._list_shown)
        self.set_body(self.listing, bleeds=True)
        self.listing.open("work", still=True)
        self.on_key("Ins", self._add)
        self.on_key("Space", self._turn)
        self.on_key("Ctrl+Del", self._remove)
        self.on_key("F4", self.sell)
        self.on_key("F6", self._call_off)
        self.on_key("F9", self._customer)

    @cached_property
    def card(self) -> CardStrip:
        """The card, made when the first job is opened."""
        card = CardStrip(self.office)
        card.moved.connect(lambda: self._pause.start())
        card.opened.connect(lambda _key: self._explain())
        card.pick_asked.connect(self.pick)
        card.sell_asked.connect(self.sell)
        return card

    @cached_property
    def new(self) -> NewJobStrip:
        """The form in which a job is booked, made with the first booking."""
        new = NewJobStrip(self.office)
        new.changed.connect(self._explain)
        new.opened.connect(lambda _key: self._explain())
        new.booked.connect(self._booked)
        return new

    # what is shown -------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        """Read again what is shown."""
        if self._booking:
            return  # what was chosen stands in the form, not in the book
        if self._open is not None:
            self._read_card()
        else:
            self.listing.read()

    def _list_shown(self, found: JobList) -> None:
        if self._open is None and not self._booking:
            self.set_head("Jobs", "by what remains of them", [Run(found.sentence)])
            self.say_remaining("")
            self._explain()

    def _read_card(self) -> None:
        number = self._open
        assert number is not None
        try:
            card = job_card.job_card(self.office.desk, number)
        except Mendable:  # its booking was undone
            self._open = None
            self.set_body(self.listing, bleeds=True)
            self.listing.read()
            return
        self.card.show_card(card)
        who = ", ".join(part for part in (card.job.customer, card.job.vehicle, card.plate) if part)
        self.set_head(f"Job {card.job.number_text}", who, [Run(_fact(card))])
        left = sum(step.state == "to do" for step in card.steps)
        steps = "One step" if left == 1 else f"{left} steps"
        self.say_remaining(f"{steps} to go." if left and card.job.state != "done" else "")
        self._explain()

    def entered(self) -> None:
        """Set the focus where it was."""
        strip = self.body
        if isinstance(strip, Strip):
            enter = getattr(strip.made(strip.open_key), "entered", None)
            if enter is not None:
                enter()

    # moving --------------------------------------------------------------------------------
    def open_item(self, item: object) -> None:
        """Open a job's card by id; `("new", customer)` begins a booking for a customer."""
        if isinstance(item, tuple) and item and item[0] == "new":
            self.begin_booking(item[1])
            return
        if not isinstance(item, int):
            return
        self._booking = False
        self._open = item
        self.set_body(self.card, bleeds=True)
        self._read_card()
        if self._open is not None:
            self.card.open(self.card.open_key or "steps", still=True)

    def begin_booking(self, customer: int | None = None) -> None:
        """Book a job, with the words typed on the list as a beginning."""
        words = "" if self._open is not None else self.listing.part.filter.text()
        self._booking = True
        self._open = None
        self.set_body(self.new, bleeds=True)
        self.set_head("A new job", "four entries, of which one is needed", "")
        self.say_remaining("Nothing is in the book until you book it.")
        self.new.begin(customer, words)
        self._explain()

    def _booked(self, job_id: int) -> None:
        self._booking = False
        self.open_item(job_id)

    def back(self) -> bool:
        """From a card or a booking to the list; from a narrowed list to the whole one."""
        if self._booking or self._open is not None:
            if self._booking and self.new.written and self.office.trouble != _ONCE_MORE:
                self.office.say_trouble(_ONCE_MORE)
                return True
            if self._booking and self.new.begun:
                self.office.say_trouble("The new job was left without booking it.")
            left = self._open
            self._booking, self._open = False, None
            self.set_body(self.listing, bleeds=True)
            self.listing.read()
            if left is not None:
                self.listing.go(left)
            else:
                self.entered()
            return True
        return self.listing.widen()

    def hideEvent(self, event: QHideEvent) -> None:
        """Another place is opened: a job that is not booked yet says so, and waits here."""
        if self._booking and self.new.begun and self.window().isVisible():
            self.office.say_trouble("The new job is not booked yet. It waits on Jobs.")

    def keep(self) -> object:
        """The open job, the part of the list, and the words that narrow it."""
        return self._open, self.listing.open_key, self.listing.part.filter.text()

    def resume(self, kept: object) -> None:
        """Go back there."""
        if isinstance(kept, tuple):
            self.listing.open(kept[1] or "work", still=True)
            self.listing.part.filter.setText(kept[2])
            if kept[0] is not None:
                self._open = kept[0]
                self.set_body(self.card, bleeds=True)
                self._read_card()
                self.card.open("steps", still=True)

    # keys ----------------------------------------------------------------------------------
    def primary(self) -> None:
        """Book; or the action of the open entry of the card."""
        if self._booking:
            self.new.book()
        elif self._open is None:
            self.begin_booking()
        elif self.card.here is not None:
            self.card.here.primary()

    def _add(self) -> None:
        if self._booking:
            if self.new.open_key == "who":
                self.new.add_customer()
        elif self._open is None:
            self.begin_booking()
        elif self.card.here is not None:
            self.card.here.add()

    def _turn(self) -> None:
        if self._booking:
            self.new.turn()
        elif self._open is not None and self.card.here is not None:
            self.card.here.turn()

    def _remove(self) -> None:
        if self._open is not None and self.card.here is not None:
            self.card.here.remove()

    def sell(self) -> None:
        """Choose a service and sell it on the open job."""
        number, office, desk = self._open, self.office, self.office.desk
        if number is None:
            return

        def put(service: int) -> None:
            on_book(office, booking_jobs.sell, number, service)

        def drop(service: int) -> None:
            on_book(office, booking_jobs.drop_service, number, service)

        def look_up(text: str) -> list[FoundLine]:
            low = text.lower()
            card = self.card.card
            on = {one.service_id for one in card.services} if card is not None else set()
            lines = [
                FoundLine(
                    "Add",
                    line.name,
                    f"{shown_duration(line.minutes)}, {money(desk, line.price)} for a medium car",
                    partial(put, line.service_id),
                )
                for line in services.list_services(desk, stopped=False)
                if low in line.name.lower() and line.service_id not in on
            ]
            lines += [
                FoundLine(
                    "Take off",
                    one.name,
                    "with its charge and steps to do",
                    partial(drop, one.service_id),
                )
                for one in (card.services if card is not None else ())
                if low in one.name.lower()
            ]
            return lines

        self.pick("a service", look_up)

    def _call_off(self) -> None:
        if self._open is not None:
            body = self.card.body("notes")
            if isinstance(body, HeadBody):
                body.call_off()

    def _customer(self) -> None:
        card = self.card.card if self._open is not None else None
        if card is not None and card.job.customer_id is not None:
            self.office.go("customers", card.job.customer_id)

    # the margin ----------------------------------------------------------------------------
    def _explain(self) -> None:
        if self._booking:
            self.margin.say(self.new.note())
        elif self._open is not None and self.card.card is not None:
            body = self.card.here
            focused = body.focused() if body is not None else None
            keys = CARD_KEYS.get(self.card.open_key, ())
            self.margin.say(
                card_note(self.card.card, self.card.open_key, focused, self.office, keys)
            )
        else:
            self._explain_line()

    def _explain_line(self) -> None:
        """The job with the focus in short; read in the background, for it needs its whole plan."""
        key, desk = self.listing.part.table.current_key(), self.office.desk
        if self._asked is not None:
            self._asked.stop()
            self._asked = None
        found = self.listing.list
        line = next((one for one in found.rows if one.job_id == key), None) if found else None
        if line is None or not isinstance(key, int):
            self.margin.say(Note("", (), LIST_KEYS))
            return
        self.margin.say(line_note(line, LIST_KEYS))

        def say(card: JobCard) -> None:
            self._asked = None
            here = self.listing.part.table.current_key()
            if self._open is None and not self._booking and here == card.job.job_id:
                self.margin.say(list_note(card, LIST_KEYS))

        self._asked = self.office.runner.run(
            "a note",
            lambda _task: job_card.job_card(desk, key),
            done=say,
            failed=lambda _sentence: None,
            owner=self,
            quiet=True,
        )


def _fact(card: JobCard) -> str:
    if card.job.state == "done":
        return f"done, {card.when_text}"
    if card.job.state == "cancelled":
        return "called off"
    if card.job.state == "enquiry":
        return f"enquiry, {card.when_text}"
    return card.promised_text or card.when_text
