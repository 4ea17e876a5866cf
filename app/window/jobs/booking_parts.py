"""The parts of the booking page: its tables, and the form for days and what else is known."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime

from app.actions.desk.typed_days import read_promise, read_typed_day
from app.errors import Mendable
from app.window.house.office import Office
from app.window.jobs.owed_bodies import CONDITIONS
from app.window.paper.cells import Column, EmptyText
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import Choice, Form, LineField, Tick
from app.window.paper.theme import Theme


def who_table(theme: Theme, add: Callable[[], object]) -> EntryTable:
    """The customers to choose from."""
    table = EntryTable(
        theme,
        (
            Column("name", "Customer", width=230, least=140),
            Column("vehicles", "Vehicles", width=0, least=140, dense=True),
            Column("city", "Town", width=120, least=70, dense=True),
            Column("last", "Last here", width=130, least=84, dense=True),
        ),
        rows_from=25,
        rows_to=32,
    )
    table.teach_when_empty(
        EmptyText(
            "Nobody of that name yet",
            "Add the customer under the words you typed; telephone and the rest can follow.",
            "Ins",
            "Add the customer",
            add,
        )
    )
    return table


def cars_table(theme: Theme) -> EntryTable:
    """The chosen customer's vehicles, and a line for a new one."""
    return EntryTable(
        theme,
        (
            Column("vehicle", "Vehicle", width=0, least=200),
            Column("plate", "Plate", width=110, least=70),
            Column("size", "Size", width=180, least=80, dense=True),
        ),
        rows_from=25,
        rows_to=32,
    )


def sold_table(theme: Theme, to_services: Callable[[], object]) -> EntryTable:
    """The services, each with how many layers of it are sold."""
    table = EntryTable(
        theme,
        (
            Column("service", "Service", width=0, least=200),
            Column("minutes", "Takes", "this vehicle", width=110, least=80, right=True),
            Column("price", "Price", "before tax", width=110, least=80, right=True),
            Column("sold", "Sold", "layers", width=90, least=70, right=True),
        ),
        rows_from=25,
        rows_to=32,
    )
    table.teach_when_empty(
        EmptyText(
            "No service is on your list yet",
            "A job can be booked without one. Services with their times, prices and recipes "
            "are written under Services and recipes.",
            "Ctrl K",
            "Go to Services and recipes",
            to_services,
        )
    )
    return table


class WhenForm(Form):
    """Days, promise, condition and words; all of it can wait."""

    def __init__(self, office: Office) -> None:
        theme = office.theme
        super().__init__(theme, 4)
        self._office = office
        self.first = LineField(theme, "", "Tue, 14 Aug, +3")
        self.last = LineField(theme, "", "as long as it takes")
        self.promised = LineField(theme, "", "Fri 17:00")
        self.condition = Choice(theme, CONDITIONS)
        self.condition.choose("average")
        self.title = LineField(theme, "", "only where no service says it")
        self.enquiry = Tick(theme, "only an enquiry yet")
        self.notes = LineField(theme, "", "marks seen, keys, what was agreed")
        self.days = (self.first, self.last, self.promised)
        self.add("First day", self.first)
        self.add("Last day", self.last)
        self.add("Promised for", self.promised)
        self.add("Condition", self.condition)
        self.add("Called", self.title, span=3)
        self.add("State", self.enquiry)
        self.add("Notes", self.notes, span=4)

    def clear(self) -> None:
        """As for a fresh booking."""
        for line in (*self.days, self.title, self.notes):
            line.clear()
            line.set_trouble("")
        self.condition.choose("average")
        self.enquiry.setChecked(False)

    def read(self) -> tuple[date | None, date | None, datetime | None]:
        """First day, last day and promise; a field that cannot be read is marked and left out."""
        first = last = None
        promised = None
        desk = self._office.desk
        for line in self.days:
            try:
                if line is self.first:
                    first = read_typed_day(desk, line.text())
                elif line is self.last:
                    last = read_typed_day(desk, line.text(), first)
                else:
                    promised = read_promise(desk, line.text(), last or first)
                line.set_trouble("")
            except Mendable as trouble:
                line.set_trouble(trouble.sentence)
        return first, last, promised

    def wrong(self) -> LineField | None:
        """The first field that cannot be read."""
        return next((line for line in self.days if line.trouble), None)
