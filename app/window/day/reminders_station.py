"""Station 5: whom to remind, and who is not contacted, with why."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from PySide6.QtGui import QGuiApplication

from app.actions.desk.desk import Changed, Desk
from app.actions.letters.letter_views import LetterView
from app.actions.letters.reminder_files import Drafts, draft_files
from app.actions.letters.reminders import (
    SuppressedView,
    WhomToRemind,
    change_text,
    mark_sent,
    not_now,
    prepare,
    prepare_all,
    whom_to_remind,
    words_to_copy,
)
from app.actions.letters.sending import settle
from app.actions.letters.unsure_mail import UnsureView
from app.window.day.station import Station
from app.window.house.acting import on_day, on_each
from app.window.house.filechoice import FileChoice
from app.window.house.runner import Lock, Task
from app.window.paper.cells import Cell, Column, EmptyText, GroupRow, TableRow, quiet, row_of
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
    unsure_state,
)

if TYPE_CHECKING:
    from app.window.day.place import DayPlace


class RemindersStation(Station):
    """Messages are prepared here; a person reads and sends them."""

    key = "reminders"
    title = "Whom to remind"
    keys = (
        ("E", "change the words"),
        ("C", "copy them"),
        ("S", "noted as sent"),
        ("N", "not now, in four weeks"),
    )
    columns = (
        Column("name", "Customer", width=156, least=110),
        Column("what", "Vehicle", width=156, least=100, aside=1),
        Column("why", "Because", least=140),
        Column("due", "Due", width=136, least=124),
        Column("how", "By", width=66, least=56),
    )
    letters: ClassVar[dict[str, str]] = {
        "E": "write_here",
        "C": "copy_here",
        "S": "sent_here",
        "N": "not_now_here",
        "B": "channel_here",
        WENT: "went_here",
        DID_NOT: "did_not_go_here",
    }

    def __init__(self, place: DayPlace) -> None:
        empty = EmptyText(
            "Nobody is due",
            "When a layer is likely wearing out, its owner stands here with a message. "
            "Those not to be contacted are listed with the reason.",
            "Ctrl 5",
            "See all renewals",
            lambda: place.office.go("renewals"),
        )
        super().__init__(place, "Reminders are right", whom_to_remind, empty)
        self.read_here = None
        self._behind: dict[Hashable, LetterView | UnsureView | SuppressedView] = {}  # the rows
        self.row.set_second("Write the drafts", "F4").clicked.connect(self.write_drafts)
        self.table.cell_clicked.connect(self._clicked)

    # view ----------------------------------------------------------------------------------
    def show_view(self, view: WhomToRemind) -> None:
        self._behind = {("letter", letter.key): letter for letter in view.letters}
        self._behind |= {unsure_key(one): one for one in view.unsure}
        self._behind |= {("peace", at): one for at, one in enumerate(view.suppressed)}
        rows: list[TableRow | GroupRow] = []
        if view.unsure:
            rows += [UNSURE_GROUP, *map(_unsure_row, view.unsure)]
            if view.letters:
                rows.append(GroupRow("write", "To write to", "one message to a household"))
        rows += map(_letter_row, view.letters)
        if view.suppressed:
            rows.append(GroupRow("peace", "Not contacted", "due, but not written to"))
            rows += [
                row_of(("peace", at), quiet(one.name), quiet(one.what), quiet(one.why), "", "")
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
        self.row.show_second(bool(view.letters))

    def _here(self) -> LetterView | None:
        one = self._behind.get(self.table.current_key())
        return one if isinstance(one, LetterView) else None

    def _unsure_here(self) -> UnsureView | None:
        one = self._behind.get(self.table.current_key())
        return one if isinstance(one, UnsureView) else None

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
        if self._here() is not None:
            self.place.margin.write()

    def copy_here(self) -> None:
        """Copy the words of the message with the focus."""
        letter = self._here()
        if letter is None:
            return
        copy = partial(words_to_copy, self.desk, self.day, letter)
        self.office.act_then(copy, self._copied, "copied words", ("copy", letter.key))

    def _copied(self, found: tuple[Changed, str]) -> None:
        if found[1]:
            QGuiApplication.clipboard().setText(found[1])
            self.office.say("The words are copied; paste them where you write")

    def sent_here(self) -> None:
        """Note that a person has sent the chosen messages, else the one with the focus."""
        office = self.office
        on_each(office, self._chosen(), lambda one: on_day(office, _sent, one), "noted as sent")

    def not_now_here(self) -> None:
        """Ask these customers again in four weeks."""
        ids = [letter.customer_id for letter in self._chosen()]
        later = "customers are asked again in four weeks"
        on_each(self.office, ids, lambda one: self.act(not_now, one), later)

    def _chosen(self) -> list[LetterView]:
        """The chosen letters, else the one with the focus."""
        found = (self._behind.get(key) for key in self.table.chosen_keys)
        return [one for one in found if isinstance(one, LetterView)]

    def went_here(self) -> None:
        """Say that the message with the focus went out."""
        self._say_here(gone=True)

    def did_not_go_here(self) -> None:
        """Say that the message with the focus did not go; it can be sent again then."""
        self._say_here(gone=False)

    def _say_here(self, *, gone: bool) -> None:
        one = self._unsure_here()
        if one is not None and one.to_be_said:
            self.act(settle, one.reminder_id, gone=gone)

    def channel_here(self) -> None:
        """The next way in which this customer can be reached."""
        letter = self._here()
        if letter is not None and len(letter.channels) > 1:
            ways = letter.channels
            at = ways.index(letter.channel) + 1 if letter.channel in ways else 0
            self._change(letter, None, ways[at % len(ways)])

    def _clicked(self, _key: object, column: str) -> None:
        if column == "how":
            self.channel_here()

    def _change(self, letter: LetterView, text: str | None, channel: str = "") -> None:
        if letter.prepared_id is None:
            self.act(prepare, letter, text=text or "", channel=channel)
        else:
            self.act(change_text, letter.prepared_id, text=text, channel=channel)

    def write_drafts(self) -> None:
        """Prepare all messages and write their files into a folder that the person chooses."""
        folder = FileChoice(self.office.theme, self, "drafts").choose_folder("Where the drafts go")
        if folder is not None and self.may_write():
            self._prepare_all(partial(self._write_drafts, folder))

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
    def show_note(self, found: Any) -> Note:
        unsure = self._unsure_here()
        if unsure is not None:
            blocks = unsure_blocks(unsure, lambda gone: self._say_here(gone=gone))
            return Note(unsure.name, tuple(blocks), UNSURE_KEYS)
        one = self._behind.get(found)
        if isinstance(one, SuppressedView):
            why = f"{one.name} is not written to: {one.why}"
            return Note(self.title, (Voice(why),), self.keys)
        letter = self._here()
        if letter is None:
            return super().show_note(found)
        facts = [("Due", letter.due_text), ("Goes by", letter.channel)]
        facts += [("Vehicle", vehicle) for vehicle in letter.vehicles[:3]]
        words = Writable(
            f"letter {letter.key} {letter.prepared_id}",
            "The reminder, yours to change",
            letter.text,
            partial(self._change, letter),
            lines=9,
        )
        refused = (Voice(letter.bad_mail),) if letter.bad_mail else ()
        note = (Voice(letter.reason), *refused, Rule(), Facts(tuple(facts)), Rule(), words)
        return Note(letter.name, note, self.keys)


def _sent(desk: Desk, day: date, letter: LetterView) -> Changed:
    _, reminder_id = prepare(desk, day, letter)
    return mark_sent(desk, day, (reminder_id,))


def _letter_row(letter: LetterView) -> TableRow:
    return row_of(
        ("letter", letter.key),
        Cell(letter.name, bold=True, mark="note" if letter.prepared_id is not None else ""),
        quiet(", ".join(letter.vehicles)),
        quiet(letter.reason),
        Cell(letter.due_short or letter.due_text, tip=letter.due_text),
        quiet(letter.channel),
    )


def _unsure_row(one: UnsureView) -> TableRow:
    return row_of(
        unsure_key(one),
        Cell(one.name, bold=True),
        quiet(", ".join(one.vehicles)),
        unsure_state(one),
        quiet(one.tried_on),
        quiet("mail"),
    )
