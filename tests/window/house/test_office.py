"""The office: long undoing in the one queue, and what was asked for meanwhile."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from pytestqt.qtbot import QtBot

from app.actions.day.closing import close_day
from app.actions.desk.desk import Desk
from app.actions.people import customers
from app.actions.people.customers import add_customer
from app.actions.shop.shop_settings import change_settings
from app.records.contents import contents
from app.records.models import Customer
from app.window.house.office import SHORT_UNDO, Office
from app.window.house.runner import BUG_SENTENCE, Runner
from app.window.paper.theme import Theme
from tests.shop import SmallShop
from tests.window.conftest import Written

MANY = SHORT_UNDO + 20


def count(office: Office) -> int:
    with office.desk.book.reading() as session:
        return session.query(Customer).count()


def add_many(office: Office) -> None:
    with office.desk.book.change("Bring in people", kinds=["customers"]) as session:
        session.add_all([Customer(name=f"Customer {number}") for number in range(MANY)])


def test_little_is_undone_at_once(office: Office) -> None:
    office.act(lambda: customers.add_customer(office.desk, name="Ada Quillfeather"))
    office.undo()
    assert count(office) == 0
    assert not office.runner.busy
    assert office.saved.endswith(": undone")
    office.redo()
    assert count(office) == 1
    assert office.saved.endswith(": done again")


def test_much_is_undone_in_the_background_with_the_sheet_locked(
    office: Office, qtbot: QtBot
) -> None:
    add_many(office)
    kinds: list[frozenset[str]] = []
    office.changed.connect(kinds.append)
    office.undo()
    assert office.runner.writing is not None
    assert "Still undoing" in office.locked(office.day)
    qtbot.waitUntil(lambda: not office.runner.busy)
    assert count(office) == 0
    assert office.saved == "Bring in people: undone"
    assert office.redoable
    assert kinds == [frozenset({"customers"})]
    assert office.locked(office.day) == ""
    office.redo()
    assert office.runner.writing is not None
    qtbot.waitUntil(lambda: not office.runner.busy)
    assert count(office) == MANY
    assert not office.redoable


def test_undoing_takes_back_what_was_asked_for_before_it_and_not_what_came_after(
    office: Office, written: Written
) -> None:
    desk = office.desk
    end = written()
    office.act(lambda: customers.add_customer(desk, name="Ada Quillfeather"))
    office.undo()
    office.act(lambda: customers.add_customer(desk, name="Bram Tock"))
    assert count(office) == 0
    assert office.waiting_words() == "Two entries waiting to be written"
    end()
    with desk.book.reading() as session:
        assert [one.name for one in session.query(Customer)] == ["Bram Tock"]


def test_an_undo_that_finds_nothing_when_its_turn_comes_says_so(
    office: Office, written: Written
) -> None:
    end = written()
    office.undo()
    end()
    assert "nothing to undo" in office.trouble


@pytest.mark.logs_an_error
def test_a_bug_in_what_had_to_wait_is_said_and_the_rest_is_written_all_the_same(
    office: Office, written: Written, caplog: pytest.LogCaptureFixture
) -> None:
    desk = office.desk

    def broken() -> None:
        with desk.book.change("Nothing"):
            raise ZeroDivisionError

    end = written()
    office.act(lambda: customers.add_customer(desk, name="Ada Quillfeather"))
    office.act(broken, "77 mL")
    office.act(lambda: customers.add_customer(desk, name="Bram Tock"))
    end()
    assert count(office) == 2
    assert office.trouble == f"“77 mL” is not written: {BUG_SENTENCE}"
    assert "ZeroDivisionError" in caplog.text


def test_what_is_changed_while_the_clock_is_wrong_is_asked_about_first(
    desk: Desk, shop: SmallShop, theme: Theme, runner: Runner
) -> None:
    close_day(desk, desk.today)
    desk.clock = lambda: datetime(2019, 3, 5, 18, tzinfo=UTC)
    office = Office(desk, theme, runner)
    for change in (
        lambda: add_customer(desk, name="Bram"),
        lambda: change_settings(desk, shop_name="Lindmoor"),
    ):
        before = contents(desk.book)
        assert office.act(change) is None
        assert "lies later than 5 March 2019; press Ctrl M" in office.trouble
        assert contents(desk.book) == before
    office.open_day(date(2025, 8, 15))
    office.mean_day()
    assert office.act(lambda: add_customer(desk, name="Bram")) is not None
