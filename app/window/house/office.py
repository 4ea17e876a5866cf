"""The office: what every place is given. The open desk, the theme, the runner, the day.

An action is run through `act`. What it changed goes to all places by kind; what a person can mend
is said in the foot; anything else is our bug: it is logged, and the window stays.

The window's thread never waits for a writer. What would have to wait is put into the runner's
queue, in order, with the day that the book lay open at, and done when its turn comes. What is
refused then is said with the words that were typed.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Hashable
from datetime import date
from typing import Any, TypeVar

from PySide6.QtCore import QObject, Signal

from app.actions.desk import undoing
from app.actions.desk.desk import Changed, Desk, changed_of
from app.actions.desk.meant_days import ask_before_changes, question
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.wording import capital, words_of
from app.errors import BeingWritten, Mendable
from app.window.house.runner import BUG_SENTENCE, Asked, Lock, Runner, Task
from app.window.paper.cells import Outcome
from app.window.paper.theme import Theme

log = logging.getLogger("bayledger.window")
T = TypeVar("T")
READING = "Open for reading only; nothing can be changed here"
SHORT_UNDO = 40  # rows; putting back more than these takes longer than a frame


class Office(QObject):
    """Shared by all places of one window."""

    changed = Signal(object)  # frozenset of kinds
    day_changed = Signal(object)  # date
    spoke = Signal()  # what the foot says has changed
    lock_changed = Signal()  # a day's sheet is locked, or may be written in again
    go_asked = Signal(str, object)  # place key, item (or None)
    back_asked = Signal()
    book_lost = Signal()  # its path leads elsewhere now
    other_book_asked = Signal(object)  # the path of the book to open instead of this one
    restore_asked = Signal(object, object)  # the backup, and the key that opens it (or None)

    def __init__(
        self, desk: Desk, theme: Theme, runner: Runner, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.desk = desk
        self.theme = theme
        self.runner = runner
        self._day = desk.today
        self.saved = ""  # what was saved last, in words
        self.undoes = ""  # what was done last, by name: undo may take back something before it
        self.trouble = ""  # a sentence for something that a person can mend
        self.question = ""  # asked beside what was typed; it is kept unless changed
        self.progress = ""  # what is done in the background and how far, until it has ended
        self.lost = ""  # why the book's path does not lead to what is open any more
        self.left_out: list[str] = []  # words that were typed after that, and are in no file
        self.looked_at: Any = None  # a preview of files that are not brought in yet
        self.redoable = False
        self._day_then: date | None = None  # while something is done that had to wait
        self._unwritten: list[str] = []  # what was typed and refused when its turn came
        self.refusal = ""  # why the last of them was
        self._to_undo: list[Asked] = []  # what was asked for since the queue was last empty
        self._to_redo: list[Asked] = []  # the undoing among it
        self._waiting: set[Hashable] = set()  # what is not to wait twice
        ask_before_changes(desk)
        desk.book.never_wait_here(lambda: runner.writing is not None)
        runner.began.connect(self._queue_moved)
        runner.ended.connect(self._queue_moved)

    # the day -------------------------------------------------------------------------------
    @property
    def day(self) -> date:
        """The day that the book lies open at."""
        return self._day_then or self._day

    def open_day(self, day: date) -> None:
        """Open the book at a day."""
        if day != self._day:
            self._day = day
            self.turn_page()
            self.day_changed.emit(day)

    def turn_page(self) -> None:
        """What was wrong or asked on another page stays behind there."""
        self.trouble, self.question = self.lost or " ".join(self._unwritten), ""
        self.spoke.emit()

    def ask_of_day(self) -> None:
        """Ask whether the day is meant, where the book speaks against it."""
        asked = self.read(lambda: question(self.desk, self.day))
        if asked:
            self.question = asked
            self.spoke.emit()

    def mean_day(self) -> None:
        """The day that the book lies open at and today are meant; the book speaks against them."""
        for day in dict.fromkeys((self.day, self.desk.today)):
            if question(self.desk, day):
                self.desk.meant.add(day)
                self.say(f"{weekday_day(day)} is meant; it can be written on.")

    # doing ---------------------------------------------------------------------------------
    def act(
        self, do: Callable[[], T], typed: str = "", later: Callable[[T], object] | None = None
    ) -> T | None:
        """Run an action. None when it was refused or failed; then the foot says why.

        What returns a `Changed` (alone, first in a tuple, or as attribute `changed`) refreshes the
        places that show those kinds. Where the book is being written in the background the action
        waits in the queue, None is returned, and `later` is given its result when it is done.
        """
        self._unwritten.clear()
        return self._act(do, lambda: self.put_off(do, typed, later=later))

    def act_then(
        self, do: Callable[[], T], then: Callable[[T], object], typed: str, once: Hashable = None
    ) -> None:
        """Run an action and give `then` its result: at once, or when its turn came.

        `typed` says what waits, and is said where it is refused then. Of the same `once` no second
        one waits beside the first.
        """
        if once is not None and once in self._waiting:
            self.say(f"“{typed}” waits to be written already.")
            return

        def ended(result: T) -> None:
            self._waiting.discard(once)
            then(result)

        def wait() -> None:
            if once is not None:
                self._waiting.add(once)
            self.put_off(do, typed, lambda: self._waiting.discard(once), ended)

        self._unwritten.clear()
        result = self._act(do, wait)
        if result is not None:
            then(result)

    def act_now(self, do: Callable[[], T]) -> T | None:
        """Run what writes nothing, or only outside the book: it does not wait, but is refused."""
        self._unwritten.clear()
        return self._act(do, None)

    def _act(self, do: Callable[[], T], put_off: Callable[[], object] | None) -> T | None:
        try:
            result = do()
        except Mendable as trouble:
            if put_off is not None and isinstance(trouble, BeingWritten):
                put_off()
            else:
                self.say_trouble(trouble.sentence)
            return None
        except Exception:
            log.exception("an action failed")
            self.say_trouble(BUG_SENTENCE)
            return None
        changed = changed_of(result)
        if changed is not None:
            self.note(changed)
        return result

    def write(
        self, do: Callable[[], Any], typed: str, refused: Callable[[], object] | None = None
    ) -> Changed | None:
        """Write what was typed and return what that changed, not yet noted; None where it waits.

        What is refused at once is raised, for the field to keep it; `refused` is called where it
        is refused only when its turn came.
        """
        self._unwritten.clear()
        try:
            return changed_of(do())
        except BeingWritten:
            self.put_off(do, typed, refused)
            return None
        except Mendable:
            if typed and self.desk.book.lost() and typed not in self.left_out:
                self.left_out.append(typed)
            raise

    def typed(self, do: Callable[[], Any], text: str) -> Outcome:
        """Write what was typed into a cell: at once, or when its turn comes."""
        try:
            changed = self.write(do, text)
        except Mendable as trouble:
            self.look_at_book()
            return Outcome(False, trouble.sentence)
        if changed is not None:
            self.note(changed)
        return Outcome()

    def put_off(
        self,
        do: Callable[[], T],
        typed: str = "",
        refused: Callable[[], object] | None = None,
        later: Callable[[T], object] | None = None,
    ) -> None:
        """Put a short action into the queue, to be done here when its turn comes; then `later`."""
        day, asked = self.day, self._ask(self._to_undo)

        def when_it_is_time(_task: Task) -> bool:
            self._day_then = day
            why, newest = "", self._newest_action()
            result: T | None = None
            try:
                result = do()
            except BeingWritten:
                return False
            except Mendable as trouble:
                why = trouble.sentence
            except Exception:
                log.exception("an action that had waited failed")
                why = BUG_SENTENCE
            finally:
                self._day_then = None
            written = self._newest_action() != newest
            asked.came_to = "refused" if why else "written" if written else "nothing"
            if why:
                self.refusal = why
                self._unwritten.append(f"“{typed}” is not written: {why}" if typed else why)
                if refused is not None:
                    refused()
            changed = changed_of(result)
            if changed is not None:
                self.note(changed)
            self.say_trouble(" ".join(self._unwritten))
            if later is not None and result is not None:
                later(result)
            return True

        self.runner.run_here(typed or "an entry", when_it_is_time, self.desk.book.await_turn)
        self.spoke.emit()

    def write_long(
        self,
        name: str,
        work: Callable[[Task], T],
        done: Callable[[T], object],
        *,
        owner: QObject | None = None,
        failed: Callable[[str], object] | None = None,
        lock: Lock | None = None,
    ) -> None:
        """Queue what takes longer than a frame to write; `done` follows in this thread."""
        asked = self._ask(self._to_undo)
        self._write_long(asked, name, work, done, owner=owner, failed=failed, lock=lock)

    def _write_long(
        self,
        asked: Asked,
        name: str,
        work: Callable[[Task], T],
        done: Callable[[T], object],
        *,
        owner: QObject | None = None,
        failed: Callable[[str], object] | None = None,
        lock: Lock | None = None,
    ) -> None:
        def write(task: Task) -> T:
            newest = self._newest_action()
            result = work(task)
            if not asked.came_to:
                asked.came_to = "written" if self._newest_action() != newest else "nothing"
            return result

        def refused(sentence: str) -> None:
            asked.came_to = "refused"
            (failed or self.say_trouble)(sentence)

        self._unwritten.clear()
        self.runner.run(name, write, done, refused, owner or self, writes=True, lock=lock)

    def _ask(self, stack: list[Asked]) -> Asked:
        """Remember what is asked for, for an undo or redo that is asked for before it is done."""
        self._forget_asked()
        stack.append(Asked())
        return stack[-1]

    def _forget_asked(self) -> None:
        """What is known not to be written is not meant any more; with an empty queue nothing is."""
        waiting = self.runner.writing is not None
        for stack in (self._to_undo, self._to_redo):
            stack[:] = [one for one in stack if waiting and one.came_to != "refused"]

    def _newest_action(self) -> int:
        return next((one.id for one in self.desk.book.history(1)), 0)

    def locked(self, day: date) -> str:
        """Why a day's sheet is not written in now; nothing where it may be."""
        return self.reading or self.runner.locked(day)

    @property
    def reading(self) -> str:
        """What is said where the book is only read; nothing where it may be changed."""
        return "" if self.desk.book.may_change else READING

    def _queue_moved(self, task: Task) -> None:
        if task.lock is not None:
            self.lock_changed.emit()

    def waiting_words(self) -> str:
        """How much of what was typed waits to be written; nothing where none does."""
        count = self.runner.waiting_here
        if not count:
            return ""
        return f"{capital(words_of(count, 'entry', 'entries'))} waiting to be written"

    def read(self, look: Callable[[], T]) -> T | None:
        """Read something for the window; None when that failed, and the foot says why."""
        return self._act(look, None)

    @property
    def tells_both(self) -> bool:
        """Whether what was saved is said beside the trouble: that is of what was typed before."""
        return bool(self._unwritten)

    def note(self, changed: Changed) -> None:
        """Take in what an action changed: refresh, and say it in the foot."""
        self.trouble = " ".join(self._unwritten)
        self.question = changed.question
        self.redoable, self.undoes = False, changed.name.removeprefix("Done again: ")[:200]
        if changed.sentence:
            self.saved = changed.sentence
        elif changed.name:
            self.saved = f"{changed.name}, saved at {self.clock_time()}"
        if changed.kinds:
            self.changed.emit(frozenset(changed.kinds))
        self.spoke.emit()

    def say(self, sentence: str) -> None:
        """Say something that went well; what undo takes back stands beside it by name."""
        self.undoes = ""
        self.trouble, self.question, self.saved = " ".join(self._unwritten), "", sentence
        self.spoke.emit()

    def say_trouble(self, sentence: str) -> None:
        """Say what a person can mend."""
        self.trouble = sentence
        self.spoke.emit()
        self.look_at_book()

    def look_at_book(self) -> None:
        """Go to what can be done where the book's path leads elsewhere now; once, as it happens."""
        lost = self.desk.book.lost()
        if lost and not self.lost:
            self.lost, self.trouble, self.saved = lost, lost, ""
            self.book_lost.emit()
        elif not lost:
            self.lost = ""

    def clock_time(self) -> str:
        """The shop's time as `17:54`."""
        return self.desk.clock_of(self.desk.clock())

    def look_at(self, preview: object) -> None:
        """What of files waits to be brought in (none: nothing), for the sheet of a new book."""
        self.looked_at = preview
        self.changed.emit(frozenset({"files"}))

    # undo ----------------------------------------------------------------------------------
    def next_undo(self) -> str:
        """The name of what Ctrl+Z takes back, or nothing."""
        return self.desk.book.next_undo() or ""

    def next_redo(self) -> str:
        """The name of what Ctrl+Shift+Z does again, or nothing."""
        return self.desk.book.next_redo() or ""

    def undo(self) -> None:
        """Take back the last action, by name."""
        self._turn_back(
            "undoing", self.next_undo, undoing.undo, self.desk.book.rows_to_undo, "Nothing to undo"
        )

    def redo(self) -> None:
        """Do again what was taken back."""
        self._turn_back(
            "doing again",
            self.next_redo,
            undoing.redo,
            self.desk.book.rows_to_redo,
            "Nothing to do again",
        )

    def _turn_back(
        self,
        name: str,
        following: Callable[[], str],
        do: Callable[[Desk], Changed],
        rows: Callable[[], int],
        nothing: str,
    ) -> None:
        """Undo or redo: little of it at once, the rest in the background as all long writing."""
        redoable = do is undoing.undo
        if self.runner.writing is None:
            if not following():
                self.say(nothing)
                return
            if rows() <= SHORT_UNDO:
                self._turned_back(self.act_now(lambda: do(self.desk)), redoable)
                return

        # Asked for while others wait, it means the last of those; where that is refused when its
        # turn comes, nothing else is taken back in its place.
        self._forget_asked()
        come, gone = self._to_undo, self._to_redo
        if not redoable:
            come, gone = gone, come
        earlier, asked = come[::-1], self._ask(gone)

        def work(_task: Task) -> Changed | None:
            meant = next((a for a in earlier if not a.taken and a.came_to != "nothing"), None)
            if meant is not None:
                meant.taken = True
                if meant.came_to != "written":
                    asked.came_to = "refused"
                    return None
            return do(self.desk)

        def done(changed: Changed | None) -> None:
            if changed is not None:
                self.note(changed)
            self._turned_back(changed, redoable)

        lock = Lock(f"Still {name}; the sheet can be written in when that is done.")
        self._write_long(asked, name, work, done, lock=lock)

    def _turned_back(self, changed: Changed | None, redoable: bool) -> None:
        if changed is not None:
            self.redoable = redoable
            self.spoke.emit()

    # elsewhere -----------------------------------------------------------------------------
    def go(self, place: str, item: object = None) -> None:
        """Open another place, at an item of it."""
        self.go_asked.emit(place, item)

    def go_back(self) -> None:
        """From a page beside the places to the place that it was opened from."""
        self.back_asked.emit()
