"""The Shelf place: the list of supplies, a supply's card, and deliveries; one of them is shown."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import partial
from pathlib import Path

from PySide6.QtGui import QShortcut
from PySide6.QtWidgets import QWidget

from app.actions.desk.amounts import supply_of
from app.actions.desk.desk import Changed
from app.actions.desk.papers import papers_folder
from app.actions.orders import order_writing
from app.actions.shelf import supplies
from app.actions.stock import supply_facts
from app.calculations.numbers.wording import count_of
from app.window.house.office import Office
from app.window.house.outside import open_outside
from app.window.house.place import STILL, Place
from app.window.house.runner import Lock
from app.window.orders.deliveries import DeliveriesCard
from app.window.paper.notes import Note
from app.window.shelf.shelf_keys import ALL_KEYS, CARD_KEYS
from app.window.shelf.shelf_list import ShelfList
from app.window.shelf.shelf_rows import free_name
from app.window.shelf.supply_card import SupplyCard

OF_LIST = ("C", "U", "O", "Space", "/", "D")


class ShelfPlace(Place):
    """Supplies by supplier, the shortest cover first."""

    shows = frozenset(
        {"supplies", "stock", "uses", "orders", "jobs", "services", "days", "settings", "day"}
    )
    keys = ALL_KEYS

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._open: int | None = None
        self._receiving = False
        self.list = ShelfList(office)
        self.table, self.row, self.filter = self.list.table, self.list.row, self.list.filter
        self.list.explained.connect(self.margin.say)
        self.list.headed.connect(self._head_of_list)
        self.list.opened.connect(self._open_row)
        self.list.add_asked.connect(self.add)
        self.list.came_asked.connect(self.receive)
        self.list.print_asked.connect(self._print)
        self.list.primary_asked.connect(self.primary)
        self.card = SupplyCard(office)
        self.card.explained.connect(self._explain_card)
        self.card.page_asked.connect(self._read_card)
        self.card.opened.connect(self._card_turned)
        self.card.hide()
        self.coming = DeliveriesCard(office)
        self.coming.received.connect(self._came)
        self.coming.explained.connect(self._explain_coming)
        self.coming.write_asked.connect(self.margin.write)
        self.coming.hide()
        self.set_body(self.list)
        self._letters: dict[str, QShortcut] = {}
        on_list = partial(self._only, lambda: self._listing)
        on_card = partial(self._only, lambda: self._open is not None)
        on_coming = partial(self._only, lambda: self._receiving)
        for keys, do in (
            ("C", on_list(self.list.count_this)),
            ("U", on_list(self.list.use_up)),
            ("W", self._write_off),
            ("O", on_list(lambda: self._open_row(self.table.current_key()))),
            ("Space", on_list(self.list.fold)),
            ("/", on_list(self.list.narrow)),
            ("D", on_list(self.list.show_dead)),
            ("R", self.receive),
            ("X", self._x),
            ("M", on_coming(self.coming.draft_mail)),
            ("L", on_coming(self.coming.write_later)),
            ("S", self._supplier),
        ):
            self._letters[keys] = self.on_key(keys, do)
        self.on_key("F4", self._f4)
        self.on_key("F6", on_card(self.card.doing.open_container))
        self.on_key("F7", self._print)
        self.on_key("F3", on_card(self.card.hazards.choose))
        self.on_key("F2", on_card(self.card.hazards.show_sheet))
        self.on_key("Esc", self.back)

    # which of the three is shown -------------------------------------------------------------
    @property
    def _listing(self) -> bool:
        return self._open is None and not self._receiving

    def _only(self, here: Callable[[], bool], do: Callable[[], object]) -> Callable[[], object]:
        """A key that means something only where `here` is so."""
        return lambda: do() if here() else None

    def _turn_to(self, body: QWidget) -> None:
        self.set_body(body, bleeds=body is not self.list)
        # A key of the list must not be taken from a tick or a choice on a supply's card.
        for keys in OF_LIST:
            self._letters[keys].setEnabled(body is self.list)

    def refresh(self, kinds: frozenset[str]) -> None:
        """Read what is shown again, and the list behind it."""
        if self._open is not None:
            self._read_card()
        if self._receiving:
            self._show_deliveries()
        self.list.read()

    def _head_of_list(self, title: str, subtitle: str, fact: object, foot: str) -> None:
        if self._listing:
            self.set_head(title, subtitle, fact)  # type: ignore[arg-type]
        self.say_remaining(foot)

    def primary(self) -> None:
        """Write the order, or end counting, or go back from a supply."""
        if self._open is not None:
            self.back()
        elif self._receiving:
            self.coming.take()
        elif self.list.counting:
            self.list.count()
        elif not self.list.stands:
            self.office.say_trouble(STILL)
        elif self.row.reason:
            self.office.say_trouble(self.row.reason)
        else:
            self._write_orders()

    def _write_orders(self) -> None:
        """Write the orders, and go on to where they are sent from."""
        desk, day = self.office.desk, self.office.day

        def written(done: tuple[Changed, tuple[int, ...]]) -> None:
            self.office.note(done[0])
            self.receive()
            if done[1]:
                self.coming.open(f"order {done[1][-1]}", still=True)

        self.office.write_long(
            "writing the orders",
            lambda _task: (
                order_writing.write_orders(desk, day),
                order_writing.orders_written(desk, day),
            ),
            written,
            owner=self,
            lock=Lock("The orders are being written; the sheet can be written in then.", day),
        )

    def _f4(self) -> None:
        if self._receiving:
            self.coming.sent()
            return
        if self._open is not None:
            self.back()
        self.list.count_from_first()

    def _print(self) -> None:
        """The label of a bottle, the papers of an order, or the count sheet."""
        if self._open is not None:
            self.card.doing.print_label()
        elif self._receiving:
            self.coming.write_papers()
        else:
            self._print_count_sheet()

    def _print_count_sheet(self) -> None:
        office = self.office
        folder = office.act_now(lambda: papers_folder(office.desk, "count sheets"))
        if folder is not None:
            path = folder / f"count sheet {office.day.isoformat()}.pdf"
            if self.write_count_sheet(path):
                office.act(lambda: open_outside(path))

    def write_count_sheet(self, path: Path) -> bool:
        """The count sheet of what is shown, in the order of the walk."""
        written = self.list.write_count_sheet(path) is not None
        if written:
            self.office.say(f"Count sheet written to {path}")
        return written

    def _x(self) -> None:
        if self._open is not None:
            self.card.discard_opened()
        elif self._receiving:
            self.coming.give_up()

    def _write_off(self) -> None:
        if self._open is not None:
            self.card.write_off()
        elif not self._receiving:
            self.list.write_off()

    def add(self) -> None:
        """A new supply, ready for its name to be written."""
        made = self.office.act_now(
            lambda: supply_facts.add_supply(self.office.desk, free_name(self.list.view), "liquid")
        )
        if made is not None:
            self.open_item(made[1])
            self.card.write_name()

    # deliveries ----------------------------------------------------------------------------
    def receive(self) -> None:
        """The orders on their way, to say what came."""
        if self._open is None:
            self._receiving = True
            self._turn_to(self.coming)
            self._show_deliveries()

    def _show_deliveries(self) -> None:
        count = self.coming.show_orders()
        words = count_of(count, "order")
        self.set_head("On their way", "what comes is put on the shelf with its freight", words)

    def _explain_coming(self, note: Note) -> None:
        if self._receiving:
            self.margin.say(note)

    def _came(self) -> None:
        if not self.coming.entries:
            self.back()

    # moving --------------------------------------------------------------------------------
    def entered(self) -> None:
        """The table has the focus."""
        if self._listing:
            self.list.say_head()
            self.table.setFocus()

    def open_item(self, item: object) -> None:
        """Open a supply's card by id, or an order on its way by `("order", id)`."""
        if isinstance(item, tuple):
            self._open = None
            self.receive()
            key = f"order {item[1]}"
            if key in {entry.key for entry in self.coming.entries}:
                self.coming.open(key)
        elif isinstance(item, int):
            self._open, self._receiving = item, False
            self.card.lines_wanted = supplies.LEDGER_LINES
            self._turn_to(self.card)
            self._read_card()
            if self._open is not None:
                self.card.open(self.card.open_key or "ledger", still=True)

    def _open_row(self, key: Hashable) -> None:
        pool = self.list.pool_at(key)
        if isinstance(key, int) and self._open is None:
            self.open_item(key)
        elif pool is not None and self._open is None:
            self.open_item(pool.supply_id)
            self.card.open("pool", still=True)

    def _read_card(self) -> None:
        number, desk, day = self._open, self.office.desk, self.office.day
        assert number is not None
        wanted = self.card.lines_wanted
        page = self.office.read(
            lambda: supplies.supply_page(desk, day, number, lines_wanted=wanted)
        )
        if page is None:
            self.back()
            return
        self.set_head(page.supply.name, page.supply.shelf_place, page.lead_text)
        self.card.show_page(page)
        if self.card.open_key != "uses":
            self.margin.say(Note(page.note.title, tuple(self.card.blocks()), CARD_KEYS))

    def _card_turned(self, key: str) -> None:
        """The margin of an entry that has none of its own."""
        if self._open is not None and key not in ("uses", "life"):
            self.margin.say(Note(self.title, tuple(self.card.blocks()), CARD_KEYS))

    def _explain_card(self, note: Note) -> None:
        if self._open is not None:
            self.margin.say(note)

    def back(self) -> None:
        """From a supply or the deliveries to the shelf; from a narrowed shelf to all of it."""
        if not self._listing:
            left, self._open, self._receiving = self._open, None, False
            self._turn_to(self.list)
            self.list.fill()
            if left is not None:
                self.table.go(left)
            self.table.setFocus()
        else:
            self.list.back()

    def _supplier(self) -> None:
        """To the suppliers, at the one of the supply or order in view."""
        found = None
        if self._receiving:
            order = self.coming.order
            found = order.row.supplier_id if order is not None else None
        else:
            number = self._open if self._open is not None else self.table.current_key()
            if isinstance(number, int):
                supply = self.office.read(partial(supply_of, self.office.desk, number))
                found = supply.supplier_id if supply is not None else None
        self.office.go("suppliers", found)

    def keep(self) -> object:
        """The supply in view and whether the rest is shown."""
        return self.table.current_key(), self.list.all, self._open

    def resume(self, kept: object) -> None:
        """Go back to it."""
        if isinstance(kept, tuple):
            key, self.list.all, self._open = kept
            self.list.want(key)
            if self._open is not None:
                self._turn_to(self.card)
