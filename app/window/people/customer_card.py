"""A customer's card: how to reach them, their vehicles, what was done; entries of a strip."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import partial
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.actions.desk.desk import Changed, Desk
from app.actions.desk.telephones import shown_phone
from app.actions.people import customers, vehicles
from app.actions.people.customers import CustomerPage, HeldVehicle
from app.calculations.layers.exposure import FACTORS
from app.calculations.numbers.dates import day_year, near
from app.calculations.numbers.money import shown_money
from app.calculations.numbers.months import month_words
from app.calculations.numbers.wording import count_of
from app.records.queries.people import HistoryRow
from app.window.house.office import Office
from app.window.house.savedform import SavedForm
from app.window.house.who_pays import payers_to_choose
from app.window.paper.action import ActionRow
from app.window.paper.cells import Cell, Column, EmptyText, State, TableRow, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.finder import FoundLine
from app.window.paper.partsbody import PartsBody
from app.window.paper.strip import Strip, StripEntry
from app.window.people.consent_table import BY_TEXT, REACHED_BY, ConsentBody
from app.window.people.judging_table import JudgingTable, LeftBody
from app.window.people.letters_body import LettersBody

SIZE_WORDS = [("small", "S"), ("medium", "M"), ("large", "L"), ("extra large", "XL")]
SIZES_DECIDE = "Sizes and where they stand decide what a job takes and how long layers last."


class CustomerCard(Strip):
    """The strip of one customer."""

    vehicle_entered = Signal(object)  # HeldVehicle or None

    def __init__(self, office: Office) -> None:
        super().__init__(office.theme, self._make)
        self._office = office
        self._page: CustomerPage | None = None
        self._vehicle: int | None = None
        self._who = self._who_form()
        self._cars = EntryTable(
            office.theme,
            (
                Column("vehicle", "Vehicle", width=190, least=120),
                Column("plate", "Plate", width=92, least=60),
                Column("size", "Size", width=60, least=40, aside=2),
                Column("layers", "What protects it", width=0, least=160, dense=True),
                Column("span", "Held", width=130, least=90, dense=True, aside=1),
            ),
            empty=EmptyText(
                "No vehicle yet",
                "A few words are enough to begin with, such as “blue wagon”. "
                "Plate and size can follow when it is here.",
                "Ins",
                "Add a vehicle",
                self.add_vehicle,
            ),
        )
        self._cars.row_entered.connect(self._car_entered)
        self._cars.add_asked.connect(self.add_vehicle)
        self._car = self._car_form()
        self.letters = LettersBody(office, lambda: self.opened.emit("letters"))
        self.judging = JudgingTable(office)
        self.consents = ConsentBody(office)
        self._history = EntryTable(
            office.theme,
            (
                Column("number", "Job", width=64, least=50),
                Column("day", "Day", width=118, least=90, dense=True),
                Column("vehicle", "Vehicle", width=150, least=100, dense=True),
                Column("services", "Services", width=0, least=140, dense=True),
                Column("net", "Earned", width=86, least=60, right=True),
                Column("due", "Owed", width=80, least=60, right=True),
            ),
            empty=EmptyText(
                "Nothing was done yet",
                "Jobs for this customer appear here with what they earned. "
                "Book the first one on the Jobs page.",
                "Ctrl 2",
                "Go to the jobs",
                lambda: office.go("jobs"),
            ),
        )
        self._history.row_opened.connect(partial(office.go, "jobs"))
        self._add_row = ActionRow(office.theme, "Add a vehicle", "Ins")
        self._add_row.button.clicked.connect(self.add_vehicle)

    # building ------------------------------------------------------------------------------
    def _make(self, key: str) -> QWidget:
        if key == "who":
            return PartsBody(self._office.theme, self._who, focus=self._who.first_field)
        if key == "vehicles":
            return PartsBody(self._office.theme, self._cars, self._car, self._add_row)
        if key == "consent":
            return self.consents
        if key == "letters":
            return self.letters
        if key == "left":
            return LeftBody(self._office, self.judging)
        return PartsBody(self._office.theme, self._history)

    def _who_form(self) -> SavedForm:
        form = SavedForm(self._office, self._save_who)
        form.line("name", "Name")
        form.line("phone", "Telephone")
        form.line("email", "Mail")
        form.line("street", "Street")
        form.line("city", "Town")
        form.line("postal_code", "Postal code")
        asked_by = [("no wish", ""), *REACHED_BY, BY_TEXT]
        form.choice("asks_by", "Likes to be asked by", asked_by)
        form.line("household", "Household", "one message for all of it")
        form.tick("may_remind", "Reminders", "may be reminded")
        form.line("season_title", "Wishes to hear", "before salt")
        form.line("season_months", "in the months", "Oct, Nov; any when empty")
        form.tick("deceased", "Silent for ever", "has died")
        form.line("tax_exempt_no", "Tax exemption number")
        form.line("tax_exempt_until", "Certificate good until", "no end")
        form.line("terms_days", "Their invoices are due after, days", "as Settings say")
        form.line("notes", "Notes", span=3)
        return form

    def _car_form(self) -> SavedForm:
        form = SavedForm(self._office, self._save_car, columns=4)
        form.line("description", "In a few words", span=2)
        form.line("year", "Year")
        form.line("plate", "Plate")
        form.line("make", "Make")
        form.line("model", "Model")
        form.line("color", "Color")
        form.choice("size_outside", "Size outside", SIZE_WORDS)
        form.choice("size_inside", "Size inside", SIZE_WORDS)
        for question, label in (("stands", "Parked"), ("washed", "Washed")):
            form.choice(question, label, _answers(question))
        form.choice("distance", "In a year", _answers("distance"))
        form.choice("kept_here", "Kept up here", _answers("kept_here"))
        for answer in FACTORS["around"]:
            form.tick(f"around {answer}", "Around it", answer)
        form.line("lease_ends", "Lease ends", "no lease")
        form.line("stored_until", "Stored until", "not stored")
        form.line("notes", "Notes", span=2)
        return form

    # showing -------------------------------------------------------------------------------
    def show_page(self, page: CustomerPage) -> None:
        """Show a customer; the vehicle that was looked at stays in view."""
        if self._page is None or self._page.customer_id != page.customer_id:
            self._who.forget()
            self._car.forget()
            self._vehicle = None
        self._page = page
        region = self._office.desk.settings.region
        phone = shown_phone(page.fields["phone"], region)
        months = month_words(page.fields["season_months"] or [])
        until, days = page.fields["tax_exempt_until"], page.fields["terms_days"]
        told = {"phone": phone, "season_months": months, "deceased": page.deceased,
                "tax_exempt_until": day_year(until) if until else "",
                "terms_days": "" if days is None else str(days)}  # fmt: skip
        self._who.show_values({**page.fields, **told})
        self.consents.show_customer(page.customer_id)
        self.letters.show_letters(page.letters)
        self._cars.show_rows([_car_row(car) for car in page.vehicles])
        if self._vehicle is not None:
            self._cars.go(self._vehicle)
        self._show_car()
        self._history.show_rows([self._job_row(job, page) for job in page.history])
        self._show_entries(page)

    def _job_row(self, job: HistoryRow, page: CustomerPage) -> TableRow:
        desk, services = self._office.desk, ", ".join(job.services)
        due = page.due.get(job.job_id)
        return row_of(
            job.job_id,
            f"{job.number:04d}",
            near(job.day, desk.today) if job.day else "no day yet",
            Cell(job.vehicle, tip=job.vehicle),
            Cell(services, tip=services),
            shown_money(job.net, desk.settings.currency),
            Cell(shown_money(due, desk.settings.currency), State.LOOK) if due else "",
        )

    def _show_entries(self, page: CustomerPage) -> None:
        held = sum(car.held for car in page.vehicles)
        jobs = count_of(len(page.history), "job") if page.history else "nothing yet"
        left, judging = self.vehicle, self.judging
        self.set_entries(
            [
                StripEntry(key, title, subtitle, result, state="done" if done else "to come")
                for key, title, subtitle, result, done in (
                    ("who", "Who, and how to reach them", "", page.subtitle, True),
                    (
                        "vehicles",
                        "Vehicles",
                        SIZES_DECIDE,
                        f"{held} held" if page.vehicles else "none yet",
                        page.vehicles,
                    ),
                    (
                        "left",
                        f"What is left on the {left.title}" if left else "What is left",
                        "Seen from above, its sides folded out.",
                        judging.judged_words,
                        judging.judged,
                    ),
                    (
                        "consent",
                        "What they agreed to",
                        "Withdrawing one ends that one; F9 ends all reminders.",
                        self.consents.words,
                        page.fields["may_remind"],
                    ),
                    ("history", "What was done", "", jobs, page.history),
                    (
                        "letters",
                        "What was written to them",
                        "",
                        count_of(len(page.letters), "letter") if page.letters else "nothing yet",
                        page.letters,
                    ),
                )
            ]
        )

    @property
    def vehicle(self) -> HeldVehicle | None:
        found = self._page.vehicles if self._page else ()
        return next((car for car in found if car.vehicle_id == self._vehicle), None)

    def go_to_vehicle(self, vehicle_id: int) -> None:
        self.open("vehicles", still=True)
        self._cars.go(vehicle_id)

    def go_to_letter(self, reminder_id: int) -> None:
        self.open("letters", still=True)
        self.letters.table.go(reminder_id)

    def judge(self, vehicle_id: int) -> None:
        """Open what is left on one of the vehicles, ready to be judged."""
        self._vehicle = vehicle_id
        self._cars.go(vehicle_id)
        self._show_car()
        if self._page is not None:
            self._show_entries(self._page)
        self.open("left", still=True)

    def write_name(self, *, anew: bool = False) -> None:
        """Set the cursor into the name; `anew` has what is typed stand in its place."""
        self.open("who", still=True)
        self._who.focus("name", select=anew)

    def _car_entered(self, key: Hashable, _column: str) -> None:
        if isinstance(key, int) and key != self._vehicle:
            self._vehicle = key
            self._car.forget()
            self._show_car()
            if self._page is not None:
                self._show_entries(self._page)
            self.vehicle_entered.emit(self.vehicle)

    def _show_car(self) -> None:
        vehicle = self._vehicle
        if vehicle is None and self._page and self._page.vehicles:
            vehicle = self._vehicle = self._page.vehicles[0].vehicle_id
        self.judging.show_vehicle(vehicle)
        if vehicle is not None:
            desk = self._office.desk
            found = self._office.read(partial(vehicles.vehicle_page, desk, vehicle))
            if found is not None:
                self._car.show_values(_car_values(found.fields))
        body = self.body("vehicles")  # a form that lies nowhere yet would be shown as a window
        assert isinstance(body, PartsBody)
        self._car.setVisible(vehicle is not None)
        self.relay()
        body.lay()

    # changing ------------------------------------------------------------------------------
    def _save_who(self, key: str, value: Any) -> Callable[[], Changed]:
        assert self._page is not None
        desk, customer = self._office.desk, self._page.customer_id
        if key == "deceased":
            return partial(customers.deceased, desk, customer, dead=value)
        return partial(customers.edit_customer, desk, customer, **{key: value})

    def choose_payer(
        self, pick: Callable[[str, Callable[[str], list[FoundLine]]], object]
    ) -> object:
        """Find who pays for the customer in view."""
        if self._page is None:
            return None
        customer = self._page.customer_id

        def put(desk: Desk, payer: int | None) -> Changed:
            return customers.edit_customer(desk, customer, payer_id=payer)

        look_up = payers_to_choose(self._office, put, "They pay for themselves")
        return pick("who pays for them", look_up)

    def _save_car(self, key: str, value: Any) -> Callable[[], Changed]:
        assert self._vehicle is not None
        return partial(_save_car, self._office.desk, self._vehicle, key, value)

    def add_vehicle(self) -> None:
        """A new vehicle, ready for its words to be written."""
        if self._page is None:
            return
        customer, add = self._page.customer_id, vehicles.add_vehicle

        def added(made: tuple[Changed, int]) -> None:
            if self.isVisible() and self._page is not None and self._page.customer_id == customer:
                self.go_to_vehicle(made[1])
                self._car.focus("description", select=True)

        do = partial(add, self._office.desk, customer, description="new vehicle")
        self._office.act_then(do, added, "a new vehicle", ("vehicle of", customer))


_DAYS = ("lease_ends", "stored_until")


def _answers(question: str) -> list[tuple[str, object]]:
    return [("not asked", ""), *((answer, answer) for answer in FACTORS[question])]


def _car_values(fields: dict[str, Any]) -> dict[str, Any]:
    answers = fields["exposure"] or {}
    days = {day: day_year(fields[day]) if fields[day] else "" for day in _DAYS}
    values = {**fields, **days, **{question: answers.get(question, "") for question in FACTORS}}
    around = answers.get("around", [])
    values.update({f"around {answer}": answer in around for answer in FACTORS["around"]})
    return values


def _car_row(car: HeldVehicle) -> TableRow:
    layers = ", ".join(layer.layer for layer in car.layers)
    state = State.PLAIN if car.held else State.CLOSED
    return row_of(
        car.vehicle_id,
        Cell(car.title, state, bold=car.held, tip=car.title),
        Cell(car.plate, state),
        Cell(car.sizes, state),
        quiet(layers or ("nothing known" if car.held else ""), tip=layers),
        quiet(car.span),
    )


def _save_car(desk: Desk, vehicle: int, key: str, value: Any) -> Changed:
    if key not in FACTORS and not key.startswith("around "):
        return vehicles.edit_vehicle(desk, vehicle, **{key: value})
    answers = dict(vehicles.vehicle_page(desk, vehicle).fields["exposure"] or {})
    if key.startswith("around "):
        answer = key.removeprefix("around ")
        chosen = [one for one in answers.get("around", []) if one != answer]
        answers["around"] = [*chosen, answer] if value else chosen
    elif value:
        answers[key] = value
    else:
        answers.pop(key, None)
    return vehicles.edit_vehicle(desk, vehicle, exposure=answers)
