"""The one action: by mouse and by Enter, with its reason when it is not yet possible."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app.window.paper.action import ActionRow, FocusRing
from app.window.paper.runs import Run
from app.window.paper.theme import Theme

Show = Callable[[QWidget, int, int], QWidget]


def test_enter_and_a_click_do_it_and_other_keys_are_handed_on(theme: Theme, shown: Show):
    row = ActionRow(theme, "Supplies are right")
    shown(row, 700, 50)
    done, other = [], []
    row.button.clicked.connect(lambda: done.append(1))
    row.button.other_key.connect(lambda event: other.append(event.key()))
    QTest.mouseClick(row.button, Qt.MouseButton.LeftButton)
    row.button.setFocus()
    QTest.keyClick(row.button, Qt.Key.Key_Return)
    QTest.keyClick(row.button, Qt.Key.Key_Down)
    QTest.keyClick(row.button, Qt.Key.Key_5)
    assert done == [1, 1]
    assert other == [Qt.Key.Key_Down, Qt.Key.Key_5]


def test_the_button_ends_where_the_table_above_it_ends(theme: Theme, shown: Show):
    row = ActionRow(theme, "Supplies are right")
    shown(row, 700, 50)
    assert row.button.geometry().right() - theme.px(6) == row.width() - 1


def test_the_ring_of_focus_follows_the_button_and_goes_with_the_focus(theme: Theme, shown: Show):
    page = QWidget()
    row = ActionRow(theme, "Close the day")
    row.setParent(page)
    row.setGeometry(50, 50, 500, 50)
    shown(page, 700, 300)
    row.button.setFocus()
    ring = page.findChild(FocusRing)
    assert ring is not None
    assert ring.isVisible()
    before = ring.geometry()
    row.move(50, 150)
    QApplication.processEvents()
    assert ring.geometry().topLeft() == before.topLeft() + QPoint(0, 100)
    row.button.clearFocus()
    assert not ring.isVisible()


def test_what_is_not_yet_possible_says_why_beside_it(theme: Theme, shown: Show):
    row = ActionRow(theme, "Close the day")
    row.set_second("Count again", "F4")
    row.show_hints([Run("1 changed", "unit")])
    row.show_total([Run("5 lines,"), Run("243.50", "total", "ink")])
    shown(row, 824, 50)
    assert row.button.ready
    row.set_ready("Not yet: money taken is still open. Alt 3 goes there.")
    assert not row.button.ready
    assert row.reason.startswith("Not yet")
    assert not row.grab().isNull()
    parts = [row.hints, row.total, row.second, row.button]
    for before, after in pairwise(parts):
        assert before is not None
        assert after is not None
        assert before.geometry().left() <= after.geometry().left()


def test_runs_are_clicked_where_they_stand_and_long_ones_are_cut(theme: Theme, shown: Show):
    from app.window.paper.runs import RunLine

    clicked = []
    line = RunLine(theme)
    line.show_runs(
        [
            Run("Hours saved at 17:54", "unit"),
            Run("Undo", "unit", key="Ctrl Z", on_click=lambda: clicked.append("undo")),
        ]
    )
    shown(line, 400, 24)
    left = round(theme.width("unit", "Hours saved at 17:54")) + theme.px(12)
    QTest.mouseClick(line, Qt.MouseButton.LeftButton, pos=QPoint(left + 10, 12))
    QTest.mouseClick(line, Qt.MouseButton.LeftButton, pos=QPoint(10, 12))
    assert clicked == ["undo"]
    line.show_runs([Run("a sentence that is far too long for so narrow a line " * 3)])
    line.resize(120, 24)
    assert not line.grab().isNull()
