"""The station strip: one entry open, the others folded, reached by keys and by the mouse."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from app.window.paper.strip import Strip, StripEntry
from app.window.paper.theme import Theme

Show = Callable[[QWidget, int, int], QWidget]
ENTRIES = (
    StripEntry("jobs", "Jobs worked", result="3 jobs  11 h 20 min", state="done"),
    StripEntry("supplies", "Supplies used", "Change only what differs."),
    StripEntry("money", "Money taken", result="610.00 expected"),
    StripEntry("close", "Close the day"),
)


class Body(QLineEdit):
    """A body that says how high it would like to be."""

    def natural_height(self, width: int) -> int:
        return 200

    def entered(self) -> None:
        self.setFocus()


@pytest.fixture
def strip(theme: Theme, shown: Show) -> Strip:
    made = Strip(theme, lambda key: Body(key))
    made.set_entries(ENTRIES)
    shown(made, 800, 600)
    made.open("supplies")
    return made


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.AltModifier) -> None:
    QTest.keyClick(QApplication.focusWidget(), key, modifier)
    QApplication.processEvents()


def test_a_tick_is_drawn_where_one_goes_on_and_stands_at_once_on_another_day(
    strip: Strip, theme: Theme
):
    theme.set_less_motion(False)
    before = strip.entries
    done = [replace(entry, state="done") for entry in before]
    strip.set_entries(done, still=True)
    assert not strip.draws_ticks
    strip.set_entries(before, still=True)
    strip.set_entries(done)
    assert strip.draws_ticks


def test_the_open_entry_has_the_height_its_body_wishes_and_the_focus(strip: Strip):
    body = strip.body("supplies")
    assert body.isVisible()
    assert body.height() == 200
    assert body.hasFocus()
    assert strip.made("money") is None  # a body is made when first opened


def test_alt_and_a_number_or_an_arrow_opens_an_entry(strip: Strip):
    opened = []
    strip.opened.connect(opened.append)
    press(Qt.Key.Key_3)
    assert strip.open_key == "money"
    press(Qt.Key.Key_Down)
    assert strip.open_key == "close"
    press(Qt.Key.Key_Down)
    assert strip.open_key == "close"
    press(Qt.Key.Key_Up)
    press(Qt.Key.Key_Up)
    press(Qt.Key.Key_Up)
    assert opened == ["money", "close", "money", "supplies", "jobs"]
    assert not strip.body("supplies").isVisible()


def test_a_click_on_a_folded_line_opens_it(strip: Strip):
    QTest.mouseClick(strip, Qt.MouseButton.LeftButton, pos=QPoint(300, 12))
    assert strip.open_key == "jobs"


def test_folded_entries_shrink_so_that_the_open_one_keeps_its_room(strip: Strip):
    strip.resize(800, 34 * 3 + 42 + 202)
    tall = strip.body("supplies").height()
    strip.resize(800, 27 * 3 + 42 + 202)
    assert strip.body("supplies").height() == tall == 200
    strip.resize(800, 27 * 3 + 42 + 102)
    assert strip.body("supplies").height() == 100


def test_opening_takes_no_time_without_motion_and_ends_in_place_with_it(
    theme: Theme, strip: Strip, qtbot: QtBot
):
    theme.set_less_motion(False)
    press(Qt.Key.Key_3)
    qtbot.waitUntil(lambda: strip.body("money").height() == 200)
    strip.set_entries([*ENTRIES[:2], StripEntry("money", "Money taken", state="done"), ENTRIES[3]])
    QTest.qWait(150)
    assert strip.grab().width() == 800


def test_an_empty_strip_paints(theme: Theme, shown: Show):
    made = Strip(theme, lambda key: QWidget())
    shown(made, 400, 300)
    made.set_entries([])
    assert not made.grab().isNull()
