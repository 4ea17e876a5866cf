"""Station 4: what to order, by supplier, and the orders on their way."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed
from app.actions.orders.order_papers import order_files
from app.actions.orders.order_proposal import (
    OpenOrder,
    OrderLineView,
    SupplierOrder,
    WhatToOrder,
    what_to_order,
)
from app.actions.orders.order_terms import SoonerView
from app.actions.orders.order_writing import as_proposed, set_packs
from app.actions.orders.receiving import cancel_order, mark_order_sent
from app.calculations.numbers.dates import near
from app.calculations.numbers.wording import capital
from app.errors import Mendable
from app.window.day.station import Station
from app.window.house.acting import on_day, on_each
from app.window.house.filechoice import FileChoice
from app.window.house.runner import Task
from app.window.orders.writing_orders import write_orders
from app.window.paper.cells import (
    Cell,
    Column,
    EmptyText,
    GroupRow,
    State,
    TableRow,
    entry,
    quiet,
    row_of,
)
from app.window.paper.notes import Alert, Block, Facts, Note, Offer, Rule, Voice
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.window.day.place import DayPlace

GONE = "This line has gone meanwhile; look at the list again."
_WAITING_KEYS = (
    ("S", "noted as sent"),
    ("R", "it came"),
    ("X", "take it back"),
    ("F4", "write its sheet"),
)


class OrdersStation(Station):
    """The proposal, changed by hand where it differs. A person sends."""

    key = "orders"
    title = "What to order"
    keys = (
        ("0–9", "write over the packs"),
        ("↵", "next line to order"),
        ("Esc", "put the proposal back"),
        ("F4", "write them now"),
    )
    columns = (
        Column("name", "Supply", least=140),
        Column("pack", "Pack", width=204, least=110, aside=1),
        Column("packs", "Order", subhead="packs", width=84, least=70, right=True),
        Column("price", "Price", subhead="each", width=84, least=70, right=True, aside=2),
        Column("cost", "Cost", width=88, least=76, right=True),
        Column("note", "", width=116, least=86, pad=14),
    )
    letters: ClassVar[dict[str, str]] = {
        "S": "sent_here",
        "R": "came_here",
        "X": "cancel_here",
        "I": "instead_here",
    }

    def __init__(self, place: DayPlace) -> None:
        empty = EmptyText(
            "Nothing needs ordering",
            "When booked work or usual days would run a supply out before its next delivery, "
            "it stands here with the packs that cover it.",
            "Ctrl 4",
            "Look at the shelf",
            lambda: place.office.go("shelf"),
        )
        super().__init__(place, "Orders are right", what_to_order, empty)
        self._view: WhatToOrder | None = None
        self._behind: dict[Hashable, OrderLineView | SoonerView | OpenOrder] = {}  # the rows
        self.row.set_second("Write them now", "F4").clicked.connect(self.write_now)

    # view ----------------------------------------------------------------------------------
    def show_view(self, view: WhatToOrder) -> None:
        self._view = view
        ordered = [line for order in view.suppliers for line in order.lines]
        self._behind = {("line", line.supply_id): line for line in ordered}
        self._behind |= {("sooner", one.supply_id): one for one in view.sooner}
        self._behind |= {("order", order.order_id): order for order in view.waiting}
        rows: list[TableRow | GroupRow] = []
        for order in view.suppliers:
            rows.append(GroupRow(("to", order.supplier_id), order.name, _about(order, self.day)))
            rows += [self._line(line) for line in order.lines]
        if view.sooner:
            rows.append(GroupRow("sooner", "Could come in time", "from someone else"))
            rows += [_sooner_row(one) for one in view.sooner]
        for name, why in view.waits:
            rows.append(GroupRow(("waits", name), name, why))
        for name in view.unsold:
            rows.append(GroupRow(("unsold", name), name, "runs out, and has no supplier"))
        if view.waiting:
            rows.append(GroupRow("waiting", "On their way"))
            rows += [_waiting_row(order) for order in view.waiting]
        self.table.show_rows(rows)
        short = Run(view.short_text, "unit", "look", mark="look")
        self.row.show_hints([short] if view.short_text else [])
        total = [Run("in all", "row"), Run(view.total_text, "total", "ink")]
        self.row.show_total(total if view.suppliers else [])
        orders = bool(view.suppliers or self._here_waiting())
        self.row.show_second(orders and not self.closed)

    def _line(self, line: OrderLineView) -> TableRow:
        packs = Cell(str(line.packs), bold=True, editable=True)
        if line.chosen:
            old = str(line.proposed) if line.proposed != line.packs else ""
            packs = Cell(str(line.packs), State.CHANGED, old=old, editable=True)
        detail = "comes late" if line.sooner is not None else "bought along" if line.filler else ""
        return row_of(
            ("line", line.supply_id),
            Cell(line.name, bold=bool(line.alert), mark=line.alert, tip=line.reason),
            quiet(line.pack_label),
            self.as_shown(packs),
            quiet(money(self.desk, line.price)),
            line.cost_text,
            quiet(detail),
        )

    # writing -------------------------------------------------------------------------------
    def _line_of(self, key: Hashable) -> OrderLineView | None:
        one = self._behind.get(key)
        return one if isinstance(one, OrderLineView) else None

    def _sooner_of(self, key: Hashable) -> SoonerView | None:
        """Who would be in time for the row: of one that is ordered, or of one that is not."""
        one = self._behind.get(key)
        if isinstance(one, OrderLineView):
            return one.sooner
        return one if isinstance(one, SoonerView) else None

    def instead_here(self) -> None:
        """Take the pack that comes in time, from whoever sells it."""
        other = self._sooner_of(self.table.current_key())
        if other is not None and not self.closed:
            self.act(set_packs, other.supply_id, other.pack_id, other.packs)

    def write(self, key: Hashable, column: str, text: str) -> Changed:
        one = self._line_of(key) or self._sooner_of(key)
        if one is None:
            raise Mendable(GONE)
        words = text.strip() or "0"
        if not words.isdecimal():
            raise Mendable("A whole number of packs, please.")
        return set_packs(self.desk, self.day, one.supply_id, one.pack_id, int(words))

    def put_back(self, key: Hashable, column: str) -> Changed:
        line = self._line_of(key)
        if line is None:
            raise Mendable(GONE)
        return as_proposed(self.desk, self.day, line.supply_id)

    def write_now(self) -> None:
        """Write the orders, then their sheets into a folder that the person chooses."""
        order = self._here_waiting()
        choice = FileChoice(self.office.theme, self, "order sheets")
        folder = choice.choose_folder("Where the order sheets go")
        if folder is None:
            return
        if order is not None:
            self._write_sheets(Path(folder), (order.order_id,))
        elif self.may_write():
            write_orders(self.office, self, partial(self._write_sheets, Path(folder)))

    def _write_sheets(self, out: Path, ids: tuple[int, ...]) -> None:
        desk = self.desk

        def work(task: Task) -> list[Path]:
            files: list[Path] = []
            for at, order_id in enumerate(ids):
                task.say(at / max(len(ids), 1), "Writing the order sheets")
                files += order_files(desk, order_id, out)
            return files

        self.write_files("order sheets", out, work)

    # orders on their way -------------------------------------------------------------------
    def _here_waiting(self) -> OpenOrder | None:
        one = self._behind.get(self.table.current_key())
        return one if isinstance(one, OpenOrder) else None

    def _chosen_waiting(self) -> list[int]:
        """The chosen orders on their way, else that with the focus."""
        found = (self._behind.get(key) for key in self.table.chosen_keys)
        return [one.order_id for one in found if isinstance(one, OpenOrder)]

    def sent_here(self) -> None:
        """Note that the chosen orders, else that with the focus, were sent."""
        office, orders = self.office, self._chosen_waiting()
        said = "orders noted as sent"
        on_each(office, orders, lambda one: on_day(office, mark_order_sent, one), said)

    def cancel_here(self) -> None:
        """Take back the chosen orders, else that with the focus."""
        office, orders = self.office, self._chosen_waiting()
        on_each(office, orders, lambda one: on_day(office, cancel_order, one), "orders taken back")

    def came_here(self) -> None:
        """Take the order with the focus onto the shelf."""
        order = self._here_waiting()
        if order is not None:
            self.office.go("shelf", ("order", order.order_id))

    # note ----------------------------------------------------------------------------------
    def show_note(self, found: Any) -> Note:
        waiting = self._here_waiting()
        if waiting is not None:
            return self._waiting_note(waiting)
        line, other = self._line_of(found), self._sooner_of(found)
        if line is not None:
            return self._line_note(line)
        if other is not None:
            late = (Alert("Comes too late", "wrong"), Voice(other.text), self._instead(other))
            return Note(other.name, late, self.keys)
        return super().show_note(found)

    def _line_note(self, line: OrderLineView) -> Note:
        assert self._view is not None
        order = next(one for one in self._view.suppliers if line in one.lines)
        blocks: list[Block] = []
        if line.alert:
            words = {"wrong": "Runs out before it can come", "look": "Runs short before it comes"}
            blocks.append(Alert(words[line.alert], line.alert))
        blocks.append(Voice(line.reason))
        if line.sooner is not None:
            blocks += [Voice(line.sooner.text), self._instead(line.sooner)]
        blocks += [Voice(words) for words in (line.break_text, *line.why_pack) if words]
        of_line = (
            ("Packs", f"{line.packs} × {line.pack_label}"),
            ("That is", line.quantity_text),
            ("Cost", line.cost_text),
        )
        of_order = (
            ("Goods", money(self.desk, order.goods)),
            ("Freight", order.freight_text),
            ("In all", order.total_text),
            ("Comes about", near(order.next_delivery, self.day)),
        )
        blocks += [Rule(), Facts(of_line), Rule()]
        blocks += [Voice(words) for words in (order.note, order.sale_text) if words]
        return Note(line.name, (*blocks, Facts(of_order)), self.keys)

    def _instead(self, other: SoonerView) -> Offer:
        return Offer("I", f"Take it from {other.supplier} instead", self.instead_here)

    def _waiting_note(self, order: OpenOrder) -> Note:
        blocks: list[Block] = [Alert("Overdue")] if order.overdue else []
        blocks.append(Voice(f"{capital(order.text)}."))
        blocks.append(Offer("R", "It came: take it onto the shelf", self.came_here))
        if order.state == "written":
            blocks.append(Offer("S", "Noted as sent", self.sent_here))
        blocks.append(Offer("X", "Take the order back", self.cancel_here))
        return Note(f"Order {order.number_text}, {order.supplier}", tuple(blocks), _WAITING_KEYS)


def _sooner_row(one: SoonerView) -> TableRow:
    return row_of(
        ("sooner", one.supply_id),
        Cell(one.name, bold=True, mark="wrong", tip=one.text),
        quiet(one.pack_label),
        entry("0", State.UNUSED),
        "",
        quiet(one.cost_text),
        quiet(one.supplier, tip=one.text),
    )


def _waiting_row(order: OpenOrder) -> TableRow:
    # One cell over all columns: what is late must not be cut short.
    state, mark = (State.LOOK, "look") if order.overdue else (State.PLAIN, "order")
    name = f"{order.number_text} {order.supplier}"
    return row_of(("order", order.order_id), Cell(name, state, mark=mark, detail=order.text))


def _about(order: SupplierOrder, day: date) -> str:
    freight = "free of freight" if order.freight == 0 else f"freight {order.freight_text}"
    about = f"comes about {near(order.next_delivery, day)}, {order.total_text}, {freight}"
    sale = f"{order.sale_text[:1].lower()}{order.sale_text[1:-1]}"
    return f"{about}; {sale}" if sale else about
