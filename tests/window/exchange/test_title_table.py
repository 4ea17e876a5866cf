"""Titles of past jobs on the page that brings files in: confirmed, changed, refused by keys."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Desk
from app.records.queries import everything
from app.window.exchange.bringing_in_page import BringingInPage
from app.window.house.office import Office
from app.window.house.place import Place, PlaceEntry
from app.window.house.shell import Shell
from tests.window.keys import found, press, type_words

Key = Qt.Key
CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
JOBS = (
    "Date,Customer,Vehicle,Plate,Services,Total\n"
    '3/5/2025,Ann Marlow,2014 blue wagon,7KLM 204,"Two-step, ceramic 2yr",900\n'
    "4/5/2025,Bob Hill,2018 grey van,8KLM 204,Wash & wax,90\n"
    "5/5/2025,Zoe Tarn,2019 red coupe,9KLM 204,Ceramic coating,700\n"
    "5/6/2025,Zoe Tarn,2019 red coupe,9KLM 204,As discussed,90\n"
)


@pytest.fixture
def page(
    office: Office, shown: Callable[[QWidget, int, int], QWidget], tmp_path: Path, qtbot: QtBot
) -> BringingInPage:
    """The page with the titles of four jobs before it."""
    shell = Shell(
        office,
        [PlaceEntry("day", "Day sheet", "day", Place)],
        asides=[PlaceEntry("bringing in", "", "", BringingInPage)],
    )
    shown(shell, 1366, 768)
    path = tmp_path / "jobs.csv"
    path.write_text(JOBS, encoding="utf-8")
    shell.open_item("bringing in", (path,))
    page = shell.here
    assert isinstance(page, BringingInPage)
    qtbot.waitUntil(lambda: page.plan is not None)
    press(Key.Key_4, ALT)
    return page


def rows(desk: Desk, kind: str) -> list[dict[str, Any]]:
    with desk.book.reading() as session:
        return list(everything.rows(session, kind))


def states(page: BringingInPage) -> dict[str, str]:
    assert page.plan is not None
    return {one.what: one.state for one in page.plan.proposals}


def settled(page: BringingInPage, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: page._reason() == "")


def to(page: BringingInPage, title: str) -> None:
    assert page.plan is not None
    page.titles.go(next(one.key for one in page.plan.proposals if one.what == title))


def bring_in(page: BringingInPage, qtbot: QtBot) -> None:
    press(Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: not page.readings)


def test_the_page_says_how_many_titles_wait_and_what_asks_stands_first(
    page: BringingInPage, qtbot: QtBot
) -> None:
    assert "3 to confirm" in page.strip.entries[3].result
    assert states(page) == {
        "Ceramic coating": "asks",
        "Two-step, ceramic 2yr": "proposed",
        "Wash & wax": "proposed",
        "As discussed": "unread",
    }
    one = page.titles.proposal()
    assert one is not None
    assert one.what == "Ceramic coating"


def test_f6_takes_a_title_f7_refuses_one_and_one_undo_takes_all_back(
    page: BringingInPage, desk: Desk, qtbot: QtBot
) -> None:
    services = len(rows(desk, "services"))
    to(page, "Two-step, ceramic 2yr")
    at = page.titles.current_key()
    press(Key.Key_F6)
    settled(page, qtbot)
    assert page.titles.current_key() == at  # nothing jumps
    to(page, "Wash & wax")
    press(Key.Key_F7)
    settled(page, qtbot)
    assert states(page)["Two-step, ceramic 2yr"] == "accepted"
    assert states(page)["Wash & wax"] == "none"
    bring_in(page, qtbot)
    names = {row["name"] for row in rows(desk, "services")}
    assert {"Two-step polish", "Ceramic 2 year"} <= names
    assert not {"Wash", "Carnauba wax"} & names
    applied = [row for row in rows(desk, "layer_events") if row["kind"] == "applied"]
    assert {row["surface_group"] for row in applied} == {
        "upper horizontals", "upper sides", "lowers"
    }  # fmt: skip
    press(Key.Key_Z, CTRL)
    assert len(rows(desk, "services")) == services
    assert rows(desk, "layer_events") == []
    assert rows(desk, "job_services") == [] or all(
        row["job_id"] in {job["id"] for job in rows(desk, "jobs")}
        for row in rows(desk, "job_services")
    )


def test_f4_says_which_layer_a_title_left_and_f6_before_asks_for_it(
    page: BringingInPage, desk: Desk, qtbot: QtBot
) -> None:
    to(page, "Ceramic coating")
    press(Key.Key_F6)
    assert "F4" in page.office.trouble
    press(Key.Key_F4)
    type_words("ceramic 3")
    found("ceramic 3 year", qtbot)
    press(Key.Key_Return)
    qtbot.waitUntil(lambda: states(page)["Ceramic coating"] == "accepted")
    bring_in(page, qtbot)
    supplies = {row["id"]: row["protection"] for row in rows(desk, "supplies")}
    left = [row for row in rows(desk, "layer_events") if row["kind"] == "applied"]
    assert {supplies[row["supply_id"]] for row in left} == {"ceramic 3 year"}


def test_enter_chooses_another_service_for_a_title_that_is_not_understood(
    page: BringingInPage, desk: Desk, qtbot: QtBot
) -> None:
    to(page, "As discussed")
    press(Key.Key_F6)
    assert "Enter chooses" in page.office.trouble
    press(Key.Key_Return)
    type_words("two-step")
    found("two-step polish", qtbot)
    press(Key.Key_Return)
    qtbot.waitUntil(lambda: states(page)["As discussed"] == "accepted")
    bring_in(page, qtbot)
    jobs = {row["title"]: row["id"] for row in rows(desk, "jobs")}
    named = {row["id"]: row["name"] for row in rows(desk, "services")}
    sold = {row["job_id"]: named[row["service_id"]] for row in rows(desk, "job_services")}
    assert sold[jobs["As discussed"]] == "Two-step polish"


def test_a_service_and_then_its_layer_are_chosen_for_one_title(
    page: BringingInPage, desk: Desk, qtbot: QtBot
) -> None:
    to(page, "As discussed")
    press(Key.Key_Return)
    type_words("as disc")
    found("as discussed", qtbot)
    press(Key.Key_Return)
    qtbot.waitUntil(lambda: states(page)["As discussed"] == "accepted")
    settled(page, qtbot)
    press(Key.Key_F4)
    type_words("spray")
    found("spray sealant", qtbot)
    press(Key.Key_Return)
    settled(page, qtbot)
    one = page.titles.proposal()
    assert one is not None
    assert (one.what, one.services, one.layers) == (
        "As discussed", ("As discussed",), ("spray sealant on paint",)
    )  # fmt: skip


def test_f9_takes_all_that_are_proposed_and_leaves_what_asks(
    page: BringingInPage, qtbot: QtBot
) -> None:
    press(Key.Key_F9)
    settled(page, qtbot)
    assert states(page) == {
        "Ceramic coating": "asks",
        "Two-step, ceramic 2yr": "accepted",
        "Wash & wax": "accepted",
        "As discussed": "unread",
    }
    assert "1 to confirm" in page.strip.entries[3].result


def test_f8_goes_to_the_next_title_that_asks(page: BringingInPage) -> None:
    to(page, "As discussed")
    press(Key.Key_F8)
    one = page.titles.proposal()
    assert one is not None
    assert one.what == "Ceramic coating"


def test_a_layer_and_then_a_service_are_chosen_and_the_layer_stays(
    page: BringingInPage, desk: Desk, qtbot: QtBot
) -> None:
    to(page, "As discussed")
    press(Key.Key_F4)
    type_words("spray")
    found("spray sealant", qtbot)
    press(Key.Key_Return)
    qtbot.waitUntil(lambda: states(page)["As discussed"] == "accepted")
    settled(page, qtbot)
    press(Key.Key_Return)
    type_words("as disc")
    found("as discussed", qtbot)
    press(Key.Key_Return)
    settled(page, qtbot)
    one = page.titles.proposal()
    assert one is not None
    assert (one.services, one.layers) == (("As discussed",), ("spray sealant on paint",))


def test_a_pool_of_too_many_asks_and_f6_says_that_it_is_so(
    page: BringingInPage, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "shelf.csv"
    path.write_text("Supply,Kind,On hand,Pack\nDrying towels,piece,200 packs,pack of 50\n")
    page.office.go("bringing in", (path,))
    qtbot.waitUntil(lambda: page.plan is not None and "Drying towels" in states(page))
    press(Key.Key_4, ALT)
    press(Key.Key_F9)
    settled(page, qtbot)
    assert states(page)["Drying towels"] == "asks"
    to(page, "Drying towels")
    press(Key.Key_F6)
    settled(page, qtbot)
    assert states(page)["Drying towels"] == "accepted"


def test_larger_text_keeps_files_and_answers_and_shows_what_becomes_of_each_title(
    page: BringingInPage, qtbot: QtBot
) -> None:
    to(page, "Wash & wax")
    press(Key.Key_F7)
    settled(page, qtbot)
    shell = page.window()
    assert isinstance(shell, Shell)
    while shell.theme.scale < 1.6:
        press(Key.Key_Plus, CTRL)
    large = shell.here
    assert isinstance(large, BringingInPage)
    assert large.readings
    qtbot.waitUntil(lambda: large.plan is not None)
    assert states(large)["Wash & wax"] == "none"
    assert large.strip.open_key == "titles"
    QApplication.processEvents()
    assert large.titles.isVisible()
    assert large.titles.horizontalScrollBar().maximum() == 0
