"""Station 4: what to order, by supplier, and the orders on their way."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from PySide6.QtWidgets import QFileDialog

from app.actions.desk import Changed, Desk
from app.actions.ordering import (
    OpenOrder,
    OrderLineView,
    SupplierOrder,
    WhatToOrder,
    as_proposed,
    cancel_order,
    mark_order_sent,
    order_files,
    orders_written,
    set_packs,
    what_to_order,
    write_orders,
)
from app.errors import Mendable
from app.window.cells import Cell, Column, EmptyText, GroupRow, State, TableRow
from app.window.day_sheet.station import Station, closed_cell
from app.window.entrytable import EntryTable
from app.window.notes import Alert, Block, Facts, Note, Offer, Rule, Voice
from app.window.runner import Task
from app.window.runs import Run

if TYPE_CHECKING:
    from app.window.day_sheet.place import DaySheet

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
    Column("packs", "Order", "packs", width=84, least=70, right=True),
    Column("price", "Price", "each", width=84, least=70, right=True),
    Column("cost", "Cost", width=88, least=76, right=True),
    Column("note", "", width=116, least=86, pad=14),
)


class OrdersStation(Station):
    """The proposal, changed by hand where it differs. A person sends."""

    key = "orders"
    keys = _KEYS
    letters: ClassVar[dict[str, str]] = {"S": "sent_here", "R": "came_here", "X": "cancel_here"}

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
            rows.append(GroupRow(("to", order.supplier_id), order.name, _about(order)))
            rows += [self._line(line) for line in order.lines]
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
            packs = Cell(str(line.packs), State.CHANGED, old, editable=True)
        detail = "bought along" if line.filler else ""
        return TableRow(
            ("line", line.supply_id),
            (
                Cell(line.name, bold=bool(line.alert), mark=line.alert, tip=line.reason),
                Cell(line.pack_label, State.QUIET),
                closed_cell(packs) if self.closed else packs,
                Cell(line.price_text, State.QUIET),
                Cell(line.cost_text),
                Cell(detail, State.QUIET),
            ),
        )

    def _waiting_row(self, order: OpenOrder) -> TableRow:
        state = State.LOOK if order.overdue else State.QUIET
        return TableRow(
            ("order", order.order_id),
            (
                Cell(f"{order.number_text} {order.supplier}", mark="order"),
                Cell(order.text, state, mark="look" if order.overdue else "", tip=order.text),
                Cell(),
                Cell(),
                Cell(),
                Cell(order.state, State.QUIET),
            ),
        )

    # writing -------------------------------------------------------------------------------
    def _line_of(self, key: Hashable) -> OrderLineView | None:
        if self._view is None or not isinstance(key, tuple) or key[0] != "line":
            return None
        lines = (line for order in self._view.suppliers for line in order.lines)
        return next((line for line in lines if line.supply_id == key[1]), None)

    def write(self, key: Hashable, column: str, text: str) -> Changed:
        line = self._line_of(key)
        if line is None:
            raise Mendable("This line has gone meanwhile; look at the list again.")
        words = text.strip() or "0"
        if not words.isdecimal():
            raise Mendable("A whole number of packs, please.")
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
        if order is None and self.act(lambda: write_orders(desk, day)) is None:
            return
        ids = (order.order_id,) if order is not None else orders_written(desk, day)

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
        line = self._line_of(found)
        if line is None or self._view is None:
            return Note("What to order", (), _KEYS)
        order = next(one for one in self._view.suppliers if line in one.lines)
        blocks: list[Block] = []
        if line.alert:
            words = {"wrong": "Runs out before it can come", "look": "Runs short before it comes"}
            blocks.append(Alert(words[line.alert], line.alert))
        blocks.append(Voice(line.reason))
        facts = [
            ("Packs", f"{line.packs} × {line.pack_label}"),
            ("That is", line.quantity_text),
            ("Cost", line.cost_text),
        ]
        blocks += [Rule(), Facts(tuple(facts)), Rule()]
        whole = [
            ("Goods", order.goods_text),
            ("Freight", order.freight_text),
            ("In all", order.total_text),
            ("Comes about", order.next_delivery_text),
        ]
        if order.note:
            blocks.append(Voice(order.note))
        blocks.append(Facts(tuple(whole)))
        return Note(line.name, tuple(blocks), _KEYS)

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


def _about(order: SupplierOrder) -> str:
    freight = "free of freight" if order.freight == 0 else f"freight {order.freight_text}"
    return f"comes about {order.next_delivery_text}, {order.total_text}, {freight}"
