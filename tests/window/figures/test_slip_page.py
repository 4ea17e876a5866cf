"""The slip by keys: what came today, another time, other days, and its paper."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.actions.costs.expenses import Typed, write_expense
from app.actions.figures import filings
from app.actions.jobs.job_changes import take_money
from app.window.figures.slip_page import SlipPage
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.places import asides, places
from tests.shop import SmallShop
from tests.window.keys import press, type_words

Key = Qt.Key
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def page(
    office: Office,
    shop: SmallShop,
    shown: Callable[[QWidget, int, int], QWidget],
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> SlipPage:
    """The slip of August 2025, with a deposit that came today; 14 August."""
    monkeypatch.setattr("app.window.figures.slip_page.open_outside", lambda _path: None)
    take_money(office.desk, shop.jobs["0412"], "60 cash")
    shell = Shell(office, places(), asides=asides())
    shown(shell, 1366, 768)
    shell.open("more")
    shell.open("slip")
    made = shell.place("slip")
    assert isinstance(made, SlipPage)
    qtbot.waitUntil(lambda: made._shown is not None)
    return made


def titled(page: SlipPage, title: str, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: page.title == title)


def amounts(page: SlipPage) -> dict[str, str]:
    entries = page.steps.entries
    rows = range(len(page.steps.rows))
    return {entries.cell(at, 0).text.strip("+−= "): entries.cell(at, 1).text for at in rows}


def test_what_came_today_stands_on_it_and_earlier_there_is_nothing(
    page: SlipPage, qtbot: QtBot
) -> None:
    titled(page, "Slip for August 2025", qtbot)
    assert amounts(page)["deposits taken"] == "60.00"
    assert amounts(page)["All that came in"] == "60.00"
    assert "so far" in page.subtitle
    press(Key.Key_PageDown)
    assert page.office.trouble == "Nothing was earned after today."
    press(Key.Key_PageUp)
    titled(page, "Slip for July 2025", qtbot)
    assert not page.steps.rows
    assert page.held.isHidden()
    assert page.office.trouble == ""
    press(Key.Key_Y)
    titled(page, "Slip for 2025", qtbot)
    press(Key.Key_Q)
    titled(page, "Slip for July to September 2025", qtbot)
    assert amounts(page)["Received for work"] == "60.00"


def test_other_days_are_typed_and_esc_leaves_them(page: SlipPage, qtbot: QtBot) -> None:
    press(Key.Key_F)
    press(Key.Key_Escape)
    assert page.form.isHidden()
    assert page.steps.hasFocus()
    press(Key.Key_F)
    type_words("2025-08-14")
    press(Key.Key_Return)
    type_words("2025-08-13")
    press(Key.Key_Return)
    assert "before it begins" in page.office.trouble
    page.last.selectAll()
    type_words("2025-08-14")
    press(Key.Key_Return)
    titled(page, "Slip for 14 August 2025", qtbot)
    assert amounts(page)["deposits taken"] == "60.00"
    press(Key.Key_PageUp)
    titled(page, "Slip for 13 August 2025", qtbot)
    assert (page._first, page._last) == (date(2025, 8, 13),) * 2


def test_ctrl_enter_writes_the_paper_beside_the_book(page: SlipPage) -> None:
    press(Key.Key_Return, CONTROL)
    (path,) = page.office.desk.book.path.parent.rglob("slip for august 2025.pdf")
    assert path.parent.name == "slips"
    assert "60.00" in PdfReader(path).pages[0].extract_text()
    assert str(path) in page.office.saved


def test_p_turns_to_profit_and_back(page: SlipPage, qtbot: QtBot) -> None:
    titled(page, "Slip for August 2025", qtbot)
    write_expense(page.office.desk, Typed(kind="fuel", amount="40"))
    page.refresh(page.shows)
    press(Key.Key_P)
    qtbot.waitUntil(lambda: amounts(page).get("Profit") == "−40.00")
    assert page.beside.isHidden()
    press(Key.Key_P)
    qtbot.waitUntil(lambda: "Profit" not in amounts(page))


def test_filed_days_are_locked_by_asking_twice_and_unlocked_with_a_reason(
    page: SlipPage, qtbot: QtBot
) -> None:
    office = page.office
    press(Key.Key_L)
    assert "not over" in office.trouble
    press(Key.Key_PageUp)
    titled(page, "Slip for July 2025", qtbot)
    press(Key.Key_U)
    assert "None of these days is locked" in office.trouble
    press(Key.Key_L)
    assert "L again" in office.question
    with office.desk.book.reading() as session:
        assert filings.queries.filings(session) == []
    press(Key.Key_L)
    locked = "Filed on 14 August 2025; locked since."
    qtbot.waitUntil(lambda: page._shown is not None and page._shown.filing == locked)
    press(Key.Key_L)
    assert "already; unlock them first" in office.trouble
    press(Key.Key_U)
    press(Key.Key_Escape)
    assert page.why_form.isHidden()
    press(Key.Key_U)
    type_words("a receipt was missing")
    press(Key.Key_Return)
    words = "Filed on 14 August 2025, unlocked on 14 August 2025: a receipt was missing."
    qtbot.waitUntil(lambda: page._shown is not None and page._shown.filing == words)
