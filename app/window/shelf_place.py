"""The Shelf place: how long each supply lasts, what to order now, and counting."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from datetime import date
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QVBoxLayout, QWidget

from app.actions import ordering, stock, supplies
from app.actions.amounts import all_supplies, money
from app.actions.pools import PoolView, pools
from app.actions.shelf import Shelf, ShelfGroup, ShelfRow, count_lines, shelf
from app.actions.stock_worth import DeadStock, dead_stock
from app.calculations.shelf_order import shelf_order
from app.documents.count_sheet import CountLine, count_sheet_pdf
from app.errors import Mendable
from app.window.action import ActionRow
from app.window.cells import EmptyText, GroupRow, Outcome, TableRow
from app.window.deliveries import DeliveriesCard
from app.window.entrytable import EntryTable
from app.window.fields import LineField
from app.window.notes import Alert, Block, Facts, Note, Plain, Rule, Voice
from app.window.office import Office
from app.window.place import Place
from app.window.pool_rows import pool_blocks, pool_key, pool_rows
from app.window.runner import Task
from app.window.runs import Run
from app.window.shelf_keys import (
    ALL_KEYS,
    CARD_KEYS,
    COUNT_KEYS,
    PAGE_KEYS,
    POOL_KEYS,
    RECEIVE_KEYS,
)
from app.window.shelf_rows import (
    deliveries,
    flammables,
    free_name,
    note_blocks,
    read_packs,
    shelf_columns,
    shelf_line,
)
from app.window.supply_card import SupplyCard

Found = tuple[Shelf, dict[int, ordering.OrderLineView], tuple[PoolView, ...]]


class ShelfPlace(Place):
    """Supplies by supplier, the shortest cover first."""

    shows = frozenset(
        {"supplies", "stock", "uses", "orders", "jobs", "services", "days", "settings", "day"}
    )
    keys = ALL_KEYS

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._view: Shelf | None = None
        self._lines: dict[int, ordering.OrderLineView] = {}
        self._counting = False
        self._all = False
        self._pools: tuple[PoolView, ...] = ()
        self._dead: dict[int, DeadStock] | None = None
        self._open: int | None = None
        self._wanted: object = None
        self.filter = LineField(office.theme, "", "part of a name")
        self.filter.setAccessibleName("Narrow the shelf")
        self.filter.textChanged.connect(lambda _text: self._fill())
        self.filter.hide()
        self.table = EntryTable(office.theme, shelf_columns(office.day), rows_from=27, rows_to=36)
        self.filter.returnPressed.connect(self.table.setFocus)
        self.table.on_commit = self._typed
        self.table.row_entered.connect(self._explain)
        self.table.row_opened.connect(self._open_row)
        self.table.add_asked.connect(self.add)
        self.row = ActionRow(office.theme, "Write the order")
        self.row.button.clicked.connect(self.primary)
        self._list = QWidget()
        column = QVBoxLayout(self._list)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.filter)
        column.addWidget(self.table, 1)
        column.addWidget(self.row)
        self.card = SupplyCard(office)
        self.card.explained.connect(self._explain_card)
        self.card.hide()
        self.coming = DeliveriesCard(office)
        self.coming.received.connect(self._came)
        self.coming.hide()
        self._receiving = False
        self.set_body(self._list)
        self.on_key("C", self._count_this, letter=True)
        self.on_key("U", self._use_up, letter=True)
        self.on_key("O", lambda: self._open_row(self.table.current_key()), letter=True)
        self.on_key("Space", self._fold, letter=True)
        self.on_key("/", self._narrow, letter=True)
        self.on_key("R", self.receive, letter=True)
        self.on_key("X", self._give_up, letter=True)
        self.on_key("S", self._supplier, letter=True)
        self.on_key("F4", self._f4)
        self.on_key("F6", self._on_card(self.card.doing.open_container))
        self.on_key("F7", self._print)
        self.on_key("D", self._show_dead, letter=True)
        self.on_key("Esc", self.back)

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        """Read in the background: the proposal looks over the whole shelf."""
        if self._open is not None:
            self._read_card()
        if self._receiving:
            self._show_deliveries()
        desk, day = self.office.desk, self.office.day

        def work(_task: Task) -> Found:
            view = shelf(desk, day)
            to_order = ordering.what_to_order(desk, day)
            lines = {line.supply_id: line for one in to_order.suppliers for line in one.lines}
            return view, lines, pools(desk)

        self.office.runner.run(
            "Reading the shelf",
            work,
            done=self._show,
            failed=self.office.say_trouble,
            owner=self,
        )

    def _show(self, found: Found) -> None:
        self._view, self._lines, self._pools = found
        if self._dead is not None:
            self._dead = self._read_dead()
        self._fill()
        if self._wanted is not None:
            self.table.go(self._wanted if isinstance(self._wanted, int) else "")
            self._wanted = None

    def _fill(self) -> None:
        view = self._view
        if view is None:
            return
        self.table.teach_when_empty(self._nothing(view))
        rows: list[TableRow | GroupRow] = []
        if self._counting:
            walked = sorted(
                ((row, group) for group in view.groups for row in group.rows),
                key=lambda one: shelf_order(one[0].shelf_place, one[0].name),
            )
            rows += [
                self._line(row, group, view.day) for row, group in walked if self._is_shown(row)
            ]
        for group in () if self._counting else view.groups:
            shown = [row for row in group.rows if self._is_shown(row)]
            if not shown:
                continue
            rows.append(
                GroupRow(
                    f"group {group.supplier_id}",
                    group.name,
                    group.deliveries_text,
                    deliveries(group, view.day),
                )
            )
            rows += [self._line(row, group, view.day) for row in shown]
        if self._pools and not self._counting and self._dead is None:
            words = self.filter.text().strip().casefold()
            found = [one for one in self._pools if words in one.name.casefold()]
            rows += pool_rows(found)
        self.table.show_rows(rows, shelf_columns(view.day))
        if self._open is None and not self._receiving:
            self._say_head(view)
        self._hints(view)
        self._explain(self.table.current_key(), "")

    def _nothing(self, view: Shelf) -> EmptyText:
        """What stands where no row does: an empty shelf, no such name, or no need of anything."""
        if not view.count:
            return EmptyText(
                "Nothing stands on the shelf yet",
                "Add a supply by name, or bring in the list that you keep. "
                "What jobs use is then taken off here, and what runs short is proposed.",
                "Ins",
                "Add a supply",
                self.add,
            )
        if self._dead is not None and not self._counting:
            return EmptyText(
                "Nothing stands idle",
                "Everything was used within half a year or is needed by a booked job, and nothing "
                "is past its life by the book.",
                "D",
                "All",
                self._show_dead,
            )
        if self.filter.text().strip():
            return EmptyText(
                "No supply of that name", "Shorten the words.", "Esc", "All", self.back
            )
        return EmptyText(
            "Nothing needs you here",
            f"{view.folded_text[:1].upper()}{view.folded_text[1:]}",
            "Space",
            "Show them",
            self._fold,
        )

    def _is_shown(self, row: ShelfRow) -> bool:
        words = self.filter.text().strip().casefold()
        if self._dead is not None and not self._counting and row.supply_id not in self._dead:
            return False
        if words:
            return words in row.name.casefold()
        return self._dead is not None or self._all or self._counting or not row.folded

    def _say_head(self, view: Shelf) -> None:
        if self._dead is not None and not self._counting:
            worth = money(self.office.desk, sum(one.value for one in self._dead.values()))
            self.set_head(
                "The shelf",
                "idle for half a year, or past its life",
                [Run(f"{len(self._dead)} of {view.count}, worth"), Run(worth, "total", "ink")],
            )
        elif self._counting:
            self.set_head("The shelf", "counting: type what stands there", f"{view.count} supplies")
        else:
            noun = "supply" if view.count == 1 else "supplies"
            self.set_head(
                "The shelf",
                "shortest cover first",
                [Run(f"{view.count} {noun}, worth"), Run(view.worth_text, "total", "ink")],
            )
        self.say_remaining(view.short_text)

    def _hints(self, view: Shelf) -> None:
        if self._counting:
            self.row.button.set_label("End counting")
            self.row.set_ready("")
            self.row.show_hints(
                [
                    Run(view.counted_text, "unit", gap=16),
                    Run("Print the sheet", "unit", key="F7", on_click=self._print),
                ]
            )
            self.row.show_total([])
            return
        self.row.button.set_label("Write the order")
        self.row.set_ready("" if view.order_lines else "Nothing needs to be ordered today.")
        hints = []
        if self._dead is not None:
            hints.append(Run("All again", "unit", key="D", on_click=self._show_dead, gap=16))
        elif view.folded and not self.filter.text():
            words = "Fold them" if self._all else "Show them"
            hints.append(Run(view.folded_text, "aside", gap=8))
            hints.append(Run(words, "unit", key="Space", on_click=self._fold, gap=16))
        hints.append(Run("Count", "unit", key="F4", on_click=self._count, gap=16))
        if any(row.on_order for group in view.groups for row in group.rows):
            hints.append(Run("It came", "unit", key="R", on_click=self.receive))
        self.row.show_hints(hints)
        lines = "1 line," if view.order_lines == 1 else f"{view.order_lines} lines,"
        self.row.show_total(
            [Run(lines, "row", gap=5), Run(view.order_total_text, "total", "ink")]
            if view.order_lines
            else []
        )

    def _line(self, row: ShelfRow, group: ShelfGroup, day: date) -> TableRow:
        line = self._lines.get(row.supply_id)
        return shelf_line(row, group, day, line, counting=self._counting)

    # writing -------------------------------------------------------------------------------
    def _typed(self, key: Hashable, column: str, text: str) -> Outcome:
        desk, day = self.office.desk, self.office.day
        assert isinstance(key, int)
        try:
            if column == "hand":
                changed = stock.count(desk, day, key, text)
            else:
                changed = ordering.set_packs(desk, day, key, self._pack_of(key), read_packs(text))
        except Mendable as trouble:
            return Outcome(False, trouble.sentence)
        self.office.note(changed)
        return Outcome()

    def _pack_of(self, supply_id: int) -> int:
        """The pack that is proposed, else the first that can be bought."""
        line = self._lines.get(supply_id)
        if line is not None:
            return line.pack_id
        packs = supplies.supply_page(self.office.desk, self.office.day, supply_id).packs
        if not packs:
            raise Mendable("No pack is known of this supply; open it (O) and add one.")
        return packs[0].pack_id

    def primary(self) -> None:
        """Write the order, or end counting, or go back from a supply."""
        if self._open is not None:
            self.back()
        elif self._receiving:
            self.coming.take()
        elif self._counting:
            self._count()
        elif self.row.reason:
            self.office.say_trouble(self.row.reason)
        else:
            desk, day = self.office.desk, self.office.day
            self.office.act(lambda: ordering.write_orders(desk, day))

    def _use_up(self) -> None:
        row = self._current()
        if row is not None and self._open is None:
            desk = self.office.desk
            stopped = stopped_of(self.office, row.supply_id)
            self.office.act(lambda: supplies.use_up(desk, row.supply_id, not stopped))

    def _count_this(self) -> None:
        key = self.table.current_key()
        if self._open is not None or key is None:
            return
        if not self._counting:
            self._count()
        self.table.go(key, "hand")
        self.table.setFocus()

    def _count(self) -> None:
        if self._open is not None:
            self.back()
        key = self.table.current_key()
        self._counting = not self._counting
        self._fill()
        if self._view is not None:
            self._say_head(self._view)
        if key is not None:
            self.table.go(key, "hand" if self._counting else "now")
        self.table.setFocus()

    def _fold(self) -> None:
        self._all = not self._all
        self._fill()

    def _show_dead(self) -> None:
        """Only what is idle or past its life, with what it is worth; or all again."""
        if self._open is not None or self._receiving or self._counting:
            return
        if self._dead is None:
            self._dead = self._read_dead()
        else:
            self._dead = None
        self._fill()
        self.table.setFocus()

    def _read_dead(self) -> dict[int, DeadStock]:
        desk, day = self.office.desk, self.office.day
        found = self.office.read(lambda: dead_stock(desk, day)) or ()
        return {one.supply_id: one for one in found}

    def _print(self) -> None:
        """The label of the bottle filled last, or the count sheet."""
        if self._open is not None:
            self.card.doing.print_label()
            return
        chosen, _ = QFileDialog.getSaveFileName(
            self, "Where to write the count sheet", "count sheet.pdf", "PDF (*.pdf)"
        )
        if chosen:
            self.write_count_sheet(Path(chosen))

    def write_count_sheet(self, path: Path) -> None:
        """The count sheet, in the order of the shelf."""
        desk = self.office.desk
        lines = [CountLine(*line) for line in count_lines(desk)]
        settings = desk.settings
        written = self.office.act(
            lambda: count_sheet_pdf(
                lines, settings.shop_name, self.office.day, path, settings.region
            )
        )
        if written is not None:
            self.office.say(f"Count sheet written to {path.name}")

    def _narrow(self) -> None:
        if self._open is None:
            self.filter.show()
            self.filter.setFocus()

    def add(self) -> None:
        """A new supply, ready for its name to be written."""
        made = self.office.act(
            lambda: supplies.add_supply(self.office.desk, free_name(self._view), "liquid")
        )
        if made is not None:
            self.open_item(made[1])
            self.card.write_name()

    def _on_card(self, do: Callable[[], object]) -> Callable[[], object]:
        """A key that means something only while a supply is open."""
        return lambda: do() if self._open is not None else None

    # deliveries ----------------------------------------------------------------------------
    def receive(self) -> None:
        """The orders on their way, to say what came."""
        if self._open is None:
            self._receiving = True
            self.set_body(self.coming, bleeds=True)
            self._show_deliveries()

    def _show_deliveries(self) -> None:
        count = self.coming.show_orders()
        words = "1 order" if count == 1 else f"{count} orders"
        self.set_head("On their way", "what comes is put on the shelf with its freight", words)
        said: tuple[Block, ...] = (
            Voice(
                "What came is filled in as ordered: type over what differs, then say it has come."
            ),
            Voice("The freight of the order is spread over its goods by weight."),
        )
        if not count:
            said = (Voice("Nothing is on its way."),)
        self.margin.say(Note("Deliveries", said, RECEIVE_KEYS))

    def _came(self) -> None:
        if not self.coming.entries:
            self.back()

    def _give_up(self) -> None:
        if self._receiving:
            self.coming.give_up()

    def _f4(self) -> None:
        if self._receiving:
            self.coming.sent()
            return
        self._count()
        if self._counting:  # along the shelf from its beginning
            first = next((row.key for row in self.table.rows), None)
            if first is not None:
                self.table.go(first, "hand")

    # moving --------------------------------------------------------------------------------
    def entered(self) -> None:
        """The table has the focus."""
        if self._open is None:
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
            self.set_body(self.card, bleeds=True)
            self._read_card()
            if self._open is not None:
                self.card.open(self.card.open_key or "ledger", still=True)

    def _open_row(self, key: Hashable) -> None:
        pool = self._pool_at(key)
        if isinstance(key, int) and self._open is None:
            self.open_item(key)
        elif pool is not None and self._open is None:
            self.open_item(pool.supply_id)
            self.card.open("pool", still=True)

    def _pool_at(self, key: Hashable) -> PoolView | None:
        return next((one for one in self._pools if pool_key(one) == key), None)

    def _read_card(self) -> None:
        number, desk, day = self._open, self.office.desk, self.office.day
        assert number is not None
        page = self.office.read(lambda: supplies.supply_page(desk, day, number))
        if page is None:
            self.back()
            return
        self.card.show_page(page)
        self.set_head(page.supply.name, page.supply.shelf_place, page.lead_text)
        asked: list[Block] = [Alert(self.office.question)] if self.office.question else []
        blocks = [*asked, *note_blocks(page.note)]
        blocks += pool_blocks(self.card.pool_view)
        shares = tuple((one.label, one.share_text) for one in page.unrecorded if one.amount)
        if shares:
            blocks += [Rule(), Plain("Unrecorded use, of all that went"), Facts(shares)]
        self.margin.say(Note(page.note.title, tuple(blocks), CARD_KEYS))

    def _explain_card(self, note: Note) -> None:
        if self._open is not None:
            self.margin.say(note)

    def back(self) -> None:
        """From a supply to the shelf; from a narrowed shelf to all of it."""
        if self._open is not None:
            left, self._open = self._open, None
            self.set_body(self._list)
            self._fill()
            self.table.go(left)
        elif self._receiving:
            self._receiving = False
            self.set_body(self._list)
            self._fill()
        elif not self.filter.isHidden():
            self.filter.clear()
            self.filter.hide()
        elif self._dead is not None:
            self._show_dead()
        self.table.setFocus()

    def _supplier(self) -> None:
        """To the suppliers, at the one of the supply in view."""
        number = self._open if self._open is not None else self.table.current_key()
        found = None
        if isinstance(number, int):
            found = all_supplies(self.office.desk)[number].supplier_id
        self.office.go("suppliers", found)

    def keep(self) -> object:
        """The supply in view and whether the rest is shown."""
        return self.table.current_key(), self._all, self._open

    def resume(self, kept: object) -> None:
        """Go back to it."""
        if isinstance(kept, tuple):
            self._wanted, self._all, self._open = kept
            if self._open is not None:
                self.set_body(self.card, bleeds=True)

    # the margin ----------------------------------------------------------------------------
    def _current(self) -> ShelfRow | None:
        key = self.table.current_key()
        groups = self._view.groups if self._view else ()
        return next((row for group in groups for row in group.rows if row.supply_id == key), None)

    def _explain(self, _key: Hashable, _column: str) -> None:
        if self._open is not None or self._receiving:
            return
        keys = COUNT_KEYS if self._counting else PAGE_KEYS
        row = self._current()
        pool = self._pool_at(self.table.current_key())
        if pool is not None:
            self.margin.say(Note(pool.name, tuple(pool_blocks(pool)[1:]), POOL_KEYS))
            return
        if row is None:
            self.margin.say(Note("", (), keys))
            return
        desk, day = self.office.desk, self.office.day
        note = self.office.read(lambda: supplies.supply_note(desk, day, row.supply_id))
        if note is None:
            return
        blocks = note_blocks(note)
        idle = (self._dead or {}).get(row.supply_id)
        if idle is not None:
            facts = (("Stands there", idle.amount_text), ("Worth", idle.value_text))
            blocks = [Alert(idle.why[:1].upper() + idle.why[1:]), Facts(facts), Rule(), *blocks]
        line = self._lines.get(row.supply_id)
        if line is not None and line.packs:
            blocks += [Rule(), Voice(line.reason)]
        if self._view is not None:
            blocks += flammables(self._view)
        self.margin.say(Note(note.title, tuple(blocks), keys))


def stopped_of(office: Office, supply_id: int) -> bool:
    """Whether a supply is being used up."""
    return supplies.supply_page(office.desk, office.day, supply_id).supply.stopped
