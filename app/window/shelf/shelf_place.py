"""The Shelf place: the list of supplies, a supply's card, and deliveries; one of them is shown."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from functools import cached_property, partial

from PySide6.QtGui import QShortcut
from PySide6.QtWidgets import QWidget

from app.actions.desk.amounts import supply_of
from app.actions.desk.desk import Changed
from app.actions.shelf import supplies, tidying
from app.actions.stock import supply_facts
from app.calculations.numbers.wording import count_of
from app.window.house.acting import ask, on_book
from app.window.house.office import Office
from app.window.house.place import STILL, Place
from app.window.house.same_thing import pick_the_same
from app.window.orders.deliveries import DeliveriesCard
from app.window.orders.writing_orders import write_orders
from app.window.paper.notes import Note
from app.window.paper.runs import Run
from app.window.shelf.shelf_keys import ALL_KEYS, CARD_KEYS
from app.window.shelf.shelf_list import ShelfList
from app.window.shelf.shelf_rows import free_name
from app.window.shelf.supply_card import SupplyCard

Do = Callable[[], object]


class ShelfPlace(Place):
    """Supplies by supplier, the shortest cover first."""

    shows_money = True
    shows = frozenset(
        {"supplies", "stock", "uses", "orders", "jobs", "services", "days", "settings", "day"}
    )
    keys = ALL_KEYS

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._open: int | None = None  # the supply whose card is shown
        self.list = ShelfList(office)
        self.table, self.row, self.filter = self.list.table, self.list.row, self.list.filter
        self.table.row_opened.connect(self._open_row)
        self.row.button.clicked.connect(self.primary)
        self.list.explained.connect(self.margin.say)
        self.list.headed.connect(self._head_of_list)
        self.list.add_asked.connect(self.add)
        self.list.came_asked.connect(self.receive)
        self.set_body(self.list)
        self._of_list: list[QShortcut] = []
        here = self.list
        # A key, and what it does on the list, a card, the deliveries.
        does: tuple[tuple[str, Do | None, Do | None, Do | None], ...] = (
            ("C", here.count_this, None, None),
            ("U", here.use_up, None, None),
            ("O", lambda: self._open_row(self.table.current_key()), None, None),
            ("Space", here.fold, None, None),
            ("/", here.narrow, None, None),
            ("D", here.show_dead, None, None),
            ("W", here.write_off, lambda: self.card.write_off(), None),
            ("R", self.receive, None, self.receive),
            ("X", None, lambda: self.card.discard_opened(), lambda: self.coming.give_up()),
            ("M", None, None, lambda: self.coming.draft_mail()),
            ("L", None, None, lambda: self.coming.write_later()),
            ("S", self._supplier, self._supplier, self._supplier),
            ("F2", None, lambda: self.card.hazards.show_sheet(), None),
            ("F3", None, lambda: self.card.hazards.choose(), None),
            ("F4", here.count_from_first, self._count_after_card, lambda: self.coming.sent()),
            ("F5", self.same, self.same, None),
            ("F6", None, lambda: self.card.doing.open_container(), None),
            ("F7", here.print_count_sheet, lambda: self.card.doing.print_label(),
             lambda: self.coming.write_papers()),
            ("F12", self.remove, self.remove, None),
        )  # fmt: skip
        for keys, on_list, on_card, on_coming in does:
            do = partial(
                self._do, {ShelfList: on_list, SupplyCard: on_card, DeliveriesCard: on_coming}
            )
            shortcut = self.on_key(keys, do)
            if on_card is None and on_coming is None:
                self._of_list.append(shortcut)

    @cached_property
    def card(self) -> SupplyCard:
        """The card, made when the first supply is opened."""
        card = SupplyCard(self.office)
        card.explained.connect(partial(self._explain, card))
        card.page_asked.connect(self._read_card)
        card.opened.connect(self._card_turned)
        return card

    @cached_property
    def coming(self) -> DeliveriesCard:
        """The deliveries, made when they are first opened."""
        coming = DeliveriesCard(self.office)
        coming.received.connect(self._came)
        coming.explained.connect(partial(self._explain, coming))
        coming.write_asked.connect(self.margin.write)
        return coming

    @property
    def _is_coming(self) -> bool:
        """Whether the deliveries are shown."""
        return isinstance(self.body, DeliveriesCard)

    # which of the three is shown -------------------------------------------------------------
    def _do(self, does: Mapping[type, Do | None]) -> None:
        do = does[type(self.body)]
        if do is not None:
            do()

    def _turn_to(self, body: QWidget) -> None:
        self.set_body(body, bleeds=body is not self.list)
        self.say_remaining("")  # the list's own comes with it
        # A key of the list must not be taken from a tick or a choice on a supply's card.
        for shortcut in self._of_list:
            shortcut.setEnabled(body is self.list)

    def refresh(self, kinds: frozenset[str]) -> None:
        """Read what is shown again, and the list behind it."""
        if self._open is not None:
            self._read_card()
        if self._is_coming:
            self._show_deliveries()
        self.list.read()

    def _head_of_list(self, title: str, subtitle: str, fact: object, foot: str) -> None:
        if self.body is self.list:
            self.set_head(title, subtitle, fact)  # type: ignore[arg-type]
            self.say_remaining(foot)

    def primary(self) -> None:
        """Write the order, or end counting, or go back from a supply."""
        if self._open is not None:
            self.back()
        elif self._is_coming:
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

        def written(ids: tuple[int, ...]) -> None:
            self.receive()
            if ids:
                self.coming.open(f"order {ids[-1]}", still=True)

        write_orders(self.office, self, written)

    def _count_after_card(self) -> None:
        self.back()
        self.list.count_from_first()

    def add(self) -> None:
        """A new supply, ready for its name to be written."""

        def added(made: tuple[Changed, int]) -> None:
            if self.isVisible():
                self.open_item(made[1])
                self.card.write_name()

        name = free_name(self.list.view)
        add = partial(supply_facts.add_supply, self.office.desk, name, "liquid")
        self.office.act_then(add, added, name, ("supply", name))

    # deliveries ----------------------------------------------------------------------------
    def receive(self) -> None:
        """The orders on their way, to say what came."""
        if self._open is None:
            self._turn_to(self.coming)
            self._show_deliveries()

    def _show_deliveries(self) -> None:
        count = self.coming.show_orders()
        words = count_of(count, "order")
        self.set_head("On their way", "what comes is put on the shelf with its freight", words)

    def _explain(self, body: QWidget, note: Note) -> None:
        if self.body is body:
            self.margin.say(note)

    def _came(self) -> None:
        if not self.coming.entries:
            self.back()

    # moving --------------------------------------------------------------------------------
    def entered(self) -> None:
        if self.body is self.list:
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
            self._open = item
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
        pack = page.packs[0].label if page.packs else ""
        about = ", ".join(filter(None, (page.supply.shelf_place, pack)))
        self.set_head(page.supply.name, about, [Run(page.left_text, "total", "ink")])
        self.card.show_page(page)
        if self.card.open_key != "uses":
            self.margin.say(Note(page.note.title, tuple(self.card.blocks()), CARD_KEYS))

    def _card_turned(self, key: str) -> None:
        """The margin of an entry that has none of its own."""
        if self._open is not None and key not in ("uses", "life"):
            self.margin.say(Note(self.title, tuple(self.card.blocks()), CARD_KEYS))

    def back(self) -> bool:
        """From a supply or the deliveries to the shelf; from a narrowed shelf to all of it."""
        if self.body is not self.list:
            left, self._open = self._open, None
            self._turn_to(self.list)
            self.list.fill()
            if left is not None:
                self.table.go(left)
            self.table.setFocus()
            return True
        return self.list.back()

    def narrow(self) -> None:
        if self.body is self.list:
            self.list.narrow()
        else:
            super().narrow()

    def _subject(self) -> int | None:
        """The supply that is removed or put together: the one in view, or with the focus."""
        if self._open is not None:
            return self._open
        row = self.list.current() if self.body is self.list else None
        return row.supply_id if row is not None else None

    @property
    def card_open(self) -> bool:
        """Whether one of them is in view, and not the list of all."""
        return self._open is not None

    def same(self) -> None:
        """Put what is in view together with another that is the same."""
        number = self._subject()
        if number is not None:
            merge = tidying.merge_supplies
            pick_the_same(
                self, "supply", number, lambda other: on_book(self.office, merge, number, other)
            )

    def remove(self) -> None:
        """Remove what has no history, archive what has, bring back what is archived."""
        number = self._subject()
        if number is None:
            return
        if supply_of(self.office.desk, number).archived_on is not None:
            on_book(self.office, tidying.archive_supply, number, on=False)
            return
        desk, day = self.office.desk, self.office.day
        asked = self.office.read(lambda: tidying.why_keep(desk, day, number))
        if asked and asked != self.office.question:
            ask(self.office, asked)
            return
        if self._open is not None:
            self.back()  # the card would have nothing to show
        on_book(self.office, tidying.remove_supply, number)

    def _supplier(self) -> None:
        """To the suppliers, at the one of the supply or order in view."""
        found = None
        if self._is_coming:
            order = self.coming.order
            found = order.row.supplier_id if order is not None else None
        else:
            number = self._open if self._open is not None else self.table.current_key()
            if isinstance(number, int):
                supply = self.office.read(partial(supply_of, self.office.desk, number))
                found = supply.supplier_id if supply is not None else None
        self.office.go("suppliers", found)

    def keep(self) -> object:
        return self.table.current_key(), self.list.all, self._open

    def resume(self, kept: object) -> None:
        if isinstance(kept, tuple):
            key, self.list.all, self._open = kept
            self.list.want(key)
            if self._open is not None:
                self._turn_to(self.card)
