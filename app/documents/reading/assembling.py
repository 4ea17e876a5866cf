"""From the rows of a recognised table to its lines."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date

from app.documents.reading.dates import read_day
from app.documents.reading.lines import CustomerLine, Line, Source, VehicleLine
from app.documents.reading.meanings import CONTACTS, NAMES
from app.documents.reading.options import Step
from app.documents.reading.people_lines import customer_of, has_vehicle, names_someone, vehicles_of
from app.documents.reading.row import Layout, Row
from app.documents.reading.shelf_lines import supplier_of, supply_of
from app.documents.reading.table_rows import RawRow
from app.documents.reading.work_lines import job_of, layers_of, receipt_of

_MOST_PROBLEMS = 12
_ANYWHERE = Source("")


def lines_of(layout: Layout, rows: Sequence[RawRow], step: Step) -> Iterator[Line]:
    """The lines of a table, row after row."""
    maker = _Maker(layout)
    for raw in rows:
        yield from maker.lines(Row(layout, raw))
        step.on()


class _Maker:
    """Keeps what one row hands down to the next."""

    def __init__(self, layout: Layout) -> None:
        self._layout = layout
        self._above: CustomerLine | None = None
        self._above_row = -1
        self._told: set[object] = set()
        self._day_above: date | None = None

    def lines(self, row: Row) -> list[Line]:
        """The lines of one row, its problems on the first of them."""
        kind = self._layout.kind
        made: list[Line] = []
        if kind == "supply":
            made = [supply_of(row)]
        elif kind == "supplier":
            made = [supplier_of(row)]
        elif kind == "receipt":
            customer = self._person(row)
            made = [*self._new(customer), receipt_of(row, customer)]
        elif kind in ("customer", "vehicle"):
            made = self._people(row)
        elif kind in ("job", "layer"):
            made = self._work(row)
        return _with_problems(made, row)

    def _people(self, row: Row) -> list[Line]:
        customer = self._person(row)
        if customer is None:
            if self._layout.kind == "vehicle" and has_vehicle(row):
                return list(vehicles_of(row, None))
            return [customer_of(row)]
        vehicles = vehicles_of(row, customer)
        told: list[Line] = [customer] if self._layout.kind == "customer" else self._new(customer)
        return [*told, *vehicles] or [customer]

    def _work(self, row: Row) -> list[Line]:
        customer = self._person(row)
        vehicles = vehicles_of(row, customer) if has_vehicle(row) else []
        vehicle = next((line for line in vehicles if not line.unreadable), None)
        made: list[Line] = [*self._new(customer), *self._new(vehicle)]
        for more in vehicles[1:]:
            made.extend(self._new(more))
        if self._layout.kind == "layer":
            return [*made, *layers_of(row, customer, vehicle, None)]
        job = job_of(row, customer, vehicle, self._day(row))
        made.append(job)
        if job.day and self._layout.has("layer.supply"):
            made.extend(layers_of(row, customer, vehicle, job.last_day or job.day))
        return made

    def _day(self, row: Row) -> date | None:
        """The day for a row without one: its section's, or the one above where the list goes on."""
        if row.any("job.day"):
            told, last = row.day("job.day")
            self._day_above = last or told
            return None
        order = self._layout.options.usual_order()
        section = read_day(row.raw.section, order, self._layout.options.today, self._layout.year)
        if row.raw.section and section.day:
            return section.day
        return self._day_above if self._layout.days_go_on else None

    def _person(self, row: Row) -> CustomerLine | None:
        """The customer of a row: its own, or the one above where the list is written so."""
        if names_someone(row) and not self._same_cell_above(row):
            customer = customer_of(row)
            self._above, self._above_row = customer, row.raw.index
            return customer
        if self._above is not None and (self._same_cell_above(row) or self._continues(row)):
            customer = customer_of(row, carried=self._above.name)
            self._above_row = row.raw.index
            return replace(
                customer,
                name=self._above.name,
                is_firm=self._above.is_firm,
                phones=customer.phones or self._above.phones,
                emails=customer.emails or self._above.emails,
            )
        return None

    def _same_cell_above(self, row: Row) -> bool:
        """True for the rows of a last name that is merged down over several vehicles."""
        if self._above is None or row.raw.index != self._above_row + 1:
            return False
        last = row.text("customer.last")
        if not last or row.any("customer.first", "customer.name", "customer.firm", *CONTACTS):
            return False
        return self._above.name.casefold().endswith(last.casefold()) and has_vehicle(row)

    def _continues(self, row: Row) -> bool:
        """True when a row without a name tells more of the one above."""
        if not self._layout.has(*NAMES) or row.raw.index - self._above_row > 3:
            return False
        if self._layout.kind in ("customer", "vehicle"):
            few = row.filled() <= 2
            return has_vehicle(row) or (
                few and row.any(*CONTACTS, "customer.notes", "customer.address")
            )
        if self._layout.kind == "job":
            return self._layout.groups or not row.any("job.day")
        return self._layout.groups

    def _new(self, line: CustomerLine | VehicleLine | None) -> list[Line]:
        """A line that was not told before in this table; one told again is left out."""
        if line is None:
            return []
        told = replace(line, source=_ANYWHERE, problems=())
        if told in self._told:
            return []
        self._told.add(told)
        return [line]


def _with_problems(lines: list[Line], row: Row) -> list[Line]:
    """Put the row's problems on its main line, the last that is not a vehicle out of its notes."""
    if not lines or not row.problems:
        return lines
    of_kind = (index for index, line in enumerate(lines) if line.kind == row.layout.kind)
    main = next(of_kind, len(lines) - 1)
    told = dict.fromkeys((*lines[main].problems, *row.problems))
    lines[main] = replace(lines[main], problems=tuple(told)[:_MOST_PROBLEMS])
    return lines


def hands_down(layout: Layout, rows: Sequence[RawRow]) -> bool:
    """True when a list writes its customer on the first of several rows only."""
    return _on_the_first_only([names_someone(Row(layout, raw)) for raw in rows[:500]])


def days_go_on(layout: Layout, rows: Sequence[RawRow]) -> bool:
    """True when a log writes its day on the first of several rows only."""
    return _on_the_first_only([Row(layout, raw).any("job.day") for raw in rows[:500]])


def _on_the_first_only(said: Sequence[bool]) -> bool:
    """Whether the first row says it and a fifth of all, two at least, do not."""
    return bool(said) and said[0] and said.count(False) >= max(2, len(said) // 5)


def year_in(*texts: str) -> int | None:
    """The one year that a title or a sheet's name speaks of."""
    years = {int(y) for text in texts for y in re.findall(r"(?<!\d)(?:19|20)\d{2}(?!\d)", text)}
    return years.pop() if len(years) == 1 else None
