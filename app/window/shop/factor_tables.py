"""Two tables of factors for the settings: sizes and conditions, and where vehicles live."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import partial

from app.actions.desk.desk import Changed
from app.actions.shop import factors
from app.actions.shop.factors import Factor
from app.window.house.office import Office
from app.window.paper.cells import (
    Cell,
    Column,
    GroupRow,
    Outcome,
    State,
    TableRow,
    entry,
    quiet,
    row_of,
)
from app.window.paper.entrytable import EntryTable

_GROUPS = {
    "size": ("By size", "a medium one is 1"),
    "condition": ("By condition", "an average one is 1"),
}


def _cell(factor: Factor | None) -> Cell:
    """A changed factor stands behind what is usual, struck through."""
    if factor is None:
        return Cell("", State.UNUSED)
    if factor.value == factor.usual:
        return entry(factor.text)
    return Cell(factor.text, State.CHANGED, old=f"{factor.usual:g}", editable=True)


class _FactorTable(EntryTable):
    """Writes a cell by its row's key and column, and shows all anew."""

    columns: tuple[Column, ...]

    def __init__(self, office: Office) -> None:
        super().__init__(office.theme, self.columns, rows_from=24, rows_to=29)
        self.office = office
        self.on_commit = self._typed

    def _typed(self, key: Hashable, column: str, text: str) -> Outcome:
        return self.office.typed(self._write(key, column, text), text)

    def _write(self, key: Hashable, column: str, text: str) -> Callable[[], Changed]:
        raise NotImplementedError


class WorkFactors(_FactorTable):
    """Sizes and conditions."""

    columns = (
        Column("name", "", width=0, least=160),
        Column("supplies", "Supplies", width=150, least=90, right=True),
        Column("hours outside", "Hours", subhead="outside", width=150, least=90, right=True),
        Column("hours inside", "Hours", subhead="inside", width=150, least=90, right=True),
    )

    def show_factors(self) -> None:
        """As they are now."""
        rows: list[TableRow | GroupRow] = []
        group = ""
        for row in factors.work_factors(self.office.desk):
            if row.group != group:
                group = row.group
                rows.append(GroupRow(group, *_GROUPS[group]))
            cells = [_cell(row.factors.get(column)) for column in factors.COLUMNS]
            if group == "condition":  # one number for both, shown once
                cells[2] = quiet("as outside")
            name = "well kept" if row.name == "kept" else row.name
            rows.append(row_of((group, row.name), name, *cells))
        self.show_rows(rows)

    def _write(self, key: Hashable, column: str, text: str) -> Callable[[], Changed]:
        desk = self.office.desk
        rows = factors.work_factors(desk)
        factor = next(one for one in rows if (one.group, one.name) == key).factors[column]
        return partial(factors.set_work_factor, desk, factor.table, factor.key, text)


class PlaceFactors(_FactorTable):
    """Where a vehicle lives, and how it is looked after."""

    columns = (
        Column("name", "", width=0, least=200),
        Column("life", "Of the time", subhead="a layer lasts", width=200, least=110, right=True),
    )

    def show_factors(self) -> None:
        """As they are now."""
        rows: list[TableRow | GroupRow] = []
        asked = ""
        for row in factors.place_factors(self.office.desk):
            if row.question != asked:
                asked = row.question
                rows.append(GroupRow(asked, row.words))
            rows.append(row_of((asked, row.answer), row.answer, _cell(row.factor)))
        self.show_rows(rows)

    def _write(self, key: Hashable, column: str, text: str) -> Callable[[], Changed]:
        assert isinstance(key, tuple)
        question, answer = key
        return partial(factors.set_place_factor, self.office.desk, question, answer, text)
