"""The Jobs place: the list, a job's card, and booking a job on the page."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property, partial

from PySide6.QtGui import QHideEvent

from app.actions.jobs import job_card
from app.actions.jobs.drift import KEYS as DRIFT_KEYS
from app.actions.jobs.drift import say_why_more
from app.actions.jobs.job_card import JobCard
from app.errors import Mendable
from app.window.bay.plan_keys import MOVE_KEYS, REST_KEYS
from app.window.house.acting import ask, on_book
from app.window.house.office import Office
from app.window.house.place import Place
from app.window.jobs.bodies import CardBody
from app.window.jobs.card import CardStrip
from app.window.jobs.enquiry_form import KEYS as ENQUIRY_KEYS
from app.window.jobs.enquiry_form import EnquiryForm
from app.window.jobs.estimate_body import EstimateBody
from app.window.jobs.job_keys import (
    BOOKING_KEYS,
    CARD_KEYS,
    LIST_KEYS,
    PART_KEYS,
    WHEN_KEYS,
)
from app.window.jobs.list_actions import ListActions
from app.window.jobs.listing import JobsListing
from app.window.jobs.new_job import NewJobStrip
from app.window.jobs.owed_actions import OwedActions
from app.window.jobs.owed_bodies import HeadBody, MoneyBody
from app.window.jobs.place_heads import PlaceHeads
from app.window.jobs.place_margin import PlaceMargin
from app.window.jobs.selling import services_to_sell
from app.window.jobs.which_vehicle import vehicles_to_choose
from app.window.paper.pause import Pause
from app.window.paper.strip import Strip

_ONCE_MORE = "Esc once more leaves the new job without booking it."
_ENQUIRY_ONCE_MORE = "Esc once more leaves the enquiry without noting it."
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
        ("The plan", REST_KEYS),
        ("A job of the plan that is moved", MOVE_KEYS),
        ("What is in work or booked, also several chosen", PART_KEYS["booked"]),
        ("Enquiries, also several chosen", PART_KEYS["enquiries"]),
        ("What is owed, also several chosen", PART_KEYS["owed"]),
        ("A job", tuple(dict.fromkeys(key for keys in CARD_KEYS.values() for key in keys))),
        ("Booking", tuple(dict.fromkeys((*BOOKING_KEYS, *WHEN_KEYS)))),
        ("An enquiry", ENQUIRY_KEYS),
    )

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._open: int | None = None
        self._booking = False
        self._enquiring = False
        self.notes = PlaceMargin(self)
        self.heads = PlaceHeads(self)
        self._pause = Pause(self, NOTE_PAUSE, self.notes.explain)
        self.listing = JobsListing(office)
        self.listing.job_opened.connect(self.open_item)
        self.does = ListActions(self)
        self.owed = OwedActions(self)
        self.listing.add_asked.connect(self._add)
        self.listing.invoice_opened.connect(self.open_invoice)
        self.listing.statement_asked.connect(self.owed.statement)
        self.listing.acted.connect(self.does.act)
        self.listing.ended.connect(self.does.end)
        self.listing.row_entered.connect(lambda _key: self._pause.start())
        self.listing.shown.connect(self.heads.list_shown)
        self.listing.planned.connect(self.heads.plan_shown)
        self.listing.pick_asked.connect(self.pick)
        self.set_body(self.listing, bleeds=True)
        self.on_key("Ins", self._add)
        self.on_key("Space", self._turn)
        self.on_key("Ctrl+Del", self._remove)
        self.on_key("F2", lambda: self._hand_out(mail=False))
        self.on_key("F3", lambda: self._hand_out(mail=True))
        self.on_key("F11", lambda: self._in_entry(lambda body: body.credit()))
        self.on_key("F4", self.sell)
        self.on_key("F5", self._move)
        self.on_key("F6", self._call_off)
        self.on_key("F7", self.begin_enquiry)
        self.on_key("F8", self._estimate)
        self.on_key("F9", self._customer)
        self.on_key("F10", self.owed.who_pays)
        for key in DRIFT_KEYS:
            self.on_key(f"Alt+{key}", partial(self._why_more, key))

    @cached_property
    def card(self) -> CardStrip:
        """The card, made when the first job is opened."""
        card = CardStrip(self.office)
        card.moved.connect(lambda: self._pause.start())
        card.opened.connect(lambda _key: self.notes.explain())
        card.pick_asked.connect(self.pick)
        card.sell_asked.connect(self.sell)
        card.end_asked.connect(self._call_off)
        card.book_asked.connect(self._book_this)
        return card

    @cached_property
    def new(self) -> NewJobStrip:
        """The form in which a job is booked, made with the first booking."""
        new = NewJobStrip(self.office)
        new.changed.connect(self.notes.explain)
        new.opened.connect(lambda _key: self.notes.explain())
        new.booked.connect(self._booked)
        return new

    @cached_property
    def enquiry(self) -> EnquiryForm:
        """The form in which an enquiry is noted, made with the first."""
        form = EnquiryForm(self.office)
        form.changed.connect(self.notes.explain)
        form.noted.connect(self._noted)
        return form

    @property
    def open_job(self) -> int | None:
        """The job whose card is in view."""
        return self._open

    @property
    def booking(self) -> bool:
        """Whether a job is being booked."""
        return self._booking

    @property
    def enquiring(self) -> bool:
        """Whether an enquiry is being noted."""
        return self._enquiring

    @property
    def lists(self) -> bool:
        """Whether the list is in view, and neither a card nor a form."""
        return self._open is None and not self._booking and not self._enquiring

    # what is shown -------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        """Read again what is shown."""
        if self._booking:
            self.new.heard(kinds)
        if self._booking or self._enquiring:
            return  # what was chosen stands in the form, not in the book
        if self._open is not None:
            self._read_card()
        else:
            self.listing.read()

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
        self.heads.card_shown(card)

    def entered(self) -> None:
        """Set the focus where it was."""
        strip = self.body
        if isinstance(strip, Strip):
            enter = getattr(strip.made(strip.open_key), "entered", None)
            if enter is not None:
                enter()
        elif self._enquiring:
            self.enquiry.entered()

    # moving --------------------------------------------------------------------------------
    def open_item(self, item: object) -> None:
        """Open a job's card by id; `("new", customer)` begins a booking for a customer,
        `("enquiry",)` an enquiry, `("part", which)` opens a part of the list, `("paper", job,
        invoice)` a job's money at one of its papers."""
        if isinstance(item, tuple) and item:
            self._begin(*item)
        if not isinstance(item, int):
            return
        self._booking = self._enquiring = False
        self._open = item
        self.set_body(self.card, bleeds=True)
        self._read_card()
        if self._open is not None:
            self.card.open(self.card.open_key or "steps", still=True)

    def _begin(self, what: str, item: object = None, more: object = None) -> None:
        if what == "new":
            self.begin_booking(item if isinstance(item, int) else None)
        elif what == "enquiry":
            self.begin_enquiry()
        elif what == "paper" and isinstance(item, int) and isinstance(more, int):
            self.open_invoice(item, more)
        elif what == "part" and self._unsaved:
            self.office.say_trouble("What is written here is not in the book yet; Esc leaves it.")
        elif what == "part":
            self._show_list()
            self.listing.open(str(item), still=True)

    @property
    def _unsaved(self) -> bool:
        """Whether a form holds what is not in the book."""
        return (self._booking and self.new.written) or (self._enquiring and self.enquiry.written)

    def begin_enquiry(self) -> None:
        """Note an enquiry, with the words typed on the list as a beginning."""
        if self._booking or self._enquiring:
            return
        words = self.listing.part.filter.text() if self._open is None else ""
        self._open, self._enquiring = None, True
        self.set_body(self.enquiry)
        self.heads.enquiry()
        self.enquiry.begin(words)
        self.notes.explain()

    def _noted(self, job_id: int) -> None:
        self._show_list()
        self.listing.widen()
        self.listing.open("enquiries", still=True)
        self.listing.go(job_id)

    def _show_list(self) -> None:
        self._open, self._booking, self._enquiring = None, False, False
        self.set_body(self.listing, bleeds=True)
        self.listing.read()

    def open_invoice(self, job_id: int, invoice_id: int) -> None:
        """Open a job's money at one of its papers."""
        self.open_item(job_id)
        self.card.open("money", still=True)
        body = self.card.body("money")
        if self._open == job_id and isinstance(body, MoneyBody):
            body.table.go(("paper", invoice_id))

    def propose_payment(self, job_id: int) -> None:
        """Open a job's money with what is due filled in, to be confirmed or typed over."""
        self.open_item(job_id)
        if self._open == job_id:
            self.card.open("money", still=True)
            body = self.card.body("money")
            if isinstance(body, MoneyBody):
                body.propose()
                self.say_remaining("Enter takes it; type over it for another sum or way.")

    def begin_booking(self, customer: int | None = None) -> None:
        """Book a job, with the words typed on the list as a beginning."""
        words = "" if self._open is not None else self.listing.part.filter.text()
        self._booking, self._enquiring = True, False
        self._open = None
        self.set_body(self.new, bleeds=True)
        self.new.begin(customer, words)
        self.heads.booking()

    def book_enquiry(self, asked: JobCard) -> None:
        """Book the job that was asked for: what was said is filled in, its day is chosen."""
        self.begin_booking()
        self.new.begin_of(asked)
        self.heads.booking()

    def _book_this(self) -> None:
        if self.card.card is not None:
            self.book_enquiry(self.card.card)

    def _booked(self, job_id: int) -> None:
        self._booking = False
        self.open_item(job_id)

    def back(self) -> bool:
        """From a card or a form to the list; from a narrowed list to the whole one."""
        if self._enquiring:
            if self.enquiry.written and self.office.trouble != _ENQUIRY_ONCE_MORE:
                self.office.say_trouble(_ENQUIRY_ONCE_MORE)
                return True
            self.office.turn_page()
            self._show_list()
            self.entered()
            return True
        if self._booking and self.new.days.put_back():
            return True
        if self._booking or self._open is not None:
            if self._booking and self.new.written and self.office.trouble != _ONCE_MORE:
                self.office.say_trouble(_ONCE_MORE)
                return True
            if self._booking and self.new.begun:
                self.office.say_trouble("The new job was left without booking it.")
            left = self._open
            self._show_list()
            if left is not None:
                self.listing.go(left)
            else:
                self.entered()
            return True
        return self.listing.widen()

    def hideEvent(self, event: QHideEvent) -> None:
        """Another place is opened: a job that is not booked yet says so, and waits here."""
        if not self.window().isVisible() or self.office.trouble:
            return
        if self._booking and self.new.begun:
            ask(self.office, "The new job is not booked yet. It waits on Jobs.")
        elif self._enquiring and self.enquiry.written:
            ask(self.office, "The enquiry is not noted yet. It waits on Jobs.")
        elif self.listing.planning and self.listing.plan.trying is not None:
            ask(self.office, "A job is moved and not kept yet. It waits on Jobs.")

    def keep(self) -> object:
        """The open job and its entry, the part of the list and its words, or what a form says."""
        form = self.new if self._booking else self.enquiry if self._enquiring else None
        said = form.keep() if form is not None else None
        entry = self.card.open_key if self._open is not None else ""
        words = self.listing.part.filter.text()
        return self._open, entry, self.listing.open_key, words, self._booking, said

    def resume(self, kept: object) -> None:
        """Go back there."""
        if isinstance(kept, tuple):
            job, entry, part, words, booking, said = kept
            self.listing.open(part or "work", still=True)
            self.listing.part.filter.setText(words)
            if said is not None and booking:
                self.begin_booking()
                self.new.resume(said)
                self.heads.booking()
            elif said is not None:
                self.begin_enquiry()
                self.enquiry.resume(said)
            elif job is not None:
                self._open = job
                self.set_body(self.card, bleeds=True)
                self._read_card()
                self.card.open(entry or "steps", still=True)

    # keys ----------------------------------------------------------------------------------
    def primary(self) -> None:
        """Book; or the action of the open entry of the card."""
        if self._booking:
            self.new.book()
        elif self._enquiring:
            self.enquiry.note_it()
        elif self._open is None and self.listing.planning:
            self.listing.plan.primary()
        elif self._open is None:
            self.does.act(self.listing.open_key)
        elif self.card.here is not None:
            self.card.here.primary()

    def _add(self) -> None:
        if self._booking:
            if self.new.open_key == "who":
                self.new.add_customer()
        elif self.lists and self.listing.open_key == "enquiries":
            self.begin_enquiry()
        elif self.lists:
            self.begin_booking()
        elif self._open is not None and self.card.here is not None:
            self.card.here.add()

    def _turn(self) -> None:
        if self._booking:
            self.new.turn()
        elif self._open is not None and self.card.here is not None:
            self.card.here.turn()

    def _why_more(self, key: str) -> None:
        """Note why the open job came to more than its estimate."""
        if self._open is not None:
            on_book(self.office, say_why_more, self._open, DRIFT_KEYS[key])

    def _remove(self) -> None:
        if self._open is not None and self.card.here is not None:
            self.card.here.remove()

    def _hand_out(self, *, mail: bool) -> None:
        """Of a card its paper. Of the list: invoices, or the reminder of what is owed."""
        if not self.lists:
            self._in_entry(lambda body: body.hand_out(mail=mail))
        else:
            self.owed.hand_out(mail=mail)

    def sell(self) -> None:
        """Choose a service and sell it on the open job; of what is owed, its statement."""
        if self.lists and self.owed.here:
            self.owed.statement()
        elif self._open is not None:
            self.pick("a service", services_to_sell(self.office, self.card, self._open))

    def _move(self) -> None:
        """Of the list: other days for what is chosen. Of a card: another vehicle."""
        card = self.card.card if self._open is not None else None
        if self.lists:
            (self.owed.promised if self.owed.here else self.does.move)()
        elif card is not None and card.job.state == "done":
            self.office.say_trouble("This job is done; its vehicle stands.")
        elif card is not None:
            look_up = vehicles_to_choose(self.office, card.job)
            self.pick("which vehicle, or a new one", look_up)

    def _call_off(self) -> None:
        if self.lists:
            (self.owed.dispute if self.owed.here else self.does.end)()
        elif self._open is not None and self.card.card is not None:
            job = self.card.card.job
            body = self.card.body("notes")
            if job.state == "enquiry":
                self.does.ask_why([job.job_id], enquiry=True)
            elif isinstance(body, HeadBody):
                body.call_off()

    def _estimate(self) -> None:
        """The estimate of the job with the focus; it is made, prefilled, where there is none."""
        key = self._open if not self.lists else self.listing.current_key()
        if self._booking or self._enquiring or not isinstance(key, int):
            return
        if self._open is None:
            self.open_item(key)
        self.card.open("estimate", still=True)
        body = self.card.body("estimate")
        if isinstance(body, EstimateBody):
            body.begin()

    def _in_entry(self, do: Callable[[CardBody], object]) -> None:
        body = self.card.here if self._open is not None else None
        if body is not None:
            do(body)

    def _customer(self) -> None:
        card = self.card.card if self._open is not None else None
        if card is not None and card.job.customer_id is not None:
            self.office.go("customers", card.job.customer_id)
