"""The page that brings files in: read, looked at, said by hand, brought in as one action."""

from __future__ import annotations

import multiprocessing
import threading
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Changed, Desk
from app.actions.exchange import bringing_in
from app.actions.exchange.preview_lines import Preview
from app.actions.people.customers import list_customers
from app.documents.reading.options import Progress
from app.window.exchange import bringing_in_tables
from app.window.exchange.bringing_in_page import BringingInPage
from app.window.house.shell import Shell
from tests.files import messy
from tests.window.conftest import Beside
from tests.window.keys import found, press, type_words

Key = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier
ALT = Qt.KeyboardModifier.AltModifier


@pytest.fixture
def shell(beside: Beside) -> Shell:
    return beside("bringing in", BringingInPage)


def bring(shell: Shell, paths: list[Path], qtbot: QtBot) -> BringingInPage:
    shell.open_item("bringing in", tuple(paths))
    page = shell.here
    assert isinstance(page, BringingInPage)
    qtbot.waitUntil(lambda: page.plan is not None)
    return page


def test_files_are_read_looked_at_and_brought_in_as_one_action(
    shell: Shell, desk: Desk, tmp_path: Path, qtbot: QtBot
) -> None:
    path = messy.address_workbook(tmp_path / "people.xlsx")
    page = bring(shell, [path], qtbot)
    assert list_customers(desk)[0] == []  # nothing is written yet
    assert page.strip.entries[2].result
    press(Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: not page.readings)
    assert len(list_customers(desk)[0]) > 2
    press(Key.Key_Z, CTRL)
    assert list_customers(desk)[0] == []


def test_what_grows_with_the_lines_is_worked_out_outside_the_windows_thread(
    shell: Shell, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Of 5,000 lines each of these held the window up.
    here: list[str] = []
    row, changes = bringing_in_tables.line_row, Preview.changes_something

    def note(name: str) -> None:
        if threading.current_thread() is threading.main_thread():
            here.append(name)

    monkeypatch.setattr(
        bringing_in_tables, "line_row", lambda at, line: (note("a row"), row(at, line))[1]
    )
    monkeypatch.setattr(
        Preview, "changes_something", lambda plan: (note("its changes"), changes(plan))[1]
    )
    page = bring(shell, [messy.address_workbook(tmp_path / "people.xlsx")], qtbot)
    qtbot.waitUntil(lambda: not page._working)
    assert page.lines.rows
    assert here == []


def test_the_same_file_again_says_that_all_of_it_is_there(
    shell: Shell, desk: Desk, tmp_path: Path, qtbot: QtBot
) -> None:
    path = messy.address_workbook(tmp_path / "people.xlsx")
    page = bring(shell, [path], qtbot)
    page.primary()
    qtbot.waitUntil(lambda: not page.readings)
    bring(shell, [path], qtbot)
    press(Key.Key_Return, CTRL)
    assert "already" in shell.office.trouble


def test_every_line_says_what_it_becomes_and_f5_shows_the_same_too(
    shell: Shell, tmp_path: Path, qtbot: QtBot
) -> None:
    paths = [
        messy.address_workbook(tmp_path / "people.xlsx"),
        messy.telephone_cards(tmp_path / "cards.vcf"),
    ]
    page = bring(shell, paths, qtbot)
    press(Key.Key_3, ALT)
    before = len(page.lines.rows)
    assert before
    press(Key.Key_F5)
    assert page.plan is not None
    assert len(page.lines.rows) - before == page.plan.total("same")


def test_a_column_is_said_by_hand_with_the_keyboard(
    shell: Shell, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "people.csv"
    path.write_text("Name,Phone,Where\nAnn Marlow,212 555 0142,Tarrow Bend\n", encoding="utf-8")
    page = bring(shell, [path], qtbot)
    press(Key.Key_2, ALT)
    page.headings.go((0, 0, 2))
    press(Key.Key_Return)
    type_words("city")
    found("city", qtbot)
    press(Key.Key_Down)
    press(Key.Key_Up)
    press(Key.Key_Return)
    qtbot.waitUntil(lambda: page.readings[0].tables[0].columns[2].how == "by hand")
    assert "city" in page.readings[0].tables[0].columns[2].meaning
    qtbot.waitUntil(lambda: page.plan is not None)


def test_a_file_that_cannot_be_read_is_said_and_the_others_stand(
    shell: Shell, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "broken.xlsx"
    path.write_bytes(b"PK\x03\x04 broken")
    shell.open_item("bringing in", (path,))
    page = shell.here
    assert isinstance(page, BringingInPage)
    qtbot.waitUntil(lambda: bool(shell.office.trouble))
    assert page.readings == ()
    assert "broken.xlsx" in shell.office.trouble


def test_stopping_leaves_the_book_as_it_was_and_the_page_ready_again(
    shell: Shell, desk: Desk, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = messy.address_workbook(tmp_path / "people.xlsx")
    page = bring(shell, [path], qtbot)
    written = bringing_in.bring_in

    def stopped_at_once(desk: Desk, plan: Preview, progress: Progress | None = None) -> Changed:
        shell.office.runner.stop()  # the person clicks Stop while it writes
        return written(desk, plan, progress)

    monkeypatch.setattr(bringing_in, "bring_in", stopped_at_once)
    page.primary()
    qtbot.waitUntil(lambda: not shell.office.runner.busy)
    QApplication.processEvents()
    assert list_customers(desk)[0] == []
    assert page.readings
    assert page._reason() == ""


def test_esc_leads_back_to_the_place_that_the_page_was_opened_from(shell: Shell) -> None:
    shell.open("day")
    shell.open("bringing in")
    assert shell.here_key == "bringing in"
    press(Key.Key_Escape)
    assert shell.here_key == "day"


PEOPLE = (
    "Name,Phone,Vehicle\nAnn Marlow,2125550142,2014 blue wagon\n"
    "Our regulars,2125550143,2018 grey van\nZoe Tarn,2125550144,\n"
)


def row_named(page: BringingInPage, what: str) -> int:
    """The place of a line in the table."""
    return next(at for at, line in enumerate(page._shown) if line.what == what)


def settled(page: BringingInPage, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: page._reason() == "")


def test_del_leaves_a_line_out_and_takes_it_in_again(
    shell: Shell, desk: Desk, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "people.csv"
    path.write_text(PEOPLE, encoding="utf-8")
    page = bring(shell, [path], qtbot)
    press(Key.Key_3, ALT)
    page.lines.go(row_named(page, "Our regulars"))
    at = page.lines.current_key()
    press(Key.Key_Delete)
    settled(page, qtbot)
    assert page.lines.current_key() == at  # nothing jumps
    assert page.plan is not None
    assert page.plan.total("left") == 2
    press(Key.Key_Delete)
    settled(page, qtbot)
    assert page.plan.total("left") == 0
    press(Key.Key_Delete)
    settled(page, qtbot)
    press(Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: not page.readings)
    assert [row.name for row in list_customers(desk)[0]] == ["Ann Marlow", "Zoe Tarn"]


@pytest.mark.parametrize(
    ("key", "names"),
    [
        (Key.Key_F6, ["Robert Hill"]),
        (Key.Key_F7, ["Bob Hill", "Robert Hill"]),
        (None, ["Bob Hill", "Robert Hill"]),
    ],
)
def test_a_near_name_is_asked_about_and_answered_by_a_key(
    shell: Shell,
    desk: Desk,
    tmp_path: Path,
    qtbot: QtBot,
    key: Qt.Key | None,
    names: list[str],
) -> None:
    path = tmp_path / "people.csv"
    path.write_text("Name,City\nRobert Hill,Tarn\nBob Hill,Tarn\n", encoding="utf-8")
    page = bring(shell, [path], qtbot)
    press(Key.Key_3, ALT)
    assert page.lines.current_key() == row_named(page, "Bob Hill")  # what asks stands first
    assert page.plan is not None
    assert page.plan.asked() == 1
    if key is not None:
        press(key)
        settled(page, qtbot)
        assert page.plan.asked() == 0
    press(Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: not page.readings)
    assert [row.name for row in list_customers(desk)[0]] == names


def test_a_column_that_is_little_certain_is_marked_and_said(
    shell: Shell, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "shelf.csv"
    path.write_text(
        "Product,Pack size,Unit\nSoap,1 gal,$24\nWax,1 gal,$9\nTar remover,1 gal,$3\n",
        encoding="utf-8",
    )
    page = bring(shell, [path], qtbot)
    assert "1 little certain" in page.strip.entries[1].result
    press(Key.Key_2, ALT)
    press(Key.Key_F8)
    assert page.headings.current_key() == (0, 0, 2)
    assert page.plan is not None
    assert any("by its values alone" in note for note in page.plan.notes)


def test_a_file_that_keeps_its_reader_busy_is_stopped_and_the_page_is_ready_again(
    shell: Shell, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "endless.csv"
    path.write_text("Name,Phone\n" + "".join(f"Ann M{i},2125550142\n" for i in range(200_000)))
    shell.open_item("bringing in", (path,))
    page = shell.here
    assert isinstance(page, BringingInPage)
    qtbot.waitUntil(lambda: bool(multiprocessing.active_children()))
    shell.office.runner.stop()  # the person clicks Stop while it reads
    qtbot.waitUntil(lambda: not shell.office.runner.busy)
    assert multiprocessing.active_children() == []
    assert page.readings == ()
    assert page.plan is None
