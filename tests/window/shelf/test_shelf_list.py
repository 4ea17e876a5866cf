"""The shelf's list: whole names, counting along the places, narrowing, what is past its life."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.actions.shelf import supplies
from app.actions.stock import stock, supply_facts
from app.actions.stock.left import left_on
from app.records.models import Lot, Supply
from app.window.house.office import Office
from app.window.paper.cells import State, TableRow
from app.window.paper.namefit import fit_names
from app.window.paper.theme import Theme
from app.window.shelf import shelf_list
from app.window.shelf.shelf_place import ShelfPlace
from tests.shop import TODAY, SmallShop
from tests.steps import steps
from tests.window.shelf.test_shelf_place import Shown, opened, press, row, settle, type_at

NAME = "Three-year ceramic coating for dark body"  # forty letters


@pytest.fixture
def place(office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot) -> ShelfPlace:
    return opened(office, shown, qtbot)


def column_of(place: ShelfPlace, key: str) -> int:
    at = place.table.entries.column_of(key)
    assert at is not None, f"the column {key} gave way"
    return at


@pytest.mark.parametrize("width", [1180, 1366, 1920])
def test_a_name_of_forty_letters_is_never_cut(
    office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot, width: int
) -> None:
    supply_facts.edit_supply(office.desk, shop.supplies["coating"], name=NAME)
    place = opened(office, shown, qtbot)
    place.window().resize(width, 768)
    QApplication.processEvents()
    for keys in (Qt.Key.Key_Space, Qt.Key.Key_F4):
        QTest.keyClick(place.table, keys)
        at = column_of(place, "supply")
        room = place.table.columnWidth(at)
        assert office.theme.width("row", NAME) + office.theme.px(18) <= room
        assert place.table.horizontalScrollBar().maximum() == 0


def test_columns_give_way_in_turn_and_names_last(theme: Theme) -> None:
    from app.window.paper.cells import Cell, Column

    columns = (
        Column("name", "", width=100, least=50),
        Column("rest", "", width=0, least=60),
        Column("less", "", width=80, least=40),
        Column("least", "", width=80, least=40),
    )
    rows = [TableRow(1, (Cell("w" * 20), Cell(), Cell("a"), Cell("b")))]

    def kept(room: int) -> list[str]:
        found, _ = fit_names(
            columns, rows, room, theme, widths={"name": (50, 400)}, yielding=("least", "less")
        )
        return [column.key for column in found]

    whole = theme.width("row", "w" * 20) + 20
    assert kept(round(whole + 90 + 160 + 1)) == ["name", "rest", "less", "least"]
    assert kept(round(whole + 90 + 80 + 1)) == ["name", "rest", "less"]
    assert kept(round(whole + 60 + 1)) == ["name", "rest"]
    assert kept(10) == ["name", "rest"], "a table without its names is none"


def test_what_a_count_finds_gone_stands_there_at_once_and_leaves_with_undo(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    soap = shop.supplies["soap"]
    press(place, qtbot, Qt.Key.Key_F4)
    left = left_on(office.desk, TODAY)[soap] // 1000
    type_at(place, qtbot, soap, "hand", f"{left - 200}")
    cells = row(place, soap).cells
    hand = cells[column_of(place, "hand")]
    assert (hand.state, hand.old) == (State.CHANGED, f"{left:,}")
    assert cells[column_of(place, "gone")].text == "200 mL"
    assert cells[column_of(place, "share")].text == "100 %", "nothing was booked as used yet"
    assert cells[column_of(place, "last")].text == "today"
    assert "200 mL" in str(place.margin.note.blocks) or place.table.current_key() != soap
    press(place, qtbot, Qt.Key.Key_Z, control=True)
    cells = row(place, soap).cells
    assert cells[column_of(place, "gone")].state is State.UNUSED
    assert cells[column_of(place, "last")].text == "never"


def test_enter_walks_along_the_places_and_equals_confirms_the_book(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    for key, where in (("wax", "A2"), ("soap", "A10"), ("cloths", "A1")):
        supply_facts.edit_supply(office.desk, shop.supplies[key], shelf_place=where)
    office.changed.emit(frozenset({"supplies"}))
    settle(place, qtbot)
    press(place, qtbot, Qt.Key.Key_End, control=True)  # wherever one was, it begins at the first
    press(place, qtbot, Qt.Key.Key_F4)
    assert place.table.currentIndex().row() == place.table.verticalScrollBar().value() == 0
    walked = []
    for _ in range(3):
        walked.append(place.table.current_key())
        press(place, qtbot, Qt.Key.Key_Equal)
        assert place.table.writing is not None
        QTest.keyClick(place.table.writing, Qt.Key.Key_Return)
        settle(place, qtbot)
    assert walked == [shop.supplies[key] for key in ("cloths", "wax", "soap")]
    assert row(place, shop.supplies["wax"]).cells[0].text == "A2"
    assert row(place, shop.supplies["wax"]).cells[column_of(place, "last")].text == "today"
    assert supplies.supply_page(office.desk, TODAY, shop.supplies["wax"]).ledger[0].note == (
        "Counted, as in the book"
    )
    assert place._fact.text() == "3 of 6 counted today amounts in USD"


def test_a_part_of_the_shelf_is_counted_and_printed_by_its_place(
    place: ShelfPlace,
    shop: SmallShop,
    office: Office,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    shown_files: list[Path] = []
    monkeypatch.setattr(shelf_list, "open_outside", shown_files.append)
    supply_facts.edit_supply(office.desk, shop.supplies["wax"], shelf_place="North cabinet")
    office.changed.emit(frozenset({"supplies"}))
    settle(place, qtbot)
    press(place, qtbot, Qt.Key.Key_F4)
    press(place, qtbot, Qt.Key.Key_Slash)
    QTest.keyClicks(place.filter, "north")
    assert [one.key for one in place.table.rows] == [shop.supplies["wax"]]
    QTest.keyClick(place.filter, Qt.Key.Key_Return)
    assert place.table.current_column() == "hand"
    press(place, qtbot, Qt.Key.Key_F7)
    (path,) = shown_files
    text = " ".join(page.extract_text() for page in PdfReader(path).pages)
    assert "wax" in text
    assert "soap" not in text
    press(place, qtbot, Qt.Key.Key_Escape)
    assert place.filter.isHidden()
    assert len(place.table.rows) == 6


def test_a_count_below_the_book_below_zero_says_what_to_do(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    stock.waste(office.desk, TODAY, shop.supplies["soap"], "9 l")
    office.changed.emit(frozenset({"stock"}))
    settle(place, qtbot)
    press(place, qtbot, Qt.Key.Key_F4)
    place.table.go(shop.supplies["soap"], "hand")
    QTest.keyClick(place.table, Qt.Key.Key_Equal)
    assert place.table.writing is not None
    QTest.keyClick(place.table.writing, Qt.Key.Key_Return)
    assert "cannot stand there; type what you see" in place.table.writing.wrong


def test_what_is_past_its_life_is_marked_unfolded_and_written_off_by_w(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    coating = shop.supplies["coating"]
    with office.desk.book.load() as session:
        session.query(Lot).filter_by(supply_id=coating).update(
            {"expires_on": TODAY - timedelta(days=1)}
        )
    office.changed.emit(frozenset({"stock"}))
    settle(place, qtbot)
    assert row(place, coating).cells[1].mark == "look", "without unfolding the rest"
    assert "1 past its life" in place.row.hints.text()
    place.table.setFocus()
    press(place, qtbot, Qt.Key.Key_D)
    place.table.go(coating)
    assert "Expired 13 August 2025" in str(place.margin.note.blocks)
    press(place, qtbot, Qt.Key.Key_W)
    assert stock.on_hand(office.desk, coating) == 0
    press(place, qtbot, Qt.Key.Key_Z, control=True)
    assert stock.on_hand(office.desk, coating) == 60_000


def test_rows_that_come_after_group_lines_have_the_height_of_rows(
    place: ShelfPlace, shop: SmallShop, qtbot: QtBot
) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    press(place, qtbot, Qt.Key.Key_F4)
    heights = {place.table.rowHeight(at) for at in range(len(place.table.rows))}
    assert len(heights) == 1


def test_a_letter_narrows_ten_times_the_supplies_in_ten_times_the_steps_at_the_most(
    office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot
) -> None:
    taken = []
    for count in (50, 450):
        with office.desk.book.load() as session:
            for number in range(count):
                session.add(Supply(name=f"Polish of a rather long name {number}", kind="liquid"))
        place = opened(office, shown, qtbot)
        QTest.keyClick(place.table, Qt.Key.Key_Space)
        QTest.keyClick(place.table, Qt.Key.Key_Slash)
        field = place.filter
        QTest.keyClicks(field, "po")
        taken.append(steps(lambda field=field: QTest.keyClicks(field, "l")))
        assert len(place.table.rows) >= count
    assert taken[1] <= 10 * taken[0]
