"""Rows of every kind, for export and for bringing in."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from app.records.book import Book
from app.records.models import Record
from app.records.queries import everything


@pytest.fixture
def book(tmp_path: Path) -> Book:
    return Book.create(tmp_path / "shop.bayledger")


def test_every_table_but_the_log_is_a_kind(book: Book) -> None:
    assert set(everything.kinds()) == set(Record.metadata.tables) - {"actions", "images"}
    book.close()


def test_a_book_holds_nothing_until_somebody_or_something_stands_in_it(book: Book) -> None:
    with book.reading() as session:
        assert everything.holds_nothing(session)
    with book.load() as session:
        everything.add(session, "settings", [{"name": "shop_name", "value": "Lindmoor"}])
    with book.reading() as session:
        assert everything.holds_nothing(session)
    with book.load() as session:
        everything.add(session, "suppliers", [{"name": "Tuesday van"}])
    with book.reading() as session:
        assert not everything.holds_nothing(session)
    book.close()


def test_rows_written_in_bulk_keep_their_numbers_and_get_the_usual_defaults(book: Book) -> None:
    with book.load() as session:
        rows = ({"id": n, "name": f"Ann {n}"} for n in range(5, 5000, 2))
        assert everything.insert_rows(session, "customers", rows) == 2498
    with book.reading() as session:
        assert everything.count(session, "customers") == 2498
        first = next(everything.rows(session, "customers"))
    assert (first["id"], first["name"], first["notes"], first["deceased"]) == (
        5,
        "Ann 5",
        "",
        False,
    )
    assert first["since"] is None
    book.close()


def test_rows_are_added_and_changed_as_an_action_that_can_be_undone(book: Book) -> None:
    with book.change("add") as session:
        (key,) = everything.add(session, "supplies", [{"name": "Wash soap", "kind": "liquid"}])
    with book.change("change") as session:
        everything.change(session, "supplies", key, {"hazard_statements": ["H319"]})
    with book.reading() as session:
        assert next(everything.rows(session, "supplies"))["hazard_statements"] == ["H319"]
    book.undo(today=date(2025, 8, 14))
    with book.reading() as session:
        assert next(everything.rows(session, "supplies"))["hazard_statements"] == []
    with pytest.raises(LookupError), book.change("nobody") as session:
        everything.change(session, "supplies", 99, {"name": "x"})
    book.close()


def test_moments_days_and_values_come_as_they_are(book: Book) -> None:
    at = datetime(2025, 8, 14, 22, 54, 1, 5, tzinfo=UTC)
    with book.load() as session:
        everything.add(session, "supplies", [{"name": "Wash soap", "kind": "liquid"}])
        line = {
            "supply_id": 1,
            "day": at.date(),
            "at": at,
            "kind": "counted",
            "quantity": 5,
            "value": 7,
        }
        everything.add(session, "movements", [line])
    with book.reading() as session:
        told = next(everything.rows(session, "movements"))
    assert {name: told[name] for name in line} == line
    book.close()


def test_what_must_be_said_what_may_be_empty_and_what_is_unique() -> None:
    assert everything.required("supplies") == {"name", "kind"}
    assert "year" in everything.empty_allowed("vehicles")
    assert "supply_id" in everything.bound("movements")
    assert "job_id" not in everything.bound("movements")
    assert "number" in everything.unique("jobs")
