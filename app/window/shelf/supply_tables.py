"""The tables of a supply's card: its ledger, its uses, its lots, and how long deliveries took."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.actions.desk.amounts import amount_text, column_decimals, money, stock_text
from app.actions.desk.desk import Desk
from app.actions.desk.open_day import numbered
from app.actions.shelf.supplies import LotView, SupplyPage
from app.actions.shelf.supply_level import supply_level
from app.actions.shelf.supply_uses import SupplyLeads, SupplyUses, UsedLine, UseKind, days_taken
from app.actions.stock import lots
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.wording import capital, count_of, short_number
from app.window.house.office import Office
from app.window.paper.action import ActionRow
from app.window.paper.brush import Drawn
from app.window.paper.cells import (
    Cell,
    Column,
    EmptyText,
    GroupRow,
    Outcome,
    State,
    TableRow,
    given,
    given_entry,
    quiet,
    row_of,
)
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Block, DotStrip, Facts, Note, StripLine, Voice
from app.window.paper.partsbody import PartsBody
from app.window.shelf.shelf_keys import CARD_KEYS
from app.window.shelf.supply_drawings import LeadDrawing, LevelDrawing

LOW_WINDOW = 640  # below it a drawing leaves its room to the table
OLDER = "older"  # the key of the row that asks for older lines
DAY = Column("day", "Day", width=142, least=132, dense=True)


class _TableBody(PartsBody):
    """A table over what else stands there."""

    columns: tuple[Column, ...]
    empty: EmptyText

    def __init__(
        self,
        office: Office,
        *below: QWidget,
        rows: tuple[int, int] = (24, 28),
        above: Drawn | None = None,
    ) -> None:
        self._office = office
        self.table = EntryTable(
            office.theme, self.columns, rows_from=rows[0], rows_to=rows[1], empty=self.empty
        )
        parts = (self.table, *below) if above is None else (above, self.table, *below)
        super().__init__(office.theme, *parts, focus=lambda: self.table)


class LedgerBody(_TableBody):
    """The ledger, newest lines first; older ones are asked for."""

    older_asked = Signal()

    columns = (
        DAY,
        Column("time", "Time", width=58, least=46, dense=True, aside=3),
        Column("kind", "What", width=86, least=70),
        Column("quantity", "Amount", width=104, least=80, right=True),
        Column("value", "Worth", width=84, least=60, right=True, aside=2),
        Column("job", "Job", width=64, least=50, aside=1),
        Column("note", "Note", width=0, least=100, dense=True, aside=2),
    )
    empty = EmptyText(
        "Nothing moved yet",
        "Each delivery, use, count and waste becomes a line here. "
        "Count what stands there to begin.",
        "F4",
        "Count",
    )

    def __init__(self, office: Office) -> None:
        self.drawing = LevelDrawing(office.theme)
        super().__init__(office, above=self.drawing)
        self.table.row_opened.connect(self._opened)

    def natural_height(self, width: int) -> int:
        """What both need together; in a low window the lines have the room alone."""
        tall = self.window().height() >= self._office.theme.px(LOW_WINDOW)
        if tall == self.drawing.isHidden():
            self.drawing.setVisible(tall)
            self.lay()
        return super().natural_height(width)

    def _opened(self, key: object) -> None:
        if key == OLDER:
            self.older_asked.emit()

    def show_page(self, page: SupplyPage) -> None:
        desk = self._office.desk
        number = page.supply.supply_id
        self.drawing.show_level(
            self._office.read(lambda: supply_level(desk, self._office.day, number))
        )
        decimals = column_decimals(desk, ((page.supply, line.quantity) for line in page.ledger))
        rows = [_ledger_row(desk, page, at, decimals) for at in range(len(page.ledger))]
        older = page.ledger_length - len(page.ledger)
        if older > 0:
            words = f"{count_of(older, 'older line')}: ↵ shows more"
            rows.append(row_of(OLDER, quiet(words)))
        self.table.show_rows(rows)


def _ledger_row(desk: Desk, page: SupplyPage, at: int, decimals: Mapping[str, int]) -> TableRow:
    line = page.ledger[at]
    gone = line.movement_id in page.taken_back or line.kind == "reversed"
    state = State.CLOSED if gone else State.PLAIN
    job = numbered(line.job_number) if line.job_number is not None else ""
    return row_of(
        at,
        Cell(day_year(line.day), state),
        quiet(desk.clock_of(line.at)),
        Cell(line.kind, state),
        Cell(amount_text(desk, page.supply, line.quantity, decimals), state),
        quiet(money(desk, line.value)),
        quiet(job),
        quiet(line.note, tip=line.note),
    )


class UsesBody(_TableBody):
    """What jobs took, by service and size; the margin draws the kind of the row with the focus."""

    explained = Signal(object)

    columns = (
        DAY,
        Column("job", "Job", width=64, least=50, aside=1),
        Column("vehicle", "Vehicle", width=0, least=130),
        Column("expected", "Expected", width=104, least=80, right=True, dense=True, aside=2),
        Column("used", "Used", width=116, least=90, right=True),
        Column("state", "", width=112, least=96, dense=True, pad=14, aside=1),
    )
    empty = EmptyText(
        "No job took any yet",
        "What jobs take stands here by service and size, with the middle and how far such "
        "jobs lie apart. From the first confirmed use on it moves the next job’s number.",
    )

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._behind: dict[Hashable, tuple[UseKind, UsedLine]] = {}  # the rows
        self.table.row_entered.connect(lambda *_at: self.explain())
        self.table.row_opened.connect(self._opened)

    def show_uses(self, uses: SupplyUses) -> None:
        rows: list[TableRow | GroupRow] = []
        self._behind = {}
        desk, supply = self._office.desk, uses.supply
        every = (line.use for kind in uses.kinds for line in kind.lines)
        decimals = column_decimals(
            desk, ((supply, size) for use in every for size in (use.quantity, use.expected))
        )
        for at, kind in enumerate(uses.kinds):
            rows.append(GroupRow(f"kind {at}", kind.title, kind.note))
            for line in kind.lines:
                self._behind[line.use.use_id] = kind, line
                rows.append(_use_row(desk, uses, line, decimals))
        self.table.show_rows(rows)
        self.explain()

    def _opened(self, key: Hashable) -> None:
        _, line = self._behind.get(key, (None, None))
        if line is not None and line.use.job_id is not None:
            self._office.go("jobs", line.use.job_id)

    def explain(self) -> None:
        """The kind of job that the row belongs to."""
        kind, _ = self._behind.get(self.table.current_key(), (None, None))
        if kind is None or not self.isVisible():
            return
        blocks: list[Block] = [Voice(f"{capital(kind.note)}.")]
        if len(kind.past) >= 2:
            lines = (StripLine(kind.middle, f"{short_number(kind.middle)} middle"),)
            caption = f"{kind.unit}, each of the last {len(kind.past)} of the service"
            blocks.append(DotStrip(kind.past, kind.low, kind.high, lines, caption))
        facts = [("By the recipe", f"{short_number(kind.recipe)} {kind.unit}")]
        if kind.n:
            facts += [
                ("Middle", f"{short_number(kind.middle)} {kind.unit}"),
                (
                    "Four in five",
                    f"{short_number(kind.low)} to {short_number(kind.high)} {kind.unit}",
                ),
                ("Confirmed jobs", str(kind.n)),
            ]
        if kind.recipe:
            blocks.append(Facts(tuple(facts)))
            blocks.append(
                Voice(
                    "For a vehicle in average condition. What was booked from the recipe teaches "
                    "nothing."
                )
            )
        keys = (("↵", "open the job"), *CARD_KEYS[1:])
        self.explained.emit(Note(kind.title, tuple(blocks), keys))


def _use_row(desk: Desk, uses: SupplyUses, line: UsedLine, decimals: Mapping[str, int]) -> TableRow:
    use, supply = line.use, uses.supply
    state = State.LOOK if line.more or line.less else State.PLAIN
    far = "more than four in five" if line.more else "less than four in five" if line.less else ""
    used = amount_text(desk, supply, use.quantity, decimals)
    return row_of(
        use.use_id,
        day_year(use.day),
        quiet(numbered(use.job_number) if use.job_number else ""),
        quiet(use.vehicle, tip=use.vehicle),
        quiet(amount_text(desk, supply, use.expected, decimals) if use.expected else ""),
        Cell(used, state, mark="look" if far else "", tip=far),
        quiet("from recipe" if use.state == "recipe" else "confirmed"),
    )


class LotsBody(_TableBody):
    """Lots with what lies opened of them; code and last day are mended by typing."""

    columns = (
        Column("code", "Lot", width=112, least=84),
        Column("left", "Left", width=84, least=70, right=True),
        Column("opened", "of it", subhead="opened", width=84, least=72, right=True, aside=1),
        Column("value", "Worth", width=70, least=56, right=True, dense=True, aside=2),
        Column("received", "Received", width=126, least=120, dense=True, pad=14, aside=3),
        Column("keeps", "Keeps to", width=128, least=120, dense=True),
        Column("text", "", width=0, least=140, dense=True, aside=4),
    )
    empty = EmptyText(
        "No lots",
        "Only dated and whole-container goods are kept by lot, the oldest used first. "
        "Change “Costing” under the facts to keep this one so.",
    )

    def __init__(self, office: Office, open_container: object) -> None:
        self.row = ActionRow(office.theme, "A container was opened", "F6")
        self.row.button.clicked.connect(open_container)
        super().__init__(office, self.row, rows=(25, 32))
        self.table.on_commit = self._typed

    def show_page(self, page: SupplyPage) -> None:
        self.table.show_rows([_lot_row(self._office.desk, page, one) for one in page.lots])
        self.row.set_ready("" if page.lots else "Nothing of it stands there by lot.")

    def _typed(self, key: Hashable, column: str, text: str) -> Outcome:
        assert isinstance(key, int)
        field = "code" if column == "code" else "expires_typed"
        write = partial(lots.edit_lot, self._office.desk, key, **{field: text})
        return self._office.typed(write, text)


def _lot_row(desk: Desk, page: SupplyPage, view: LotView) -> TableRow:
    lot = view.lot
    state = State.CLOSED if lot.finished_on is not None else State.PLAIN
    look = State.LOOK if view.past else State.QUIET
    return row_of(
        lot.lot_id,
        given_entry(lot.code, state),
        Cell(stock_text(desk, page.supply, lot.left), state),
        given(stock_text(desk, page.supply, view.opened) if view.opened else ""),
        quiet(money(desk, lot.value)),
        quiet(day_year(lot.received_on)),
        given_entry(day_year(lot.expires_on) if lot.expires_on is not None else ""),
        Cell(view.text, look, mark="look" if view.past else "", tip=view.text),
    )


class LeadsBody(_TableBody):
    """Each delivery of the supply: ordered, came, days."""

    columns = (
        Column("order", "Order", width=70, least=56),
        Column("supplier", "From", width=0, least=140, aside=1),
        Column("ordered", "Ordered", width=142, least=124, dense=True),
        Column("came", "Came", width=142, least=124, dense=True),
        Column("days", "Days", width=60, least=48, right=True),
        Column("amount", "Amount", width=116, least=90, right=True, dense=True, aside=2),
    )
    empty = EmptyText(
        "No order brought it yet",
        "Each delivery becomes a line here with the days that it took: promises are not facts.",
    )

    def __init__(self, office: Office) -> None:
        self.drawing = LeadDrawing(office.theme)
        super().__init__(office, above=self.drawing)

    def show_leads(self, leads: SupplyLeads) -> None:
        days = [(days_taken(line), line.supplier) for line in leads.lines]
        self.drawing.show_leads(days, leads.leads.middle, leads.leads.nine_in_ten)
        self.table.show_rows(
            [
                row_of(
                    at,
                    numbered(line.order_number),
                    Cell(line.supplier, tip=line.supplier),
                    quiet(day_year(line.ordered_on)),
                    day_year(line.came_on),
                    Cell(str(days_taken(line)), bold=True),
                    quiet(stock_text(self._office.desk, leads.supply, line.quantity)),
                )
                for at, line in enumerate(leads.lines)
            ]
        )
