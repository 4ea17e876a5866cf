"""Bulk rows of a book that is being founded."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select
from sqlalchemy.exc import IntegrityError

from app.records.book import Book
from app.records.models import Customer
from app.records.queries.everything import blank, insert_rows, update_rows


def test_a_blank_row_has_every_column_at_its_default():
    row = blank("customers")
    assert set(row) == {column.name for column in Customer.__table__.columns}
    assert row["may_remind"] is True
    assert row["notes"] == ""
    assert row["since"] is None


def test_every_blank_row_has_a_list_of_its_own():
    blank("vehicles")["exposure"]["stands"] = "street"
    assert blank("vehicles")["exposure"] == {}


def test_rows_written_and_changed_in_bulk_stand_in_the_book(tmp_path: Path):
    with Book.create(tmp_path / "shop.bayledger") as book:
        with book.load() as session:
            rows = [blank("customers") | {"id": n, "name": f"Person {n}"} for n in range(1, 501)]
            insert_rows(session, "customers", rows)
            update_rows(session, "customers", [{"id": 7, "deceased": True, "notes": "gone"}])
            insert_rows(session, "customers", [])
            update_rows(session, "customers", [])
        with book.reading() as session:
            people = session.scalars(select(Customer).order_by(Customer.id)).all()
            assert [one.id for one in people] == list(range(1, 501))
            assert [one.id for one in people if one.deceased] == [7]
        assert book.check() == []
        assert book.next_undo() is None


def test_a_row_that_points_to_nothing_leaves_the_book_as_it_was(tmp_path: Path):
    with Book.create(tmp_path / "shop.bayledger") as book:
        with pytest.raises(IntegrityError):
            _found_with_a_stray_link(book)
        with book.reading() as session:
            assert session.scalars(select(Customer)).all() == []


def _found_with_a_stray_link(book: Book) -> None:
    with book.load() as session:
        insert_rows(session, "customers", [blank("customers") | {"id": 1, "name": "Ida Morrow"}])
        link = {"id": 1, "vehicle_id": 99, "customer_id": 1, "from_day": date(2025, 1, 2)}
        insert_rows(session, "owner_links", [blank("owner_links") | link])
