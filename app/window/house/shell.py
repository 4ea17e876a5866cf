"""The main window: contents leaf on the left, one place at a time on the right, and the keys."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from functools import partial

from PySide6.QtCore import QSettings, QTimer, Signal
from PySide6.QtGui import (
    QCloseEvent,
    QDragEnterEvent,
    QDropEvent,
    QKeySequence,
    QResizeEvent,
    QShortcut,
)
from PySide6.QtWidgets import QApplication, QStackedWidget, QWidget

from app.window.house.commands import Command, command_lines, place_lines
from app.window.house.cover import Cover
from app.window.house.habits import Habits, PressedTwice
from app.window.house.leaf import FOLDS_BELOW, Leaf, LeafLine, Month, MonthLoad, MonthMarks
from app.window.house.office import Office
from app.window.house.place import Place, PlaceEntry, Status, take_along
from app.window.house.runner import Task
from app.window.house.windowkeys import WINDOW_KEYS
from app.window.house.windowsize import hold_least, keep_size, restore_size
from app.window.paper.entrytable import finish_writing
from app.window.paper.fields import leave_form
from app.window.paper.finder import Finder, FoundLine, forgiving
from app.window.paper.theme import LOOKS

LOOK_EVERY = 3000  # ms between two looks whether the book is still where it was


def _status_of(status: Callable[[Office], Status], office: Office, _task: Task) -> Status:
    return status(office)


class Shell(QWidget):
    """One window over one open book.

    `find(text, places and commands)` answers Find anything; `month_marks(first of a month)` gives
    that month's closed days and those left open, `month_load` what is booked. `asides` are pages
    beside the contents.
    """

    place_opened = Signal(str)
    open_asked = Signal()  # another book
    new_asked = Signal()
    book_dropped = Signal(object)  # its path

    def __init__(
        self,
        office: Office,
        entries: Sequence[PlaceEntry],
        *,
        find: Callable[[str, Sequence[FoundLine]], list[FoundLine]] | None = None,
        month_marks: MonthMarks | None = None,
        month_load: MonthLoad | None = None,
        commands: Sequence[Command] = (),
        asides: Sequence[PlaceEntry] = (),
        settings: QSettings | None = None,
    ) -> None:
        super().__init__()
        self.office = office
        self.theme = office.theme
        self._entries = tuple(entries)
        self._asides = tuple(asides)
        self._find = find
        self._month = Month(office, month_marks, month_load)
        self.commands: tuple[Command, ...] = tuple(commands)
        self._settings = settings
        self._places: dict[str, Place] = {}
        self._here = ""
        self._before = ""  # the place that a page beside the places was opened from
        self._kept: dict[str, object] = {}
        self._leave_anyway = False
        self._leaving = 0  # how often leaving was asked for while something was at work
        self.setWindowTitle("Bayledger")
        hold_least(self, self.theme)
        self.cover = Cover(self, office.theme, settings)
        self.habits = Habits(self, settings)
        self._twice = PressedTwice()
        self.setAcceptDrops(True)
        self._build()
        self._keys()
        office.changed.connect(self._changed)
        office.day_changed.connect(self._day_changed)
        office.spoke.connect(self._spoke)
        office.go_asked.connect(self._jump)
        office.back_asked.connect(self.go_back)
        office.book_lost.connect(partial(self.open, "lost", anyway=True))
        office.runner.told.connect(self._told)
        office.runner.ended.connect(self._ended)
        self.theme.rescaled.connect(self._rebuild)
        self._looking = QTimer(self)
        self._looking.timeout.connect(office.look_at_book)
        self._looking.start(LOOK_EVERY)
        restore_size(self, self.theme, settings)

    # building ------------------------------------------------------------------------------
    def _build(self) -> None:
        self.leaf = Leaf(self.theme, self.office.day, self)
        self.leaf.set_lines(
            [LeafLine(entry.key, entry.name, entry.mark) for entry in self._entries]
        )
        self.leaf.set_day(self.office.day, self.office.desk.today)
        self.leaf.place_chosen.connect(self.open)
        self.leaf.day_chosen.connect(self.go_to_day)
        self.leaf.month_shown.connect(lambda _first: self.mark_month())
        self.leaf.find_asked.connect(self.find_anything)
        self.stack = QStackedWidget(self)
        self.finder = Finder(self.theme, self._look_up)
        self.finder.left.connect(self._leave_finder)
        self.finder.hide()
        self.leaf.show()
        self.stack.show()
        self._lay()

    def _rebuild(self) -> None:
        """Another scale: build every part anew and go back to where we were."""
        hold_least(self, self.theme)
        here = self._here
        self._kept = {key: place.keep() for key, place in self._places.items()}
        for part in (self.leaf, self.stack, self.finder):
            part.hide()
            part.setParent(None)
            part.deleteLater()
        self._places = {}
        self._here = ""
        self._build()
        if here:
            self.open(here)
        self.mark_month()
        self.ask_statuses()

    def _keys(self) -> None:
        for number in range(1, len(self._entries) + 1):
            self.add_key(f"Ctrl+{number}", partial(self._open_number, number))
        self.add_key("Ctrl+K", self.find_anything)
        self.add_key("F1", self.show_keys)
        self.add_key("Shift+F1", self.show_guide)
        self.add_key("Ctrl+Z", self._undo)
        self.add_key("Ctrl+Shift+Z", self._redo)
        self.add_key("Ctrl+Y", self._redo)
        for keys in ("Ctrl+Return", "Ctrl+Enter"):  # held down they must not do one after another
            self.add_key(keys, self.primary).setAutoRepeat(False)
        for keys, step in (("Ctrl++", 1), ("Ctrl+=", 1), ("Ctrl+-", -1), ("Ctrl+0", 0)):
            self.add_key(keys, partial(self._scale, step))
        self.add_key("Ctrl+D", self._next_look)
        self.add_key("Ctrl+M", self.office.mean_day)
        self.add_key("Ctrl+.", self._stop)
        self.add_key("Ctrl+L", self.cover_now)
        self.add_key("Ctrl+T", lambda: self.go_to_day(self.office.desk.today))
        self.add_key("Ctrl+Left", lambda: self._step_day(-1))
        self.add_key("Ctrl+Right", lambda: self._step_day(1))

    def add_key(self, keys: str, do: Callable[[], object]) -> QShortcut:
        """A key of the whole window."""
        shortcut = QShortcut(QKeySequence(keys), self)
        shortcut.activated.connect(do)
        return shortcut

    # places --------------------------------------------------------------------------------
    @property
    def here(self) -> Place | None:
        """The open place."""
        return self._places.get(self._here)

    @property
    def here_key(self) -> str:
        """The key of the open place."""
        return self._here

    @property
    def first_key(self) -> str:
        """The key of the place that a book opens at."""
        return self._entries[0].key

    @property
    def place_keys(self) -> tuple[str, ...]:
        """The keys of the places in the contents."""
        return tuple(entry.key for entry in self._entries)

    def place(self, key: str) -> Place:
        """A place, built now if it was not yet."""
        if key not in self._places:
            entry = next(e for e in (*self._entries, *self._asides) if e.key == key)
            before = set(QApplication.topLevelWidgets())
            made = entry.build(self.office)
            made.destroyed.connect(
                partial(take_along, set(QApplication.topLevelWidgets()) - before - {made})
            )
            if entry in self._entries and not made.title:
                made.set_head(entry.name)  # until it is read
            made.escaped.connect(self.habits.escaped)
            made.titled.connect(self._twice.turned)
            self._places[key] = made
            self.stack.addWidget(made)
            if key in self._kept:
                made.resume(self._kept.pop(key))
        return self._places[key]

    def _open_number(self, number: int) -> None:
        self.open(self._entries[number - 1].key)

    def open(self, key: str, *, anyway: bool = False) -> bool:
        """Open a place; False when what is being written cannot be read and keeps the focus.

        It is opened `anyway` where nothing can be written any more.
        """
        if not anyway and not finish_writing():
            return False
        self._leave_finder()
        if self.here is not None and self.here.margin.shows_all_keys:
            self.show_keys()
        place = self.place(key)
        if key != self._here:
            self.office.turn_page()
            self.habits.left(self._here)
        if self._here in {entry.key for entry in self._entries}:
            self._before = self._here
        self._here = key
        self.leaf.set_here(next((e.under for e in self._asides if e.key == key), "") or key)
        self.stack.setCurrentWidget(place)
        if place.stale:
            place.stale = False
            place.refresh(place.shows)
        place.speak()
        place.entered()
        if self.isActiveWindow() and QApplication.focusWidget() is None:
            place.setFocus()  # a page where nothing can be written hears keys all the same
        self.place_opened.emit(key)
        return True

    def open_item(self, key: str, item: object = None) -> None:
        """Open a place at one of its items."""
        if self.open(key) and item is not None:
            self.place(key).open_item(item)

    def _jump(self, key: str, item: object) -> None:
        self.habits.jumping = True
        try:
            self.open_item(key, item)
        finally:
            self.habits.jumping = False
            self._twice.turned()

    def go_back(self) -> None:
        """From a page beside the places to the place that it was opened from."""
        self.open(self._before or self.first_key)

    def primary(self) -> None:
        """The open place's action."""
        if self.here is not None and not self._twice.holds(self.here) and finish_writing():
            self.here.primary()

    # changes -------------------------------------------------------------------------------
    def _changed(self, kinds: frozenset[str]) -> None:
        for key, place in self._places.items():
            if place.shows & kinds:
                if key == self._here:
                    place.refresh(kinds)
                else:
                    place.stale = True
        if kinds & {"days", "hours", "uses", "jobs", "settings"}:
            self.mark_month()
        wanted = [entry for entry in self._entries if entry.status_kinds & kinds]
        if wanted:
            QTimer.singleShot(0, self, lambda: self.ask_statuses(wanted))

    def ask_statuses(self, entries: Sequence[PlaceEntry] | None = None) -> None:
        """Ask the places for the words behind their names, in the background."""
        for entry in entries if entries is not None else self._entries:
            if entry.status is not None:
                self.office.runner.run(
                    f"the words behind {entry.name}",
                    partial(_status_of, entry.status, self.office),
                    done=partial(self.leaf.set_status, entry.key),
                    owner=self.leaf,
                    later=True,
                    quiet=True,
                )

    def _spoke(self) -> None:
        if self.here is not None:
            self.here.speak()

    def _told(self, task: Task, share: float, words: str) -> None:
        if not self.office.progress:
            self.office.saved = ""  # of before; what is said from now on stands beside it
        self.office.progress = f"{words or task.name}, {round(100 * share)} %"
        self._spoke()

    def _ended(self, task: Task, how: str) -> None:
        if task.quiet:
            return
        if not task.here:
            self.office.progress = ""
        if self._leaving and self.office.runner.at_work is None:
            QTimer.singleShot(0, self, self.close)
        if how == "stopped":
            self.office.say("Stopped; nothing was changed")
        else:
            self._spoke()

    def _undo(self) -> None:
        if finish_writing():
            self.office.undo()

    def _redo(self) -> None:
        if finish_writing():
            self.office.redo()

    # days ----------------------------------------------------------------------------------
    def go_to_day(self, day: date) -> None:
        """Open the day sheet at a day."""
        if not finish_writing():
            return
        self.office.open_day(day)
        self.open(self._entries[0].key)

    def _step_day(self, by: int) -> None:
        self.go_to_day(self.office.day + timedelta(days=by))

    def _day_changed(self, day: date) -> None:
        self.leaf.set_day(day, self.office.desk.today)
        for key, place in self._places.items():
            if "day" in place.shows or "days" in place.shows:
                if key == self._here:
                    place.refresh(place.shows)
                else:
                    place.stale = True

    def mark_month(self) -> None:
        """Ask anew what the month in the contents shows."""
        self._month.show(self.leaf)

    # finding and keys ----------------------------------------------------------------------
    def find_anything(self) -> None:
        """Open the search in the notes margin."""
        place = self.here
        if place is None or not finish_writing():
            return
        place.margin.lend(self.finder)
        self.finder.begin()

    def _look_up(self, text: str) -> list[FoundLine]:
        from app.calculations.numbers.spelling import words_of  # not before the first picture

        find = self._find
        own = [*place_lines(self._entries, self.open), *command_lines(self.commands)]
        if text and not words_of(text):
            return []  # signs alone would be in everything
        found = self.office.read(lambda: find(text, own)) if find else None
        return forgiving(text, own) if found is None else found

    def _leave_finder(self) -> None:
        if self.finder.isVisible() or self.finder.parent() is not None:
            place = self.here
            if place is not None:
                place.margin.lend(None)
            self.finder.hide()
            self.finder.setParent(None)
            if place is not None:
                place.entered()

    def show_keys(self) -> None:
        """All keys in the notes margin; again to go back."""
        place = self.here
        if place is None:
            return
        margin = place.margin
        margin.show_all_keys(None if margin.shows_all_keys else (*place.keys, *WINDOW_KEYS))

    def show_guide(self) -> None:
        """The guide at the page of this place, or what opens first; again to go back."""
        if self._here == "guide":
            self.primary()  # back to where it was opened from
            return
        names = {entry.key: entry.name for entry in (*self._entries, *self._asides)}
        if "guide" in names:
            self.open_item("guide", (self._here, names.get(self._here, "")))

    def _scale(self, by: int) -> None:
        if finish_writing():
            self.theme.step_scale(by)

    def _stop(self) -> None:
        """Stop what the foot says is at work; it changes nothing then."""
        if self.office.progress:
            self.office.runner.stop()

    def cover_now(self) -> None:
        """Cover the window, or say that no passphrase would open it."""
        if self.cover.is_set:
            self.cover.put_on()
        else:
            self.office.say_trouble("There is no passphrase yet; set one in the Settings.")

    def _next_look(self) -> None:
        look = LOOKS[(LOOKS.index(self.theme.look) + 1) % len(LOOKS)]
        self.theme.set_look(look)
        self.office.say({"system": "As the system is", "light": "Light", "dark": "Dark"}[look])

    # window --------------------------------------------------------------------------------
    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if self.habits.takes(event.mimeData()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        self.habits.drop(event.mimeData())

    def _lay(self) -> None:
        folded = self.width() < self.theme.px(FOLDS_BELOW)
        if folded != self.leaf.folded:
            self.leaf.fold(folded)
        wide = self.leaf.width()
        self.leaf.setGeometry(0, 0, wide, self.height())
        self.stack.setGeometry(wide, 0, max(0, self.width() - wide), self.height())
        self.cover.lay()

    def closeEvent(self, event: QCloseEvent) -> None:
        if not (finish_writing() and leave_form()) and not self._leave_anyway:
            # The first try keeps the window: what was typed is not saved. The second leaves.
            self._leave_anyway = True
            event.ignore()
            return
        task = self.office.runner.at_work
        if task is not None and self._leaving < 2:
            # What is being written ends first, and the window follows by itself; asked a second
            # time, what can be stopped is stopped, with nothing half done.
            self._leaving += 1
            self.office.runner.stop(reading_only=self._leaving < 2)
            self.office.say(f"{'Closing' if self._leaving < 2 else 'Stopping'} after {task.name}")
            event.ignore()
            return
        keep_size(self, self._settings)
        self.habits.keep()
        self.cover.stop()
        self.office.runner.close()
        super().closeEvent(event)
