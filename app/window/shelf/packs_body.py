"""Packs and prices of a supply: what can be bought from whom, a further pack, and prices paid."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.actions.desk.amounts import money
from app.actions.orders.supplier_terms import set_breaks
from app.actions.shelf.pack_page import PackOnSale, PackPage, PricePaid, pack_page
from app.actions.shelf.supplies import SupplyPage
from app.actions.stock import supply_facts
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.wording import count_of
from app.window.house.office import Office
from app.window.paper.cells import Cell, Column, EmptyText, Outcome, TableRow, entry, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Block, Note, Rule, Voice
from app.window.paper.partsbody import PartsBody
from app.window.paper.strip import StripEntry
from app.window.shelf.pack_form import PackForm

KEYS = (
    ("0–9", "write a price over"),
    ("→", "its price breaks: 4 at 38.00"),
    ("Tab", "a further pack"),
    ("Esc", "back to the shelf"),
)
_BREAKS_VOICE = (
    "A price break is the price of one pack where so many are ordered at once, such as 4 at 38.00. "
    "Clear it to take it away."
)


class PacksBody(PartsBody):
    """The entry of a supply's card: its packs, the form of a new one, and the prices paid."""

    explained = Signal(object)  # a Note for the margin

    def __init__(self, office: Office) -> None:
        self._office = office
        self._page: PackPage | None = None
        self._name = ""
        self.table = EntryTable(
            office.theme,
            (
                Column("label", "Pack", width=0, least=90),
                Column("supplier", "From", width=160, least=90, dense=True),
                Column("code", "Code", width=96, least=60, dense=True),
                Column("each", "By the unit", width=118, least=80, right=True, dense=True),
                Column("price", "Price", width=84, least=66, right=True),
                Column("breaks", "From so many", width=150, least=96, dense=True, pad=14),
            ),
            empty=EmptyText(
                "No pack yet",
                "A pack is a size that a supplier sells, and its price there. "
                "Write the first below, or bring a list in from a spreadsheet.",
            ),
        )
        self.form = PackForm(office)
        self.paid = EntryTable(
            office.theme,
            (
                Column("day", "Paid on", width=150, least=104, dense=True),
                Column("pack", "Pack", width=0, least=90),
                Column("came", "Came", width=100, least=70, right=True, dense=True),
                Column("supplier", "From", width=160, least=90, dense=True, pad=14),
                Column("price", "Price", width=84, least=66, right=True),
                Column("landed", "With", "freight", width=84, least=66, right=True),
                Column("each", "By the unit", width=118, least=80, right=True, dense=True),
            ),
            rows_from=21,
            rows_to=28,
        )
        super().__init__(office.theme, self.table, self.form, self.paid, focus=self._first)
        self.table.on_commit = self._typed
        self.table.row_entered.connect(lambda *_at: self.explained.emit(self.note()))

    def entered(self) -> None:
        """Set the focus, and say why the pack is taken that is."""
        super().entered()
        self.explained.emit(self.note())

    def _first(self) -> QWidget:
        """The first thing to do with packs: write a price over, or add the first."""
        return self.table if self.table.rows else self.form.label

    def show_page(self, page: SupplyPage) -> None:
        """Show a supply's packs and what was paid for them."""
        self._name = page.supply.name
        self.form.show_supply(page.supply.supply_id)
        office, number = self._office, page.supply.supply_id
        found = office.read(lambda: pack_page(office.desk, office.day, number))
        if found is None:
            return
        self._page = found
        text = partial(money, office.desk)
        self.table.show_rows([_pack_row(one, text(one.pack.price)) for one in found.packs])
        rows = enumerate(found.paid)
        self.paid.show_rows([_paid_row(at, one, text(one.paid.price)) for at, one in rows])
        self.paid.setVisible(bool(found.paid))
        self.lay()

    def entry(self, page: SupplyPage) -> StripEntry:
        """Its line in the card."""
        why = self._page.why if self._page is not None else ()
        return StripEntry(
            "packs",
            "Packs and prices",
            why[0] if why else "Type a new price over the old one; a further pack below.",
            result=page.packs[0].label
            if len(page.packs) == 1
            else count_of(len(page.packs), "pack"),
            state="done" if page.packs else "to come",
        )

    def note(self) -> Note:
        """Why the pack is taken that is, and how price breaks are written."""
        blocks: list[Block] = []
        page = self._page
        if page is not None:
            taken = next((pack for pack in page.packs if pack.taken), None)
            if taken is not None and len(page.packs) > 1:
                blocks.append(Voice(f"Orders take {taken.pack.label} from {taken.supplier}."))
            blocks += [Voice(words) for words in page.why]
        if blocks:
            blocks.append(Rule())
        blocks.append(Voice(_BREAKS_VOICE))
        return Note(self._name, tuple(blocks), KEYS)

    def _typed(self, key: Hashable, column: str, text: str) -> Outcome:
        assert isinstance(key, int)
        write = set_breaks if column == "breaks" else supply_facts.set_price
        return self._office.typed(partial(write, self._office.desk, key, text), text)


def _pack_row(one: PackOnSale, price: str) -> TableRow:
    return row_of(
        one.pack.pack_id,
        Cell(one.pack.label, bold=one.taken),
        quiet(one.supplier),
        quiet(one.pack.code),
        quiet(one.each_text),
        entry(price),
        entry(one.breaks_text, tip=one.breaks_text),
    )


def _paid_row(at: int, one: PricePaid, price: str) -> TableRow:
    return row_of(
        at,
        day_year(one.paid.day),
        one.paid.pack_label,
        quiet(one.came_text),
        quiet(one.paid.supplier),
        price,
        one.landed_text,
        quiet(one.each_text),
    )
