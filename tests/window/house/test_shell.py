"""The window: places by key, finding, undo, days, scale; on a real, empty book."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtGui import QShortcut
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Changed
from app.errors import Mendable
from app.window.house.commands import Command
from app.window.house.leaf import Status
from app.window.house.office import Office
from app.window.house.place import Place, PlaceEntry
from app.window.house.runner import BUG_SENTENCE
from app.window.house.shell import Shell
from app.window.paper.cells import Cell, Column, Outcome, TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.finder import FoundLine, forgiving
from tests import WAIT

Show = Callable[[QWidget, int, int], QWidget]


class Room(Place):
    """A place with one number to write in."""

    shows = frozenset({"stock", "day"})
    keys = (("This page", (("U", "use it up"),)),)

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self.refreshed: list[frozenset[str]] = []
        self.done = 0
        self.items: list[object] = []
        self.letters = 0
        self.table = EntryTable(office.theme, (Column("n", "Name"), Column("a", "A", width=80)))
        self.table.on_commit = self._typed
        self.table.show_rows([TableRow(1, (Cell("Wax"), Cell("5", editable=True)))])
        self.set_head("A room")
        self.set_body(self.table)
        for key in ("U", "Ins", "F5"):
            self.on_key(key, self._letter)

    def _letter(self) -> None:
        self.letters += 1

    def _typed(self, key: object, column: str, text: str) -> Outcome:
        if not text.isdigit():
            return Outcome(False, "a whole number, please")
        self.office.note(Changed("Wax", frozenset({"stock"})))
        return Outcome()

    def refresh(self, kinds: frozenset[str]) -> None:
        self.refreshed.append(kinds)

    def primary(self) -> None:
        self.done += 1

    def open_item(self, item: object) -> None:
        self.items.append(item)

    def keep(self) -> object:
        return "kept"

    def resume(self, kept: object) -> None:
        self.items.append(kept)


def entries() -> tuple[PlaceEntry, ...]:
    return (
        PlaceEntry("day", "Day sheet", "day", Room),
        PlaceEntry(
            "shelf",
            "Shelf",
            "shelf",
            Room,
            lambda office: Status(3, "short", "look"),
            frozenset({"stock"}),
        ),
    )


@pytest.fixture
def shell(office: Office, shown: Show, settings: QSettings) -> Shell:
    made = Shell(
        office,
        entries(),
        find=lambda text, own: [
            *(
                [FoundLine("Customers", "Tolk", "two vehicles", lambda: office.go("shelf", 7))]
                if "tol" in text
                else []
            ),
            *forgiving(text, own),
        ],
        commands=(Command("Bring in spreadsheets", "workbooks, CSV, address cards", lambda: None),),
        settings=settings,
    )
    shown(made, 1366, 768)
    made.open("day")
    return made


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.ControlModifier) -> None:
    QTest.keyClick(QApplication.focusWidget(), key, modifier)
    QApplication.processEvents()


def type_(text: str) -> None:
    for letter in text:
        QTest.keyClicks(QApplication.focusWidget(), letter)


def room(shell: Shell, key: str = "day") -> Room:
    place = shell.place(key)
    assert isinstance(place, Room)
    return place


def test_ctrl_and_a_number_opens_a_place_which_is_built_only_then(shell: Shell):
    assert list(shell._places) == ["day"]
    press(Qt.Key.Key_2)
    assert shell.here_key == "shelf"
    assert room(shell, "shelf").table.hasFocus()
    press(Qt.Key.Key_1)
    assert shell.here_key == "day"


def test_a_change_refreshes_what_is_seen_at_once_and_the_rest_when_opened(shell: Shell):
    shell.open("shelf")
    shell.open("day")
    day, shelf = room(shell), room(shell, "shelf")
    before = len(shelf.refreshed)
    shell.office.note(Changed("Wax", frozenset({"stock"})))
    assert day.refreshed[-1] == frozenset({"stock"})
    assert len(shelf.refreshed) == before
    shell.open("shelf")
    assert len(shelf.refreshed) == before + 1
    shell.office.note(Changed("Name", frozenset({"customers"})))
    assert len(shelf.refreshed) == before + 1


def test_what_cannot_be_read_keeps_the_place_open(shell: Shell):
    type_("5o")
    press(Qt.Key.Key_2)
    assert shell.here_key == "day"
    assert room(shell).table.writing is not None
    press(Qt.Key.Key_Return)
    assert room(shell).done == 0
    press(Qt.Key.Key_Backspace, Qt.KeyboardModifier.NoModifier)
    press(Qt.Key.Key_Return)
    assert room(shell).done == 1
    press(Qt.Key.Key_2)
    assert shell.here_key == "shelf"


@pytest.mark.parametrize("key", [Qt.Key.Key_2, Qt.Key.Key_K, Qt.Key.Key_Return, Qt.Key.Key_T])
def test_a_cell_that_cannot_be_read_says_that_esc_leads_out_and_esc_does(shell: Shell, key: Qt.Key):
    type_("5o")
    press(key)
    foot = room(shell).foot_left
    assert foot.text() == "A whole number, please. Esc leaves the cell as it was."
    press(Qt.Key.Key_Escape, Qt.KeyboardModifier.NoModifier)
    assert room(shell).table.writing is None
    assert "Esc" not in foot.text()
    press(Qt.Key.Key_2)
    assert shell.here_key == "shelf"


@pytest.mark.parametrize("key", [Qt.Key.Key_Insert, Qt.Key.Key_F5])
def test_from_a_cell_that_cannot_be_read_no_key_of_the_page_acts(shell: Shell, key: Qt.Key):
    type_("5o")
    press(key, Qt.KeyboardModifier.NoModifier)
    assert room(shell).letters == 0
    assert "Esc leaves the cell" in room(shell).foot_left.text()
    press(Qt.Key.Key_Backspace, Qt.KeyboardModifier.NoModifier)
    press(key, Qt.KeyboardModifier.NoModifier)
    assert room(shell).letters == 1
    assert room(shell).table.writing is None, "what could be read is written"


def test_the_foot_says_what_was_saved_what_is_asked_and_what_is_wrong(shell: Shell):
    office, foot = shell.office, room(shell).foot_left
    office.note(Changed("Hours", frozenset()))
    assert foot.text().startswith("Hours, saved at 17:54")
    office.note(Changed("Wax", frozenset(), question="65 oz is far above the usual 4. Keep it?"))
    assert "Keep it?" in foot.text()
    assert office.act(lambda: _refuse()) is None
    assert foot.text() == "The shelf has no such supply: choose another."


def test_what_was_wrong_on_one_page_does_not_follow_to_the_next(shell: Shell):
    office = shell.office
    assert office.act(lambda: _refuse()) is None
    shell.open("shelf")
    assert "no such supply" not in room(shell, "shelf").foot_left.text()
    office.note(Changed("Wax", frozenset(), question="65 oz is far above the usual 4. Keep it?"))
    shell.open("day")
    assert "Keep it?" not in room(shell).foot_left.text()


def _refuse() -> Changed:
    raise Mendable("The shelf has no such supply: choose another.")


@pytest.mark.logs_an_error
def test_our_own_bug_is_logged_and_the_window_stays(shell: Shell, caplog: pytest.LogCaptureFixture):
    assert shell.office.act(lambda: 1 // 0) is None
    assert room(shell).foot_left.text() == BUG_SENTENCE
    assert "ZeroDivisionError" in caplog.text
    assert shell.isVisible()


def test_undo_with_nothing_to_undo_says_so(shell: Shell):
    press(Qt.Key.Key_Z)
    assert "Nothing to undo" in room(shell).foot_left.text()


def test_find_anything_opens_what_is_found(shell: Shell, qtbot: QtBot):
    press(Qt.Key.Key_K)
    assert shell.finder.field.hasFocus()
    assert [line.text for line in shell.finder.lines] == [
        "Day sheet",
        "Shelf",
        "Bring in spreadsheets",
    ]
    QTest.keyClicks(shell.finder.field, "tolk")
    press(Qt.Key.Key_Return, Qt.KeyboardModifier.NoModifier)
    assert shell.here_key == "shelf"
    assert room(shell, "shelf").items == [7]
    assert not shell.finder.isVisible()
    press(Qt.Key.Key_K)
    press(Qt.Key.Key_Escape, Qt.KeyboardModifier.NoModifier)
    assert room(shell, "shelf").table.hasFocus()


def test_f1_shows_the_places_keys_and_everyones(shell: Shell):
    press(Qt.Key.Key_F1, Qt.KeyboardModifier.NoModifier)
    assert room(shell).margin.shows_all_keys
    press(Qt.Key.Key_F1, Qt.KeyboardModifier.NoModifier)
    assert not room(shell).margin.shows_all_keys
    press(Qt.Key.Key_F1, Qt.KeyboardModifier.NoModifier)
    press(Qt.Key.Key_Escape, Qt.KeyboardModifier.NoModifier)
    assert not room(shell).margin.shows_all_keys


def test_letters_are_keys_of_the_place_but_not_while_text_is_typed(shell: Shell):
    table = room(shell).table
    table.go(1, "n")
    QTest.keyClick(table, Qt.Key.Key_U)
    assert room(shell).letters == 1
    shell.find_anything()
    QTest.keyClick(shell.finder.field, Qt.Key.Key_U)
    assert room(shell).letters == 1
    assert shell.finder.field.text() == "u"


def test_days_can_be_walked_and_refresh_what_depends_on_them(shell: Shell):
    press(Qt.Key.Key_Left)
    assert shell.office.day == date(2025, 8, 13)
    press(Qt.Key.Key_Right)
    press(Qt.Key.Key_Right)
    assert shell.office.day == date(2025, 8, 15)
    press(Qt.Key.Key_T)
    assert shell.office.day == date(2025, 8, 14)
    assert len(room(shell).refreshed) >= 4


def test_larger_type_builds_the_window_anew_where_it_was(shell: Shell):
    shell.open("shelf")
    press(Qt.Key.Key_Plus)
    assert shell.theme.scale == 1.1
    assert shell.here_key == "shelf"
    assert room(shell, "shelf").items == ["kept"]
    assert shell.leaf.width() == round(184 * 1.1)
    press(Qt.Key.Key_Minus)
    assert shell.theme.scale == 1.0


def test_a_narrow_window_folds_the_leaf(shell: Shell):
    shell.resize(1100, 700)
    assert shell.leaf.folded
    shell.resize(1366, 700)
    assert not shell.leaf.folded


def test_ctrl_d_goes_from_the_systems_look_to_light_to_dark(shell: Shell):
    seen = []
    for _ in range(3):
        press(Qt.Key.Key_D)
        seen.append(shell.theme.look)
    assert sorted(seen) == ["dark", "light", "system"]


def test_the_words_behind_a_place_come_from_the_background(shell: Shell, qtbot: QtBot):
    shell.ask_statuses()
    qtbot.waitUntil(lambda: shell.leaf._lines[1].status.text == "3 short")
    assert shell.leaf._lines[1].status.tone == "look"


def test_closing_with_something_unreadable_asks_once_more(shell: Shell):
    type_("x")
    assert not shell.close()
    assert shell.isVisible()
    assert shell.close()


def test_the_window_closes_after_what_is_being_written_has_ended(shell: Shell, qtbot: QtBot):
    import threading

    begun, go, ended = threading.Event(), threading.Event(), threading.Event()

    def work(_task: object) -> None:
        begun.set()
        go.wait(WAIT)
        ended.set()

    shell.office.runner.run("the backup", work)
    qtbot.waitUntil(begun.is_set)
    assert not shell.close()
    assert "Closing after the backup" in room(shell).foot_left.text()
    go.set()
    qtbot.waitUntil(lambda: not shell.isVisible())
    assert ended.is_set()


def test_the_page_s_action_held_down_is_done_once(shell: Shell):
    for one in shell.findChildren(QShortcut):
        if one.key().toString() in ("Ctrl+Return", "Ctrl+Enter"):
            assert not one.autoRepeat()
