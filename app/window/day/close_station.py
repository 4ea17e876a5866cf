"""Station 6: what will be booked, what comes tomorrow, and closing."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from app.actions.costs.driving import driven_text, set_driven, unit_of, unit_word
from app.actions.day.closing import Closed, Closing, close_day, closing, reopen_day
from app.actions.day.till import difference_text, set_counted
from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.wording import count_of
from app.window.day.station import Station
from app.window.house.runner import Lock
from app.window.paper.cells import (
    Cell,
    Column,
    EmptyText,
    GroupRow,
    State,
    TableRow,
    given_entry,
    quiet,
    row_of,
)
from app.window.paper.notes import Block, Facts, Note, Offer, Rule, Voice, Writable

if TYPE_CHECKING:
    from app.window.day.place import DayPlace

_CLOSED_KEYS = (
    ("Ctrl →", "the day after"),
    ("Ctrl Z", "undo"),
    ("E", "write the reason"),
    ("F4", "open the day again"),
)


class CloseStation(Station):
    """Books what the stations show, makes the backup, and shows what comes next."""

    key = "close"
    title = "Close the day"
    keys = (
        ("Ctrl ↵", "close the day"),
        ("C", "count the cash"),
        ("D", "what was driven"),
        ("Ctrl Z", "undo, also a closed day"),
        ("↵", "open tomorrow’s job"),
    )
    columns = (
        Column("what", "", least=170),
        Column("work", "", width=250, least=120),
        Column("lacks", "", width=280, least=130),
    )
    letters: ClassVar[dict[str, str]] = {
        "C": "count_cash",
        "D": "write_driven",
        "E": "write_reason",
    }

    def __init__(self, place: DayPlace) -> None:
        empty = EmptyText(
            "A day without work",
            "Nothing will be booked. Closing it says that nothing was forgotten, and makes "
            "the backup all the same.",
        )
        super().__init__(place, self.title, closing, empty, head=False)
        self.read_here = partial(closing, slow=False)
        self._view: Closing | None = None
        self._reason = ""
        self.row.set_second("Open the day again", "F4").clicked.connect(self.reopen)
        self.table.row_opened.connect(self._opened)

    def show_view(self, view: Closing) -> None:
        self._view = view
        rows: list[TableRow | GroupRow] = []
        if view.lines:
            rows.append(GroupRow("book", f"What {'was' if self.closed else 'will be'} booked"))
        else:
            what = "A day without work" if self.closed else "Nothing will be booked"
            rows.append(GroupRow("book", what))
        for at, line in enumerate(view.lines):
            mark = "few jobs" if line.unconfirmed else "done"
            rows.append(row_of(("line", at), Cell(line.text, mark=mark)))
        if view.tomorrow:
            rows.append(GroupRow("next", view.tomorrow_text))
        for one in view.tomorrow:
            job, lacks = one.job, ", ".join(one.lacks)
            name = Cell(f"{job.number_text} {job.customer}".strip(), detail=job.vehicle)
            need = Cell("nothing lacking", State.GOOD, mark="done")
            if lacks:
                need = Cell(lacks, State.LOOK, mark="look", tip=lacks)
            rows.append(row_of(job.job_id, name, quiet(one.services), need))
        rows += self._numbers(view)
        self.table.show_rows(rows)
        self.show_ready()

    def _numbers(self, view: Closing) -> list[TableRow | GroupRow]:
        """The day's own two numbers, which nobody has to type."""
        found, money_of = view.till, partial(money, self.desk)
        counted = "" if found.counted is None else money_of(found.counted)
        compared = quiet("" if found.expected is None else f"{money_of(found.expected)} expected")
        if found.difference:
            word = "less" if found.difference < 0 else "more"
            apart = f"{money_of(abs(found.difference))} {word} than expected"
            compared = Cell(apart, State.LOOK, mark="look", tip=difference_text(self.desk, found))
        elif found.expected is not None and found.counted is not None:
            compared = Cell("as expected", State.GOOD, mark="done")
        unit = unit_word(unit_of(self.desk))
        note = "" if self.closed else "only where you like to"
        return [
            GroupRow("numbers", "Till and road", note),
            row_of("cash", "Cash in the till", self.as_shown(given_entry(counted)), compared),
            row_of(
                "driven",
                f"{unit.capitalize()} driven for the shop",
                self.as_shown(given_entry(driven_text(self.desk, view.driven))),
                "",
            ),
        ]

    def write(self, key: Hashable, column: str, text: str) -> Changed:
        do = set_counted if key == "cash" else set_driven
        return do(self.desk, self.day, text)

    def count_cash(self) -> None:
        """Put the cursor where the cash in the till is written."""
        if self.may_write():
            self.write_in("cash", "work")

    def write_driven(self) -> None:
        """Put the cursor where the way driven is written."""
        if self.may_write():
            self.write_in("driven", "work")

    def show_ready(self) -> None:
        """Show what the button does, and why it may not be pressed."""
        self.row.show_second(self.closed)
        lacking = self.closed and self._view is not None and self._view.lacks_backup
        label = "Make the backup" if lacking else "Closed" if self.closed else self.title
        self.row.button.set_label(label)
        if self.locked:
            self.row.set_ready(self.locked)
        elif self.closed:
            self.row.set_ready("" if lacking else "This day is closed.")
        else:
            self.row.set_ready(self._view.not_yet if self._view is not None else "")

    def _opened(self, key: object) -> None:
        if isinstance(key, int):
            self.office.go("jobs", key)

    # closing -------------------------------------------------------------------------------
    def confirm(self) -> bool:
        """Close the day in the background; on a closed day, write what is missing of it."""
        desk, day, seconds = self.desk, self.day, self.place.seconds_spent()
        self.office.write_long(
            "closing the day",
            lambda task: close_day(desk, day, seconds=seconds, progress=task.say),
            self._closed_now,  # also where this station is gone: the window was built anew
            lock=Lock(f"{weekday_day(day)} is being closed; nothing is written on it now.", day),
        )
        return False

    def _closed_now(self, done: Closed) -> None:
        self.office.note(done.changed)
        words = done.changed.sentence if done.already else "Day closed"
        made = done.made
        if made.path is not None:
            words += f", backup in {made.path.parent} with {count_of(made.jobs, 'job')}"
        if made.second is not None:
            words += f", and in {made.second.parent}"
        if done.trouble:
            self.office.say_trouble(" ".join(done.trouble))
        else:
            self.office.say(words)
        if done.already:
            self.office.changed.emit(frozenset({"days"}))

    def reopen(self) -> None:
        """Open the closed day again; asks for the reason in the margin first."""
        if not self.closed:
            return
        self.place.margin.keep()
        if not self._reason.strip():
            self.place.margin.write()
            self.office.say_trouble(
                "Say in the margin why the day is opened again, such as: wrong supply on 0412."
            )
            return
        desk, day, reason = self.desk, self.day, self._reason
        self.office.write_long(
            "opening the day again",
            lambda _task: reopen_day(desk, day, reason),
            self._reopened,
            lock=Lock(f"{weekday_day(day)} is being opened again.", day),
        )

    def _reopened(self, changed: Changed) -> None:
        self._reason = ""
        self.office.note(changed)

    def write_reason(self) -> None:
        """Put the cursor where the reason for opening the day again is written."""
        if self.closed:
            self.place.margin.write()

    def _take_reason(self, text: str) -> None:
        self._reason = text

    # note ----------------------------------------------------------------------------------
    def explain(self) -> None:
        if self.is_open():
            self._say(self.table.current_key())

    def show_note(self, found: Any) -> Note:
        if self.closed:
            voice = (
                "The day is booked. Opened again, its lines are taken back by counter-entries "
                "with your reason, and it can be changed and closed once more."
            )
            reason = Writable(
                "reason", "Why it is opened again", self._reason, self._take_reason, 3
            )
            return Note("A closed day", (Voice(voice), Rule(), reason), _CLOSED_KEYS)
        voice = (
            "Closing books what the stations show. What you did not confirm is booked as filled "
            "in and marked unconfirmed; it teaches nothing."
        )
        view = self._view
        blocks: list[Block] = [Voice(voice)]
        if view is not None and view.backup_place:
            blocks.append(Voice(f"Then a backup is made in {view.backup_place}."))
        if view is not None and view.till.expected is not None:
            sums = (("Should lie in the till", money(self.desk, view.till.expected)),)
            blocks += [Rule(), Facts(sums)]
        if not self.locked:
            blocks += [
                Offer("C", "Count the cash", self.count_cash),
                Offer(
                    "D", f"{unit_word(unit_of(self.desk)).capitalize()} driven", self.write_driven
                ),
            ]
        if view is None or not view.tomorrow:
            return Note(self.title, tuple(blocks), self.keys)
        lacking = sum(bool(job.lacks) for job in view.tomorrow)
        when = "tomorrow" if view.follows else f"on {view.tomorrow_text}"
        facts = (
            (f"Jobs {when}", str(len(view.tomorrow))),
            ("Lacking supplies", str(lacking), "look" if lacking else ""),
        )
        return Note(self.title, (*blocks, Rule(), Facts(facts)), self.keys)
