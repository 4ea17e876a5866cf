"""Orders on their way, each an entry: what came is written over what was ordered."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.actions import deliveries, receiving
from app.actions.deliveries import DueLine, DueOrder
from app.errors import Mendable
from app.window.action import ActionRow
from app.window.cells import Cell, Column, EmptyText, Outcome, State, TableRow
from app.window.entrytable import EntryTable
from app.window.office import Office
from app.window.partsbody import PartsBody
from app.window.strip import Entry, Strip

COLUMNS = (
    Column("supply", "Supply", width=0, least=140),
    Column("pack", "Pack", width=120, least=80, dense=True),
    Column("ordered", "Ordered", width=72, least=56, right=True),
    Column("came", "Came", "before", width=62, least=50, right=True),
    Column("now", "Comes", "now", width=72, least=56, right=True),
    Column("price", "Price", "each", width=86, least=64, right=True),
    Column("lot", "Lot", width=110, least=70, dense=True),
    Column("keeps", "Keeps to", width=110, least=80, dense=True),
)
WRITTEN = {"now": 0, "price": 1, "lot": 2, "keeps": 3}


class DeliveriesCard(Strip):
    """The strip of orders on their way."""

    received = Signal()

    def __init__(self, office: Office) -> None:
        super().__init__(office.theme, self._make)
        self._office = office
        self._orders: dict[str, DueOrder] = {}
        self._tables: dict[str, EntryTable] = {}
        self._rows: dict[str, ActionRow] = {}
        self._typed: dict[int, list[str]] = {}  # line -> packs, price, lot, keeps to

    def _make(self, key: str) -> QWidget:
        table = EntryTable(self._office.theme, COLUMNS)
        table.on_commit = partial(self._write, key)
        table.on_restore = partial(self._put_back, key)
        table.teach_when_empty(EmptyText("Nothing more is due", "All of this order came."))
        row = ActionRow(self._office.theme, "It has come")
        row.button.clicked.connect(self.take)
        row.set_second("I sent it", "F4").clicked.connect(self.sent)
        self._tables[key], self._rows[key] = table, row
        self._fill(key)
        return PartsBody(self._office.theme, table, row)

    def show_orders(self) -> int:
        """Read the orders on their way; how many there are."""
        office = self._office
        found = office.read(lambda: deliveries.due_orders(office.desk, office.day)) or ()
        self._orders = {f"order {one.order_id}": one for one in found}
        self.set_entries(
            tuple(
                Entry(
                    key,
                    f"Order {one.number_text} to {one.supplier}",
                    "Type over what differs; nothing is on the shelf until you say so.",
                    result=one.text,
                    alert="look" if one.overdue else "",
                    state="done" if one.state == "part" else "to come",
                )
                for key, one in self._orders.items()
            )
        )
        for key in self._tables:
            if key in self._orders:
                self._fill(key)
        if self.open_key not in self._orders and self._orders:
            self.open(next(iter(self._orders)), still=True)
        self.relay()
        return len(self._orders)

    def _fill(self, key: str) -> None:
        order = self._orders.get(key)
        if order is None:
            return
        self._tables[key].show_rows([self._line(line) for line in order.lines if line.due])
        second = self._rows[key].second
        if second is not None:
            second.set_ready(order.state == "written")

    def _stands(self, line: DueLine) -> list[str]:
        return self._typed.get(line.line_id, [str(line.due), line.price_text, "", ""])

    def _line(self, line: DueLine) -> TableRow:
        now, price, lot, keeps = self._stands(line)
        changed = now != str(line.due)
        dearer = price != line.price_text
        return TableRow(
            line.line_id,
            (
                Cell(line.supply, tip=line.supply),
                Cell(line.pack, State.QUIET),
                Cell(str(line.ordered)),
                Cell(str(line.came)) if line.came else Cell("", State.UNUSED),
                Cell(
                    now,
                    State.CHANGED if changed else State.PLAIN,
                    old=str(line.due) if changed else "",
                    editable=True,
                ),
                Cell(
                    price,
                    State.CHANGED if dearer else State.PLAIN,
                    old=line.price_text if dearer else "",
                    editable=True,
                ),
                Cell(lot or ("" if line.by_lot else "·"), editable=line.by_lot),
                Cell(keeps or ("" if line.by_lot else "·"), editable=line.by_lot),
            ),
        )

    def _write(self, key: str, line_id: Hashable, column: str, text: str) -> Outcome:
        """Keep what was typed until the delivery is taken; what cannot be read is said at once."""
        line = next(one for one in self._orders[key].lines if one.line_id == line_id)
        stands = list(self._stands(line))
        stands[WRITTEN[column]] = text.strip()
        came = {line.line_id: (stands[0], stands[1], stands[2], stands[3])}
        try:
            deliveries.read_delivery(self._office.desk, came)
        except Mendable as trouble:
            return Outcome(False, trouble.sentence)
        self._typed[line.line_id] = stands
        self._fill(key)
        return Outcome()

    def _put_back(self, key: str, line_id: Hashable, column: str) -> Outcome:
        line = next(one for one in self._orders[key].lines if one.line_id == line_id)
        stands = list(self._stands(line))
        stands[WRITTEN[column]] = [str(line.due), line.price_text, "", ""][WRITTEN[column]]
        self._typed[line.line_id] = stands
        self._fill(key)
        return Outcome()

    @property
    def order(self) -> DueOrder | None:
        """The open order."""
        return self._orders.get(self.open_key)

    def take(self) -> None:
        """Take what came onto the shelf; the rest stays on its way."""
        order, office = self.order, self._office
        if order is None:
            return
        came = {line.line_id: tuple(self._stands(line)) for line in order.lines if line.due}

        def do() -> object:
            packs, prices, lots = deliveries.read_delivery(office.desk, came)  # type: ignore[arg-type]
            return receiving.receive(
                office.desk, office.day, order.order_id, packs, lots=lots, prices=prices
            )

        if office.act(do) is not None:
            for line in order.lines:
                self._typed.pop(line.line_id, None)
            self.received.emit()

    def sent(self) -> None:
        """The open order went to its supplier today."""
        order, office = self.order, self._office
        if order is not None:
            number = order.order_id
            office.act(lambda: receiving.mark_order_sent(office.desk, office.day, number))

    def give_up(self) -> None:
        """The open order is cancelled, or its rest will not come."""
        order, office = self.order, self._office
        if order is None:
            return
        number = order.order_id
        end = receiving.rest_will_not_come if order.state == "part" else receiving.cancel_order
        office.act(lambda: end(office.desk, office.day, number))
