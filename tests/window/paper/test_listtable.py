"""The habits of a list, by keys and mouse on a table of its own."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from app.window.paper.cells import Column, GroupRow, Outcome, TableRow, entry, row_of
from app.window.paper.copying import TSV
from app.window.paper.entrytable import EntryTable
from app.window.paper.theme import Theme

Show = Callable[[QWidget, int, int], QWidget]
Ctrl, Shift = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
COLUMNS = (
    Column("name", "Supply", least=60),
    Column("left", "Left", width=80, least=40, right=True),
)


def rows() -> list[TableRow | GroupRow]:
    return [
        GroupRow("one", "Polishes"),
        row_of("wax", "Wax", entry("940")),
        row_of("clay", "Clay", entry("1,140")),
        GroupRow("two", "Cloths"),
        row_of("towel", "Towel", entry("12")),
        row_of("mitt", "Mitt", entry("3")),
    ]


@pytest.fixture
def table(theme: Theme, shown: Show) -> EntryTable:
    made = EntryTable(theme, COLUMNS)
    made.show_rows(rows())
    shown(made, 500, 300)
    made.setFocus()
    return made


def keys(table: EntryTable) -> list[object]:
    return [row.key for row in table.rows]


def head(table: EntryTable, at: int, from_right: int = 30) -> QPoint:
    header = table.entry_head
    return QPoint(header.sectionViewportPosition(at) + header.sectionSize(at) - from_right, 20)


def click_head(table: EntryTable, at: int) -> None:
    button = Qt.MouseButton.LeftButton
    QTest.mouseClick(table.entry_head.viewport(), button, pos=head(table, at))


def test_a_click_on_a_head_sorts_each_group_then_turns_it_round_then_undoes_it(table: EntryTable):
    table.go("towel")
    click_head(table, 1)
    assert keys(table) == ["one", "wax", "clay", "two", "mitt", "towel"]
    assert table.current_key() == "towel"
    click_head(table, 1)
    assert keys(table) == ["one", "clay", "wax", "two", "towel", "mitt"]
    click_head(table, 1)
    assert keys(table) == [row.key for row in rows()]


def test_the_order_is_remembered_and_stands_while_one_writes_in_that_column(
    table: EntryTable, theme: Theme, shown: Show
):
    click_head(table, 1)
    table.go("mitt", "left")
    table.on_commit = lambda _key, _column, _text: Outcome()
    QTest.keyClicks(table.viewport(), "99")
    QTest.keyClick(table.writing, Qt.Key.Key_Return)
    assert table.current_key() == "towel"
    again = EntryTable(theme, COLUMNS)
    again.show_rows(rows())
    assert keys(again) == ["one", "wax", "clay", "two", "mitt", "towel"]


def test_a_list_whose_order_means_something_keeps_it(table: EntryTable):
    table.sorts = False
    click_head(table, 1)
    assert keys(table) == [row.key for row in rows()]
    assert table.order_words == "This list keeps its order"


def test_by_key_each_column_in_turn(table: EntryTable):
    said = []
    for _ in range(3):
        table.sort_on()
        said.append(table.order_words)
    assert said == ["Sorted by supply", "Sorted by left", "In the usual order"]


def test_ctrl_c_copies_the_row_and_shift_with_the_arrows_more_of_them(table: EntryTable):
    table.go("wax")
    QTest.keyClick(table, Qt.Key.Key_C, Ctrl)
    assert QGuiApplication.clipboard().text() == "Wax\t940"
    QTest.keyClick(table, Qt.Key.Key_Down, Shift)
    QTest.keyClick(table, Qt.Key.Key_Down, Shift)
    assert table.chosen_keys == ("wax", "clay", "towel")
    QTest.keyClick(table, Qt.Key.Key_C, Ctrl)
    data = QGuiApplication.clipboard().mimeData()
    assert data.text() == "Wax\t940\nClay\t1,140\nTowel\t12"
    assert bytes(data.data(TSV).data()).decode().splitlines()[0] == "Supply\tLeft"
    QTest.keyClick(table, Qt.Key.Key_Escape)
    assert table.chosen_keys == ("towel",)


def test_ctrl_a_chooses_all_and_an_arrow_lets_go(table: EntryTable):
    QTest.keyClick(table, Qt.Key.Key_A, Ctrl)
    assert table.chosen_keys == ("wax", "clay", "towel", "mitt")
    table.go("wax")
    QTest.keyClick(table, Qt.Key.Key_Down)
    assert table.chosen_keys == ("clay",)


def test_the_mouse_chooses_one_by_one_and_from_here_to_there(table: EntryTable):
    def click(key: str, held: Qt.KeyboardModifier) -> None:
        at = table.entries.index(table.entries.row_of(key) or 0, 0)
        button = Qt.MouseButton.LeftButton
        QTest.mouseClick(table.viewport(), button, held, table.visualRect(at).center())

    click("wax", Qt.KeyboardModifier.NoModifier)
    click("towel", Ctrl)
    assert table.chosen_keys == ("wax", "towel")
    click("wax", Ctrl)
    assert table.chosen_keys == ("towel",)
    click("towel", Qt.KeyboardModifier.NoModifier)
    click("mitt", Shift)
    assert table.chosen_keys == ("towel", "mitt")
    click("clay", Qt.KeyboardModifier.NoModifier)
    assert table.chosen_keys == ("clay",)


def test_words_narrow_the_list_and_say_how_many_are_left(table: EntryTable):
    table.narrow("mi")
    assert keys(table) == ["two", "mitt"]
    assert table.count_words == "1 of 4"
    table.narrow("nothing of the kind")
    assert keys(table) == []
    table.narrow("")
    assert keys(table) == [row.key for row in rows()]


def test_an_edge_is_dragged_and_stays_and_a_double_click_fits_it(
    table: EntryTable, theme: Theme, shown: Show
):
    view, left = table.entry_head.viewport(), Qt.MouseButton.LeftButton
    before = table.columnWidth(0)
    edge = head(table, 0, from_right=0)
    QTest.mousePress(view, left, pos=edge)
    QTest.mouseMove(view, edge - QPoint(100, 0))
    QTest.mouseRelease(view, left, pos=edge - QPoint(100, 0))
    assert table.columnWidth(0) == before - 100
    again = EntryTable(theme, COLUMNS)
    again.show_rows(rows())
    shown(again, 500, 300)
    assert again.columnWidth(0) == before - 100
    QTest.mouseDClick(view, left, pos=head(table, 0, from_right=0))
    assert table.columnWidth(0) < before - 100
    assert not table.sorted_by
    table.forget_widths()
    assert table.columnWidth(0) == before


def test_a_dragged_column_of_numbers_never_cuts_one(table: EntryTable):
    view, left = table.entry_head.viewport(), Qt.MouseButton.LeftButton
    edge = head(table, 1, from_right=0)
    QTest.mousePress(view, left, pos=edge - QPoint(1, 0))
    QTest.mouseMove(view, edge - QPoint(78, 0))
    QTest.mouseRelease(view, left, pos=edge - QPoint(78, 0))
    assert table.columnWidth(1) >= theme_width(table, "1,140")


def theme_width(table: EntryTable, text: str) -> float:
    return table._theme.width("row", text)


def test_the_end_of_a_list_that_goes_on_asks_for_more(theme: Theme, shown: Show):
    table = EntryTable(theme, COLUMNS)
    table.show_rows([row_of(at, f"Supply {at}", "1") for at in range(100)])
    shown(table, 500, 300)
    asked: list[bool] = []
    table.more_asked.connect(asked.append)
    table.expect_more(True)
    table.go(10)
    assert asked == []
    table.go(95)
    assert asked == [False]
    table.go(99)
    assert asked == [False]
    table.expect_more(True)
    table.sort("name")
    assert asked == [False, True]


def test_the_row_in_view_is_gone_back_to(theme: Theme):
    first = EntryTable(theme, COLUMNS)
    first.show_rows(rows())
    first.go("towel")
    first.keep_row()
    again = EntryTable(theme, COLUMNS)
    again.show_rows(rows()[:3])
    again.show_rows(rows())
    assert again.current_key() == "towel"
