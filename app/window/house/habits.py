"""What every desktop window does: back, print, narrow, sort, say what is saved, take dropped files,
and begin again where one left off."""

from __future__ import annotations

from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QElapsedTimer, QMimeData, QSettings

from app.actions.opening import SUFFIX
from app.window.paper.entrytable import finish_writing
from app.window.paper.fields import leave_form
from app.window.paper.listtable import ListTable

if TYPE_CHECKING:
    from app.window.house.place import Place
    from app.window.house.shell import Shell

SAVED = "All is saved. Each entry is kept as soon as you leave it."
TWICE = 800  # ms; nobody has read a page sooner. A judgement, no source
ACTS = 3000  # ms in which a page that opens was opened by the key. A judgement, no source
PRESSED_TWICE = "Pressed twice, taken once. The same key again does what this page says."
FARTHEST = 50  # places that the way back is remembered for


class Habits:
    """Adds its keys to a window; `settings` keep where it was left."""

    def __init__(self, shell: Shell, settings: QSettings | None) -> None:
        self._shell, self._settings = shell, settings
        self._trail: list[tuple[str, bool]] = []  # places left, and whether by a jump
        self._going_back = False
        self.jumping = False
        shell.theme.book = str(shell.office.desk.book.path.absolute())
        keys: tuple[tuple[str, Callable[[], object]], ...] = (
            ("Alt+Left", self.back),
            ("Ctrl+F", self._on_page(self.narrow)),
            ("Ctrl+P", self._on_page(self.print_page)),
            ("Ctrl+R", self._on_page(lambda: self._sort(ListTable.sort_on))),
            ("Ctrl+Shift+R", self._on_page(lambda: self._sort(ListTable.turn_order))),
            ("Ctrl+S", self.say_saved),
            ("Ctrl+Q", shell.close),
            ("Ctrl+O", shell.open_asked.emit),
            ("Ctrl+N", shell.new_asked.emit),
        )
        for key, do in keys:
            shell.add_key(key, do)

    @staticmethod
    def _on_page(do: Callable[[], object]) -> Callable[[], object]:
        """What waits until the cell that is being written in can be read."""
        return lambda: finish_writing() and do()

    # back ----------------------------------------------------------------------------------
    def left(self, key: str) -> None:
        """Another place was opened; this one was left."""
        if key and not self._going_back:
            self._trail = [*self._trail[1 - FARTHEST :], (key, self.jumping)]

    def back(self) -> None:
        """Out of what is open on the page; where nothing is, to the place before."""
        here = self._shell.here
        if here is not None and not here.step_back():
            self.to_place_before()

    def escaped(self) -> None:
        """Esc where nothing is open: back to where a jump led here from."""
        here = self._shell.here
        if here is not None and here.margin.shows_all_keys:
            self._shell.show_keys()
        elif self._trail and self._trail[-1][1]:
            self.to_place_before()

    def to_place_before(self) -> None:
        """The place that was open before this one."""
        if not self._trail:
            return
        key, _ = self._trail[-1]
        self._going_back = True
        try:
            if self._shell.open(key):
                self._trail.pop()
        finally:
            self._going_back = False

    # doing ---------------------------------------------------------------------------------
    def narrow(self) -> None:
        """Narrow the list of the open page."""
        if self._shell.here is not None:
            self._shell.here.narrow()

    def print_page(self) -> None:
        """Print the open page, with a preview."""
        from app.window.house.printing import print_page  # not before the first picture

        if self._shell.here is not None:
            print_page(self._shell.here)

    def _sort(self, do: Callable[[ListTable], object]) -> None:
        here = self._shell.here
        table = here.list_table() if here is not None else None
        if table is None:
            self._shell.office.say_trouble("There is no list on this page to sort.")
        else:
            do(table)
            self._shell.office.say(table.order_words)

    def say_saved(self) -> None:
        """Nothing has to be saved by hand: say so, or say what is still waiting."""
        office = self._shell.office
        if not finish_writing() or not leave_form():
            return
        if office.reading:
            office.say(office.reading)
        else:
            office.say(office.waiting_words() or SAVED)

    # dropped files -------------------------------------------------------------------------
    def takes(self, data: QMimeData) -> bool:
        """Whether what is dragged over the window are files, and somebody may see the book."""
        return bool(_paths(data)) and not self._shell.cover.is_on

    def drop(self, data: QMimeData) -> None:
        """Open a book that was dropped; read anything else, to be brought in."""
        paths = _paths(data)
        book = next((path for path in paths if path.suffix == SUFFIX), None)
        if not finish_writing():
            return
        if book is not None:
            self._shell.book_dropped.emit(book)
        elif self._shell.office.reading:
            self._shell.office.say_trouble(self._shell.office.reading)
        else:
            self._shell.office.go("bringing in", paths)

    # the next run --------------------------------------------------------------------------
    def keep(self) -> None:
        """Keep the open place, and the row in view of each list."""
        if self._settings is not None:
            self._settings.setValue(self._place_key(), self._shell.here_key)
        for table in self._shell.findChildren(ListTable):
            table.keep_row()

    def last_place(self) -> str:
        """The place that this book was left at; the first where none is known."""
        kept = str(self._settings.value(self._place_key(), "")) if self._settings else ""
        return kept if kept in self._shell.place_keys else self._shell.first_key

    def _place_key(self) -> str:
        book = sha256(self._shell.theme.book.encode()).hexdigest()[:12]
        return f"places/{book}"


def _paths(data: QMimeData) -> tuple[Path, ...]:
    found = (Path(url.toLocalFile()) for url in data.urls() if url.isLocalFile())
    return tuple(path for path in found if path.is_file())


class PressedTwice:
    """A page's action asked for twice in a row: what the first press opened was not read yet.

    An order only just written would be taken in as come, a job only just booked ticked as done.
    """

    def __init__(self) -> None:
        self._since = QElapsedTimer()
        self._place: Place | None = None

    def turned(self, place: Place | None = None) -> None:
        """This place shows something else, or an act led to another place; where the key did it,
        what stands there is as new as the press."""
        by_it = place is None or place is self._place
        if by_it and self._since.isValid() and self._since.elapsed() < ACTS:
            self._since.start()

    def holds(self, place: Place) -> bool:
        """Whether this press is the second of two; said, where nothing else is asked."""
        soon = self._since.isValid() and self._since.elapsed() < TWICE
        if soon and not (place.goes_on and place is self._place):
            if not place.office.trouble:
                place.office.say(PRESSED_TWICE)
            return True
        self._since.start()
        self._place = place
        return False
