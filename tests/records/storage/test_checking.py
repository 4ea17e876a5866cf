"""A check finds what is wrong and says it plainly; a whole book has nothing to say."""

from __future__ import annotations

import pytest
from sqlalchemy import text

from app.records.book import Book
from app.records.models import Receipt
from tests.records.shop import DAYS, MONDAY, WAX, close_day, reopen_day, set_use, take_money


@pytest.fixture
def worked(book: Book) -> Book:
    """A book with a closed day, one that was reopened and closed again, and money."""
    for day in DAYS[:2]:
        set_use(book, day, 50_000)
        set_use(book, day, 20_000, WAX)
        take_money(book, day, 9_000)
        close_day(book, day)
    reopen_day(book, DAYS[1], DAYS[2])
    close_day(book, DAYS[1])
    return book


def test_a_whole_book_has_nothing_to_say(worked: Book) -> None:
    assert worked.check() == []


@pytest.mark.parametrize(
    ("harm", "sentence"),
    [
        ("UPDATE movements SET quantity = quantity - 1 WHERE id = 3", "differs from the lines"),
        ("UPDATE balances SET value = value + 1 WHERE id = 1", "snapshot of rinseless wash on"),
        ("UPDATE uses SET quantity = quantity + 1 WHERE id = 1", "not what the shelf's ledger"),
        ("UPDATE uses SET cost = cost + 1 WHERE id = 1", "not what the shelf's ledger says"),
        ("UPDATE uses SET booked = 0 WHERE id = 1", "1 of its uses are not booked"),
        ("UPDATE movements SET value = 1 WHERE counters_id IS NOT NULL", "does not take back"),
        ("UPDATE receipts SET counters_id = 2, kind = 'reversed' WHERE id = 1", "not take back"),
        ("UPDATE layer_events SET surface_group = 'trim' WHERE kind = 'reversed'", "in layer_ev"),
        ("UPDATE customers SET since = 'in May'", "A line in customers cannot be read"),
        ("UPDATE supplies SET hazard_statements = '[H319'", "in supplies cannot be read"),
    ],
)
def test_what_is_wrong_is_found(worked: Book, harm: str, sentence: str) -> None:
    with worked.load() as session:
        session.execute(text(harm))
    found = worked.check()
    assert found
    assert any(sentence in line for line in found), found


def test_a_reference_that_leads_nowhere_is_found(worked: Book) -> None:
    with worked._engine.connect() as connection:
        raw = connection.connection.driver_connection
        assert raw is not None
        raw.execute("PRAGMA query_only = OFF")
        raw.execute("PRAGMA foreign_keys = OFF")
        raw.execute("DELETE FROM customers")
        raw.execute("PRAGMA foreign_keys = ON")
    assert "A line in jobs points to a line in customers that is not there." in worked.check()


def test_a_line_taken_back_twice_is_found_though_the_tables_forbid_it(worked: Book) -> None:
    with worked.load() as session:
        session.execute(text("DROP INDEX ix_receipts_counters_id"))
        line = session.get_one(Receipt, 1)
        for _ in (1, 2):
            session.add(Receipt(**line.counter(), day=line.day, at=line.at, counters_id=1))
    assert worked.check() == ["Line 1 in receipts is taken back twice."]


def test_a_snapshot_of_any_day_is_checked_not_only_the_last(worked: Book) -> None:
    with worked.load() as session:
        session.execute(text(f"UPDATE balances SET quantity = 1 WHERE day = '{MONDAY}'"))
    assert len(worked.check()) == 2
