"""Station 5: whom to remind, and who is left in peace, with why."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog

from app.actions.desk.desk import Changed, Desk
from app.actions.letters.reminder_files import Drafts, draft_files
from app.actions.letters.reminders import (
    LetterView,
    WhomToRemind,
    change_text,
    mark_sent,
    not_now,
    prepare,
    prepare_all,
    whom_to_remind,
)
from app.actions.letters.sending import settle
from app.actions.letters.unsure_mail import UnsureView
from app.window.day.station import Station
from app.window.house.runner import Lock, Task
from app.window.paper.cells import Cell, Column, EmptyText, GroupRow, State, TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Facts, Note, Rule, Voice, Writable
from app.window.paper.runs import Run
from app.window.renewals.drafts_words import drafts_words
from app.window.renewals.unsure_rows import (
    DID_NOT,
    UNSURE_GROUP,
    UNSURE_KEYS,
    WENT,
    unsure_blocks,
    unsure_key,
    unsure_of,
    unsure_state,
)

if TYPE_CHECKING:
    from app.window.day.place import DaySheet

_KEYS = (
    ("E", "change the words"),
    ("C", "copy them"),
    ("S", "noted as sent"),
    ("N", "not now, in four weeks"),
)
_COLUMNS = (
    Column("name", "Customer", width=156, least=110),
    Column("what", "Vehicle", width=156, least=100),
    Column("why", "Because", least=150),
    Column("due", "Due", width=176, least=110),
    Column("how", "By", width=66, least=56),
)


class RemindersStation(Station):
    """Messages are prepared here; a person reads and sends them."""

    key = "reminders"
    keys = _KEYS
    letters: ClassVar[dict[str, str]] = {
        "E": "write_here",
        "C": "copy_here",
        "S": "sent_here",
        "N": "not_now_here",
        "B": "channel_here",
        WENT: "went_here",
        DID_NOT: "did_not_go_here",
    }

    def __init__(self, place: DaySheet) -> None:
        table = EntryTable(place.theme, _COLUMNS, rows_from=25, rows_to=32)
        super().__init__(place, table, "Reminders are right")
        self._view: WhomToRemind | None = None
        self.row.set_second("Write the drafts", "F4").clicked.connect(self.write_drafts)
        table.cell_clicked.connect(self._clicked)
        table.teach_when_empty(
            EmptyText(
                "Nobody is due",
                "When a layer is likely wearing out, its owner stands here with a message. "
                "Those who should be left in peace are listed with the reason.",
                "Ctrl 5",
                "See all renewals",
                lambda: place.office.go("renewals"),
            )
        )

    # view ----------------------------------------------------------------------------------
    def read(self, desk: Desk, day: date) -> WhomToRemind:
        return whom_to_remind(desk, day)

    def show_view(self, view: WhomToRemind) -> None:
        self._view = view
        rows: list[TableRow | GroupRow] = []
        if view.unsure:
            rows.append(UNSURE_GROUP)
            rows += [_unsure_row(one) for one in view.unsure]
            if view.letters:
                rows.append(GroupRow("write", "To write to", "one message to a household"))
        rows += [self._row(letter) for letter in view.letters]
        if view.suppressed:
            rows.append(GroupRow("peace", "Left in peace", "due, but not written to"))
            rows += [
                TableRow(
                    ("peace", at),
                    (
                        Cell(one.name, State.QUIET),
                        Cell(one.what, State.QUIET),
                        Cell(one.why, State.QUIET),
                        Cell(),
                        Cell(),
                    ),
                )
                for at, one in enumerate(view.suppressed)
            ]
        self.table.show_rows(rows)
        prepared = sum(letter.prepared_id is not None for letter in view.letters)
        runs = []
        if prepared:
            runs.append(Run(f"{prepared} prepared, not sent", "unit_total", "ink", mark="note"))
        if view.waiting:
            runs.append(Run(f"{view.waiting} layers not due yet", "unit"))
        self.row.show_hints(runs)
        second = self.row.second
        if second is not None:
            second.setVisible(bool(view.letters))

    def _row(self, letter: LetterView) -> TableRow:
        mark = "note" if letter.prepared_id is not None else ""
        return TableRow(
            ("letter", letter.key),
            (
                Cell(letter.name, bold=True, mark=mark),
                Cell(", ".join(letter.vehicles), State.QUIET),
                Cell(letter.reason, State.QUIET),
                Cell(letter.due_text),
                Cell(letter.channel, State.QUIET),
            ),
        )

    def _here(self) -> LetterView | None:
        key = self.table.current_key()
        if self._view is None or not isinstance(key, tuple) or key[0] != "letter":
            return None
        return next((letter for letter in self._view.letters if letter.key == key[1]), None)

    def _unsure_here(self) -> UnsureView | None:
        return unsure_of(self._view.unsure if self._view else (), self.table.current_key())

    def write(self, key: Hashable, column: str, text: str) -> Changed:
        raise NotImplementedError  # nothing is typed into this table

    # doing ---------------------------------------------------------------------------------
    def confirm(self) -> bool:
        if self.may_write():
            self._prepare_all(lambda _ids: self.place.go_on_from(self.key))
        return False

    def _prepare_all(self, then: Callable[[Sequence[int]], object]) -> None:
        """Prepare all messages of the day in the background, then go on."""
        desk, day = self.desk, self.day

        def prepared(done: tuple[Changed, tuple[int, ...]]) -> None:
            self.office.note(done[0])
            then(done[1])

        self.office.write_long(
            "preparing the reminders",
            lambda _task: prepare_all(desk, day),
            prepared,
            owner=self,
            lock=Lock("The reminders are being prepared; the sheet can be written in then.", day),
        )

    def write_here(self) -> None:
        """Put the cursor into the words."""
        if self._here() is not None:
            self.place.margin.write()

    def copy_here(self) -> None:
        """Copy the words of the message with the focus."""
        letter = self._here()
        if letter is not None:
            QGuiApplication.clipboard().setText(f"{letter.subject}\n\n{letter.text}")
            self.office.say("The words are copied; paste them where you write")

    def sent_here(self) -> None:
        """Note that a person has sent the message with the focus."""
        letter = self._here()
        if letter is None:
            return
        desk, day = self.desk, self.day

        def send() -> Changed:
            _, reminder_id = prepare(desk, day, letter)
            return mark_sent(desk, day, (reminder_id,))

        self.act(send)

    def not_now_here(self) -> None:
        """Ask this customer again in four weeks."""
        letter = self._here()
        if letter is not None:
            desk, day = self.desk, self.day
            self.act(lambda: not_now(desk, day, letter.customer_id))

    def went_here(self) -> None:
        """Say that the message with the focus went out."""
        self._say_here(gone=True)

    def did_not_go_here(self) -> None:
        """Say that the message with the focus did not go; it can be sent again then."""
        self._say_here(gone=False)

    def _say_here(self, *, gone: bool) -> None:
        one = self._unsure_here()
        if one is not None and one.to_be_said:
            desk, day, number = self.desk, self.day, one.reminder_id
            self.act(lambda: settle(desk, day, number, gone=gone))

    def channel_here(self) -> None:
        """The next way in which this customer can be reached."""
        letter = self._here()
        if letter is not None:
            self.next_channel(letter)

    def _clicked(self, key: object, column: str) -> None:
        letter = self._here()
        if letter is not None and column == "how":
            self.next_channel(letter)

    def next_channel(self, letter: LetterView) -> None:
        """The next way in which this customer can be reached."""
        ways = letter.channels
        if len(ways) < 2:
            return
        at = ways.index(letter.channel) + 1 if letter.channel in ways else 0
        self._change(letter, letter.text, ways[at % len(ways)])

    def _change(self, letter: LetterView, text: str, channel: str = "") -> None:
        desk, day = self.desk, self.day
        if letter.prepared_id is None:
            self.act(lambda: prepare(desk, day, letter, text=text, channel=channel))
        else:
            number = letter.prepared_id
            self.act(
                lambda: change_text(
                    desk, day, number, subject=letter.subject, text=text, channel=channel
                )
            )

    def write_drafts(self) -> None:
        """Prepare all messages and write their files into a folder that the person chooses."""
        folder = QFileDialog.getExistingDirectory(self, "Where the drafts go")
        if not folder:
            return
        if self.may_write():
            self._prepare_all(partial(self._write_drafts, Path(folder)))

    def _write_drafts(self, out: Path, ids: Sequence[int]) -> None:
        desk, day = self.desk, self.day

        def work(task: Task) -> Drafts:
            task.say(0.1, "Writing the drafts")
            return draft_files(desk, day, ids, out)

        def tell(drafts: Drafts) -> None:
            self.office.note(drafts.changed)
            self.office.say(drafts_words(drafts, out))

        self.office.write_long("writing the drafts", work, tell, owner=self)

    # note ----------------------------------------------------------------------------------
    def read_note(self, desk: Desk, day: date, key: Hashable, column: str) -> Any:
        return key

    def show_note(self, found: Any) -> Note:
        unsure = self._unsure_here()
        if unsure is not None:
            blocks = unsure_blocks(unsure, lambda gone: self._say_here(gone=gone))
            return Note(unsure.name, tuple(blocks), UNSURE_KEYS)
        letter = self._here()
        if letter is None:
            voice = self._peace(found)
            return Note("Whom to remind", (Voice(voice),) if voice else (), _KEYS)
        facts = [("Due", letter.due_text), ("Likes to be asked by", letter.channel)]
        facts += [("Vehicle", vehicle) for vehicle in letter.vehicles[:3]]
        text = Writable(
            f"letter {letter.key} {letter.prepared_id}",
            "The reminder, yours to change",
            letter.text,
            lambda words: self._change(letter, words),
            lines=9,
        )
        told = (Voice(letter.reason), Rule(), Facts(tuple(facts)), Rule(), text)
        return Note(letter.name, told, _KEYS)

    def _peace(self, key: Any) -> str:
        if self._view is None or not isinstance(key, tuple) or key[0] != "peace":
            return ""
        one = self._view.suppressed[key[1]]
        return f"{one.name} is not written to: {one.why}"

    def title(self) -> str:
        return "Whom to remind"


def _unsure_row(one: UnsureView) -> TableRow:
    return TableRow(
        unsure_key(one),
        (
            Cell(one.name, bold=True),
            Cell(", ".join(one.vehicles), State.QUIET),
            unsure_state(one),
            Cell(one.tried_on, State.QUIET),
            Cell("mail", State.QUIET),
        ),
    )
