"""Orders on their way, each an entry: what came is written over what was ordered."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QElapsedTimer, Signal
from PySide6.QtWidgets import QWidget

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed
from app.actions.desk.open_day import numbered
from app.actions.desk.papers import papers_folder
from app.actions.orders import deliveries, order_papers, receiving
from app.actions.orders.deliveries import DueOrder, LineTyped, still_due
from app.calculations.numbers.dates import near
from app.window.house.acting import on_day
from app.window.house.office import Office
from app.window.house.outside import open_outside
from app.window.paper.action import ActionRow
from app.window.paper.cells import (
    Cell,
    Column,
    EmptyText,
    Outcome,
    State,
    TableRow,
    given,
    given_entry,
    quiet,
    row_of,
)
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Alert, Block, Note, Offer, Rule, Voice, Writable, known
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run
from app.window.paper.strip import Strip, StripEntry

if TYPE_CHECKING:
    from app.records.queries.orders import OrderLineRow

RECEIVE_KEYS = (
    ("0–9", "packs that came"),
    ("Ctrl ↵", "it has come"),
    ("L", "it comes on another day"),
    ("X", "it will not come"),
)
SEND_KEYS = (
    ("F7", "its papers, in their folder"),
    ("M", "a mail draft"),
    ("F4", "I sent it today"),
    ("X", "take it back"),
)
COLUMNS = (
    Column("supply", "Supply", width=0, least=140),
    Column("pack", "Pack", width=98, least=76, dense=True),
    Column("ordered", "Ordered", width=62, least=56, right=True),
    Column("came", "Came", subhead="before", width=54, least=50, right=True),
    Column("packs", "Comes", subhead="now", width=64, least=56, right=True),
    Column("damaged", "of them", subhead="damaged", width=66, least=58, right=True),
    Column("price", "Price", subhead="each", width=104, least=64, right=True),
    Column("lot", "Lot", width=84, least=66, dense=True),
    Column("keeps", "Keeps to", width=92, least=76, dense=True),
)
REST = "rest"
TWICE = 800  # ms in which a key that is pressed again was meant for the order before


class DeliveriesCard(Strip):
    """The strip of orders on their way."""

    received = Signal()
    explained = Signal(object)  # a Note for the margin
    write_asked = Signal(str)  # the key of a text in the margin that is to be written

    def __init__(self, office: Office) -> None:
        super().__init__(office.theme, self._make)
        self._office = office
        self._orders: dict[str, DueOrder] = {}
        self._tables: dict[str, EntryTable] = {}
        self._rows: dict[str, ActionRow] = {}
        self._typed: dict[int, LineTyped] = {}
        self._asked: set[tuple[int, str]] = set()  # prices that were asked about
        self._taken = QElapsedTimer()  # since the order before came
        self.opened.connect(lambda _key: self.explain())

    def _make(self, key: str) -> QWidget:
        empty = EmptyText("Nothing more is due", "All of this order came.")
        table = EntryTable(self._office.theme, COLUMNS, empty=empty)
        table.on_commit = partial(self._write, key)
        table.on_restore = partial(self._put_back, key)
        table.row_entered.connect(lambda *_at: self.explain())
        row = ActionRow(self._office.theme, "It has come")
        row.button.clicked.connect(self.take)
        row.set_second("I sent it", "F4").clicked.connect(self.sent)
        self._tables[key], self._rows[key] = table, row
        self._fill(key)
        return PartsBody(self._office.theme, table, row)

    # showing -------------------------------------------------------------------------------
    def show_orders(self) -> int:
        """Read the orders on their way; how many there are."""
        office = self._office
        found = office.read(lambda: deliveries.due_orders(office.desk, office.day)) or ()
        self._orders = {f"order {one.row.order_id}": one for one in found}
        self.set_entries(
            tuple(
                StripEntry(
                    key,
                    f"Order {numbered(one.row.number)} to {one.supplier}",
                    result=one.text,
                    alert="look" if one.overdue else "",
                    state="done" if one.row.state == "part" else "to come",
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
        self.explain()
        return len(self._orders)

    def _fill(self, key: str) -> None:
        order = self._orders.get(key)
        if order is None:
            return
        due = [line for line in order.row.lines if still_due(line)]
        # Only such goods have a lot and a last day.
        dated = any(line.line_id in order.by_lot for line in due)
        columns = COLUMNS if dated else COLUMNS[:-2]
        rows = [self._line(line, line.line_id in order.by_lot) for line in due]
        if not dated:
            rows = [replace(row, cells=row.cells[:-2]) for row in rows]
        self._tables[key].show_rows(rows, columns)
        row = self._rows[key]
        row.set_second_ready(order.row.state == "written")
        hints = [
            Run("Its papers", "unit", key="F7", on_click=self.write_papers, gap=16),
            Run("Mail draft", "unit", key="M", on_click=self.draft_mail, gap=16),
        ]
        if order.row.state != "written":  # why it cannot be sent
            hints.append(Run(f"Sent {near(order.row.day, self._office.day)}.", "aside"))
        row.show_hints(hints)

    def _as_ordered(self, line: OrderLineRow) -> LineTyped:
        return LineTyped(str(still_due(line)), price=money(self._office.desk, line.price))

    def _current(self, line: OrderLineRow) -> LineTyped:
        return self._typed.get(line.line_id, self._as_ordered(line))

    def _line(self, line: OrderLineRow, by_lot: bool) -> TableRow:
        typed, filled = self._current(line), self._as_ordered(line)

        def cell(now: str, before: str) -> Cell:
            if now == before:
                return given_entry(now)
            return Cell(now, State.CHANGED, old=before, editable=True)

        def dated(text: str) -> Cell:
            return replace(given(text), editable=by_lot)

        return row_of(
            line.line_id,
            Cell(line.supply, tip=line.supply),
            quiet(line.pack_label, tip=line.pack_label),
            str(line.packs),
            given(str(line.packs_received) if line.packs_received else ""),
            cell(typed.packs, filled.packs),
            cell(typed.damaged, ""),
            cell(typed.price, filled.price),
            dated(typed.lot),
            dated(typed.keeps),
        )

    # writing -------------------------------------------------------------------------------
    def _at(self, key: str, line_id: Hashable) -> OrderLineRow:
        return next(one for one in self._orders[key].row.lines if one.line_id == line_id)

    def _write(self, key: str, line_id: Hashable, column: str, text: str) -> None:
        """Keep what was typed until the delivery is taken; what cannot be read is said at once."""
        line, office = self._at(key, line_id), self._office
        typed = replace(self._current(line), **{column: text.strip()})
        if column == "damaged" and typed.damaged == "0":
            typed = replace(typed, damaged="")
        deliveries.read_delivery(office.desk, {line.line_id: typed})
        asked = deliveries.price_question(office.desk, line, typed)
        self._typed[line.line_id] = typed
        self._fill(key)
        question = ""
        if asked and (line.line_id, typed.price) not in self._asked:
            self._asked.add((line.line_id, typed.price))
            question = asked
        office.note(Changed("", frozenset(), question=question))
        self.explain()

    def _put_back(self, key: str, line_id: Hashable, column: str) -> Outcome:
        line = self._at(key, line_id)
        filled = getattr(self._as_ordered(line), column)
        self._typed[line.line_id] = replace(self._current(line), **{column: filled})
        self._fill(key)
        return Outcome()

    @property
    def order(self) -> DueOrder | None:
        return self._orders.get(self.open_key)

    def take(self) -> None:
        """Take what came onto the shelf; the rest stays on its way."""
        order, office = self.order, self._office
        if order is None:
            return
        if self._taken.isValid() and not self._taken.hasExpired(TWICE):
            office.say("That one has come. The same key again takes this one.")
            return
        came = {line.line_id: self._current(line) for line in order.row.lines if still_due(line)}

        def do() -> Changed:
            read = deliveries.read_delivery(office.desk, came)
            return receiving.receive(
                office.desk,
                office.day,
                order.row.order_id,
                read.packs,
                lots=read.lots,
                prices=read.prices,
                damaged=read.damaged,
            )

        def taken(_changed: Changed) -> None:
            for line in order.row.lines:
                self._typed.pop(line.line_id, None)
            self.show_orders()
            self._taken.start()
            self.received.emit()

        number = order.row.order_id
        office.act_then(do, taken, "what came", ("delivery", number))

    def sent(self) -> None:
        """The open order went to its supplier today."""
        self._act(receiving.mark_order_sent)

    def give_up(self) -> None:
        """The open order is cancelled, or its rest will not come."""
        order = self.order
        if order is not None:
            part = order.row.state == "part"
            self._act(receiving.rest_will_not_come if part else receiving.cancel_order)

    def _act(self, do: Callable[..., Changed]) -> None:
        if self.order is not None:
            on_day(self._office, do, self.order.row.order_id)

    # when the rest comes, and papers ---------------------------------------------------------
    def write_later(self) -> None:
        """Put the cursor where the day is written on which the order, or its rest, comes."""
        if self.order is not None:
            self.write_asked.emit(f"{REST} {self.order.row.order_id}")

    def _later(self, order_id: int, text: str) -> None:
        if text.strip():
            on_day(self._office, receiving.expect_rest, order_id, text)

    def write_papers(self) -> None:
        """The open order as workbook, PDF and text; the folder is shown."""
        self._hand_out(self._papers)

    def draft_mail(self) -> None:
        """The open order as a mail, opened as a draft; a person sends it."""
        self._hand_out(self._draft)

    def _hand_out(self, write: Callable[[int], Path]) -> None:
        if self.order is not None:
            number = self.order.row.order_id
            self._office.act_now(lambda: open_outside(write(number)))

    def _papers(self, number: int) -> Path:
        office = self._office
        folder = papers_folder(office.desk, "orders")
        files = order_papers.order_files(office.desk, number, folder)
        office.say(f"{files[0].stem}: workbook, PDF and text written to {folder}")
        return folder

    def _draft(self, number: int) -> Path:
        path = order_papers.order_draft(self._office.desk, number)
        self._office.say(f"{path.name} lies in {path.parent}: send it, then say so (F4)")
        return path

    # the margin ----------------------------------------------------------------------------
    def explain(self) -> None:
        if self.isHidden():
            return
        order = self.order
        if order is None:
            self.explained.emit(Note("Deliveries", (Voice("Nothing is on its way."),), ()))
            return
        office, head = self._office, order.row
        desk, part = office.desk, head.state == "part"
        blocks: list[Block] = [Alert(office.question)] if office.question else []
        comes = near(head.expected_on, office.day) if head.expected_on is not None else ""
        if order.overdue:
            blocks.append(Alert(f"Overdue: expected {comes}"))
        if order.doubts:
            blocks.append(Alert(order.doubts))
        blocks.append(
            Voice(
                "Filled in as ordered: type over what differs, then say that it has come. Nothing "
                "is on the shelf until then."
            )
        )
        facts = known(
            ("Goods to come" if part else "Goods", money(desk, order.goods)),
            (
                "Freight, by weight",
                "" if part else money(desk, order.freight) if order.freight else "free",
            ),
            ("In all", "" if part else money(desk, order.goods + order.freight)),
            ("Expected", "" if order.overdue else comes),
        )
        blocks += [Rule(), facts]
        if order.note:
            blocks.append(Voice(order.note))
        key, later = f"{REST} {head.order_id}", partial(self._later, head.order_id)
        comes_on = "The rest comes on (L)" if part else "It comes on another day (L)"
        give_up = "The rest will not come" if part else "Take the order back"
        blocks += [Rule(), Writable(key, comes_on, "", later, 2), Offer("X", give_up, self.give_up)]
        keys = SEND_KEYS if head.state == "written" else RECEIVE_KEYS
        self.explained.emit(Note(f"Order {numbered(head.number)}", tuple(blocks), keys))
