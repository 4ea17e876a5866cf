"""The rows of the list of customers."""

from __future__ import annotations

from app.actions.desk.desk import Desk
from app.actions.desk.telephones import shown_phone
from app.actions.people import customers
from app.calculations.numbers.dates import near
from app.records.queries.people import CustomerRow
from app.window.paper.cells import Cell, Column, TableRow, quiet, row_of

COLUMNS = (
    Column("name", "Customer", width=220, least=140, yields=4),
    Column("vehicles", "Vehicles", width=0, least=140, dense=True),
    Column("city", "Town", width=120, least=80, dense=True, aside=1),
    Column("phone", "Telephone", width=130, least=100, dense=True),
    Column("jobs", "Jobs", width=52, least=40, right=True, aside=2),
    Column("last", "Last here", width=116, least=90, dense=True, aside=3),
)


def listed(desk: Desk, text: str, limit: int) -> tuple[list[TableRow], int]:
    """The first customers as rows, and how many there are in all."""
    rows, whole = customers.list_customers(desk, text, limit)
    return [_row(row, desk) for row in rows], whole


def _row(row: CustomerRow, desk: Desk) -> TableRow:
    held = ", ".join(row.vehicles)
    silent = "no reminders" if row.stopped or not row.may_remind else ""
    silent = "archived" if row.archived_on else silent
    phone = shown_phone(row.phone, desk.settings.region)
    return row_of(
        row.id,
        Cell(row.name, bold=True, detail="deceased" if row.deceased else silent, tip=row.name),
        quiet(held, tip=held),
        quiet(row.city),
        quiet(phone),
        f"{row.jobs:,}" if row.jobs else "",
        quiet(near(row.last_visit, desk.today) if row.last_visit else "", order=row.last_visit),
    )
