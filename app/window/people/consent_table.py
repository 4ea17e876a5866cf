"""A customer's consents: what they agreed to be sent, in which words, how and when; and its end."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial

from PySide6.QtCore import Qt

from app.actions.desk.desk import Changed
from app.actions.people import consents
from app.calculations.numbers.dates import day_year
from app.records.queries.consents import ConsentRow
from app.window.house.acting import on_book
from app.window.house.office import Office
from app.window.paper.action import ActionRow
from app.window.paper.cells import Cell, Column, EmptyText, Outcome, State, TableRow, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import Choice, Form
from app.window.paper.partsbody import PartsBody

REACHED_BY = [("mail", "mail"), ("letter", "letter"), ("phone", "phone")]
BY_TEXT = ("text message", "text")
PURPOSES = [("reminders", "reminders"), ("offers", "offers"), ("care notes", "care")]


class ConsentBody(PartsBody):
    """The consents of one customer, and a line in which another is written down."""

    def __init__(self, office: Office) -> None:
        self._office = office
        self._customer: int | None = None
        self._rows: tuple[ConsentRow, ...] = ()
        theme = office.theme
        self.table = EntryTable(
            theme,
            (
                Column("what", "For", width=170, least=120),
                Column("wording", "In these words", width=0, least=160, dense=True, aside=1),
                Column("how", "How", width=140, least=90, dense=True, aside=2),
                Column("by", "Taken by", width=100, least=70, dense=True, aside=3),
                Column("day", "On", width=124, least=90, dense=True),
                Column("ended", "Withdrawn", width=124, least=90, dense=True),
            ),
            empty=EmptyText(
                "No consent written down",
                "Text messages that sell go only to whoever agreed. Write down what they agreed "
                "to, how and when; what the law asks for where you are goes first.",
            ),
        )
        self.table.on_commit = self._typed
        self.form = Form(theme, 3)
        self.form.on_leave = self._leave
        self.form.own_keys = frozenset({Qt.Key.Key_F4})
        self.channel = Choice(theme, [BY_TEXT, *REACHED_BY])
        self.purpose = Choice(theme, PURPOSES)
        self.form.add("They agreed to be sent", self.purpose)
        self.form.add("by", self.channel)
        hint = "signed, by word of mouth"
        self.how = self.form.add_line("How they said so", hint, on_enter=self.give)
        self.row = ActionRow(theme, "Write it down", "F4")
        self.row.button.clicked.connect(self.give)
        self.row.set_second("Withdrawn", "F11").clicked.connect(self.withdraw)
        parts = (self.table, self.form, self.row)
        super().__init__(
            theme, *parts, focus=lambda: self.table if self.table.rows else self.purpose
        )

    @property
    def words(self) -> str:
        """What stands, for the head of the entry."""
        valid = sum(not row.withdrawn_on for row in self._rows)
        return f"{valid} of {len(self._rows)} stand" if self._rows else "none written down"

    def show_customer(self, customer_id: int) -> None:
        if customer_id != self._customer:
            if self.how.text().strip():
                self._office.say_trouble("The consent that was begun is not written down.")
            self.how.clear()
            self.channel.setCurrentIndex(0)  # nothing that another agreed to is proposed
            self.purpose.setCurrentIndex(0)
        self._customer = customer_id
        read = partial(consents.consents_of, self._office.desk, customer_id)
        self._rows = self._office.read(read) or ()
        self.table.show_rows([_row(row) for row in self._rows])
        self.row.show_second(any(not row.withdrawn_on for row in self._rows))

    def _leave(self) -> bool:
        """A consent is written down on purpose, never in passing: say that it is not yet."""
        if not self.how.text().strip():
            return True
        self._office.say_trouble("The consent is not written down yet. F4 writes it down.")
        return False

    def give(self) -> None:
        customer = self._customer
        if customer is None:
            return
        channel, purpose = str(self.channel.value), str(self.purpose.value)
        how, office = self.how.text(), self._office
        if not how.strip():
            self.how.setFocus()
            office.say_trouble(
                "Type how they agreed, such as signed, or by word of mouth; then F4."
            )
            return

        def given(changed: Changed) -> None:
            if self._customer == customer and self.how.text() == how:
                self.how.clear()
            if not changed.name:
                office.say("This consent stands already")

        give = partial(consents.give, office.desk, customer, channel, purpose, how=how)
        words = f"{purpose} by {channel}"
        office.act_then(give, given, words, ("consent", customer, channel, purpose))

    def withdraw(self) -> None:
        """The customer takes back the consent with the focus, and nothing else."""
        key = self.table.current_key()
        if isinstance(key, int):
            on_book(self._office, consents.withdraw, key, self._office.desk.today)

    def _typed(self, key: Hashable, column: str, text: str) -> Outcome:
        assert isinstance(key, int)
        return self._office.typed(
            partial(consents.edit_consent, self._office.desk, key, **{column: text}), text
        )


def _row(row: ConsentRow) -> TableRow:
    ended = row.withdrawn_on is not None
    state = State.CLOSED if ended else State.PLAIN
    channel = "text message" if row.channel == "text" else row.channel
    return row_of(
        row.consent_id,
        Cell(f"{row.purpose} by {channel}", state, bold=not ended),
        Cell(row.wording, state, editable=not ended, tip=row.wording),
        Cell(row.how, state, editable=not ended),
        Cell(row.by, state, editable=not ended),
        quiet(day_year(row.day)),
        quiet(day_year(row.withdrawn_on) if row.withdrawn_on else ""),
    )
