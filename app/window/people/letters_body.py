"""What was written to a customer: each letter with what came of it, its text in the margin."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from app.actions.people.customers import WrittenLetter
from app.calculations.numbers.dates import day_year, near
from app.window.house.office import Office
from app.window.paper.cells import Column, EmptyText, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Facts, Keys, Note, Plain, Rule
from app.window.paper.partsbody import PartsBody


class LettersBody(PartsBody):
    """The letters to one customer, the newest first."""

    def __init__(self, office: Office, explain: Callable[[], object]) -> None:
        self._office = office
        self._letters: dict[int, WrittenLetter] = {}
        self.table = EntryTable(
            office.theme,
            (
                Column("day", "Day", width=118, least=90, dense=True),
                Column("channel", "By", width=80, least=56, dense=True),
                Column("subject", "About", width=0, least=140),
                Column("state", "Came of it", width=150, least=90, dense=True, aside=1),
            ),
            empty=EmptyText(
                "Nothing was written yet",
                "Reminders that are sent to this customer are kept here, word for word.",
            ),
        )
        self.table.row_entered.connect(lambda _key, _column: explain())
        super().__init__(office.theme, self.table, focus=lambda: self.table)

    def show_letters(self, letters: Sequence[WrittenLetter]) -> None:
        """Show these; the one with the focus keeps it."""
        today = self._office.desk.today
        self._letters = {one.reminder_id: one for one in letters}
        self.table.show_rows(
            [
                row_of(
                    one.reminder_id,
                    near(one.day, today),
                    quiet(one.channel),
                    one.subject,
                    quiet(one.came_of_it),
                )
                for one in letters
            ]
        )

    def note(self, keys: Keys) -> Note | None:
        """The letter with the focus, word for word."""
        one = self._letters.get(self.table.current_key() or 0)  # type: ignore[call-overload]
        if one is None:
            return None
        facts = (
            ("Prepared", day_year(one.day)),
            ("By", one.channel),
            ("Came of it", one.came_of_it),
        )
        text = one.text or "No words of it were kept."
        return Note(one.subject or "A reminder", (Facts(facts), Rule(), Plain(text, "ink2")), keys)
