"""Days that a supplier announced: sales, and cold stops in which nothing is sent that freezes."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from app.actions.orders import supplier_terms
from app.actions.orders.supplier_terms import COLD, DAY_KINDS, SALE, shown_day
from app.errors import Mendable
from app.window.house.office import Office
from app.window.paper.cells import Cell, Column, EmptyText, Outcome, State, TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import Choice, Form, LineField, Tick
from app.window.paper.partsbody import PartsBody

if TYPE_CHECKING:
    from app.records.queries.terms import DateRow

KINDS: list[tuple[str, object]] = [("cold stop", COLD), ("sale", SALE)]


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
    """The days in a table, and a form for further ones; Enter in any field adds them."""

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
                Column("note", "Note", width=0, least=120, dense=True),
            ),
            rows_from=24,
            rows_to=30,
        )
        self.table.on_commit = self._typed
        self.table.teach_when_empty(
            EmptyText(
                "Nothing announced",
                "A sale, so that what can wait waits for it; or a cold stop, so that what must "
                "not freeze is ordered before it for as long as it lasts.",
            )
        )
        self.form = Form(office.theme, 5)
        self.kind = Choice(office.theme, KINDS)
        self.form.add("Further days", self.kind)
        self.first = self._line("From", "1 Dec")
        self.last = self._line("To", "28 Feb")
        self.note = self._line("Note", "15 % off")
        self.yearly = Tick(office.theme, "each year")
        self.form.add("Comes back", self.yearly)
        super().__init__(office.theme, self.table, self.form, focus=self._first_part)

    def _line(self, label: str, hint: str) -> LineField:
        field = LineField(self._office.theme, "", hint)
        field.returnPressed.connect(self.take)
        self.form.add(label, field)
        return field

    def _first_part(self) -> QWidget:
        return self.table if self.table.rows else self.kind

    # showing -------------------------------------------------------------------------------
    def show_supplier(self, supplier_id: int | None) -> tuple[DateRow, ...]:
        """Show what a supplier announced; nothing typed for the last one stays."""
        office = self._office
        if supplier_id != self.supplier_id:
            self._empty()
        self.supplier_id = supplier_id
        self.days = ()
        if supplier_id is not None:
            self.days = (
                office.read(lambda: supplier_terms.announced_days(office.desk, supplier_id)) or ()
            )
        self.table.show_rows(
            [
                TableRow(
                    one.date_id,
                    (
                        Cell(DAY_KINDS[one.kind]),
                        Cell(shown_day(one, one.first_day), editable=True),
                        Cell(shown_day(one, one.last_day), editable=True),
                        Cell("each year" if one.yearly else "once", State.QUIET),
                        Cell(one.note, State.QUIET, editable=True, tip=one.note),
                    ),
                )
                for one in self.days
            ]
        )
        return self.days

    def _empty(self) -> None:
        for field in (self.first, self.last, self.note):
            field.clear()
            field.set_trouble("")

    # changing ------------------------------------------------------------------------------
    def take(self) -> None:
        """Add the days; what cannot be read stays, with its reason."""
        supplier = self.supplier_id
        if supplier is None:
            return
        if not self.first.text().strip():
            self.first.setFocus()
            return
        for field in (self.first, self.last):
            field.set_trouble("")
        try:
            changed, _ = supplier_terms.add_days(
                self._office.desk,
                supplier,
                str(self.kind.value),
                self.first.text(),
                self.last.text(),
                yearly=self.yearly.isChecked(),
                note=self.note.text(),
            )
        except Mendable as trouble:
            wrong = self.last if trouble.field == "last" else self.first
            wrong.set_trouble(trouble.sentence)
            self._office.say_trouble(trouble.sentence)
            return
        self._empty()
        self._office.note(changed)
        self.first.setFocus()

    def _typed(self, key: Hashable, column: str, text: str) -> Outcome:
        assert isinstance(key, int)
        return self._office.typed(
            partial(supplier_terms.change_days, self._office.desk, key, **{column: text}), text
        )

    def turn_yearly(self, date_id: int) -> None:
        """Let days come back each year, or only once."""
        one = next((one for one in self.days if one.date_id == date_id), None)
        if one is not None:
            self._office.act(
                lambda: supplier_terms.change_days(
                    self._office.desk, date_id, yearly=not one.yearly
                )
            )

    def remove(self, date_id: int) -> None:
        """Forget days."""
        self._office.act(lambda: supplier_terms.remove_days(self._office.desk, date_id))
