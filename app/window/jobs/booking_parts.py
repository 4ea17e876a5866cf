"""The tables of the booking page."""

from __future__ import annotations

from collections.abc import Callable

from app.actions.desk.desk import Desk
from app.actions.people import customers
from app.actions.people.as_typed import (
    person_fields,
    reached_words,
    read_person,
    who_it_may_be,
)
from app.calculations.numbers.dates import near
from app.window.paper.cells import Cell, Column, EmptyText, TableRow, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Block, Rule, known
from app.window.paper.theme import Theme


def who_table(theme: Theme, add: Callable[[], object]) -> EntryTable:
    """The customers to choose from."""
    return EntryTable(
        theme,
        (
            Column("name", "Customer", width=230, least=140),
            Column("vehicles", "Vehicles", width=0, least=140, dense=True),
            Column("city", "Town", width=120, least=70, dense=True, aside=1),
            Column("last", "Last here", width=130, least=84, dense=True, aside=2),
        ),
        empty=EmptyText(
            "Nobody of that name yet",
            "Add the customer under the words you typed. A telephone or mail beside the name is "
            "read too; the rest can follow.",
            "Ins",
            "Add the customer",
            add,
        ),
    )


def who_rows(desk: Desk, text: str) -> list[TableRow]:
    """The customers that words find; where a number finds nobody yet, who has the name."""
    rows = customers.list_customers(desk, text, 100)[0]
    person = read_person(desk, text)
    if not rows and person.reachable:
        rows = who_it_may_be(desk, person)
    return [
        row_of(
            row.id,
            Cell(row.name, bold=True, detail="archived" if row.archived_on else "", tip=row.name),
            quiet(cars := ", ".join(row.vehicles), tip=cars),
            quiet(row.city),
            quiet(near(row.last_visit, desk.today) if row.last_visit else ""),
        )
        for row in rows
    ]


def caller_blocks(desk: Desk, text: str) -> list[Block]:
    """How a name with a number or an address beside it is read."""
    person = read_person(desk, text)
    if not person.reachable:
        return []
    name = str(person_fields(person)["name"])
    return [known(("Name", name), ("Reached by", reached_words(desk, person))), Rule()]


def cars_table(theme: Theme) -> EntryTable:
    """The chosen customer's vehicles, and a line for a new one."""
    return EntryTable(
        theme,
        (
            Column("vehicle", "Vehicle", width=0, least=200),
            Column("plate", "Plate", width=110, least=70),
            Column("size", "Size", width=180, least=80, dense=True, aside=1),
        ),
    )


def sold_table(theme: Theme, to_services: Callable[[], object]) -> EntryTable:
    """The services, each with how many layers of it are sold."""
    return EntryTable(
        theme,
        (
            Column("service", "Service", width=0, least=200),
            Column("minutes", "Takes", subhead="this vehicle", width=110, least=80, right=True),
            Column("price", "Price", subhead="before tax", width=110, least=80, right=True),
            Column("sold", "Times", subhead="or coats", width=90, least=70, right=True),
        ),
        empty=EmptyText(
            "No service is on your list yet",
            "A job can be booked without one. Services with their times, prices and recipes "
            "are written under Services and recipes.",
            "Ctrl K",
            "Go to Services and recipes",
            to_services,
        ),
    )
