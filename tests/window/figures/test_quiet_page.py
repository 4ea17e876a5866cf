"""Who has gone quiet, by keys: from Figures to the list, to a customer, a booking, no letter."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.records.models import Job
from app.window.figures.quiet_page import QuietPage
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.places import asides, places
from tests.shop import TODAY, SmallShop
from tests.window.keys import press

Key = Qt.Key


@pytest.fixture
def shell(office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget]) -> Shell:
    """Figures; Jonas Quell came monthly, the last time half a year ago, and is not booked."""
    quell = shop.customers["quell"]
    with office.desk.book.load() as session:
        for job in session.query(Job):
            job.state = "cancelled"
        for at in range(5):
            day = TODAY - timedelta(days=180 + 30 * at)
            session.add(Job(number=800 + at, customer_id=quell, state="done", done_on=day,
                            first_day=day, last_day=day))  # fmt: skip
    made = Shell(office, places(), asides=asides())
    shown(made, 1366, 768)
    made.open("figures")
    return made


@pytest.fixture
def page(shell: Shell, qtbot: QtBot) -> QuietPage:
    press(Key.Key_Q)
    made = shell.place("quiet")
    assert isinstance(made, QuietPage)
    qtbot.waitUntil(lambda: bool(made.table.rows))
    return made


def test_the_list_says_why_and_leads_to_the_customer_and_back(
    page: QuietPage, shell: Shell, qtbot: QtBot
) -> None:
    assert page.table.entries.cell(1, 0).text == "Jonas Quell"
    assert page.table.entries.cell(1, 3).text.startswith("Came about every 30 days")
    assert "So long by chance" in str(page.margin.note)
    press(Key.Key_Return)
    assert shell.here_key == "customers"
    shell.open("quiet")
    press(Key.Key_B)
    assert shell.here_key == "jobs"


def test_a_letter_that_is_not_due_is_not_written(page: QuietPage, shell: Shell) -> None:
    press(Key.Key_L)
    assert shell.here_key == "quiet"
    assert page.office.trouble == page.row.reason != ""
    press(Key.Key_Escape)
    assert shell.here_key == "figures"
