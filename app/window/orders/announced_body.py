"""Days that a supplier announced: sales, and cold stops in which nothing is sent that freezes."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from app.actions.orders import supplier_terms
from app.actions.orders.supplier_terms import COLD, DAY_KINDS, SALE, shown_day
from app.errors import Mendable
from app.window.house.acting import on_book
from app.window.house.doingform import DoingForm
from app.window.house.office import Office
from app.window.paper.cells import Column, EmptyText, Outcome, State, entry, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import Choice, Tick
from app.window.paper.partsbody import PartsBody

if TYPE_CHECKING:
    from app.records.queries.terms import DateRow

KINDS = [("cold stop", COLD), ("sale", SALE)]


class AnnouncedTable(EntryTable):
    """Del forgets the row with the focus; Y turns "each year" on or off."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, body = self.current_key(), self.parent()
        if self.writing is None and isinstance(key, int) and isinstance(body, AnnouncedBody):
            if event.key() == Qt.Key.Key_Delete:
                body.remove(key)
                return
            if event.key() == Qt.Key.Key_Y:
                body.turn_yearly(key)
                return
        super().keyPressEvent(event)


class AnnouncedBody(PartsBody):
    """The days in a table, and a form for more; Enter in any adds them, leaving too."""

    def __init__(self, office: Office) -> None:
        self._office = office
        self.supplier_id: int | None = None
        self.days: tuple[DateRow, ...] = ()
        self.table = AnnouncedTable(
            office.theme,
            (
                Column("kind", "What", width=110, least=80),
                Column("first_day", "From", width=150, least=104, dense=True),
                Column("last_day", "To", width=150, least=104, dense=True),
                Column("yearly", "Each year", width=90, least=70, dense=True),
                Column("note", "Note", width=0, least=120, dense=True, aside=1),
            ),
            rows_from=24,
            rows_to=30,
            empty=EmptyText(
                "Nothing announced",
                "A sale, so that what can wait waits for it; or a cold stop, so that what must "
                "not freeze is ordered before it for as long as it lasts.",
            ),
        )
        self.table.on_commit = self._typed
        self.form = DoingForm(office, 5)
        self.form.on_leave = self._leave
        self.kind = Choice(office.theme, KINDS)
        self.form.add("More days", self.kind)
        self.first = self.form.add_line("From", "1 Dec", on_enter=self.take)
        self.last = self.form.add_line("To", "28 Feb", on_enter=self.take)
        self.note = self.form.add_line("Note", "15 % off", on_enter=self.take)
        self.yearly = Tick(office.theme, "each year")
        self.form.add("Comes back", self.yearly)
        parts = (self.table, self.form)
        super().__init__(
            office.theme, *parts, focus=lambda: self.table if self.table.rows else self.kind
        )

    # showing -------------------------------------------------------------------------------
    def show_supplier(self, supplier_id: int | None) -> tuple[DateRow, ...]:
        """Show what a supplier announced; nothing typed for the last one stays."""
        if supplier_id != self.supplier_id:
            self.form.drop()
        self.supplier_id = supplier_id
        self.days = ()
        if supplier_id is not None:
            read = partial(supplier_terms.announced_days, self._office.desk, supplier_id)
            self.days = self._office.read(read) or ()
        self.table.show_rows(
            [
                row_of(
                    one.date_id,
                    DAY_KINDS[one.kind],
                    entry(shown_day(one, one.first_day)),
                    entry(shown_day(one, one.last_day)),
                    quiet("each year" if one.yearly else "once"),
                    entry(one.note, State.QUIET, tip=one.note),
                )
                for one in self.days
            ]
        )
        return self.days

    # changing ------------------------------------------------------------------------------
    def take(self) -> None:
        """Add the days; what cannot be read stays, with its reason."""
        if self._leave():
            self.first.setFocus()

    def _leave(self) -> bool:
        """Add the days that were typed; False where they cannot be read, and stay."""
        supplier = self.supplier_id
        typed = any(field.text().strip() for _label, field in self.form.lines())
        if supplier is None or not typed:
            return True
        if not self.first.text().strip():
            wanted = Mendable("Say from which day on, such as 1 Dec; it is not saved yet.")
            self.form.refuse(self.first, wanted)
            return False
        for field in (self.first, self.last):
            field.set_trouble("")
        try:
            add = partial(
                supplier_terms.add_days,
                self._office.desk,
                supplier,
                str(self.kind.value),
                self.first.text(),
                self.last.text(),
                yearly=self.yearly.isChecked(),
                note=self.note.text(),
            )
            changed = self._office.write(add, self.first.text())
        except Mendable as trouble:
            self.form.refuse(self.last if trouble.field == "last" else self.first, trouble)
            return False
        self.form.empty()
        if changed is not None:
            self._office.note(changed)
        return True

    def _typed(self, key: Hashable, column: str, text: str) -> Outcome:
        assert isinstance(key, int)
        return self._office.typed(
            partial(supplier_terms.change_days, self._office.desk, key, **{column: text}), text
        )

    def turn_yearly(self, date_id: int) -> None:
        """Let days come back each year, or only once."""
        one = next((one for one in self.days if one.date_id == date_id), None)
        if one is not None:
            on_book(self._office, supplier_terms.change_days, date_id, yearly=not one.yearly)

    def remove(self, date_id: int) -> None:
        on_book(self._office, supplier_terms.remove_days, date_id)
