"""The desk: the shop's own date, and what is kept until the book changes."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from app.actions.desk.settings import checked
from app.errors import Mendable
from app.records.models import Customer
from app.records.queries import settings as queries
from tests.shop import TODAY


def test_the_day_is_the_shops_own_not_that_of_utc(desk, clock):
    # 04:54 in the morning of the 15th in UTC is still the evening of the 14th in Chicago.
    clock.now = datetime(2025, 8, 15, 4, 54, tzinfo=UTC)
    assert desk.today == TODAY
    with desk.book.load() as session:
        queries.write(session, {"zone": "Europe/Vienna"})
    desk.reload()
    assert desk.today == date(2025, 8, 15)


def add(desk, name):
    with desk.book.change(name) as session:
        session.add(Customer(name=name))


def test_a_remembered_value_is_worked_out_once_until_the_book_changes(desk):
    asked = []

    def work_out():
        asked.append(1)
        return len(asked)

    assert [desk.remembered(("sum",), work_out) for _ in range(3)] == [1, 1, 1]
    add(desk, "A")
    assert desk.remembered(("sum",), work_out) == 2


def test_what_a_change_leaves_as_it_is_stays_remembered(desk):
    desk.remembered(("slow", 1), lambda: "kept")
    desk.remembered(("quick", 1), lambda: "gone")
    with desk.still_standing({"slow"}):
        add(desk, "B")
    assert desk.remembered(("slow", 1), lambda: "again") == "kept"
    assert desk.remembered(("quick", 1), lambda: "again") == "again"


def test_what_was_old_already_does_not_come_back(desk):
    desk.remembered(("slow",), lambda: "old")
    add(desk, "C")
    with desk.still_standing({"slow"}):
        add(desk, "D")
    assert desk.remembered(("slow",), lambda: "new") == "new"


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"zone": "Mars/Base"}, "no time zone"),
        ({"currency": "DOLLARS"}, "not a currency code"),
        ({"tax_rate": -1}, "between 0 and 100 %"),
        ({"service_quantile": 1.0}, "between 0.5 and 1"),
        ({"hourly_rate": -5}, "below zero"),
        ({"shoe_size": 43}, "no setting"),
    ],
)
def test_a_setting_that_cannot_be_says_why(values, says):
    with pytest.raises(Mendable, match=says):
        checked(values)
