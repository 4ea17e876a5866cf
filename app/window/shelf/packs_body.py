"""Packs and prices of a supply: what can be bought from whom, another pack, and prices paid."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial

from PySide6.QtCore import Signal

from app.actions.desk.amounts import money
from app.actions.orders.supplier_terms import set_breaks
from app.actions.orders.suppliers import list_suppliers
from app.actions.shelf.pack_page import PackOnSale, PackPage, PricePaid, pack_page
from app.actions.shelf.supplies import SupplyPage
from app.actions.stock import supply_facts
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.wording import count_of
from app.errors import Mendable
from app.window.house.doingform import DoingForm
from app.window.house.office import Office
from app.window.paper.cells import Cell, Column, EmptyText, Outcome, TableRow, entry, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import Choice
from app.window.paper.notes import Block, Note, Rule, Voice
from app.window.paper.partsbody import PartsBody
from app.window.paper.strip import StripEntry
from app.window.shelf.supply_drawings import PriceDrawing, PriceLine

KEYS = (
    ("0–9", "write a price over"),
    ("→", "its price breaks: 4 at 38.00"),
    ("Tab", "another pack"),
    ("Esc", "back to the shelf"),
)
_BREAKS_VOICE = (
    "A price break is the price of one pack where so many are ordered at once, such as 4 at 38.00. "
    "Clear it to take it away."
)


class PackForm(DoingForm):
    """Four fields; Enter in any adds the pack that they tell of, and so does leaving them."""

    def __init__(self, office: Office) -> None:
        super().__init__(office, 4)
        self.supply_id = 0  # none is shown yet
        self.label = self.add_line("Another pack", "1 gal, 3 x 32 oz", on_enter=self.take)
        self.price = self.add_line("Price", "38.00", on_enter=self.take)
        self.supplier = Choice(office.theme)
        self.add("From", self.supplier)
        self.code = self.add_line("Code there", "as on their invoice", on_enter=self.take)

    def show_supply(self, supply_id: int) -> None:
        """Another supply: nothing typed for the last one stays; the suppliers as they are now."""
        chosen = self.supplier.value if supply_id == self.supply_id else None
        known = [(one.name, one.supplier_id) for one in list_suppliers(self._office.desk)]
        self.supplier.set_options([("its usual supplier", None), *known])
        self.supplier.choose(chosen)
        if supply_id != self.supply_id:
            self.supply_id = supply_id
            self.drop()

    def take(self) -> None:
        """Add the pack; what cannot be read stays, with its reason."""
        if self.leave():
            self.label.setFocus()

    def leave(self) -> bool:
        """Add the pack that was typed; False where it cannot be read, and stays."""
        if not any(field.text().strip() for _label, field in self.lines()):
            return True
        label, chosen = self.label.text().strip(), self.supplier.value
        if not label:
            self.refuse(
                self.label, Mendable("Say which pack it is, such as 1 gal; it is not saved yet.")
            )
            return False
        try:
            add = partial(
                supply_facts.add_pack,
                self._office.desk,
                self.supply_id,
                label,
                self.price.text(),
                supplier_id=chosen if isinstance(chosen, int) else None,
                code=self.code.text(),
            )
            changed = self._office.write(add, label)
        except Mendable as trouble:
            self.refuse(self.price if trouble.field == "price" else self.label, trouble)
            return False
        self.empty()
        if changed is not None:
            self._office.note(changed)
        return True


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
                Column("supplier", "From", width=160, least=90, dense=True, aside=1),
                Column("code", "Code", width=96, least=60, dense=True, aside=2),
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
                Column("came", "Came", width=100, least=70, right=True, dense=True, aside=3),
                Column("supplier", "From", width=160, least=90, dense=True, pad=14, aside=1),
                Column("price", "Price", width=84, least=66, right=True),
                Column(
                    "landed", "With", subhead="freight", width=84, least=66, right=True, aside=2
                ),
                Column("each", "By the unit", width=118, least=80, right=True, dense=True),
            ),
            rows_from=24,
            rows_to=28,
        )
        self.prices = PriceDrawing(office.theme)
        self.prices.hide()
        parts = (
            self.table,
            self.form,
            self.prices,
            self.paid,
        )  # first a price, or the label of a first pack
        super().__init__(
            office.theme, *parts, focus=lambda: self.table if self.table.rows else self.form.label
        )
        self.table.on_commit = self._typed
        self.table.row_entered.connect(lambda *_at: self.explained.emit(self.note()))

    def entered(self) -> None:
        """Set the focus, and say why the pack is taken that is."""
        super().entered()
        self.explained.emit(self.note())

    def show_page(self, page: SupplyPage) -> None:
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
        self.prices.show_prices(_price_lines(found))
        self.lay()

    def entry(self, page: SupplyPage) -> StripEntry:
        why = self._page.why if self._page is not None else ()
        return StripEntry(
            "packs",
            "Packs and prices",
            why[0] if why else "Type a new price over the old one; another pack below.",
            result=page.packs[0].label
            if len(page.packs) == 1
            else count_of(len(page.packs), "pack"),
            state="plain" if page.packs else "to come",
        )

    def note(self) -> Note:
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


def _price_lines(page: PackPage) -> list[PriceLine]:
    """Each pack and supplier with its prices by the unit, those bought last first."""
    lines: dict[tuple[str, str], list[PricePaid]] = {}
    for one in sorted(page.paid, key=lambda one: one.paid.day):
        if one.unit_price is not None:
            lines.setdefault((one.paid.pack_label, one.paid.supplier), []).append(one)
    ordered = sorted(lines.items(), key=lambda pair: pair[1][-1].paid.day, reverse=True)
    return [
        PriceLine(
            ", ".join(filter(None, key)),
            tuple((one.paid.day, one.unit_price or 0.0) for one in paid),
            paid[-1].each_text.partition(" ")[0],
        )
        for key, paid in ordered
    ]


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
