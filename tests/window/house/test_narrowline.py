"""The line that narrows a list which has no field of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.window.house.narrowline import NarrowLine
from app.window.paper.cells import Column, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.theme import Theme

Show = Callable[[QWidget, int, int], QWidget]


@pytest.fixture
def line(theme: Theme, shown: Show) -> Iterator[NarrowLine]:
    table = EntryTable(theme, [Column("name", "Name")])
    table.show_rows([row_of(at, name) for at, name in enumerate(("Alder", "Birch", "Birchwood"))])
    made = NarrowLine(theme, table, lambda: made.hide())
    both = QWidget()
    room = QVBoxLayout(both)
    room.addWidget(made)
    room.addWidget(table)
    shown(both, 500, 400)
    made.setFocus()
    yield made
    both.deleteLater()


def test_it_narrows_while_one_types_and_says_how_many_are_left(line: NarrowLine) -> None:
    QTest.keyClicks(line.field, "birch")
    assert [row.key for row in line.table.rows] == [1, 2]
    assert line._count.text() == "2 of 3"


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_Down])
def test_enter_and_down_go_to_the_rows(line: NarrowLine, key: Qt.Key) -> None:
    QTest.keyClicks(line.field, "birch")
    QTest.keyClick(line.field, key)
    assert line.table.hasFocus()
    assert len(line.table.rows) == 2


def test_esc_shows_all_again(line: NarrowLine) -> None:
    QTest.keyClicks(line.field, "birch")
    QTest.keyClick(line.field, Qt.Key.Key_Escape)
    assert len(line.table.rows) == 3
    assert line.isHidden()
    assert line.table.hasFocus()


def test_it_goes_when_its_list_goes_out_of_sight(line: NarrowLine) -> None:
    QTest.keyClicks(line.field, "birch")
    line.table.hide()
    assert line.isHidden()
    assert len(line.table.rows) == 3
