"""The desk: the shop's own date, and what is kept until the book changes."""

from __future__ import annotations

import threading
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


def elsewhere(do):
    thread = threading.Thread(target=do)
    thread.start()
    thread.join()


def test_what_another_thread_changed_meanwhile_is_not_taken_for_current(desk):
    desk.remembered(("slow",), lambda: "before")
    with desk.still_standing({"slow"}):
        elsewhere(lambda: add(desk, "of the other thread"))
    assert desk.remembered(("slow",), lambda: "after") == "after"


def test_nor_what_it_changed_just_before_a_change_that_leaves_it(desk):
    desk.remembered(("slow",), lambda: "before")
    with desk.still_standing({"slow"}):
        elsewhere(lambda: add(desk, "of the other thread"))
        add(desk, "of this one")
    assert desk.remembered(("slow",), lambda: "after") == "after"


def test_what_was_worked_out_while_the_book_changed_is_kept_for_nobody(desk):
    def work_out():
        elsewhere(lambda: add(desk, "in the middle"))
        return "half old"

    assert desk.remembered(("slow",), work_out) == "half old"
    assert desk.remembered(("slow",), lambda: "whole") == "whole"


def test_two_threads_remember_and_change_without_tripping_over_each_other(desk):
    wrong = []

    def look(word):
        for number in range(300):
            version = desk.book.version
            found = desk.remembered((word, number % 7), lambda: desk.book.version)
            if found < version:
                wrong.append((version, found))

    def change():
        for number in range(60):
            with desk.still_standing({"nothing of this"}):
                add(desk, f"customer {number}")

    threads = [threading.Thread(target=look, args=(word,)) for word in "ab"]
    threads.append(threading.Thread(target=change))
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"zone": "Mars/Base"}, "no time zone"),
        ({"currency": "DOLLARS"}, "not a currency code"),
        ({"service_quantile": 1.0}, "between 0.5 and 1"),
        ({"hourly_rate": -5}, "below zero"),
        ({"shoe_size": 43}, "no setting"),
    ],
)
def test_a_setting_that_cannot_be_says_why(values, says):
    with pytest.raises(Mendable, match=says):
        checked(values)
