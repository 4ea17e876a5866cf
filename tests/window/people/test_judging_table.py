"""Judging a vehicle that is back, by keyboard: from Renewals with J, a letter to a cell, undo."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.letters.left_on_vehicle import left_on_vehicle
from app.actions.people import customers, vehicles
from app.records.models import Judgement, LayerEvent, Supply
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.people.bodyshape import panels
from app.window.people.customers_place import CustomersPlace
from app.window.people.judging_table import LeftBody
from app.window.renewals.renewals_place import RenewalsPlace

TODAY = date(2025, 8, 14)
Shown = Callable[[QWidget, int, int], QWidget]
Key = Qt.Key


@pytest.fixture
def shell(office: Office, shown: Shown) -> Shell:
    """Ida Morrow's wagon was sealed in April, on the hood and on the sides."""
    desk = office.desk
    _, ida = customers.add_customer(desk, name="Ida Morrow")
    _, wagon = vehicles.add_vehicle(desk, ida, description="blue wagon")
    put_on = TODAY - timedelta(days=120)
    with desk.book.load() as session:
        session.add(Supply(id=1, name="Sealant", kind="liquid", protection="synthetic sealant"))
        session.flush()
        for group in ("upper sides", "upper horizontals"):
            at = datetime(put_on.year, put_on.month, put_on.day, 17, tzinfo=UTC)
            session.add(
                LayerEvent(
                    vehicle_id=wagon,
                    day=put_on,
                    at=at,
                    kind="applied",
                    surface_group=group,
                    supply_id=1,
                )
            )
    made = Shell(
        office,
        [
            PlaceEntry("customers", "Customers", "customers", CustomersPlace),
            PlaceEntry("renewals", "Renewals", "renewals", RenewalsPlace),
        ],
    )
    shown(made, 1366, 768)
    return made


def judged(office: Office) -> list[tuple[str, str, str]]:
    with office.desk.book.reading() as session:
        rows = session.query(Judgement).order_by(Judgement.id)
        return [(row.surface_group, row.before, row.after) for row in rows]


def opened(shell: Shell, qtbot: QtBot) -> CustomersPlace:
    """From Renewals with J to the table."""
    shell.open("renewals")
    qtbot.waitUntil(lambda: not shell.office.runner.busy)
    renewals = shell.place("renewals")
    assert isinstance(renewals, RenewalsPlace)
    renewals.table.setFocus()
    QTest.keyClick(renewals.table, Key.Key_J)
    place = shell.place("customers")
    assert isinstance(place, CustomersPlace)
    place.card.judging.setFocus()
    QApplication.processEvents()
    return place


def type_here(text: str, end: Qt.Key = Key.Key_Tab) -> None:
    for letter in text:
        QTest.keyClicks(QApplication.focusWidget(), letter)
    QTest.keyClick(QApplication.focusWidget(), end)


def test_the_surfaces_are_judged_by_a_letter_each_and_the_margin_says_how(
    shell: Shell, office: Office, qtbot: QtBot
) -> None:
    place = opened(shell, qtbot)
    assert place.card.open_key == "left"
    assert place.card.judging.current_key() == "upper horizontals"
    assert place.card.judging.current_column() == "before"
    type_here("g")
    assert judged(office) == [("upper horizontals", "gone", "")]
    type_here("h")
    assert judged(office) == [("upper horizontals", "gone", "holding")]
    assert place.card.judging.current_key() == "upper sides"
    place.card.judging.go("upper horizontals", "after")
    assert "it was dirty, not gone" in str(place.margin._note.blocks)
    place.card.judging.go("upper sides", "before")
    assert "blue wagon" in place.margin._note.title
    QTest.keyClick(shell, Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert judged(office) == [("upper horizontals", "gone", "")], "undo takes back one cell"


def test_the_body_seen_from_above_says_what_is_left_and_its_panels_choose_the_row(
    shell: Shell, office: Office, qtbot: QtBot
) -> None:
    place = opened(shell, qtbot)
    body = place.card.body("left")
    assert isinstance(body, LeftBody)
    qtbot.waitUntil(lambda: body.table.left is not None)
    said = {part.name.partition(":")[0]: part.name for part in body.above.told_parts()}
    left = left_on_vehicle(office.desk, TODAY, place.card.vehicle.vehicle_id)  # type: ignore[union-attr]
    still = round(100 * left.groups["upper sides"].still)
    assert said["upper sides"] == f"upper sides: {still} %"
    assert said["wheels"] == "wheels: nothing was put on"
    table = body.table.rows[1].cells  # type: ignore[union-attr]
    assert table[2].text == f"{still} %", "one number for the drawing, the bar and the row"
    door = next(p for p in panels() if p.group == "upper sides" and p.number is not None)
    spot = body.above._to_page().map(door.number)
    QTest.mouseClick(body.above, Qt.MouseButton.LeftButton, pos=spot.toPoint())
    assert body.table.current_key() == "upper sides"
    shell.resize(1000, 700)
    assert not body.above.isVisible(), "where both have no room the table stands alone"


def test_what_is_no_judgement_keeps_the_focus_and_says_what_is(
    shell: Shell, office: Office, qtbot: QtBot
) -> None:
    place = opened(shell, qtbot)
    type_here("x", Key.Key_Return)
    assert place.card.judging.writing is not None
    assert "h, f or g" in place.card.judging.writing.wrong
    assert judged(office) == []


def test_a_cell_is_emptied_again(shell: Shell, office: Office, qtbot: QtBot) -> None:
    place = opened(shell, qtbot)
    type_here("f", Key.Key_Return)
    assert judged(office) == [("upper horizontals", "fading", "")]
    place.card.judging.go("upper horizontals", "before")
    QTest.keyClick(place.card.judging, Key.Key_Delete)
    field = QApplication.focusWidget()
    QTest.keyClick(field, Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClick(field, Key.Key_Delete)
    QTest.keyClick(field, Key.Key_Return)
    assert judged(office) == []
