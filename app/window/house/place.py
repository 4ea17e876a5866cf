"""A place: one of the six pages of the book."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QContextMenuEvent, QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QTextEdit,
    QWidget,
)
from shiboken6 import isValid

from app.calculations.numbers.entries import KEEP
from app.calculations.numbers.wording import capital
from app.window.house.leaf import Status
from app.window.house.narrowline import NarrowLine
from app.window.house.office import Office
from app.window.paper.accessible import say_aloud
from app.window.paper.entrytable import finish_writing
from app.window.paper.fields import form_of
from app.window.paper.finder import Finder, FoundLine
from app.window.paper.listtable import ListTable
from app.window.paper.narrowing import Narrowing
from app.window.paper.notes import Keys
from app.window.paper.page import Page
from app.window.paper.plain import set_tip
from app.window.paper.runs import Run
from app.window.paper.writing import Writing

STILL = "The numbers are still being read. Press again when they stand."
STOP = "Ctrl ."
Key, Modifier = Qt.Key, Qt.KeyboardModifier


class Place(Page):
    """A page of the book. A subclass sets `shows` and builds its body in `__init__`.

    `shows`: the kinds of thing on this page; a change of another kind does not refresh it.
    `keys`: all keys of the place, group by group, for F1.
    """

    escaped = Signal()  # nothing is open here that Esc could lead out of
    shows: frozenset[str] = frozenset()
    keys: tuple[tuple[str, Keys], ...] = ()
    shows_money = False  # then its head says once in which currency
    goes_on = False  # its action is meant to be asked for again and again, however quickly

    def __init__(self, office: Office) -> None:
        super().__init__(office.theme)
        self.office = office
        self.stale = True  # refreshed when next shown
        self._held = ""  # what was said of a cell that cannot be left
        self._narrow_line: NarrowLine | None = None  # narrows the list in view
        self.on_key("Esc", self.escape)
        self.on_key("Alt+K", self._keep_it)

    def set_head(
        self,
        title: str,
        subtitle: str = "",
        fact: str | Sequence[Run] = "",
        *,
        italic: bool = False,
        money: bool = True,
    ) -> None:
        """As on any page; where sums stand on it (`money`), in which currency they are."""
        if self.shows_money and money:
            if isinstance(fact, str):
                fact = [Run(fact, "voice" if italic else "row")] if fact else []
            fact = [*fact, Run(f"amounts in {self.office.desk.settings.currency}", "unit")]
        super().set_head(title, subtitle, fact, italic=italic)

    def refresh(self, kinds: frozenset[str]) -> None:
        """Read again what these kinds changed and show it. Called only while visible."""

    def primary(self) -> None:
        """The place's one action (Ctrl+Enter)."""

    def entered(self) -> None:
        """The place has been opened and is fresh: set the focus."""
        if self.body is not None:
            self.body.setFocus()

    def open_item(self, item: object) -> None:
        """Show an item of the place, such as a job by its id."""

    def back(self) -> bool:
        """From what is open here to what it was opened from; False where nothing is open."""
        return False

    def escape(self) -> None:
        """One step back: out of the keys, out of a narrowed list, out of what is open here."""
        if not self.step_back():
            self.escaped.emit()

    def step_back(self) -> bool:
        """Out of a narrowed list or of what is open here; False where it is not for the page."""
        if self.margin.shows_all_keys:
            return False
        if self._narrow_line is not None:
            self._narrow_line.leave()
            return True
        return self.back()

    def list_table(self) -> ListTable | None:
        """The list with the focus, else the highest in view."""
        focus = QApplication.focusWidget()
        found = [one for one in self.findChildren(ListTable) if one.isVisible()]
        for one in found:
            if focus is not None and (one is focus or one.isAncestorOf(focus)):
                return one
        return max(found, key=lambda one: one.height(), default=None)

    def narrow(self) -> None:
        """Ctrl+F: to the field that narrows the list, or a line in the head that does."""
        field = next((one for one in self.findChildren(Narrowing) if one.isVisible()), None)
        table = self.list_table()
        if field is not None:
            field.setFocus()
            field.selectAll()
        elif table is None:
            self.office.say_trouble("There is no list on this page to narrow.")
        else:
            if self._narrow_line is None:
                self._narrow_line = NarrowLine(self.theme, table, self._line_left)
                self.lend_head(self._narrow_line)
            self._narrow_line.setFocus()

    def _line_left(self) -> None:
        self._narrow_line = None
        self.lend_head(None)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """What the keys of this page do."""
        from app.window.house.pagemenu import page_menu

        if not _is_input(QApplication.focusWidget()) and finish_writing():
            page_menu(self, self.list_table()).popup(event.globalPos())

    def keep(self) -> object:
        """What to remember when the window is built anew (another scale)."""
        return None

    def resume(self, kept: object) -> None:
        """Go back to what `keep` remembered."""

    def on_key(self, keys: str, do: Callable[[], object]) -> QShortcut:
        """A key of this place. What an input itself may take stays the input's: see `event`."""
        shortcut = QShortcut(QKeySequence(keys), self)
        shortcut.activated.connect(do)
        return shortcut

    def event(self, event: QEvent) -> bool:
        """A key that is typed into an input, or ticks or turns it, is none of the place's keys.

        Qt asks the widget with the focus and all that hold it before it looks for a shortcut. A
        key that does something (F4, Ins) waits until the form can be read and is written: Esc leads
        out.
        """
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and _is_input(QApplication.focusWidget())
            and (_is_typed(event) or (_does_something(event) and _is_stuck(event.key())))
        ):
            event.accept()
            return True
        return super().event(event)

    def pick(self, hint: str, look_up: Callable[[str], Sequence[FoundLine]]) -> Finder:
        """Let the person choose one of many by typing, in the notes margin."""
        finder = Finder(self.theme, look_up, hint)

        def drop() -> None:
            self.margin.take_back(finder)
            finder.deleteLater()

        def leave() -> None:
            drop()
            self.entered()

        def moved(_before: QWidget | None, now: QWidget | None) -> None:
            # Whoever goes on elsewhere chooses nothing: what is listed belongs to where they were.
            if now is not None and now.window() is self.window() and not finder.isAncestorOf(now):
                drop()

        finder.left.connect(leave)
        self.margin.lend(finder)
        finder.begin()
        watch = QApplication.instance().focusChanged.connect(moved)  # type: ignore[union-attr]
        finder.destroyed.connect(lambda: QObject.disconnect(watch))
        return finder

    def say_held(self, sentence: str) -> None:
        said = capital(sentence.rstrip(".") or "this cannot be read")
        self._held = f"{said}. Esc leaves the cell as it was."
        self.office.say_trouble(self._held)

    def say_free(self) -> None:
        if self.office.trouble == self._held:
            self.office.say_trouble("")

    def speak(self) -> None:
        """Say in the foot what the office has to say: saved, undone, asked, or wrong."""
        office = self.office
        set_tip(self.foot_left, office.trouble or office.question)
        self.foot_right.setVisible(not office.trouble)
        runs: list[Run] = []
        if office.progress:
            runs.append(Run(office.progress, "unit", "ink"))
            runs.append(Run("Stop", "unit", key=STOP, on_click=office.runner.stop))
        if office.trouble:
            runs.append(Run(office.trouble, "unit_total", "alarm", mark="wrong"))
        if office.question and not office.trouble:
            runs.append(Run(office.question, "unit_total", "look", mark="look"))
            if office.question.endswith(KEEP):
                runs.append(Run("Keep", "unit", key="Alt K", on_click=self._keep_it))
        elif office.saved and (office.tells_both or not office.trouble):
            runs.append(Run(office.saved, "unit"))
        if office.reading and not office.trouble:
            runs.insert(0, Run(office.reading, "unit_total", "look", mark="look"))
        waiting = office.waiting_words()
        if waiting:
            runs.append(Run(waiting, "unit_total", "look", mark="look"))
        if not office.trouble and not office.progress and not office.reading:
            runs += self._back_and_forth()
        said = self.foot_left.text()
        self.foot_left.show_runs(runs)
        # What the foot says stands far from the focus: it is read out, trouble before all else.
        words = office.trouble or office.question or office.saved
        if words and words not in said:
            say_aloud(self.foot_left, words, at_once=bool(office.trouble))
        self._lay()

    def _keep_it(self) -> None:
        """What was asked about is meant as it was typed."""
        if self.office.question.endswith(KEEP):
            self.office.say("Kept")

    def _back_and_forth(self) -> list[Run]:
        """The way back from what was done last, or forth again."""
        office = self.office
        if office.runner.held:
            return []
        if office.redoable and office.next_redo():
            return [Run("Redo", "unit", key="Ctrl ⇧ Z", on_click=office.redo)]
        if undo := office.next_undo():
            own = office.saved and office.undoes == undo
            word = "Undo" if own else f"Undo “{undo}”"
            return [Run(word, "unit", key="Ctrl Z", on_click=office.undo)]
        return []


@dataclass(frozen=True)
class PlaceEntry:
    """How the window knows a place: it is built when first opened.

    `status(office)` gives what stands behind its name in the contents; `status_kinds` are the kinds
    after whose change it is asked again. `under` is the place whose line in the contents is lit
    while a page beside the places is open.
    """

    key: str
    name: str
    mark: str
    build: Callable[[Office], Place]
    status: Callable[[Office], Status] | None = None
    status_kinds: frozenset[str] = frozenset()
    under: str = ""


def take_along(parts: Collection[QWidget]) -> None:
    """What of a place was never shown in it goes with it: no parent takes it down."""
    for part in parts:
        if isValid(part) and part.parent() is None:
            part.deleteLater()


def _is_typed(event: QKeyEvent) -> bool:
    """Whether a key means something to an input: all but Esc, Ins, F1 to F35, and with Ctrl."""
    held = event.modifiers() & ~(Modifier.ShiftModifier | Modifier.KeypadModifier)
    own = (
        event.key() in (Key.Key_Escape, Key.Key_Insert) or Key.Key_F1 <= event.key() <= Key.Key_F35
    )
    return not held and not own


def _does_something(event: QKeyEvent) -> bool:
    return event.key() == Key.Key_Insert or Key.Key_F2 <= event.key() <= Key.Key_F35


def _is_stuck(key: int) -> bool:
    """Whether the cell or form with the focus cannot be read, or is not written yet."""
    if isinstance(QApplication.focusWidget(), Writing):
        return not finish_writing()
    form = form_of(QApplication.focusWidget())
    return form is not None and key not in form.own_keys and not form.leave()


def _is_input(widget: QWidget | None) -> bool:
    if isinstance(widget, QLineEdit | QPlainTextEdit | QTextEdit):
        return not widget.isReadOnly()
    return isinstance(widget, QComboBox | QCheckBox)
