"""Booking a job on the page: who, which vehicle, what is sold, when, what else."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QWidget

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed
from app.actions.jobs import booking_jobs, services
from app.actions.jobs.booking_jobs import NewJob
from app.actions.jobs.estimates import Estimate, estimate, lines_of
from app.actions.jobs.job_card import JobCard
from app.actions.people import customers, vehicles
from app.actions.people.as_typed import (
    add_person,
    add_typed_vehicle,
)
from app.calculations.numbers.durations import shown_duration
from app.errors import Mendable
from app.window.house.acting import ask
from app.window.house.office import Office
from app.window.jobs.booking_car import CarBody, car_rows, named_vehicle
from app.window.jobs.booking_days import BookingDays
from app.window.jobs.booking_draft import Booking, booking_blocks, booking_entries
from app.window.jobs.booking_form import day_words
from app.window.jobs.booking_parts import (
    caller_blocks,
    cars_table,
    sold_table,
    who_rows,
    who_table,
)
from app.window.jobs.job_keys import BOOKING_KEYS, SOLD_KEYS, WHEN_KEYS
from app.window.paper.action import ActionRow
from app.window.paper.cells import Cell, State, given_entry, quiet, row_of
from app.window.paper.narrowing import Narrowing
from app.window.paper.notes import Alert, Block, Note
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run
from app.window.paper.strip import Strip

if TYPE_CHECKING:
    from app.window.jobs.booking_when import WhenBody


class NewJobStrip(Strip):
    """Five entries that make one booking."""

    booked = Signal(int)
    left = Signal()
    changed = Signal()  # the margin should speak anew

    def __init__(self, office: Office) -> None:
        super().__init__(office.theme, self._make)
        self.office = office
        self.draft = Booking()
        self.guess: Estimate | None = None
        self._rows: dict[str, ActionRow] = {}
        self.car: CarBody | None = None
        self._asked: object = None  # for which days and hours it was asked
        theme = office.theme
        self.who = who_table(theme, self.add_customer)
        self.filter = Narrowing(
            theme,
            "name, telephone, town or vehicle",
            "Narrow the customers",
            self.who,
            self._list_who,
            on_enter=self._choose_first,
        )
        self.who.row_opened.connect(self._choose_who)
        self.who.add_asked.connect(self.add_customer)
        self.cars = cars_table(theme)
        self.cars.row_opened.connect(self._choose_vehicle)
        self.cars.on_commit = self._write_vehicle
        self.cars.add_asked.connect(self._write_new_vehicle)
        self.sold = sold_table(theme, lambda: office.go("services"))
        self.sold.on_commit = self._write_sold
        self.sold.cell_clicked.connect(lambda key, _column: self._turn_sold(key))
        self.opened.connect(self._entry_opened)
        self.days = BookingDays(office)
        self.days.typed.connect(self._estimate)
        self.days.said.connect(self._day_said)
        self.form = self.days.form
        self._name_entries()

    # building ------------------------------------------------------------------------------
    def _make(self, key: str) -> QWidget:
        theme = self.office.theme
        row = ActionRow(theme, "Book it")
        row.button.clicked.connect(self.book)
        row.set_ready(self.draft.missing)
        self._rows[key] = row
        if key == "who":
            row.show_hints([Run("Add a customer", "unit", key="Ins", on_click=self.add_customer)])
            return PartsBody(theme, self.filter, self.who, row, focus=lambda: self.filter)
        if key == "when":
            when = self.days.make_when(row)
            self._expect()
            return when
        if key == "more":
            more = self.days.more
            return PartsBody(theme, more, row, focus=more.first_field, top=6)
        if key == "vehicle":
            self.car = CarBody(self.office, self.cars, row)
            self.car.grown.connect(self.relay)
            self._show_car()
            return self.car
        return PartsBody(theme, self.sold, row)

    @property
    def when(self) -> WhenBody | None:
        """The body in which a day is found, once it was opened."""
        return self.days.when

    def _day_said(self) -> None:
        self._name_entries()
        self.changed.emit()

    def _expect(self) -> None:
        self.days.expect(tuple(self.draft.sold.items()), self._sizes(), self._minutes)

    @property
    def _minutes(self) -> int:
        return self.guess.minutes if self.guess is not None else 0

    def _show_car(self) -> None:
        if self.car is not None:
            self.car.show_vehicle(self.draft.vehicle[0] if self.draft.vehicle else None)

    def _entry_opened(self, key: str) -> None:
        if key == "when" and self.when is not None:
            self.when.read()

    def heard(self, kinds: frozenset[str]) -> None:
        """The book has changed: what is known of the chosen vehicle, what the days hold."""
        vehicle = self.draft.vehicle
        if "vehicles" in kinds and vehicle is not None:
            page = self.office.read(partial(vehicles.vehicle_page, self.office.desk, vehicle[0]))
            self.draft.vehicle = (
                (vehicle[0], named_vehicle(page.fields)) if page is not None else None
            )
            self._list_cars()
            self._estimate()
        if "jobs" in kinds and self.when is not None:
            self.when.read()

    # beginning -----------------------------------------------------------------------------
    def begin(self, customer: int | None = None, name: str = "") -> None:
        """A fresh booking, for a customer or with the words typed so far."""
        self.draft, self._asked = Booking(), None
        self.days.clear()
        self.filter.setText(name)
        self.filter.at_once()
        self._list_cars()
        self._estimate()
        if customer is not None:
            self._choose_who(customer)
        else:
            self.open("who", still=True)

    def begin_of(self, asked: JobCard) -> None:
        """Make a booking of an enquiry: what it says is filled in."""
        job = asked.job
        self.begin(job.customer_id)
        self.draft.of_enquiry = asked
        self.days.more.title.setText(job.title)
        self.days.more.notes.setText(" ".join(job.notes.split()))
        if job.first_day is not None:
            self.form.first.type_over(day_words(job.first_day))
        if job.vehicle_id is not None:
            self._choose_vehicle(job.vehicle_id)
        self._estimate()

    def keep(self) -> object:
        """All that was said so far, for when the window is built anew."""
        return self.draft, self.days.keep(), self.filter.text(), self.open_key

    def resume(self, kept: object) -> None:
        """Stand as it was kept."""
        assert isinstance(kept, tuple)
        draft, said, words, open_key = kept
        self.begin(name=words)
        self.draft = draft
        self.days.resume(said)
        self._list_cars()
        self._estimate()
        self.open(open_key or "who", still=True)

    @property
    def begun(self) -> bool:
        """Whether anything was chosen or typed that is not booked."""
        return bool(self.draft.customer or self.draft.vehicle or self.written)

    @property
    def written(self) -> bool:
        """Whether more was said than who it is for: what one Esc should not throw away."""
        return bool(self.draft.sold) or self.days.written

    def _list_who(self) -> None:
        rows = self.office.read(partial(who_rows, self.office.desk, self.filter.text()))
        if rows is not None:
            self.who.show_rows(rows)
            self.relay()
            self.changed.emit()

    def _list_cars(self) -> None:
        page = None
        if self.draft.customer is not None:
            page = self.office.read(
                partial(customers.customer_page, self.office.desk, self.draft.customer[0])
            )
        chosen = self.draft.vehicle[0] if self.draft.vehicle else None
        self.cars.show_rows(car_rows(page, chosen))
        if chosen is not None and self.cars.writing is None:
            self.cars.go(chosen)
        self._show_car()
        self.relay()

    def _list_sold(self) -> None:
        desk, sold = self.office.desk, self.draft.sold
        lines = (
            self.office.read(partial(services.list_services, self.office.desk, stopped=False)) or ()
        )
        wanted = [(line.service_id, max(1, sold.get(line.service_id, 0))) for line in lines]
        by_service = {
            one.service_id: one for one in lines_of(desk, wanted, *self._sizes(), self._state())
        }
        rows = []
        for line in lines:
            layers, one = sold.get(line.service_id, 0), by_service[line.service_id]
            rows.append(
                row_of(
                    line.service_id,
                    Cell(line.name, bold=bool(layers), mark="done" if layers else ""),
                    quiet(shown_duration(one.minutes)),
                    Cell(money(desk, one.price), State.PLAIN if layers else State.QUIET),
                    given_entry(str(layers) if layers else "", State.CHANGED),
                )
            )
        self.sold.show_rows(rows)

    # choosing ------------------------------------------------------------------------------
    def _choose_first(self) -> None:
        """The customer with the focus, else the first."""
        first = self.who.rows[0].key if self.who.rows else None
        self._choose_who(self.who.current_key() or first)

    def _choose_who(self, key: Hashable) -> None:
        if not isinstance(key, int):
            return
        page = self.office.read(partial(customers.customer_page, self.office.desk, key))
        if page is None:
            return
        self.draft.customer = (key, page.title)
        self.draft.vehicle = None
        held = [car for car in page.vehicles if car.held and not car.archived]
        if len(held) == 1:
            self.draft.vehicle = (held[0].vehicle_id, held[0].title)
        self._list_cars()
        if held:
            self.cars.go(held[0].vehicle_id)
        self._estimate()
        self.open("sold" if self.draft.vehicle else "vehicle")

    def _choose_vehicle(self, key: Hashable) -> None:
        if not isinstance(key, int):
            self._write_new_vehicle()
            return
        page = self.office.read(partial(vehicles.vehicle_page, self.office.desk, key))
        if page is not None:
            self.draft.vehicle = (key, named_vehicle(page.fields))
            self._list_cars()
            self._estimate()
            self.open("sold")

    def _write_new_vehicle(self) -> None:
        self.cars.write_in("new", "vehicle")

    def _write_vehicle(self, key: Hashable, _column: str, text: str) -> None:
        if key != "new" or not text:
            return
        who, desk = self.draft.customer[0] if self.draft.customer else None, self.office.desk
        changed, number = add_typed_vehicle(desk, who, text)
        self.office.note(changed)
        self.draft.vehicle = (number, text)
        self.heard(changed.kinds)
        self._estimate()
        QTimer.singleShot(0, self, lambda: self.open("sold"))

    def add_customer(self) -> None:
        """Add whoever was typed, with the telephone or mail beside the name."""
        name = " ".join(self.filter.text().split())
        if not name:
            self.office.say_trouble("Type the customer’s name first, then press Ins.")
            self.filter.setFocus()
            return
        draft, add = self.draft, partial(add_person, self.office.desk, name)

        def added(made: tuple[Changed, int]) -> None:
            if self.draft is draft and draft.customer is None:
                self._choose_who(made[1])

        self.office.act_then(add, added, name, ("customer", name))

    def _write_sold(self, key: Hashable, _column: str, text: str) -> None:
        plain = text.strip() or "0"
        if not plain.isdecimal() or int(plain) > 9:
            raise Mendable("a whole number from 0 to 9, please")
        if isinstance(key, int):
            self._sell(key, int(plain))

    def turn(self) -> None:
        """Sell the service with the focus, or not (Space)."""
        if self.open_key == "sold" and self.sold.finish():
            self._turn_sold(self.sold.current_key())

    def _turn_sold(self, key: Hashable) -> None:
        if isinstance(key, int):
            self._sell(key, 0 if self.draft.sold.get(key) else 1)

    def _sell(self, service: int, layers: int) -> None:
        if layers:
            self.draft.sold[service] = layers
        else:
            self.draft.sold.pop(service, None)
        self._estimate()

    # reading what stands -------------------------------------------------------------------
    def _sizes(self) -> tuple[str, str]:
        if self.draft.vehicle is None:
            return "M", "M"
        page = self.office.read(
            partial(vehicles.vehicle_page, self.office.desk, self.draft.vehicle[0])
        )
        if page is None:
            return "M", "M"
        return page.fields["size_outside"], page.fields["size_inside"]

    def _state(self) -> str:
        return self.days.condition

    def _estimate(self) -> None:
        sold, self.guess = tuple(self.draft.sold.items()), None
        if sold:
            self.guess = self.office.read(
                partial(estimate, self.office.desk, sold, *self._sizes(), self._state())
            )
        self._list_sold()
        self._expect()
        self._day_said()

    def _name_entries(self) -> None:
        self.set_entries(booking_entries(self.office.desk, self.draft, self.guess, self.days))
        for row in self._rows.values():
            row.set_ready(self.draft.missing)

    def note(self) -> Note:
        """What the margin says of the booking so far."""
        title = "The estimate" if self.guess else "A new job"
        blocks: list[Block] = []
        if self.open_key == "who" and self.draft.customer is None:
            blocks += caller_blocks(self.office.desk, self.filter.text())
        if self.open_key == "when" and self.when is not None and self.when.days()[0] is not None:
            title, blocks = self.when.note(self.guess)
        else:
            blocks += booking_blocks(self.office.desk, self.draft, self.guess)
        wrong = self.days.wrong
        if wrong is not None:
            blocks = [Alert(wrong.trouble, "wrong"), *blocks]
        keys = {"sold": SOLD_KEYS, "when": WHEN_KEYS}.get(self.open_key, BOOKING_KEYS)
        return Note(title, tuple(blocks), keys)

    # booking -------------------------------------------------------------------------------
    def book(self) -> None:
        """Book what was chosen, as one action."""
        draft = self.draft
        if draft.customer is None and draft.vehicle is None:
            self.open("who")
            self.office.say_trouble("First say who it is for, or which vehicle.")
            return
        wrong = self.days.wrong
        if wrong is not None:
            self.open(self.days.entry_wrong)
            wrong.setFocus()
            self.office.say_trouble(wrong.trouble)
            return
        if self._ask_first():
            return
        told = NewJob(
            customer_id=draft.customer[0] if draft.customer else None,
            vehicle_id=draft.vehicle[0] if draft.vehicle else None,
            services=tuple(draft.sold.items()),
            of_enquiry=draft.of_enquiry.job.job_id if draft.of_enquiry is not None else None,
        )

        new = self.days.said_of(told)

        def booked(made: tuple[Changed, int]) -> None:
            if self.draft is draft:  # else another job is begun here by now
                self.booked.emit(made[1])

        book = partial(booking_jobs.book_job, self.office.desk, new)
        who = draft.customer or draft.vehicle
        self.office.act_then(book, booked, f"job for {who[1] if who else ''}", ("job", id(draft)))

    def _ask_first(self) -> bool:
        """Ask, once for the same days and hours, where a day would hold more than it has."""
        asked, for_these = self.days.question()
        if for_these == self._asked:
            return False
        if asked:
            self._asked = for_these
            self.open("when")
            ask(self.office, f"{asked} Ctrl ↵ books it so.")
        return bool(asked)
