"""The shelf itself: all supplies by supplier, how long each lasts, and what to order now.

The same table shows what stands idle, and is walked along when the shelf is counted.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent

from app.actions.desk.amounts import money, supply_of
from app.actions.desk.papers import papers_folder
from app.actions.orders import order_proposal, order_writing
from app.actions.shelf import supplies
from app.actions.shelf.counting import Counted, counts
from app.actions.shelf.pool_view import PoolView, pools
from app.actions.shelf.shelf import ShelfRow, ShelfView, shelf
from app.actions.shelf.stock_worth import DeadStock, dead_stock
from app.actions.stock import lots, stock, supply_facts
from app.calculations.numbers.wording import count_of, noun
from app.documents.papers.count_sheet import count_sheet_pdf
from app.errors import Mendable
from app.window.house.acting import in_background, on_book, on_day
from app.window.house.office import Office
from app.window.house.outside import open_outside
from app.window.paper.action import ActionRow
from app.window.paper.cells import Outcome, TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import LineField
from app.window.paper.notes import Alert, Note
from app.window.paper.partsbody import PartsBody
from app.window.paper.pause import Pause
from app.window.paper.runs import Run, RunLine
from app.window.shelf import shelf_count
from app.window.shelf.pool_rows import pool_blocks
from app.window.shelf.shelf_empty import nothing
from app.window.shelf.shelf_keys import COUNT_KEYS, IDLE_KEYS, PAGE_KEYS, POOL_KEYS
from app.window.shelf.shelf_lines import ShelfLines
from app.window.shelf.shelf_rows import (
    flammables,
    idle_blocks,
    note_blocks,
    order_blocks,
    read_packs,
    shelf_columns,
)
from app.window.shelf.timebars import bars_key

NARROW = 760  # below this width the hints are said more shortly

Found = tuple[
    ShelfView, dict[int, order_proposal.OrderLineView], tuple[PoolView, ...], dict[int, Counted]
]


class ShelfList(PartsBody):
    """The list with its filter and its action."""

    explained = Signal(object)  # a Note for the margin
    headed = Signal(str, object, object, str)  # title, subtitle, the fact flush right, the foot
    add_asked = Signal()
    came_asked = Signal()

    def __init__(self, office: Office) -> None:
        self.filter = LineField(office.theme, "", "part of a name")
        self.table = EntryTable(office.theme, shelf_columns(office.day), rows_from=27, rows_to=36)
        self.row = ActionRow(office.theme, "Write the order")
        self.legend = RunLine(office.theme)
        self.legend.setFixedHeight(office.theme.px(24))
        self.legend.show_runs(bars_key())
        parts = (self.filter, self.table, self.legend, self.row)
        super().__init__(office.theme, *parts, gap=0, fill=True)
        self.office = office
        self.lines: ShelfLines | None = None
        self._shown_of: date | None = None
        self.dead: dict[int, DeadStock] | None = None
        self.counting = False
        self.all = False
        self._room = 0
        self._wanted: object = None
        self.filter.setAccessibleName("Narrow the shelf")
        self.filter.textChanged.connect(lambda _text: self._narrowed())
        self._later = Pause(self, 120, self.explain)  # the margin follows when typing pauses
        self._filling = False
        self._words = ""  # what the list is narrowed to
        self.filter.hide()
        self.filter.returnPressed.connect(self._leave_filter)
        self.table.on_commit = self._typed
        self.table.row_entered.connect(lambda *_at: None if self._filling else self.explain())
        self.table.add_asked.connect(self.add_asked)

    # reading -------------------------------------------------------------------------------
    def read(self) -> None:
        """Read in the background: the proposal looks over the whole shelf."""
        desk, day, counting = self.office.desk, self.office.day, self.counting

        def work() -> Found:
            view = shelf(desk, day)
            to_order = order_proposal.what_to_order(desk, day)
            lines = {line.supply_id: line for one in to_order.suppliers for line in one.lines}
            return view, lines, pools(desk), counts(desk, day) if counting else {}

        in_background(self.office, self, "Reading the shelf", work, partial(self._show, day))

    @property
    def stands(self) -> bool:
        """Whether what is shown is the shelf of the day at which the book lies open."""
        return self._shown_of == self.office.day

    def _show(self, day: date, found: Found) -> None:
        self._shown_of = day
        view, orders, some, counted = found
        self.lines = ShelfLines(self.office.desk, view, orders, some, counted)
        if self.dead is not None:
            self.dead = self._read_dead()
        self.fill()
        if self._wanted is not None:
            self.table.go(self._wanted)
            self._wanted = None

    def want(self, key: object) -> None:
        """Give a row the focus once the shelf is read."""
        self._wanted = key

    def _read_dead(self) -> dict[int, DeadStock]:
        desk, day = self.office.desk, self.office.day
        found = self.office.read(lambda: dead_stock(desk, day)) or ()
        return {one.supply_id: one for one in found}

    # showing -------------------------------------------------------------------------------
    @property
    def view(self) -> ShelfView | None:
        return self.lines.view if self.lines is not None else None

    def fill(self) -> None:
        """Show the rows that are wanted now, and say what there is to say of them."""
        if self.lines is None:
            return
        self._show_rows(self.lines)
        if self.isVisible():
            self.say_head()
        self._hints(self.lines.view)
        self.explain()

    def _narrowed(self) -> None:
        """Only the rows, at once: a letter typed must be seen within a frame."""
        if self.lines is not None:
            self._show_rows(self.lines)
            self._later.start()

    def _show_rows(self, lines: ShelfLines) -> None:
        idle = self.dead is not None and not self.counting
        self._words = self.filter.text().strip().casefold()
        does = (self.add_asked.emit, self.back, self.show_dead, self.fold)
        empty = nothing(lines.view, narrowed=bool(self._words), idle=idle, does=does)
        self.table.teach_when_empty(empty)
        self._room = self.table.viewport().width()
        theme = self.office.theme
        if self.counting:
            columns, rows = lines.to_count(self._is_counted, self._room, theme)
        else:
            columns, rows = lines.listed(self._is_shown, self._is_pool, self._room, theme)
        self._filling = True
        self.table.show_rows(rows, columns)
        self._filling = False
        drawn = bool(rows) and any(column.key == "time" for column in columns)
        if drawn == self.legend.isHidden():
            self.legend.setVisible(drawn)
            self.lay()

    def _is_counted(self, row: ShelfRow) -> bool:
        return self._says(row.name, row.shelf_place)

    def _is_pool(self, pool: PoolView) -> bool:
        return self.dead is None and self._says(pool.name)

    def _walked(self) -> list[ShelfRow]:
        return [row for row in self.lines.walk if self._is_counted(row)] if self.lines else []

    def _says(self, *texts: str) -> bool:
        """Whether the filter's words stand in one of the texts."""
        return not self._words or any(self._words in text.casefold() for text in texts)

    def _is_shown(self, row: ShelfRow) -> bool:
        if self.dead is not None and row.supply_id not in self.dead:
            return False
        if self._words:
            return self._says(row.name)
        if row.archived:
            return False
        return self.dead is not None or self.all or not row.folded

    def say_head(self) -> None:
        view = self.view
        if view is None:
            return
        words = f"{view.count} {noun(view.count, 'supply')}, worth"
        fact: object = [Run(words), Run(view.worth_text, "total", "ink")]
        subtitle = "shortest cover first"
        if self.counting:
            subtitle = "counting: type what stands there, ↵ goes on"
            fact = shelf_count.counted_text(self._counted(), self._walked())
        elif self.dead is not None:
            subtitle = "idle for half a year, or past its life"
            worth = money(self.office.desk, sum(one.value for one in self.dead.values()))
            words = f"{len(self.dead)} of {view.count}, worth"
            fact = [Run(words), Run(worth, "total", "ink")]
        self.headed.emit("The shelf", subtitle, fact, view.short_text)

    def _counted(self) -> Mapping[int, Counted]:
        return self.lines.counted if self.lines is not None else {}

    def _hints(self, view: ShelfView) -> None:
        if self.counting:
            self.row.button.set_label("End counting")
            self.row.set_ready("")
            self.row.show_hints(
                [
                    Run(view.counted_text, "unit", gap=16),
                    Run("Print the sheet", "unit", key="F7", on_click=self.print_count_sheet),
                ]
            )
            self.row.show_total([])
            return
        self.row.button.set_label("Write the order")
        self.row.set_ready("" if view.order_lines else "Nothing needs to be ordered today.")
        hints = []
        if self.dead is not None:
            hints.append(Run("All again", "unit", key="D", on_click=self.show_dead, gap=16))
        elif view.folded and not self.filter.text():
            words = "Fold them" if self.all else "Show them"
            narrow = self.width() < self.office.theme.px(NARROW)
            more = f"{view.folded} more." if narrow else view.folded_text
            hints.append(Run(more, "aside", gap=8))
            hints.append(Run(words, "unit", key="Space", on_click=self.fold, gap=16))
        if view.past and self.dead is None:
            past = f"{view.past} past {noun(view.past, 'its', 'their')} life"
            hints.append(
                Run(past, "unit", "look", mark="look", key="D", on_click=self.show_dead, gap=16)
            )
        hints.append(Run("Count", "unit", key="F4", on_click=self.count_from_first, gap=16))
        if any(row.on_order for group in view.groups for row in group.rows):
            hints.append(Run("It came", "unit", key="R", on_click=self.came_asked.emit))
        self.row.show_hints(hints)
        lines = f"{count_of(view.order_lines, 'line')},"
        self.row.show_total(
            [Run(lines, "row", gap=5), Run(view.order_total_text, "total", "ink")]
            if view.order_lines
            else []
        )

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Columns give way to names by the room there is."""
        super().resizeEvent(event)
        if self.view is not None and self.table.viewport().width() != self._room:
            self.fill()

    # writing -------------------------------------------------------------------------------
    def _typed(self, key: Hashable, column: str, text: str) -> Outcome:
        desk, day = self.office.desk, self.office.day
        assert isinstance(key, int)
        if column == "hand":
            return self.office.typed(partial(stock.count, desk, day, key, text), text)
        return self.office.typed(
            lambda: order_writing.set_packs(desk, day, key, self._pack_of(key), read_packs(text)),
            text,
        )

    def _pack_of(self, supply_id: int) -> int:
        """The pack that is proposed, else the first that can be bought."""
        line = self.lines.orders.get(supply_id) if self.lines is not None else None
        if line is not None:
            return line.pack_id
        packs = supplies.supply_page(self.office.desk, self.office.day, supply_id).packs
        if not packs:
            raise Mendable("No pack is known of this supply; open it (O) and add one.")
        return packs[0].pack_id

    def use_up(self) -> None:
        """Use the supply with the focus up, or order it again."""
        row = self.current()
        if row is not None:
            stopped = supply_of(self.office.desk, row.supply_id).stopped
            on_book(self.office, supply_facts.use_up, row.supply_id, not stopped)

    def write_off(self) -> None:
        """Take off the shelf what of this supply is past its life."""
        row = self.current()
        if row is not None and not self.counting:
            on_day(self.office, lots.write_off_past, row.supply_id)

    # modes ---------------------------------------------------------------------------------
    def count_this(self) -> None:
        key = self.table.current_key()
        if not isinstance(key, int):
            return
        if not self.counting:
            self.count()
        self.table.go(key, "hand")
        self.table.setFocus()

    def count(self) -> None:
        key = self.table.current_key()
        self.counting = not self.counting
        if self.counting:
            desk, day = self.office.desk, self.office.day
            found = self.office.read(lambda: counts(desk, day)) or {}
            if self.lines is not None:
                self.lines = replace(self.lines, counted=found, _fitted={})
        self.fill()
        if key is not None:
            self.table.go(key, "hand" if self.counting else "now")
        self.table.setFocus()

    def count_from_first(self) -> None:
        """Begin along the shelf from its beginning, or end."""
        self.count()
        first = next((row.key for row in self.table.rows), None)
        if self.counting and first is not None:
            self.table.go(first, "hand")

    def fold(self) -> None:
        """Show all, or only what needs somebody."""
        self.all = not self.all
        self.fill()

    def show_dead(self) -> None:
        """Only what is idle or past its life, with what it is worth; or all again."""
        if self.counting:
            return
        self.dead = self._read_dead() if self.dead is None else None
        self.fill()
        self.table.setFocus()

    def narrow(self) -> None:
        self.filter.show()
        self.lay()
        self.filter.setFocus()

    def _leave_filter(self) -> None:
        self.table.setFocus()
        first = next((row.key for row in self.table.rows if isinstance(row, TableRow)), None)
        if self.counting and first is not None:
            self.table.go(first, "hand")

    def back(self) -> bool:
        """From a narrowed or a counted shelf to all of it; False where all of it is shown."""
        whole = self.filter.isHidden() and self.dead is None and not self.counting
        if not self.filter.isHidden():
            self.filter.clear()
            self.filter.hide()
            self.lay()
        elif self.dead is not None:
            self.show_dead()
        elif self.counting:
            self.count()
        self.table.setFocus()
        return not whole

    def print_count_sheet(self) -> None:
        """Write the count sheet into the papers' folder, and open it."""
        office = self.office
        folder = office.act_now(lambda: papers_folder(office.desk, "count sheets"))
        if folder is not None:
            path = folder / f"count sheet {office.day.isoformat()}.pdf"
            if self.write_count_sheet(path):
                office.act(lambda: open_outside(path))

    def write_count_sheet(self, path: Path) -> bool:
        """The count sheet of what is shown, in the order of the walk; whether it was written."""
        office, settings = self.office, self.office.desk.settings
        if self.view is None:
            return False
        lines = shelf_count.sheet_lines(office, (row.name for row in self._walked()))
        written = office.act_now(
            lambda: count_sheet_pdf(lines, settings.shop_name, office.day, path, settings.region)
        )
        if written is not None:
            office.say(f"Count sheet written to {path}")
        return written is not None

    # the margin ----------------------------------------------------------------------------
    def current(self) -> ShelfRow | None:
        key = self.table.current_key()
        return self.lines.row_at(key) if self.lines is not None and key is not None else None

    def pool_at(self, key: Hashable) -> PoolView | None:
        return self.lines.pool_at(key) if self.lines is not None else None

    def explain(self) -> None:
        if not self.isVisible():
            return
        keys = COUNT_KEYS if self.counting else PAGE_KEYS if self.dead is None else IDLE_KEYS
        row = self.current()
        pool = self.pool_at(self.table.current_key())
        if pool is not None:
            self.explained.emit(Note(pool.name, tuple(pool_blocks(pool)[1:]), POOL_KEYS))
            return
        if row is None:
            self.explained.emit(Note("", (), keys))
            return
        desk, day = self.office.desk, self.office.day
        if self.counting:
            blocks = shelf_count.count_blocks(
                desk, row.supply_id, self._counted().get(row.supply_id)
            )
            asked = [Alert(self.office.question)] if self.office.question else []
            self.explained.emit(Note(row.name, (*asked, *blocks), keys))
            return
        note = self.office.read(lambda: supplies.supply_note(desk, day, row.supply_id))
        if note is None:
            return
        idle = (self.dead or {}).get(row.supply_id)
        line = self.lines.orders.get(row.supply_id) if self.lines is not None else None
        blocks = [*idle_blocks(desk, idle), *note_blocks(note), *order_blocks(row, line)]
        if self.view is not None:
            blocks += flammables(self.view)
        self.explained.emit(Note(note.title, tuple(blocks), keys))
