"""Packs and prices of a supply: what can be bought from whom, and a further pack below."""

from __future__ import annotations

from collections.abc import Hashable

from PySide6.QtWidgets import QWidget

from app.actions import supplies
from app.actions.supplies import SupplyPage
from app.errors import Mendable
from app.window.cells import Cell, Column, EmptyText, Outcome, State, TableRow
from app.window.entrytable import EntryTable
from app.window.office import Office
from app.window.pack_form import PackForm
from app.window.partsbody import PartsBody
from app.window.strip import Entry


class PacksBody(PartsBody):
    """The entry of a supply's card: its packs with their prices, over the form of a new one."""

    def __init__(self, office: Office) -> None:
        self._office = office
        self.table = EntryTable(
            office.theme,
            (
                Column("label", "Pack", width=0, least=120),
                Column("supplier", "From", width=190, least=120, dense=True),
                Column("code", "Code", width=110, least=70, dense=True),
                Column("each", "Each", width=120, least=80, right=True, dense=True),
                Column("price", "Price", width=100, least=70, right=True),
            ),
        )
        self.form = PackForm(office)
        super().__init__(office.theme, self.table, self.form, focus=self._first)
        self.table.on_commit = self._typed
        self.table.teach_when_empty(
            EmptyText(
                "No pack yet",
                "A pack is a size that a supplier sells, and its price there. "
                "Write the first below, or bring a list in from a spreadsheet.",
            )
        )

    def _first(self) -> QWidget:
        """The first thing to do with packs: write a price over, or add the first."""
        return self.table if self.table.rows else self.form.label

    def show_page(self, page: SupplyPage) -> None:
        """Show a supply's packs."""
        self.form.show_supply(page.supply.supply_id)
        self.table.show_rows(
            [
                TableRow(
                    pack.pack_id,
                    (
                        Cell(pack.label),
                        Cell(pack.supplier, State.QUIET),
                        Cell(pack.code, State.QUIET),
                        Cell(pack.each_text, State.QUIET),
                        Cell(pack.price_text, editable=True),
                    ),
                )
                for pack in page.packs
            ]
        )

    @staticmethod
    def entry(page: SupplyPage) -> Entry:
        """Its line in the card."""
        return Entry(
            "packs",
            "Packs and prices",
            "Type a new price over the old one; a further pack below.",
            result=page.packs[0].label if len(page.packs) == 1 else f"{len(page.packs)} packs",
            state="done" if page.packs else "to come",
        )

    def _typed(self, key: Hashable, _column: str, text: str) -> Outcome:
        assert isinstance(key, int)
        try:
            changed = supplies.set_price(self._office.desk, key, text)
        except Mendable as trouble:
            return Outcome(False, trouble.sentence)
        self._office.note(changed)
        return Outcome()
