"""Suppliers: whom the shop buys from, on what terms, and how long deliveries really took."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from PySide6.QtWidgets import QWidget

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import numbered
from app.actions.orders import supplier_page, suppliers
from app.actions.orders.supplier_page import SupplierPage
from app.actions.orders.supplier_terms import DAY_KINDS, shown_day
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.weekdays import weekdays_text
from app.calculations.numbers.wording import count_of
from app.window.house.entriespage import EntriesPage
from app.window.house.office import Office
from app.window.house.savedform import SavedForm
from app.window.orders.announced_body import AnnouncedBody
from app.window.paper.action import ActionRow
from app.window.paper.cells import Cell, Column, EmptyText, new_row, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Block, Note, Rule, Voice, known
from app.window.paper.partsbody import PartsBody

if TYPE_CHECKING:
    from app.records.queries.orders import OrderRow
    from app.records.queries.stock import SupplierRow
    from app.records.queries.terms import DateRow

KEYS = {
    "list": (
        ("Ins", "another supplier"),
        ("↵", "its terms"),
        ("Alt 3", "its announced days"),
        ("Alt 4", "its orders"),
        ("Esc", "back"),
    ),
    "terms": (
        ("Tab", "next field"),
        ("Alt 1", "the suppliers"),
        ("Alt 3", "its announced days"),
        ("Alt 4", "its orders"),
        ("Esc", "the suppliers"),
    ),
    "days": (
        ("↵", "write a day over"),
        ("Y", "each year, or once"),
        ("Del", "forget these days"),
        ("Tab", "more days"),
        ("Esc", "the suppliers"),
    ),
    "orders": (
        ("↑ ↓", "an order"),
        ("Alt 1", "the suppliers"),
        ("Alt 2", "its terms"),
        ("Esc", "the suppliers"),
    ),
}


class SuppliersPage(EntriesPage):
    """Four entries: the suppliers, then terms, announced days and orders of one of them."""

    entries: ClassVar = {
        "list": ("Suppliers", "Whom the shop buys from."),
        "terms": ("Terms", "Every field is saved when you leave it."),
        "days": ("Announced days", "Sales, and cold stops in which nothing is sent that freezes."),
        "orders": ("Orders so far", "Days from order to shelf, as they were seen."),
    }
    shows_money = True
    shows = frozenset({"supplies", "orders", "settings"})
    keys = tuple(zip((title for title, _ in entries.values()), KEYS.values(), strict=True))

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self.supplier: int | None = None
        self._page: SupplierPage | None = None
        theme = office.theme
        self.list = EntryTable(
            theme,
            (
                Column("name", "Supplier", width=0, least=180),
                Column("days", "Days to the shelf", width=260, least=160, dense=True),
            ),
            rows_from=24,
            rows_to=30,
        )
        self.orders = EntryTable(
            theme,
            (
                Column("number", "Order", width=80, least=60),
                Column("day", "Written", width=160, least=110, dense=True),
                Column("state", "", width=0, least=110, dense=True),
                Column("days", "Took", width=90, least=70, right=True),
                Column("lines", "Lines", width=70, least=50, right=True, aside=1),
                Column("goods", "Goods", width=110, least=80, right=True),
            ),
            rows_from=24,
            rows_to=30,
            empty=EmptyText(
                "No order yet",
                "Orders are proposed at the day’s end and on the Shelf. Each delivery that comes "
                "teaches how long this supplier really takes.",
            ),
        )
        self.list.on_commit = self._named
        self.list.row_entered.connect(lambda key, _column: self._chosen(key))
        self.list.row_opened.connect(lambda _key: self.write("freight"))
        self.list.add_asked.connect(self.add)
        self.terms = self._terms_form()
        self.days = AnnouncedBody(office)
        self.set_head("Suppliers", "whom the shop buys from, and on what terms")
        self.begin("list", self.office.go_back)
        self.on_key("Ins", self.add)

    # building ------------------------------------------------------------------------------
    def _terms_form(self) -> SavedForm:
        form = SavedForm(self.office, self._save, columns=4)
        form.line("name", "Name", span=2)
        form.line("email", "Mail for orders")
        form.line("phone", "Telephone")
        form.line("address", "Address", span=2)
        form.line("account_no", "Account number")
        form.line("promised_days", "Days promised", "5")
        form.line("freight", "Freight")
        form.line("free_freight_from", "No freight from", "never")
        form.line("minimum_order", "Least order")
        form.line("hazard_fee", "Fee for hazardous goods")
        form.line("order_weekdays", "Orders go out on", "any day, or Monday, Thursday", span=2)
        form.line("use_tax_rate", "They charge no tax: use tax, %", "no", span=1)
        form.line("notes", "Notes")
        return form

    def make_body(self, key: str) -> QWidget:
        if key == "terms":
            return PartsBody(self.office.theme, self.terms, focus=self.terms.first_field)
        if key == "days":
            return self.days
        if key == "orders":
            return PartsBody(self.office.theme, self.orders)
        row = ActionRow(self.office.theme, "Another supplier", "Ins")
        row.button.clicked.connect(self.add)
        return PartsBody(self.office.theme, self.list, row, gap=2)

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        """Read the suppliers, and the one with the focus."""
        lines = self.office.read(partial(supplier_page.supplier_lines, self.office.desk))
        if lines is None:
            return
        ids = [line.supplier_id for line in lines]
        if self.supplier not in ids:
            self.supplier = ids[0] if ids else None
        rows = [
            row_of(line.supplier_id, Cell(line.name, bold=True), quiet(line.text)) for line in lines
        ]
        words = "another supplier" if rows else "your first supplier: its name is enough"
        self.list.show_rows([*rows, new_row(words, 2)])
        words = count_of(len(ids), "supplier")
        self.set_head("Suppliers", "whom the shop buys from, and on what terms", words)
        self._read_one()

    def _read_one(self) -> None:
        number, desk, page = self.supplier, self.office.desk, None
        before = self._page.supplier.supplier_id if self._page else None
        if number is not None:
            page = self.office.read(partial(supplier_page.supplier_page, desk, number))
        self._page = page
        if page is not None:
            if before != page.supplier.supplier_id:
                self.terms.forget()
            self.terms.show_values(_values(desk, page.supplier))
        days = self.days.show_supplier(page.supplier.supplier_id if page is not None else None)
        self.orders.show_rows(
            [
                row_of(
                    order.order_id,
                    numbered(order.number),
                    day_year(order.day),
                    quiet(supplier_page.STATE_WORDS.get(order.state, "")),
                    _took(order),
                    str(len(order.lines)),
                    money(desk, sum(one.packs * one.price for one in order.lines)),
                )
                for order in (page.orders if page else ())
            ]
        )
        count = sum(isinstance(row.key, int) for row in self.list.rows)
        results, done = {"list": f"{count} known"}, {"list": count > 0}
        if page is not None:
            values = _values(desk, page.supplier)
            free = values["free_freight_from"]
            none_from = f", none from {free}" if free else ""
            results["terms"] = f"freight {values['freight']}{none_from}"
            results["days"] = _announced(days)
            results["orders"] = str(page.orders_count)
            done |= {"terms": True, "days": bool(days), "orders": page.orders_count > 0}
        self.show_entries(results, done.get, owner=page.supplier.name if page else "")
        self.explain()

    def _chosen(self, key: Hashable) -> None:
        if isinstance(key, int) and key != self.supplier:
            self.supplier = key
            self._read_one()

    def explain(self) -> None:
        keys, page = KEYS[self.strip.open_key or "list"], self._page
        if page is None:
            first = Voice("Write the first supplier: a name is enough to begin with.")
            self.margin.say(Note("Suppliers", (first,), keys))
            return
        row, leads = page.supplier, page.leads
        facts = known(
            ("Promised", _days(row.promised_days)),
            ("Seen, in the middle", _days(leads.middle)),
            ("Nine in ten within", _days(leads.nine_in_ten)),
            ("Deliveries seen", str(leads.n)),
            ("Orders so far", str(page.orders_count)),
            ("Supplies bought there", str(len(page.supplies))),
        )
        blocks: list[Block] = [Voice(supplier_page.lead_sentence(leads)), Rule(), facts]
        if row.notes:
            blocks += [Rule(), Voice(row.notes)]
        self.margin.say(Note(row.name, tuple(blocks), keys))

    # writing -------------------------------------------------------------------------------
    def _save(self, key: str, value: Any) -> Callable[[], Changed]:
        assert self._page is not None
        if key == "address":
            value = "\n".join(part.strip() for part in str(value).split(" / "))
        desk, number = self.office.desk, self._page.supplier.supplier_id
        return partial(suppliers.edit_supplier, desk, number, **{key: value})

    def _named(self, _key: Hashable, _column: str, text: str) -> None:
        changed, number = suppliers.add_supplier(self.office.desk, text)
        self.supplier = number
        self.office.note(changed)
        self.list.go(number)

    def add(self) -> None:
        self.strip.open("list", still=True)
        self.list.write_in("new", "name")

    def write(self, key: str) -> None:
        """Put the cursor into a field of the terms."""
        if self.supplier is not None:
            self.strip.open("terms", still=True)
            self.terms.focus(key, select=True)

    # moving --------------------------------------------------------------------------------
    def open_item(self, item: object) -> None:
        """Open a supplier's terms by id, or one of their orders: ("order", supplier, order)."""
        if isinstance(item, tuple) and len(item) == 3 and item[0] == "order":
            _, self.supplier, order = item
            self._read_one()
            self.list.go(self.supplier)
            self.strip.open("orders", still=True)
            self.orders.go(order)
        elif isinstance(item, int):
            self.supplier = item
            self._read_one()
            self.strip.open("terms", still=True)
            self.list.go(item)
            self.terms.focus("name")

    def back(self) -> bool:
        """From an entry to the list, from the list to where one came from."""
        if self.strip.open_key == "list":
            return super().back()
        self.strip.open("list", still=True)
        self.list.setFocus()
        return True

    def keep(self) -> object:
        return self.supplier

    def resume(self, kept: object) -> None:
        if isinstance(kept, int):
            self.supplier = kept


def _announced(days: tuple[DateRow, ...]) -> str:
    """`cold stop from 1 December to 28 February`, or how many there are."""
    if not days:
        return "none"
    if len(days) > 1:
        return f"{len(days)} noted"
    one = days[0]
    first, last = shown_day(one, one.first_day), shown_day(one, one.last_day)
    return f"{DAY_KINDS[one.kind]} from {first} to {last}"


def _took(order: OrderRow) -> str:
    came = order.received_on
    return "" if came is None else count_of(max(0, (came - order.day).days), "day")


def _days(number: int | None) -> str:
    return "" if number is None else count_of(number, "day")


def _values(desk: Desk, row: SupplierRow) -> dict[str, Any]:
    free = row.free_freight_from
    return {
        **vars(row),
        "address": " / ".join(row.address.splitlines()),
        "freight": money(desk, row.freight),
        "free_freight_from": "" if free is None else money(desk, free),
        "minimum_order": money(desk, row.minimum_order),
        "hazard_fee": money(desk, row.hazard_fee),
        "use_tax_rate": f"{row.use_tax_rate / 1000:g}" if row.use_tax_rate else "",
        "order_weekdays": weekdays_text(row.order_weekdays),
    }
