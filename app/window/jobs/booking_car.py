"""Which vehicle a job is for: those held, or one typed in a line, its words read into fields."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.actions.desk.desk import Changed
from app.actions.people import vehicles
from app.actions.people.as_typed import SHOWN, read_vehicle, vehicle_said
from app.actions.people.customers import CustomerPage
from app.window.house.office import Office
from app.window.house.savedform import SavedForm
from app.window.paper.cells import Cell, TableRow, new_row, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run, RunLine

_TEACHES = "Year, color and plate are read from the words; make and model too, where they are sure."


_SIZES = {"S": "small", "M": "medium", "L": "large", "XL": "extra large"}


def car_rows(page: CustomerPage | None, chosen: int | None) -> list[TableRow]:
    """The vehicles that a customer holds, and a line for a new one."""
    rows = [
        row_of(
            car.vehicle_id,
            Cell(car.title, bold=True, mark="done" if car.vehicle_id == chosen else ""),
            car.plate,
            quiet(_SIZES.get(car.sizes, car.sizes)),
        )
        for car in (page.vehicles if page is not None else ())
        if car.held and not car.archived
    ]
    return [*rows, new_row("a vehicle not in the book yet: year, make, model, color, plate", 3)]


def named_vehicle(fields: Mapping[str, Any]) -> str:
    """A vehicle as an entry names it: `2019 Norvane Skiff, silver, plate GHT 4412`."""
    year = f"{fields['year']} " if fields.get("year") else ""
    plate = f", plate {fields['plate']}" if fields.get("plate") else ""
    return f"{year}{fields['description']}{plate}"


class CarBody(PartsBody):
    """The table; under it, while a vehicle is typed, how it is read; then its fields to change."""

    grown = Signal()  # it needs more room, or less

    def __init__(self, office: Office, cars: EntryTable, row: QWidget) -> None:
        self.office = office
        self._vehicle: int | None = None
        self.words = RunLine(office.theme)
        self.form = SavedForm(office, self._save, columns=len(SHOWN))
        for name, label in SHOWN:
            self.form.line(name, label)
        cars.typing.connect(self._read)
        cars.writing_ended.connect(lambda: self._read(""))
        super().__init__(office.theme, cars, self.words, self.form, row)
        self.show_vehicle(None)

    def show_vehicle(self, number: int | None) -> None:
        """The fields of the chosen vehicle; none while none is."""
        if number != self._vehicle:
            self.form.forget()
        self._vehicle = number
        page = None
        if number is not None:
            page = self.office.read(partial(vehicles.vehicle_page, self.office.desk, number))
        if page is not None:
            self.form.show_values(page.fields)
        self.form.setVisible(page is not None)
        self._read("")

    def _save(self, name: str, value: Any) -> Callable[[], Changed]:
        assert self._vehicle is not None
        return partial(vehicles.edit_vehicle, self.office.desk, self._vehicle, **{name: value})

    def _read(self, typed: str) -> None:
        """Say how the words are read so far."""
        said: tuple[tuple[str, str], ...] = ()
        if typed.strip():
            fields = self.office.read(partial(read_vehicle, self.office.desk, typed))
            said = vehicle_said(fields) if fields is not None else ()
        runs = [Run("read as", "unit", "ink3")] if said else []
        for label, value in said:
            runs += [Run(label.lower(), "unit", "ink3", gap=5), Run(value, "unit_total", "ink")]
        self.words.show_runs(runs or ([Run(_TEACHES, "unit", "ink3")] if typed else []))
        if self.words.isHidden() is bool(typed):
            self.words.setVisible(bool(typed))
            self.grown.emit()
        self.lay()
