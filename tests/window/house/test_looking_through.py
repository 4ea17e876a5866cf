"""An open book is looked through once a day, and damage is said in the foot."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PySide6.QtCore import QSettings
from pytestqt.qtbot import QtBot
from sqlalchemy import text

from app.actions.day.closing import close_day
from app.actions.desk.desk import Desk
from app.window.house.looking_through import LOOKED, look_at_backup, look_through
from app.window.house.office import Office
from tests.shop import SmallShop
from tests.window.conftest import NOW


@pytest.fixture
def looks(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What each look through the book found."""
    found: list[str] = []
    glance = desk.book.glance

    def look() -> str:
        found.append(glance())
        return found[-1]

    monkeypatch.setattr(desk.book, "glance", look)
    return found


def test_a_whole_book_is_looked_through_once_a_day(
    office: Office,
    settings: QSettings,
    looks: list[str],
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for _ in range(2):
        look_through(office, settings)
        qtbot.waitUntil(lambda: not office.runner.busy)
    assert looks == [""]
    assert office.trouble == ""
    assert str(settings.value(LOOKED)).startswith("2025-08-14 ")
    monkeypatch.setattr(office.desk, "clock", lambda: NOW + timedelta(days=1))
    look_through(office, settings)
    qtbot.waitUntil(lambda: not office.runner.busy)
    assert looks == ["", ""]


def test_a_damaged_book_is_said_to_be_damaged_at_every_opening(
    office: Office, settings: QSettings, looks: list[str], qtbot: QtBot
) -> None:
    with office.desk.book.load() as session:
        session.execute(text("UPDATE settings SET value = '{' WHERE name = 'shop_name'"))
        session.execute(
            text("INSERT INTO suppliers (id, name, email, phone, address, account_no, freight, "
                 "minimum_order, hazard_fee, order_weekdays, notes, use_tax_rate) VALUES "
                 "(9, CAST(x'4e6fc3' AS TEXT), '', '', '', '', 0, 0, 0, '', '', 0)")
        )  # fmt: skip
    for _ in range(2):
        office.say("")
        look_through(office, settings)
        qtbot.waitUntil(lambda: not office.runner.busy)
        assert "is damaged" in office.trouble
        assert "bayledger restore BACKUP BOOK" in office.trouble
        assert "bayledger salvage BOOK NEW" in office.trouble
    assert len(looks) == 2
    assert settings.value(LOOKED) is None


def test_once_a_month_the_foot_says_what_the_newest_backup_holds(
    office: Office,
    settings: QSettings,
    shop: SmallShop,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    said: list[str] = []
    look_at_backup(office, settings)
    qtbot.waitUntil(lambda: not office.runner.busy)
    assert office.saved == office.trouble == ""  # no day was closed: nothing is missed
    made = close_day(office.desk, shop.today).made
    for month in (8, 8, 9):
        office.say("")
        monkeypatch.setattr(office.desk, "clock", lambda month=month: NOW.replace(month=month))
        look_at_backup(office, settings)
        qtbot.waitUntil(lambda: not office.runner.busy)
        said.append(office.saved)
    assert f"opens and holds {made.jobs} jobs" in said[0]
    assert said[1] == ""
    assert f"opens and holds {made.jobs} jobs" in said[2]


def test_a_backup_that_does_not_open_is_said_each_time(
    office: Office, settings: QSettings, shop: SmallShop, qtbot: QtBot
) -> None:
    made = close_day(office.desk, shop.today).made.path
    assert made is not None
    made.write_bytes(made.read_bytes()[:20_000])
    for _ in range(2):
        office.say("")
        look_at_backup(office, settings)
        qtbot.waitUntil(lambda: not office.runner.busy)
        assert "is damaged; make another one now" in office.trouble
