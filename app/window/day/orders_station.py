"""Station 4: what to order, by supplier, and the orders on their way."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from PySide6.QtWidgets import QFileDialog

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk
from app.actions.orders.order_papers import order_files
from app.actions.orders.order_proposal import (
    OpenOrder,
    OrderLineView,
    SupplierOrder,
    WhatToOrder,
    what_to_order,
)
from app.actions.orders.order_terms import SoonerView
from app.actions.orders.order_writing import as_proposed, orders_written, set_packs, write_orders
from app.actions.orders.receiving import cancel_order, mark_order_sent
from app.calculations.numbers.dates import near
from app.errors import Mendable
from app.window.day.station import Station, closed_cell
from app.window.house.runner import Lock, Task
from app.window.paper.cells import Cell, Column, EmptyText, GroupRow, State, TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Alert, Block, Facts, Note, Offer, Rule, Voice
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.window.day.place import DaySheet

_KEYS = (
    ("0–9", "write over the packs"),
    ("↵", "next line to order"),
    ("Esc", "put the proposal back"),
    ("F4", "write them now"),
)
_WAITING_KEYS = (
    ("S", "noted as sent"),
    ("R", "it came"),
    ("X", "take it back"),
    ("F4", "write its sheet"),
)
_COLUMNS = (
    Column("name", "Supply", least=140),
    Column("pack", "Pack", width=204, least=110),
    Column("packs", "Order", subhead="packs", width=84, least=70, right=True),
    Column("price", "Price", subhead="each", width=84, least=70, right=True),
    Column("cost", "Cost", width=88, least=76, right=True),
    Column("note", "", width=116, least=86, pad=14),
)


class OrdersStation(Station):
    """The proposal, changed by hand where it differs. A person sends."""

    key = "orders"
    keys = _KEYS
    letters: ClassVar[dict[str, str]] = {
        "S": "sent_here",
        "R": "came_here",
        "X": "cancel_here",
        "I": "instead_here",
    }

    def __init__(self, place: DaySheet) -> None:
        table = EntryTable(place.theme, _COLUMNS, rows_from=25, rows_to=32)
        super().__init__(place, table, "Orders are right")
        self._view: WhatToOrder | None = None
        self.row.set_second("Write them now", "F4").clicked.connect(self.write_now)
        table.teach_when_empty(
            EmptyText(
                "Nothing needs ordering",
                "When booked work or usual days would run a supply out before its next delivery, "
                "it stands here with the packs that cover it.",
                "Ctrl 4",
                "Look at the shelf",
                lambda: place.office.go("shelf"),
            )
        )

    # view ----------------------------------------------------------------------------------
    def read(self, desk: Desk, day: date) -> WhatToOrder:
        return what_to_order(desk, day)

    def show_view(self, view: WhatToOrder) -> None:
        self._view = view
        rows: list[TableRow | GroupRow] = []
        for order in view.suppliers:
            rows.append(GroupRow(("to", order.supplier_id), order.name, _about(order, self.day)))
            rows += [self._line(line) for line in order.lines]
        if view.sooner:
            rows.append(GroupRow("sooner", "Could come in time", "from someone else"))
            rows += [self._sooner_row(one) for one in view.sooner]
        for name, why in view.waits:
            rows.append(GroupRow(("waits", name), name, why))
        if view.waiting:
            rows.append(GroupRow("waiting", "On their way"))
            rows += [self._waiting_row(order) for order in view.waiting]
        self.table.show_rows(rows)
        runs = []
        if view.short_text:
            runs.append(Run(view.short_text, "unit", "look", mark="look"))
        self.row.show_hints(runs)
        total = [Run("in all", "row"), Run(view.total_text, "total", "ink")]
        self.row.show_total(total if view.suppliers else [])
        second = self.row.second
        if second is not None:
            second.setVisible(bool(view.suppliers or self._here_waiting()) and not self.closed)

    def _line(self, line: OrderLineView) -> TableRow:
        packs = Cell(str(line.packs), bold=True, editable=True)
        if line.chosen:
            old = str(line.proposed) if line.proposed != line.packs else ""
            packs = Cell(str(line.packs), State.CHANGED, old=old, editable=True)
        detail = "bought along" if line.filler else ""
        if line.sooner is not None:
            detail = "comes late"
        return TableRow(
            ("line", line.supply_id),
            (
                Cell(line.name, bold=bool(line.alert), mark=line.alert, tip=line.reason),
                Cell(line.pack_label, State.QUIET),
                closed_cell(packs) if self.closed else packs,
                Cell(money(self.desk, line.price), State.QUIET),
                Cell(line.cost_text),
                Cell(detail, State.QUIET),
            ),
        )

    def _sooner_row(self, one: SoonerView) -> TableRow:
        return TableRow(
            ("sooner", one.supply_id),
            (
                Cell(one.name, bold=True, mark="wrong", tip=one.text),
                Cell(one.pack_label, State.QUIET),
                Cell("0", State.UNUSED, editable=True),
                Cell("", State.QUIET),
                Cell(one.cost_text, State.QUIET),
                Cell(one.supplier, State.QUIET, tip=one.text),
            ),
        )

    def _waiting_row(self, order: OpenOrder) -> TableRow:
        # One cell over all columns: what is late must not be cut short.
        state = State.LOOK if order.overdue else State.PLAIN
        mark = "look" if order.overdue else "order"
        name = f"{order.number_text} {order.supplier}"
        return TableRow(
            ("order", order.order_id), (Cell(name, state, mark=mark, detail=order.text),)
        )

    # writing -------------------------------------------------------------------------------
    def _line_of(self, key: Hashable) -> OrderLineView | None:
        if self._view is None or not isinstance(key, tuple) or key[0] != "line":
            return None
        lines = (line for order in self._view.suppliers for line in order.lines)
        return next((line for line in lines if line.supply_id == key[1]), None)

    def _sooner_of(self, key: Hashable) -> SoonerView | None:
        """Who would be in time for the row: of one that is ordered, or of one that is not."""
        line = self._line_of(key)
        if line is not None:
            return line.sooner
        if self._view is None or not isinstance(key, tuple) or key[0] != "sooner":
            return None
        return next((one for one in self._view.sooner if one.supply_id == key[1]), None)

    def instead_here(self) -> None:
        """Take the pack that comes in time, from whoever sells it."""
        other = self._sooner_of(self.table.current_key())
        if other is not None and not self.closed:
            desk, day = self.desk, self.day
            self.act(lambda: set_packs(desk, day, other.supply_id, other.pack_id, other.packs))

    def write(self, key: Hashable, column: str, text: str) -> Changed:
        line, other = self._line_of(key), self._sooner_of(key)
        if line is None and other is None:
            raise Mendable("This line has gone meanwhile; look at the list again.")
        words = text.strip() or "0"
        if not words.isdecimal():
            raise Mendable("A whole number of packs, please.")
        if line is None:
            assert other is not None
            return set_packs(self.desk, self.day, other.supply_id, other.pack_id, int(words))
        return set_packs(self.desk, self.day, line.supply_id, line.pack_id, int(words))

    def put_back(self, key: Hashable, column: str) -> Changed:
        line = self._line_of(key)
        if line is None:
            raise Mendable("This line has gone meanwhile; look at the list again.")
        return as_proposed(self.desk, self.day, line.supply_id)

    def write_now(self) -> None:
        """Write the orders, then their sheets into a folder that the person chooses."""
        order = self._here_waiting()
        folder = QFileDialog.getExistingDirectory(self, "Where the order sheets go")
        if not folder:
            return
        desk, day, out = self.desk, self.day, Path(folder)
        if order is not None:
            self._write_sheets((order.order_id,), out)
        elif self.may_write():

            def written(done: tuple[Changed, tuple[int, ...]]) -> None:
                self.office.note(done[0])
                self._write_sheets(done[1], out)

            self.office.write_long(
                "writing the orders",
                lambda _task: (write_orders(desk, day), orders_written(desk, day)),
                written,
                owner=self,
                lock=Lock("The orders are being written; the sheet can be written in then.", day),
            )

    def _write_sheets(self, ids: tuple[int, ...], out: Path) -> None:
        desk = self.desk

        def work(task: Task) -> list[Path]:
            files: list[Path] = []
            for at, order_id in enumerate(ids):
                task.say(at / max(len(ids), 1), "Writing the order sheets")
                files += order_files(desk, order_id, out)
            return files

        def tell(files: list[Path]) -> None:
            self.office.say(f"{len(files)} files written to {out}")

        self.office.runner.run(
            "order sheets", work, done=tell, failed=self.office.say_trouble, owner=self
        )

    # orders on their way -------------------------------------------------------------------
    def _here_waiting(self) -> OpenOrder | None:
        key = self.table.current_key()
        if self._view is None or not isinstance(key, tuple) or key[0] != "order":
            return None
        return next((one for one in self._view.waiting if one.order_id == key[1]), None)

    def sent_here(self) -> None:
        """Note that the order with the focus was sent."""
        order = self._here_waiting()
        if order is not None:
            desk, day = self.desk, self.day
            self.act(lambda: mark_order_sent(desk, day, order.order_id))

    def cancel_here(self) -> None:
        """Take back the order with the focus."""
        order = self._here_waiting()
        if order is not None:
            desk, day = self.desk, self.day
            self.act(lambda: cancel_order(desk, day, order.order_id))

    def came_here(self) -> None:
        """Take the order with the focus onto the shelf."""
        order = self._here_waiting()
        if order is not None:
            self.office.go("shelf", ("order", order.order_id))

    # note ----------------------------------------------------------------------------------
    def read_note(self, desk: Desk, day: date, key: Hashable, column: str) -> Any:
        return key

    def show_note(self, found: Any) -> Note:
        waiting = self._here_waiting()
        if waiting is not None:
            return self._waiting_note(waiting)
        blocks: list[Block] = []
        line = self._line_of(found)
        if line is None and (other := self._sooner_of(found)) is not None:
            blocks = [Alert("Comes too late", "wrong"), Voice(other.text)]
            return Note(other.name, (*blocks, self._instead(other)), _KEYS)
        if line is None or self._view is None:
            return Note("What to order", (), _KEYS)
        order = next(one for one in self._view.suppliers if line in one.lines)
        blocks = []
        if line.alert:
            words = {"wrong": "Runs out before it can come", "look": "Runs short before it comes"}
            blocks.append(Alert(words[line.alert], line.alert))
        blocks.append(Voice(line.reason))
        if line.sooner is not None:
            blocks += [Voice(line.sooner.text), self._instead(line.sooner)]
        if line.break_text:
            blocks.append(Voice(line.break_text))
        blocks += [Voice(words) for words in line.why_pack]
        facts = [
            ("Packs", f"{line.packs} × {line.pack_label}"),
            ("That is", line.quantity_text),
            ("Cost", line.cost_text),
        ]
        blocks += [Rule(), Facts(tuple(facts)), Rule()]
        whole = [
            ("Goods", money(self.desk, order.goods)),
            ("Freight", order.freight_text),
            ("In all", order.total_text),
            ("Comes about", near(order.next_delivery, self.day)),
        ]
        blocks += [Voice(words) for words in (order.note, order.sale_text) if words]
        blocks.append(Facts(tuple(whole)))
        return Note(line.name, tuple(blocks), _KEYS)

    def _instead(self, other: SoonerView) -> Offer:
        return Offer("I", f"Take it from {other.supplier} instead", self.instead_here)

    def _waiting_note(self, order: OpenOrder) -> Note:
        blocks: list[Block] = []
        if order.overdue:
            blocks.append(Alert("Overdue"))
        blocks.append(Voice(f"{order.text[0].upper()}{order.text[1:]}."))
        blocks.append(Offer("R", "It came: take it onto the shelf", self.came_here))
        if order.state == "written":
            blocks.append(Offer("S", "Noted as sent", self.sent_here))
        blocks.append(Offer("X", "Take the order back", self.cancel_here))
        return Note(f"Order {order.number_text}, {order.supplier}", tuple(blocks), _WAITING_KEYS)

    def title(self) -> str:
        return "What to order"


def _about(order: SupplierOrder, day: date) -> str:
    freight = "free of freight" if order.freight == 0 else f"freight {order.freight_text}"
    said = f"comes about {near(order.next_delivery, day)}, {order.total_text}, {freight}"
    return (
        f"{said}; {order.sale_text[:1].lower()}{order.sale_text[1:-1]}" if order.sale_text else said
    )
