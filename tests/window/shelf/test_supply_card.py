"""A supply's card: ledger, uses, lots, days until it comes, its data sheet and its label."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.actions.day.closing import close_day
from app.actions.day.supplies_used import set_use
from app.actions.shelf import supplies
from app.actions.stock import stock, supply_facts
from app.records.models import Lot, Movement, Supply, Use
from app.window.house.office import Office
from app.window.paper.cells import GroupRow, TableRow
from app.window.paper.notes import DotStrip, Facts
from app.window.shelf import stock_form, supply_forms
from app.window.shelf.shelf_place import ShelfPlace
from tests.shop import TODAY, SmallShop
from tests.window.shelf.test_shelf_place import Shown, opened, press, settle


@pytest.fixture
def place(office: Office, shop: SmallShop, shown: Shown, qtbot: QtBot) -> ShelfPlace:
    return opened(office, shown, qtbot)


def test_the_head_says_what_is_left_and_no_entry_that_asks_for_nothing_is_ticked(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    place.open_item(shop.supplies["coating"])
    settle(place, qtbot)
    assert place._fact.text().startswith("60 mL, lasts to ")
    states = {entry.key: entry.state for entry in place.card.entries}
    assert "done" not in states.values()
    assert states["ledger"] == states["lots"] == "plain"
    assert states["hazards"] == "to come", "nothing is entered yet of what its sheet warns of"
    supply_facts.edit_supply(office.desk, shop.supplies["coating"], signal_word="Danger")
    office.changed.emit(frozenset({"supplies"}))
    settle(place, qtbot)
    states = {entry.key: entry.state for entry in place.card.entries}
    assert states["hazards"] == "plain"


def fill_in(place: ShelfPlace, qtbot: QtBot, form: object, key: str, text: str) -> None:
    field = form.field(key)  # type: ignore[attr-defined]
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)
    settle(place, qtbot)


def test_uses_stand_by_kind_and_the_margin_draws_the_middle_and_the_span(
    place: ShelfPlace,
    shop: SmallShop,
    office: Office,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    wheel = shop.supplies["wheel"]
    set_use(office.desk, TODAY, shop.jobs["0411"], wheel, "180 ml")
    close_day(office.desk, TODAY)
    place.open_item(wheel)
    place.card.open("uses", still=True)
    settle(place, qtbot)
    group, line = place.card.uses.table.rows
    assert isinstance(group, GroupRow)
    assert isinstance(line, TableRow)
    assert "from one confirmed job" in group.note
    assert [line.cells[at].text for at in (1, 4, 5)] == ["0411", "180 mL", "confirmed"]
    place.card.uses.table.setFocus()
    place.card.uses.explain()
    facts = next(b for b in place.margin.note.blocks if isinstance(b, Facts))
    assert [pair[0] for pair in facts.pairs] == [
        "By the recipe", "Middle", "Four in five", "Confirmed jobs",
    ]  # fmt: skip
    assert not any(isinstance(b, DotStrip) for b in place.margin.note.blocks), "one is no pattern"
    gone: list[tuple[str, object]] = []
    monkeypatch.setattr(office, "go", lambda where, item=None: gone.append((where, item)))
    press(place, qtbot, Qt.Key.Key_Return)
    assert gone == [("jobs", shop.jobs["0411"])]


def test_many_uses_take_the_room_that_the_page_has(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    """They are read in the background, after the entry has opened at the height of none."""
    wheel = shop.supplies["wheel"]
    with office.desk.book.load() as session:
        for number in range(1, 31):
            session.add(
                Use(
                    day=TODAY - timedelta(days=number), job_id=shop.jobs["0411"], supply_id=wheel,
                    quantity=100_000, state="confirmed", booked=True,
                )
            )  # fmt: skip
    place.open_item(wheel)
    settle(place, qtbot)
    press(place, qtbot, Qt.Key.Key_2, alt=True)
    table = place.card.uses.table
    assert table.height() >= 15 * office.theme.px(21)


def test_a_ledger_of_two_thousand_lines_shows_the_newest_and_older_ones_on_demand(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    soap = shop.supplies["soap"]
    with office.desk.book.load() as session:
        for number in range(2000):
            session.add(
                Movement(
                    supply_id=soap, day=TODAY, at=datetime(2025, 8, 14, tzinfo=UTC), kind="used",
                    quantity=-1, value=0, note=f"line {number}",
                )
            )  # fmt: skip
    place.open_item(soap)
    table = place.card.ledger.table
    assert place.card.entries[0].result == "2,001 lines"
    assert len(table.rows) == supplies.LEDGER_LINES + 1
    assert table.rows[0].cells[6].text == "line 1999"  # type: ignore[union-attr]
    table.setFocus()
    table.go("older")
    press(place, qtbot, Qt.Key.Key_Return)
    assert len(table.rows) == supplies.LEDGER_LINES + 1001
    table.go("older")
    press(place, qtbot, Qt.Key.Key_Return)
    assert len(table.rows) == 2001


def test_the_data_sheet_is_chosen_dated_opened_and_undone(
    place: ShelfPlace,
    shop: SmallShop,
    office: Office,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    shown_files: list[Path] = []
    monkeypatch.setattr(supply_forms, "open_outside", shown_files.append)
    sheet = tmp_path / "wheel cleaner sds.pdf"
    sheet.write_bytes(b"%PDF-1.4")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_a, **_k: (str(sheet), ""))
    wheel = shop.supplies["wheel"]
    place.open_item(wheel)
    place.card.open("hazards", still=True)
    press(place, qtbot, Qt.Key.Key_F2)
    assert office.trouble == "No data sheet is chosen yet: F3 chooses its file."
    assert "Choose the file first" in place.card.hazards.row.hints.text()
    press(place, qtbot, Qt.Key.Key_F3)
    fill_in(place, qtbot, place.card.hazards.form, "sds_date", "6/1/2022")
    with office.desk.book.reading() as session:
        row = session.get_one(Supply, wheel)
        assert (row.sds_file, str(row.sds_date)) == (str(sheet), "2022-06-01")
    assert "older than three years" in place.card._page.hazards[-2]  # type: ignore[union-attr]
    press(place, qtbot, Qt.Key.Key_F2)
    assert shown_files == [sheet]
    fill_in(place, qtbot, place.card.hazards.form, "sds_date", "6/1/2031")
    assert "still to come" in office.trouble
    press(place, qtbot, Qt.Key.Key_Escape)
    place.table.setFocus()
    press(place, qtbot, Qt.Key.Key_Z, control=True)
    with office.desk.book.reading() as session:
        assert session.get_one(Supply, wheel).sds_date is None


def test_what_must_not_freeze_is_ticked_under_its_facts(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    soap = shop.supplies["soap"]
    place.open_item(soap)
    place.card.open("facts", still=True)
    place.card.facts.field("no_frost").setFocus()
    press(place, qtbot, Qt.Key.Key_Space)
    with office.desk.book.reading() as session:
        assert session.get_one(Supply, soap).no_frost
    press(place, qtbot, Qt.Key.Key_Z, control=True)
    with office.desk.book.reading() as session:
        assert not session.get_one(Supply, soap).no_frost


def test_one_key_prints_the_label_of_the_usual_bottle(
    place: ShelfPlace, shop: SmallShop, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown_files: list[Path] = []
    monkeypatch.setattr(stock_form, "open_outside", shown_files.append)
    place.open_item(shop.supplies["soap"])
    press(place, qtbot, Qt.Key.Key_F7)
    (path,) = shown_files
    assert path.parent.name == "labels"
    text = " ".join(PdfReader(path).pages[0].extract_text().split())
    assert "Wash soap" in text
    assert "make 1,000 mL" in text
    assert "override" in text


def test_a_supply_without_a_bottle_says_why_no_label_prints(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    place.open_item(shop.supplies["wheel"])
    place.card.open("doing", still=True)
    assert "Fill a bottle, or enter its size" in place.card.doing.row.hints.text()
    press(place, qtbot, Qt.Key.Key_F7)
    assert "Fill a bottle first" in office.trouble
    place.open_item(shop.supplies["wax"])
    assert place.card.doing.row.hints.text() == "Labels are for liquids."
    assert not place.card.doing.bottle.isEnabled()


def test_lots_are_mended_and_what_lies_opened_is_thrown_away_by_x(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    coating = shop.supplies["coating"]
    supply_facts.edit_supply(
        office.desk, coating, whole_container=True, bottle=30_000, opened_life_days=10
    )
    set_use(office.desk, TODAY, shop.jobs["0412"], coating, "14 ml")
    close_day(office.desk, TODAY)
    office.open_day(TODAY + timedelta(days=1))
    settle(place, qtbot)
    place.open_item(coating)
    place.card.open("lots", still=True)
    assert next(e for e in place.card.entries if e.key == "lots").result == "1 lot"
    table = place.card.lots.table
    (line,) = table.rows
    assert isinstance(line, TableRow)
    assert [line.cells[at].text for at in (1, 2)] == ["46 mL", "16 mL"]
    assert "pays nothing for it" in str(place.margin.note.blocks)
    table.setFocus()
    table.go(line.key, "code")
    QTest.keyClicks(table, "K")
    assert table.writing is not None
    QTest.keyClicks(table.writing, "7")
    QTest.keyClick(table.writing, Qt.Key.Key_Return)
    settle(place, qtbot)
    with office.desk.book.reading() as session:
        assert session.query(Lot).filter_by(supply_id=coating).one().code == "K7"
    press(place, qtbot, Qt.Key.Key_X)
    assert stock.on_hand(office.desk, coating) == 30_000
    press(place, qtbot, Qt.Key.Key_Z, control=True)
    assert stock.on_hand(office.desk, coating) == 46_000


def test_neighbors_on_a_shelf_are_cautioned_when_what_is_in_them_is_entered(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    for key in ("wheel", "soap"):
        supply_facts.edit_supply(office.desk, shop.supplies[key], shelf_place="B2")
    place.open_item(shop.supplies["wheel"])
    place.card.open("hazards", still=True)
    fill_in(place, qtbot, place.card.hazards.form, "ingredients", "acid")
    assert "what is in Wash soap is not entered" in office.question, "unknown is never safe"
    place.open_item(shop.supplies["soap"])
    fill_in(place, qtbot, place.card.hazards.form, "ingredients", "hypochlorite")
    # US CDC: household bleach with acid gives off chlorine gas.
    assert "chlorine gas" in office.question
    assert str(place.margin.note.blocks).count("chlorine gas") == 1


def test_each_entry_opens_by_its_number_and_its_name_fits(
    place: ShelfPlace, shop: SmallShop, qtbot: QtBot
) -> None:
    place.open_item(shop.supplies["coating"])
    keys = [entry.key for entry in place.card.entries]
    assert len(keys) == 9
    for number, key in enumerate(keys, start=1):
        QTest.keyClick(place, getattr(Qt.Key, f"Key_{number}"), Qt.KeyboardModifier.AltModifier)
        settle(place, qtbot)
        assert place.card.open_key == key


def test_what_is_typed_to_be_thrown_away_is_said_not_to_be_noted_when_left_without_enter(
    place: ShelfPlace, shop: SmallShop, office: Office, qtbot: QtBot
) -> None:
    place.open_item(shop.supplies["wheel"])
    place.card.open("doing", still=True)
    settle(place, qtbot)
    place.card.doing.waste.setFocus()
    QTest.keyClicks(place.card.doing.waste, "200 ml")
    press(place, qtbot, Qt.Key.Key_1, alt=True)
    said = "“200 ml” under “Thrown away or spilled” is not noted yet. Press Enter there to note it."
    assert place.foot_left.text() == said
    assert place.card.doing.waste.text() == "200 ml"
    place.open_item(shop.supplies["soap"])
    settle(place, qtbot)
    assert place.foot_left.text() == "Not noted: “200 ml”."
    assert place.card.doing.waste.text() == ""
