"""The Shelf place by keyboard: packs, orders, counting, using up, narrowing, a supply's card."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.orders import deliveries
from app.actions.shelf import supplies
from app.actions.stock import stock, supply_facts
from app.records.models import Order, Supply
from app.window.house.office import Office
from app.window.house.place import STILL, PlaceEntry
from app.window.house.shell import Shell
from app.window.paper.cells import TableRow
from app.window.shelf.shelf_place import ShelfPlace
from tests.shop import TODAY, SmallShop
from tests.window.keys import found

Shown = Callable[[QWidget, int, int], QWidget]


def opened(office: Office, shown: Shown, qtbot: QtBot) -> ShelfPlace:
    shell = Shell(office, [PlaceEntry("shelf", "Shelf", "shelf", ShelfPlace)])
    shown(shell, 1366, 768)
    shell.open("shelf")
    place = shell.place("shelf")
    assert isinstance(place, ShelfPlace)
    qtbot.waitUntil(lambda: not office.runner.busy)
    return place


@pytest.fixture
def place(office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot) -> ShelfPlace:
    return opened(office, shown, qtbot)


def settle(place: ShelfPlace, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not place.office.runner.busy)


def press(
    place: ShelfPlace, qtbot: QtBot, key: Qt.Key, control: bool = False, *, alt: bool = False
) -> None:
    modifier = Qt.KeyboardModifier.ControlModifier if control else Qt.KeyboardModifier.NoModifier
    if alt:
        modifier = Qt.KeyboardModifier.AltModifier
    QTest.keyClick(QApplication.focusWidget() or place, key, modifier)
    settle(place, qtbot)


def type_at(place: ShelfPlace, qtbot: QtBot, supply: int, column: str, text: str) -> None:
    place.table.setFocus()
    place.table.go(supply, column)
    QTest.keyClicks(place.table, text[0])
    if place.table.writing is not None:
        QTest.keyClicks(place.table.writing, text[1:])
        QTest.keyClick(place.table.writing, Qt.Key.Key_Return)
    settle(place, qtbot)


def row(place: ShelfPlace, supply: int) -> TableRow:
    return next(r for r in place.table.rows if isinstance(r, TableRow) and r.key == supply)


def test_no_order_is_written_before_its_packs_were_seen(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    type_at(place, qtbot, shop.supplies["wheel"], "now", "2")
    office.open_day(TODAY + timedelta(days=1))
    QTest.keyClick(place.table, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert place.foot_left.text() == STILL
    settle(place, qtbot)
    with office.desk.book.reading() as session:
        assert session.query(Order).count() == 0


def test_packs_are_typed_over_and_the_order_is_written(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    type_at(place, qtbot, shop.supplies["wheel"], "now", "2")
    assert row(place, shop.supplies["wheel"]).cells[7].text == "2 × 5 L"
    QTest.keyClick(place.table, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    settle(place, qtbot)
    with office.desk.book.reading() as session:
        orders = session.query(Order).all()
    assert [order.supplier_id for order in orders]
    assert row(place, shop.supplies["wheel"]).cells[6].text, "now it is on order"
    QTest.keyClick(place.table, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    settle(place, qtbot)
    with office.desk.book.reading() as session:
        assert session.query(Order).all() == []


def test_what_is_no_number_of_packs_keeps_the_focus_and_says_why(
    place: ShelfPlace, shop: SmallShop, qtbot: QtBot
) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    place.table.go(shop.supplies["wheel"], "now")
    QTest.keyClicks(place.table, "9")
    writing = place.table.writing
    assert writing is not None
    writing.setText("lots")
    QTest.keyClick(writing, Qt.Key.Key_Return)
    assert place.table.writing is not None
    assert "no number of packs" in writing.wrong


def test_counting_goes_row_by_row_and_the_difference_is_a_line(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_F4)
    assert place.row.button.text() == "End counting"
    type_at(place, qtbot, shop.supplies["wheel"], "hand", "1200 ml")
    assert stock.on_hand(office.desk, shop.supplies["wheel"]) == pytest.approx(
        1_200_000, abs=400_000
    )
    page = supplies.supply_page(office.desk, TODAY, shop.supplies["wheel"])
    assert page.ledger[0].kind == "counted"
    QTest.keyClick(place.table, Qt.Key.Key_F4)
    assert place.row.button.text() == "Write the order"


def test_c_counts_the_supply_in_view(place: ShelfPlace, qtbot: QtBot) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    key = place.table.current_key()
    QTest.keyClick(place.table, Qt.Key.Key_C)
    assert place.table.current_key() == key
    assert place.table.current_column() == "hand"


def test_u_uses_a_supply_up_and_again_reorders_it(
    place: ShelfPlace, office: Office, qtbot: QtBot
) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    key = place.table.current_key()
    for stopped in (True, False):
        QTest.keyClick(place.table, Qt.Key.Key_U)
        settle(place, qtbot)
        with office.desk.book.reading() as session:
            assert session.get_one(Supply, key).stopped is stopped


def test_the_shelf_is_narrowed_by_typing_and_shown_whole_again(
    place: ShelfPlace, qtbot: QtBot
) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_Slash)
    QTest.keyClicks(place.filter, "wax")
    names = [r.cells[0].text for r in place.table.rows if isinstance(r, TableRow)]
    assert names == ["Paste wax"]
    QTest.keyClick(place.filter, Qt.Key.Key_Escape)
    assert place.filter.isHidden()


def test_a_supply_opens_into_its_ledger_and_its_facts_are_saved_when_left(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    place.open_item(shop.supplies["soap"])
    assert place.title == "Wash soap"
    assert place.card.ledger.table.rows
    place.card.open("facts", still=True)
    field = place.card.facts.field("dilution")
    field.setFocus()
    field.selectAll()  # type: ignore[attr-defined]
    QTest.keyClicks(field, "1:128")
    QTest.keyClick(field, Qt.Key.Key_Return)
    settle(place, qtbot)
    with office.desk.book.reading() as session:
        assert session.get_one(Supply, shop.supplies["soap"]).dilution == 128_000
    QTest.keyClick(place.card, Qt.Key.Key_Escape)
    assert place.title == "The shelf"


def deliver(place: ShelfPlace, shop: SmallShop, qtbot: QtBot) -> None:
    """Order two cans of wheel cleaner, and go to what is on its way."""
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    type_at(place, qtbot, shop.supplies["wheel"], "now", "2")
    QTest.keyClick(place.table, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    settle(place, qtbot)
    place.table.setFocus()
    QTest.keyClick(place.table, Qt.Key.Key_R)


def test_part_of_a_delivery_is_taken_in_and_the_rest_stays_on_its_way(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    before = stock.on_hand(office.desk, shop.supplies["wheel"])
    deliver(place, shop, qtbot)
    order = next(
        o for o in deliveries.due_orders(office.desk, TODAY) if o.supplier == "Tuesday van"
    )
    place.coming.open(f"order {order.row.order_id}", still=True)
    QTest.keyClick(place.coming, Qt.Key.Key_F4)
    table = place.coming._tables[place.coming.open_key]
    line = next(one for one in order.row.lines if one.supply == "Wheel cleaner")
    for other in order.row.lines:
        table.setFocus()
        table.go(other.line_id, "now")
        QTest.keyClicks(table, "1" if other is line else "0")
        assert table.writing is not None
        QTest.keyClick(table.writing, Qt.Key.Key_Return)
    QTest.keyClick(place.coming, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    settle(place, qtbot)
    assert stock.on_hand(office.desk, shop.supplies["wheel"]) == before + 5_000_000
    left = next(
        o for o in deliveries.due_orders(office.desk, TODAY) if o.row.order_id == order.row.order_id
    )
    assert left.row.state == "part"
    (wheel,) = (one for one in left.row.lines if one.supply == "Wheel cleaner")
    assert deliveries.still_due(wheel) == 1
    QTest.keyClick(place.window(), Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    settle(place, qtbot)
    assert stock.on_hand(office.desk, shop.supplies["wheel"]) == before


def test_what_cannot_have_come_is_said_where_it_was_typed(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    deliver(place, shop, qtbot)
    table = place.coming._tables[place.coming.open_key]
    table.setFocus()
    table.go(next(r.key for r in table.rows if isinstance(r, TableRow)), "now")
    QTest.keyClicks(table, "1")
    assert table.writing is not None
    table.writing.setText("some")
    QTest.keyClick(table.writing, Qt.Key.Key_Return)
    assert "no number of packs" in table.writing.wrong


@pytest.mark.parametrize(
    ("field", "typed", "change"),
    [
        ("waste", "200 ml", -200_000),
        ("back", "500 ml", -500_000),
        ("brought", "1 l for 9.50", 1_000_000),
    ],
)
def test_a_supply_is_thrown_away_given_back_or_brought_by_typing_how_much(
    place: ShelfPlace,
    shop: SmallShop,
    office: Office,
    qtbot: QtBot,
    field: str,
    typed: str,
    change: int,
) -> None:
    supply = shop.supplies["wheel"]
    before = stock.on_hand(office.desk, supply)
    place.open_item(supply)
    place.card.open("doing", still=True)
    line = getattr(place.card.doing, field)
    line.setFocus()
    QTest.keyClicks(line, typed)
    QTest.keyClick(line, Qt.Key.Key_Return)
    settle(place, qtbot)
    assert stock.on_hand(office.desk, supply) == before + change
    assert line.text() == ""
    line.setFocus()
    QTest.keyClick(place.window(), Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    settle(place, qtbot)
    assert stock.on_hand(office.desk, supply) == before


def test_a_bottle_is_filled_and_its_label_written(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot, tmp_path: Path
) -> None:
    place.open_item(shop.supplies["wheel"])
    place.card.open("doing", still=True)
    line = place.card.doing.bottle
    QTest.keyClicks(line, "1 l at 1 to 9")
    QTest.keyClick(line, Qt.Key.Key_Return)
    settle(place, qtbot)
    assert place.card.doing.label is not None
    assert place.card.doing.label.mix == "100 mL product + 900 mL water make 1,000 mL"
    place.card.doing.write_label(tmp_path / "label.pdf")
    assert (tmp_path / "label.pdf").stat().st_size > 1000
    assert place.card.doing.label.signal_word == "Danger"


def test_a_whole_container_is_opened_by_one_key(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    place.open_item(shop.supplies["coating"])
    QTest.keyClick(place.window(), Qt.Key.Key_F6)
    settle(place, qtbot)
    page = supplies.supply_page(office.desk, TODAY, shop.supplies["coating"])
    assert page.lots[0].lot.opened_on == TODAY
    QTest.keyClick(place.window(), Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    settle(place, qtbot)
    page = supplies.supply_page(office.desk, TODAY, shop.supplies["coating"])
    assert page.lots[0].lot.opened_on is None


def test_a_full_shelf_says_that_nothing_needs_anybody(place: ShelfPlace) -> None:
    assert place.table.rows == ()
    assert place.table._empty_text is not None
    assert place.table._empty_text.title == "Nothing needs you here"


def test_an_empty_shelf_teaches_and_the_first_supply_is_named_by_keyboard(
    office: Office, shown: Shown, qtbot: QtBot
) -> None:
    place = opened(office, shown, qtbot)
    QTest.keyClick(place.table, Qt.Key.Key_Insert)
    settle(place, qtbot)
    QTest.keyClicks(place.card.facts.field("name"), "Rinseless wash")
    QTest.keyClick(place.card.facts.field("name"), Qt.Key.Key_Return)
    settle(place, qtbot)
    assert place.title == "Rinseless wash"


def test_three_hundred_supplies_with_long_names_are_shown(
    office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot
) -> None:
    with office.desk.book.load() as session:
        for number in range(300):
            session.add(
                Supply(name=f"{'Polish of a very long name':<36}{number:04d}", kind="liquid")
            )
    place = opened(office, shown, qtbot)
    QTest.keyClick(place.table, Qt.Key.Key_Space)
    assert sum(isinstance(r, TableRow) for r in place.table.rows) == 306


def test_counting_walks_along_the_shelf(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot, tmp_path: Path
) -> None:
    for key, where in (("wax", "A2"), ("soap", "A10"), ("cloths", "A1")):
        office.act(
            lambda key=key, where=where: supply_facts.edit_supply(
                office.desk, shop.supplies[key], shelf_place=where
            )
        )
    settle(place, qtbot)
    QTest.keyClick(place.table, Qt.Key.Key_F4)
    keys = [one.key for one in place.table.rows]
    assert keys[:3] == [shop.supplies[key] for key in ("cloths", "wax", "soap")]
    place.list.write_count_sheet(tmp_path / "count.pdf")
    assert (tmp_path / "count.pdf").read_bytes().startswith(b"%PDF")
    assert "count.pdf" in office.saved


def test_d_shows_what_stands_idle_with_its_worth(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    QTest.keyClick(place.table, Qt.Key.Key_D)
    assert not [one for one in place.table.rows if isinstance(one, TableRow)]
    QTest.keyClick(place.table, Qt.Key.Key_D)
    office.act(
        lambda: supply_facts.edit_supply(office.desk, shop.supplies["wax"], opened_life_days=1)
    )
    office.open_day(TODAY.replace(year=TODAY.year + 1))
    settle(place, qtbot)
    QTest.keyClick(place.table, Qt.Key.Key_D)
    assert shop.supplies["wax"] in [one.key for one in place.table.rows]
    place.table.go(shop.supplies["wax"])
    assert "30.00" in str(place.margin.note.blocks)
    QTest.keyClick(place.table, Qt.Key.Key_Escape)
    assert place.list.dead is None


def shown_names(place: ShelfPlace) -> list[str]:
    return [row.cells[0].text for row in place.table.rows if isinstance(row, TableRow)]


def test_f12_says_what_counts_on_a_supply_and_again_archives_it_found_by_name(
    place: ShelfPlace, shop: SmallShop, qtbot: QtBot
) -> None:
    number = shop.supplies["soap"]
    place.table.setFocus()
    press(place, qtbot, Qt.Key.Key_Space)  # all of the shelf
    assert "Wash soap" in shown_names(place)
    place.table.go(number)
    press(place, qtbot, Qt.Key.Key_F12)
    asked = place.office.question
    assert asked.startswith("Wash soap stands in the recipe of ")
    assert asked.endswith(" F12 again archives it all the same.")
    assert "Wash soap" in shown_names(place)
    press(place, qtbot, Qt.Key.Key_F12)
    assert "Wash soap" not in shown_names(place)
    place.list.narrow()
    QTest.keyClicks(QApplication.focusWidget(), "wash")
    qtbot.waitUntil(lambda: shown_names(place) == ["Wash soap"])
    place.open_item(number)
    press(place, qtbot, Qt.Key.Key_F12)
    with place.office.desk.book.reading() as session:
        assert session.get_one(Supply, number).archived_on is None


def test_f12_removes_a_supply_that_was_never_used_and_f5_puts_two_together(
    place: ShelfPlace, shop: SmallShop, qtbot: QtBot
) -> None:
    desk = place.office.desk
    _, stray = supply_facts.add_supply(desk, "liquids subtotal")
    place.open_item(stray)
    press(place, qtbot, Qt.Key.Key_F12)
    with desk.book.reading() as session:
        assert session.get(Supply, stray) is None
    _, twin = supply_facts.add_supply(desk, "Soap for washing")
    place.open_item(twin)
    press(place, qtbot, Qt.Key.Key_F5)
    QTest.keyClicks(QApplication.focusWidget(), "wash soap")
    found("wash soap", qtbot)
    press(place, qtbot, Qt.Key.Key_Return)
    with desk.book.reading() as session:
        assert "Also called: Wash soap" in session.get_one(Supply, twin).notes
    place.office.undo()
    with desk.book.reading() as session:
        assert session.get_one(Supply, twin).notes == ""
