"""The parts of Renewals by keyboard: folded to what fits, opened and folded again by their keys."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.actions.letters.renewal_groups import ASK, LATER, NOT_NOW
from app.records.models import Customer, LayerEvent
from app.window.house.office import Office
from app.window.paper.cells import GroupRow, TableRow
from app.window.renewals.renewal_rows import fold_key
from app.window.renewals.renewals_place import RenewalsPlace
from tests.window.renewals.test_renewals_place import TODAY, fill, opened, press

Shown = Callable[[QWidget, int, int], QWidget]
ASKED, PEACE, LATE = 3, 20, 30  # customers of each part


@pytest.fixture
def place(office: Office, shown: Shown, qtbot: QtBot) -> RenewalsPlace:
    fill(office, ASKED + PEACE + LATE)
    with office.desk.book.load() as session:
        for number in range(ASKED + 1, ASKED + PEACE + 1):
            session.get_one(Customer, number).stopped_on = TODAY
        for number in range(ASKED + PEACE + 1, ASKED + PEACE + LATE + 1):
            layer = session.query(LayerEvent).filter_by(vehicle_id=number).one()
            layer.day, layer.at = TODAY, layer.at + timedelta(days=70)
    return opened(office, shown, qtbot)


def shape(place: RenewalsPlace) -> dict[str, int]:
    """How many layers stand under each part's title."""
    found: dict[str, int] = {}
    here = ""
    for row in place.table.rows:
        if isinstance(row, GroupRow):
            here = str(row.key)
            found[here] = 0
        elif not row.low:
            found[here] += 1
    return found


def sentences(place: RenewalsPlace) -> list[str]:
    rows = place.table.rows
    return [row.cells[0].text for row in rows if isinstance(row, TableRow) and row.low]


def fits(place: RenewalsPlace) -> bool:
    return place.table.verticalScrollBar().maximum() == 0


def test_whom_one_may_ask_stands_first_and_all_three_parts_fit_on_one_page(
    place: RenewalsPlace,
) -> None:
    found = shape(place)
    assert list(found) == [ASK, NOT_NOW, LATER]
    assert found[ASK] == ASKED
    assert 0 < found[NOT_NOW] < PEACE
    assert 0 < found[LATER] < LATE
    assert sentences(place)[0] == (
        f"{PEACE - found[NOT_NOW]} more layers: {PEACE - found[NOT_NOW]} asked to stop."
    )
    assert place._fact.text() == "3 to ask now, 20 layers not now, 30 due later"
    assert fits(place)


@pytest.mark.parametrize(("key", "part", "all_of_it"), [
    (Qt.Key.Key_W, NOT_NOW, PEACE), (Qt.Key.Key_L, LATER, LATE),
])  # fmt: skip
def test_a_part_is_opened_by_its_key_and_folded_by_it_again(
    place: RenewalsPlace, qtbot: QtBot, key: Qt.Key, part: str, all_of_it: int
) -> None:
    before = shape(place)
    press(place, qtbot, key)
    assert shape(place)[part] == all_of_it
    row = place._current()
    assert row is not None, "the focus is at the first that came"
    press(place, qtbot, key)
    assert shape(place) == before
    assert place.table.current_key() == fold_key(part)


def test_enter_on_the_sentence_opens_what_it_counts(place: RenewalsPlace, qtbot: QtBot) -> None:
    place.table.go(fold_key(LATER))
    press(place, qtbot, Qt.Key.Key_Return)
    assert shape(place)[LATER] == LATE


def test_a_click_on_the_sentence_opens_what_it_counts(place: RenewalsPlace) -> None:
    at = place.table.entries.row_of(fold_key(NOT_NOW))
    assert at is not None
    box = place.table.visualRect(place.table.entries.index(at, 0))
    QTest.mouseClick(place.table.viewport(), Qt.MouseButton.LeftButton, pos=box.center())
    assert shape(place)[NOT_NOW] == PEACE


def test_a_lower_window_folds_more_and_asks_the_same(place: RenewalsPlace, qtbot: QtBot) -> None:
    before = shape(place)
    place.window().resize(1366, 640)
    qtbot.waitUntil(lambda: shape(place) != before)
    after = shape(place)
    assert after[ASK] == ASKED
    assert after[NOT_NOW] + after[LATER] < before[NOT_NOW] + before[LATER]
    assert fits(place)


def test_a_vehicle_that_is_folded_away_is_shown_when_it_is_asked_for(place: RenewalsPlace) -> None:
    place.open_item(ASKED + PEACE + LATE)
    row = place._current()
    assert row is not None
    assert row.layer.vehicle_id == ASKED + PEACE + LATE


def test_a_layer_that_leaves_its_part_hands_the_focus_to_the_next(
    place: RenewalsPlace, qtbot: QtBot
) -> None:
    first = place.table.current_key()
    press(place, qtbot, Qt.Key.Key_N)
    assert shape(place)[ASK] == ASKED - 1
    assert place.table.current_key() not in (None, first)
