"""A book knows which rows its last changes touched, and says so where it does not know."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.records.book import Book
from app.records.models import Customer, OwnerLink, Vehicle
from app.records.undo.touched import KEPT
from tests.shop import TODAY, empty_book


@pytest.fixture
def book(tmp_path: Path) -> Book:
    return empty_book(tmp_path / "shop.bayledger")


def add(book: Book, row: object) -> None:
    with book.change("added", day=TODAY) as session:
        session.add(row)


def test_rows_are_named_by_table_and_key_with_the_vehicle_they_are_about(book: Book) -> None:
    before = book.version
    add(book, Customer(id=4, name="Mara Tolk"))
    add(book, Vehicle(id=9, description="grey wagon"))
    add(book, OwnerLink(id=2, vehicle_id=9, customer_id=4))
    touched = book.touched_since(before)
    assert touched is not None
    assert [(one.table, one.key, set(one.vehicles)) for one in touched] == [
        ("customers", 4, set()), ("vehicles", 9, set()), ("owner_links", 2, {9})
    ]  # fmt: skip
    assert book.touched_since(book.version) == ()


def test_what_is_undone_is_touched_again(book: Book) -> None:
    add(book, Customer(id=4, name="Mara Tolk"))
    before = book.version
    book.undo(today=TODAY)
    touched = book.touched_since(before)
    assert touched is not None
    assert [(one.table, one.key) for one in touched] == [("customers", 4)]


def test_what_is_loaded_in_bulk_is_not_known_also_after_a_change_that_failed(book: Book) -> None:
    before = book.version
    with pytest.raises(Exception, match=r"(?i)foreign|needs|not in"):
        add(book, OwnerLink(id=2, vehicle_id=9, customer_id=4))
    with book.load() as session:
        session.add(Customer(id=4, name="Mara Tolk"))
    assert book.touched_since(before) is None


def test_changes_of_long_ago_are_forgotten(book: Book) -> None:
    first = book.version
    for at in range(KEPT + 1):
        if at == 1:
            second = book.version
        add(book, Customer(name=f"Customer {at}"))
    assert book.touched_since(first) is None
    assert len(book.touched_since(second) or ()) == KEPT
