"""Typing over numbers: keys pressed in a real table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import pytest
from PySide6.QtCore import QEvent, QPoint, QRectF, Qt
from PySide6.QtGui import QHelpEvent, QImage, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QApplication,
    QPushButton,
    QStackedWidget,
    QToolTip,
    QVBoxLayout,
    QWidget,
)

from app.window.paper.brush import Brush
from app.window.paper.cells import Cell, Column, EmptyText, GroupRow, Outcome, State, TableRow
from app.window.paper.entrytable import EntryTable, finish_writing
from app.window.paper.theme import Theme
from app.window.paper.writing import Beside
from tests.steps import steps

Show = Callable[[QWidget, int, int], QWidget]


@dataclass
class Shelf:
    """A little model that stands in for a place: amounts by name, some filled in from few jobs."""

    filled: dict[str, int]
    few: frozenset[str] = frozenset()
    typed: dict[str, int] = field(default_factory=dict)
    calls: list[tuple[str, str]] = field(default_factory=list)

    def rows(self) -> list[TableRow]:
        return [self.row(name) for name in self.filled]

    def row(self, name: str) -> TableRow:
        amount = Cell(str(self.filled[name]), editable=True)
        if name in self.few:
            amount = replace(amount, state=State.FEW)
        if name in self.typed:
            old = str(self.filled[name])
            amount = Cell(str(self.typed[name]), State.CHANGED, old=old, editable=True)
        return TableRow(name, (Cell(name), amount, Cell("9", editable=True), Cell("1")))


COLUMNS = (
    Column("name", "Supply", least=90),
    Column("amount", "Today", subhead="used", width=110, right=True),
    Column("other", "Other", width=80, right=True),
    Column("left", "Left", width=70, right=True),
)


def wire(theme: Theme, shelf: Shelf) -> EntryTable:
    table = EntryTable(theme, COLUMNS)

    def commit(row: object, column: str, text: str) -> Outcome:
        shelf.calls.append((str(row), text))
        if not text.isdigit():
            return Outcome(False, "a whole number, please")
        shelf.typed[str(row)] = int(text)
        table.show_rows(shelf.rows())
        return Outcome()

    def restore(row: object, column: str) -> Outcome:
        shelf.typed.pop(str(row), None)
        table.show_rows(shelf.rows())
        return Outcome()

    table.on_commit, table.on_restore = commit, restore
    table.show_rows(shelf.rows())
    return table


@pytest.fixture
def shelf() -> Shelf:
    amounts = {"Wash soap": 60, "Wheel cleaner": 180, "Compound": 45, "Wipe": 110, "Wax": 28}
    return Shelf(amounts, few=frozenset({"Wheel cleaner", "Wax"}))


@pytest.fixture
def table(theme: Theme, shelf: Shelf, shown: Show) -> EntryTable:
    made = wire(theme, shelf)
    shown(made, 600, 300)
    made.setFocus()
    made.go("Compound", "amount")
    return made


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    target = QApplication.focusWidget()
    assert target is not None
    QTest.keyClick(target, key, modifier)
    QApplication.processEvents()


def type_(text: str) -> None:
    target = QApplication.focusWidget()
    assert target is not None
    for letter in text:
        QTest.keyClicks(QApplication.focusWidget(), letter)
    QApplication.processEvents()


def test_a_digit_overwrites_and_enter_goes_to_the_next_below(table: EntryTable, shelf: Shelf):
    type_("65")
    assert table.writing is not None
    assert table.writing.text() == "65"
    press(Qt.Key.Key_Return)
    assert shelf.typed == {"Compound": 65}
    assert table.writing is None
    assert (table.current_key(), table.current_column()) == ("Wipe", "amount")
    cell = table.entries.cell(2, 1)
    assert (cell.text, cell.old, cell.state) == ("65", "45", State.CHANGED)


def test_a_refused_cell_takes_no_keys_from_the_page_that_came_up_instead(theme: Theme, shown: Show):
    stack, other = QStackedWidget(), QPushButton("Save what is open here")
    table = wire(theme, Shelf({"Compound": 45}))
    stack.addWidget(table)
    stack.addWidget(other)
    shown(stack, 600, 300)

    def refuse(row: object, column: str, text: str) -> Outcome:
        stack.setCurrentWidget(other)
        other.setFocus()
        return Outcome(False, "the book was replaced by another file")

    table.on_commit = refuse
    table.setFocus()
    table.go("Compound", "amount")
    type_("65")
    press(Qt.Key.Key_Return)
    QApplication.processEvents()
    assert QApplication.focusWidget() is other
    assert finish_writing()


def test_enter_alone_changes_nothing_and_walks_down(table: EntryTable, shelf: Shelf):
    press(Qt.Key.Key_Return)
    press(Qt.Key.Key_Return)
    assert table.current_key() == "Wax"
    press(Qt.Key.Key_Return)
    assert table.current_key() == "Wax"
    assert shelf.calls == []


def test_shift_enter_goes_above_and_tab_to_the_next_that_can_be_written(table: EntryTable):
    press(Qt.Key.Key_Return, Qt.KeyboardModifier.ShiftModifier)
    assert (table.current_key(), table.current_column()) == ("Wheel cleaner", "amount")
    press(Qt.Key.Key_Tab)
    assert (table.current_key(), table.current_column()) == ("Wheel cleaner", "other")
    press(Qt.Key.Key_Tab)
    assert (table.current_key(), table.current_column()) == ("Compound", "amount")


def test_tab_while_writing_writes_and_goes_on(table: EntryTable, shelf: Shelf):
    type_("50")
    press(Qt.Key.Key_Tab)
    assert shelf.typed == {"Compound": 50}
    assert (table.current_key(), table.current_column()) == ("Compound", "other")


def test_escape_puts_the_filled_in_number_back(table: EntryTable, shelf: Shelf):
    type_("65")
    press(Qt.Key.Key_Return)
    table.go("Compound", "amount")
    press(Qt.Key.Key_Escape)
    assert shelf.typed == {}
    assert table.entries.cell(2, 1).text == "45"


def test_escape_while_writing_leaves_the_number_as_it_was(table: EntryTable, shelf: Shelf):
    type_("7")
    press(Qt.Key.Key_Escape)
    assert table.writing is None
    assert shelf.calls == []
    assert table.entries.cell(2, 1).text == "45"
    assert table.hasFocus()


def test_what_is_said_of_a_wrong_number_is_whole_and_covers_no_name(
    theme: Theme, shelf: Shelf, shown: Show
):
    table = wire(theme, shelf)
    long = "“6o” is no amount that can be read; type one such as 2 oz, 71 g or 1/4 bottle."
    table.on_commit = lambda *_at: Outcome(False, long)
    shown(table, 420, 300)
    table.setFocus()
    for key in shelf.filled:
        table.go(key, "amount")
        type_("6o")
        press(Qt.Key.Key_Return)
        beside = table.viewport().findChild(Beside)
        assert beside is not None
        box = beside.geometry()
        assert box.left() >= table.columnViewportPosition(0) + table.columnWidth(0)
        assert table.viewport().rect().contains(box), "not cut"
        row = table.rowViewportPosition(table.currentIndex().row())
        assert box.bottom() < row or box.top() >= row + table.rowHeight(0), "not over the field"
        assert " ".join(beside.lines()) == long
        press(Qt.Key.Key_Escape)


def test_what_cannot_be_read_keeps_the_focus_and_says_why(table: EntryTable, shelf: Shelf):
    type_("6o")
    press(Qt.Key.Key_Return)
    field = table.writing
    assert field is not None
    assert field.wrong == "a whole number, please"
    assert field.hasFocus()
    assert table.current_key() == "Compound"
    assert not finish_writing()
    assert field.text() == "6o"
    press(Qt.Key.Key_Backspace)
    assert field.wrong == ""
    press(Qt.Key.Key_Return)
    assert shelf.typed == {"Compound": 6}
    assert table.writing is None


def test_clicking_elsewhere_does_not_leave_what_cannot_be_read(
    theme: Theme, shelf: Shelf, shown: Show
):
    page = QWidget()
    layout = QVBoxLayout(page)
    table, button = wire(theme, shelf), QPushButton("elsewhere")
    layout.addWidget(table)
    layout.addWidget(button)
    shown(page, 600, 400)
    table.setFocus()
    table.go("Compound", "amount")
    type_("x")
    button.setFocus()
    QTest.qWait(10)
    assert table.writing is not None
    assert table.writing.hasFocus()
    table.writing.setText("12")
    button.setFocus()
    QApplication.processEvents()
    assert shelf.typed == {"Compound": 12}
    assert table.writing is None


def test_clicking_another_cell_writes_the_one_before(table: EntryTable, shelf: Shelf):
    type_("33")
    index = table.entries.index(0, 1)
    QTest.mouseClick(
        table.viewport(), Qt.MouseButton.LeftButton, pos=table.visualRect(index).center()
    )
    assert shelf.typed == {"Compound": 33}
    assert table.current_key() == "Wash soap"


def test_f8_walks_through_those_worth_a_look_and_around(table: EntryTable):
    table.go("Wash soap", "amount")
    press(Qt.Key.Key_F8)
    assert table.current_key() == "Wheel cleaner"
    press(Qt.Key.Key_F8)
    assert table.current_key() == "Wax"
    press(Qt.Key.Key_F8)
    assert table.current_key() == "Wheel cleaner"
    press(Qt.Key.Key_F8, Qt.KeyboardModifier.ShiftModifier)
    assert table.current_key() == "Wax"


def test_ins_asks_to_add_and_letters_do_not_search(table: EntryTable, qtbot: object):
    asked = []
    table.add_asked.connect(lambda: asked.append(True))
    press(Qt.Key.Key_Insert)
    assert asked == [True]
    table.go("Compound", "left")
    type_("w")
    assert table.current_key() == "Compound"


def test_a_refresh_while_writing_keeps_what_is_typed(table: EntryTable, shelf: Shelf):
    type_("6")
    shelf.filled["New brush"] = 1  # another row arrives: the table's shape changes
    table.show_rows(shelf.rows())
    assert table.writing is not None
    assert table.writing.text() == "6"
    assert table.current_key() == "Compound"
    shelf.filled["Wash soap"] = 61  # only a text changes
    table.show_rows(shelf.rows())
    assert table.writing.text() == "6"


def test_group_lines_take_no_focus(theme: Theme, shelf: Shelf, shown: Show):
    table = wire(theme, shelf)
    rows = shelf.rows()
    table.show_rows(
        [
            GroupRow("g1", "Tuesday van", "next 19 August"),
            *rows[:2],
            GroupRow("g2", "Friday parcel"),
            *rows[2:],
        ]
    )
    shown(table, 600, 400)
    table.setFocus()
    assert table.current_key() == "Wash soap"
    press(Qt.Key.Key_Down)
    press(Qt.Key.Key_Down)
    assert table.current_key() == "Compound"
    press(Qt.Key.Key_Up)
    assert table.current_key() == "Wheel cleaner"
    assert table.rowHeight(0) == table.verticalHeader().defaultSectionSize() + theme.px(6)


def test_an_empty_table_teaches(theme: Theme, shown: Show):
    clicked = []
    table = EntryTable(theme, COLUMNS)
    text = EmptyText(
        "No job was worked today",
        "Then nothing was used.",
        "J",
        "Bring a job forward",
        lambda: clicked.append(True),
    )
    table.teach_when_empty(text)
    table.show_rows([])
    shown(table, 600, 300)
    page = table.findChild(QWidget, "empty page")
    assert page is not None
    assert page.isVisible()
    QTest.mouseClick(page, Qt.MouseButton.LeftButton, pos=QPoint(60, page.height() - 20))
    assert clicked == [True]
    table.show_rows(Shelf({"Wax": 1}).rows())
    assert not page.isVisible()


def test_a_name_of_forty_letters_is_cut_short_and_told_in_full(theme: Theme, shown: Show):
    name = "Quick-release foam pad, firm, orange, 6 inch"
    table = wire(theme, Shelf({name: 3}))
    shown(table, 300, 200)
    centre = table.visualRect(table.entries.index(0, 0)).center()
    event = QHelpEvent(QEvent.Type.ToolTip, centre, table.viewport().mapToGlobal(centre))
    QApplication.sendEvent(table.viewport(), event)
    assert QToolTip.text() == name


def test_columns_fill_the_width_and_give_way_when_it_is_small(theme: Theme, shown: Show):
    table = wire(theme, Shelf({"Wax": 1}))
    shown(table, 700, 200)
    widths = [table.columnWidth(at) for at in range(4)]
    assert sum(widths) == table.viewport().width()
    assert widths[1:] == [110, 80, 70]
    table.resize(300, 200)
    widths = [table.columnWidth(at) for at in range(4)]
    assert sum(widths) <= table.viewport().width() + 2
    assert widths[0] >= 90
    assert all(width >= 48 for width in widths[1:])


def test_rows_take_the_height_there_is_within_their_bounds(theme: Theme, shelf: Shelf, shown: Show):
    table = wire(theme, shelf)
    shown(table, 600, 42 + 5 * 28 + 2)
    assert table.verticalHeader().defaultSectionSize() == 28
    table.resize(600, 900)
    assert table.verticalHeader().defaultSectionSize() == 32
    table.resize(600, 60)
    assert table.verticalHeader().defaultSectionSize() == 25
    assert table.natural_height() == 42 + 5 * 32 + 1


@pytest.mark.parametrize("count", [0, 1, 12, 500])
def test_any_number_of_rows_is_shown(theme: Theme, shown: Show, count: int):
    table = wire(theme, Shelf({f"Supply {number}": number for number in range(count)}))
    shown(table, 600, 400)
    assert len(table.rows) == count
    assert not table.grab().isNull()


def test_a_keystroke_in_five_hundred_rows_takes_no_more_steps_than_in_fifty(
    theme: Theme, shown: Show
):
    def key() -> None:
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_2)
        QApplication.processEvents()

    taken = []
    for count in (50, 500):
        table = wire(theme, Shelf({f"Supply {number}": number for number in range(count)}))
        shown(table, 1000, 600)
        table.setFocus()
        table.go("Supply 7", "amount")
        type_("1")
        key()
        taken.append(min(steps(key) for _ in range(5)))
    assert taken[1] <= 1.1 * taken[0]


@pytest.mark.parametrize(("old", "whole"), [("25", True), ("11 h 45 min of 12", False)])
def test_the_old_number_stands_whole_beside_the_new_one_or_in_the_tip(
    table: EntryTable, old: str, whole: bool
) -> None:
    delegate, column = table._delegate, COLUMNS[1]
    cell = Cell("7 h 30 min", State.CHANGED, old=old, editable=True)
    pictures = []
    for one in (cell, replace(cell, old="")):
        image = QImage(110, 30, QImage.Format.Format_RGB32)
        image.fill(Qt.GlobalColor.white)
        brush = Brush(QPainter(image), table._theme)
        delegate._paint_cell(brush, QRectF(0, 0, 110, 30), one, column)
        brush.painter.end()
        pictures.append(image)
    assert (pictures[0] != pictures[1]) == whole
    assert delegate.full_text(cell, column, 110) == (
        "" if whole else f"7 h 30 min, instead of {old}"
    )
