"""The Customers place: a list that is filtered by typing, and a card for each customer."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import cached_property, partial

from PySide6.QtWidgets import QApplication

from app.actions.desk.desk import Changed
from app.actions.jobs.job_changes import cancel_job
from app.actions.people import customers, tidying, vehicles
from app.actions.people.as_typed import add_person
from app.actions.people.customers import CustomerPage, HeldVehicle
from app.actions.people.left_bookings import LeftOpen, keep_for, left_open
from app.calculations.numbers.wording import capital
from app.window.house.acting import ask, in_background, on_book
from app.window.house.office import Office
from app.window.house.place import Place
from app.window.house.runner import Task
from app.window.house.same_thing import KEYS as TIDY_KEYS
from app.window.house.same_thing import pick_another, pick_the_same
from app.window.paper.action import ActionRow
from app.window.paper.cells import EmptyText, TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.narrowing import Narrowing
from app.window.paper.notes import Alert, Block, Note, Offer, Rule, Voice
from app.window.paper.partsbody import PartsBody
from app.window.paper.pause import Pause
from app.window.people.customer_card import CustomerCard
from app.window.people.customer_in_short import in_short, vehicle_in_short
from app.window.people.customer_keys import CARD_KEYS, LEFT_KEYS, LIST_KEYS
from app.window.people.customer_rows import COLUMNS, listed
from app.window.people.judging_table import JUDGE_KEYS

SCREENFUL = 40
NOTE_PAUSE = 60  # ms without moving before the margin explains a line
_AT = frozenset({"judge", "vehicle", "letter"})  # where a card may be opened at


class CustomersPlace(Place):
    """List and card; Enter opens, Esc goes back."""

    shows_money = True
    shows = frozenset({"customers", "vehicles", "jobs", "money", "layers", "reminders", "days"})
    keys = (
        ("The list", LIST_KEYS),
        ("What is left on a vehicle", JUDGE_KEYS),
        (
            "What they agreed to",
            (("F4", "write a consent down"), ("F11", "the one with the focus was withdrawn")),
        ),
        ("A customer", (*CARD_KEYS, ("F10", "the vehicle in view was sold"))),
        ("A customer, or the vehicle in view", TIDY_KEYS),
        ("Work booked for who has died, or on what was sold", LEFT_KEYS),
    )

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._open: int | None = None
        self._page: CustomerPage | None = None
        self._told = ""  # the words by which the list was read
        self._most = customers.LIMIT  # of them, how many
        self._whole = 0  # how many there are
        self._rest: Task | None = None  # reads what the first screenful leaves out
        self._asked: Task | None = None  # reads what the margin says
        self._to_go: int | None = None  # of whom F12 asked in the list
        self._wanted: Hashable | None = None  # the row to go to when it is read
        self._pause = Pause(self, NOTE_PAUSE, self._explain)
        self.table = EntryTable(office.theme, COLUMNS)
        self.table.row_entered.connect(lambda _key, _column: self._pause.start())
        self.table.row_opened.connect(self._open_row)
        self.table.more_asked.connect(self._read_on)
        self.table.add_asked.connect(self.add)
        self.filter = Narrowing(
            office.theme,
            "name, number, town or vehicle",
            "Narrow the list",
            self.table,
            self._read_list,
        )
        self.filter.follow()
        self.row = ActionRow(office.theme, "Add a customer", "Ins")
        self.row.button.clicked.connect(self.add)
        self._list = PartsBody(office.theme, self.filter, self.table, self.row, top=10, fill=True)
        self.set_body(self._list)
        self.on_key("Ins", self.add)  # also while the name is being typed
        self.on_key("F3", lambda: self._open is not None and self.card.choose_payer(self.pick))
        self.on_key("F7", self._what_is_kept)
        self.on_key("F9", self._stop)
        self.on_key("F10", self._sold)
        self.on_key("F5", self.same)
        self.on_key("F12", self.remove)
        self.on_key("F6", self._call_off)
        self.on_key("F8", self._keep_for)
        self.on_key("F4", lambda: self._consent(self.card.consents.give))
        self.on_key("F11", lambda: self._consent(self.card.consents.withdraw))

    @cached_property
    def card(self) -> CustomerCard:
        """The card, made when the first customer is opened."""
        card = CustomerCard(self.office)
        card.vehicle_entered.connect(self._explain_vehicle)
        card.judging.explained.connect(self._explain_left)
        card.opened.connect(lambda _key: self._explain_card())
        return card

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        """Read the card that is open, else the list."""
        if self._open is None:
            self._read_list()
        else:
            self._read_card()

    def _read_list(self) -> None:
        if self._open is not None:
            return  # the words were typed just before a card was opened
        text, desk = self.filter.text(), self.office.desk
        if self._rest is not None:
            self._rest.drop()
            self._rest = None
        if self._told != text:
            self._most = customers.LIMIT
        if self._told != text or len(self.table.rows) <= SCREENFUL:
            found = self.office.read(lambda: listed(desk, text, SCREENFUL))
            if found is None:
                return
            self._show_list(text, found)
            if len(found[0]) == found[1]:
                return
        # A long list stands until it is read anew: its place and the row in view stay.
        self._read_rest()

    def _read_on(self, all_of_it: bool) -> None:
        """More customers: the next ones, or all where they are to be sorted."""
        self._most = self._whole if all_of_it else self._most + customers.LIMIT
        self._read_rest()

    def _read_rest(self) -> None:
        text, desk, most = self.filter.text(), self.office.desk, self._most
        self._rest = in_background(
            self.office,
            self,
            "Reading the customers",
            lambda: listed(desk, text, most),
            partial(self._show_rest, text),
            quiet=True,
        )

    def _show_rest(self, text: str, found: tuple[list[TableRow], int]) -> None:
        self._rest = None
        if self._open is None and self.filter.text() == text:
            self._show_list(text, found)

    def _show_list(self, text: str, found: tuple[list[TableRow], int]) -> None:
        rows, whole = found
        self._told, self._whole = text, whole
        self.say_remaining("")
        self.table.teach_when_empty(self._nobody(bool(text.strip())))
        self.table.show_rows(rows)
        if self._wanted is not None and self.table.go(self._wanted):
            self._wanted = None
        self.table.expect_more(len(rows) < whole and len(rows) >= customers.LIMIT)
        shown = min(whole, self._most)
        words = f"{shown:,} of {whole:,}" if shown < whole else f"{whole:,} in the book"
        self.set_head("Customers", "by name", words, money=False)
        self._pause.start()

    def _nobody(self, narrowed: bool) -> EmptyText:
        if narrowed:
            return EmptyText(
                "Nobody of that name",
                "No customer, number or vehicle holds these words. "
                "Shorten them, or add the customer.",
                "Esc",
                "Show all again",
                self.back,
            )
        return EmptyText(
            "No customer yet",
            "Add the first by name; anything else can wait until you know it. "
            "A whole list comes in faster from a spreadsheet.",
            "Ins",
            "Add a customer",
            self.add,
        )

    def _read_card(self) -> None:
        number = self._open
        assert number is not None
        page = self.office.read(partial(customers.customer_page, self.office.desk, number))
        if page is None:
            self.back()
            return
        self._page = page
        self.card.show_page(page)
        fact = "has died" if page.deceased else "no reminders" if page.stopped_on else ""
        fact = "archived" if page.archived else fact
        self.set_head(page.title, page.subtitle, fact, italic=True)
        self._explain_card()

    def entered(self) -> None:
        focus = QApplication.focusWidget()
        if self._open is None:
            self.table.setFocus()
        elif focus is None or not self.isAncestorOf(focus):  # the finder was left
            self.card.open(self.card.open_key or "vehicles", still=True)

    # moving --------------------------------------------------------------------------------
    def open_item(self, item: object) -> None:
        what, vehicle = "", 0  # or the number of a letter
        if isinstance(item, tuple) and len(item) == 3 and item[0] in _AT:
            what, item, vehicle = item
        if isinstance(item, int):
            self._open = item
            self.set_body(self.card, bleeds=True)
            self._read_card()
            if self._open is not None and what == "judge":
                self.card.judge(vehicle)
            elif self._open is not None and what == "vehicle":
                self.card.go_to_vehicle(vehicle)
            elif self._open is not None and what == "letter":
                self.card.go_to_letter(vehicle)
            elif self._open is not None:
                self.card.open(self.card.open_key or "vehicles", still=True)

    def _open_row(self, key: Hashable) -> None:
        if isinstance(key, int):
            self.open_item(key)

    def back(self) -> bool:
        """From the card to the list, from a narrowed list to the whole one."""
        if self._open is None:
            narrowed = bool(self.filter.text())
            self.filter.clear()
            self.table.setFocus()
            return narrowed
        left = self._open
        self._open = self._page = None
        self.set_body(self._list)
        self._read_list()
        self._wanted = None if self.table.go(left) else left
        self.table.setFocus()
        return True

    def keep(self) -> object:
        entry = self.card.open_key if self._open is not None else ""
        return self._open, self.filter.text(), entry

    def resume(self, kept: object) -> None:
        if isinstance(kept, tuple):
            self.filter.setText(kept[1])
            if kept[0] is not None:
                self.open_item(kept[0])
                self.card.open(kept[2] or "vehicles", still=True)

    # the margin ----------------------------------------------------------------------------
    def _explain(self) -> None:
        """The customer with the focus in short; what is on their vehicles takes long to read."""
        if self._open is not None:
            return
        key, desk = self.table.current_key(), self.office.desk
        if self._asked is not None:
            self._asked.drop()
            self._asked = None
        if not isinstance(key, int):
            self.margin.say(Note("", (), LIST_KEYS))
            return

        def say(page: CustomerPage) -> None:
            self._asked = None
            if self._open is None and self.table.current_key() == page.customer_id:
                blocks = in_short(page, f"amounts in {desk.settings.currency}")
                self.margin.say(Note(page.title, tuple(blocks), LIST_KEYS))

        read = partial(customers.customer_page, desk, key)
        self._asked = in_background(self.office, self, "a note", read, say, quiet=True)

    def _explain_card(self) -> None:
        page = self._page
        if page is None:
            return
        vehicle = self.card.vehicle
        if self.card.open_key == "left":
            self.card.judging.explain()
            return
        if self.card.open_key == "vehicles" and vehicle is not None:
            self._explain_vehicle(vehicle)
            return
        letter = self.card.letters.note(CARD_KEYS) if self.card.open_key == "letters" else None
        if letter is not None:
            self.margin.say(letter)
            return
        blocks = [*self._left_blocks(), *in_short(page)]
        self.margin.say(Note(page.title, tuple(blocks), CARD_KEYS))

    def _left_blocks(self) -> list[Block]:
        """What is booked with nobody to bring the vehicle any more, and the two ways out."""
        left, blocks = self._left(), list[Block]()
        if left.bookings:
            words = ", ".join(one.words for one in left.bookings[:3])
            blocks += [
                Alert("Still booked", "look"),
                Voice(f"{capital(words)}: whoever booked it will not bring the vehicle."),
                Offer("F6", "Call it off", self._call_off),
                Offer("F8", "Keep it for the new owner", self._keep_for),
                Rule(),
            ]
        if words := " ".join(filter(None, (left.under_way, left.money, left.by_hand))):
            blocks += [Alert("Still open", "look"), Voice(words), Rule()]
        return blocks

    def _left(self) -> LeftOpen:
        ids = [] if self._open is None else [self._open]
        return self.office.read(lambda: left_open(self.office.desk, ids)) or LeftOpen()

    def _explain_left(self, note: Note) -> None:
        if self._open is not None and self.card.open_key == "left":
            self.margin.say(note)

    def _explain_vehicle(self, vehicle: HeldVehicle | None) -> None:
        if vehicle is None:
            return
        number, desk = vehicle.vehicle_id, self.office.desk
        page = self.office.read(partial(vehicles.vehicle_page, desk, number))
        if page is None:
            return
        blocks = [*self._left_blocks(), *vehicle_in_short(vehicle, page)]
        if vehicle.held:
            blocks += [Rule(), Offer("F10", "It was sold", self._sold)]
        self.margin.say(Note(vehicle.title, tuple(blocks), CARD_KEYS))

    # doing ---------------------------------------------------------------------------------
    def primary(self) -> None:
        if self._open is None:
            self.add()
        else:
            self.card.add_vehicle()

    def add(self) -> None:
        """A new customer from the words that found nobody, ready to be written."""
        if self._open is not None:
            self.card.add_vehicle()
            return
        words = self.filter.text().strip()
        add = partial(add_person, self.office.desk, words or "New customer")
        added = partial(self._added, named=bool(words))
        self.office.act_then(add, added, words or "a new customer", ("customer", words))

    def _added(self, made: tuple[Changed, int], *, named: bool) -> None:
        if self.isVisible() and self._open is None:
            self.filter.clear()
            self.open_item(made[1])
            self.card.write_name(anew=not named)

    def _stop(self) -> None:
        page = self._page
        if page is not None:
            today, stopped = self.office.desk.today, page.stopped_on is None
            on_book(self.office, customers.stop, page.customer_id, today, stopped=stopped)

    def _what_is_kept(self) -> None:
        if self._open is not None:
            self.office.go("person", self._open)

    def _subject(self) -> tuple[str, int] | None:
        """What is removed or put together: the vehicle in view, else the customer."""
        vehicle = self.card.vehicle
        if self._open is None:
            key = self.table.current_key()
            return ("customer", key) if isinstance(key, int) else None
        if self.card.open_key == "vehicles" and vehicle is not None:
            return "vehicle", vehicle.vehicle_id
        return "customer", self._open

    @property
    def card_open(self) -> bool:
        """Whether one of them is in view, and not the list of all."""
        return self._open is not None

    def same(self) -> None:
        """Put what is in view together with another that is the same."""
        subject = self._subject()
        if subject is not None:
            kind, number = subject
            merge = tidying.merge_vehicles if kind == "vehicle" else customers.merge_customers
            pick_the_same(
                self, kind, number, lambda other: on_book(self.office, merge, number, other)
            )

    def remove(self) -> None:
        """Remove what has no history, archive what has, bring back what is archived."""
        subject, page, vehicle = self._subject(), self._page, self.card.vehicle
        if subject is None:
            return
        kind, number = subject
        if kind == "vehicle":
            if vehicle is not None and vehicle.archived:
                on_book(self.office, tidying.archive_vehicle, number, on=False)
            else:
                on_book(self.office, tidying.remove_vehicle, number)
        elif page is not None and page.archived:
            on_book(self.office, tidying.archive_customer, number, on=False)
        elif self._open is not None or self._is_meant(number):
            if self._open is not None:
                self.back()  # the card would have nobody to show
            on_book(self.office, tidying.remove_customer, number)

    def _is_meant(self, number: int) -> bool:
        """Whether F12 in the list was pressed again for the same row; else it is asked.

        Whoever pressed it twice on a card is in the list by then, at somebody else's row.
        """
        names = {row.key: row.cells[0].text for row in self.table.rows if isinstance(row, TableRow)}
        asked = f"{names[number]} is to go? F12 again removes or archives them."
        if (self._to_go, self.office.question) == (number, asked):
            return True
        self._to_go = number
        ask(self.office, asked)
        return False

    def _consent(self, do: Callable[[], None]) -> None:
        if self._open is not None and self.card.open_key == "consent":
            do()

    def _call_off(self) -> None:
        for one in self._left().bookings:
            on_book(self.office, cancel_job, one.job_id)

    def _keep_for(self) -> None:
        """Find the new owner by typing; the booked work and the vehicle are theirs then."""
        jobs = tuple(one.job_id for one in self._left().bookings)
        if jobs:
            pick_another(
                self,
                "customer",
                self._open or 0,
                "who holds it now",
                "Keep it for",
                lambda other: on_book(self.office, keep_for, jobs, other),
            )

    def _sold(self) -> None:
        vehicle = self.card.vehicle
        if self._open is not None and vehicle is not None and vehicle.held:
            on_book(self.office, vehicles.sold, vehicle.vehicle_id, self.office.desk.today)
