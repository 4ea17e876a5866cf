"""The one rate of tax, and which services are taxed, stand by kind after version 0008."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from app.records.book import Book
from app.records.models import Service, Setting, TaxRate
from app.records.storage.engine import engine_for
from tests.records.books.make import make
from tests.records.shop import MONDAY
from tests.records.storage.test_third_version import AT, change, write

WASH = {"id": 1, "name": "wash", "outside": 1, "minutes": 60, "price": 9000, "stopped": 0,
        "notes": ""}  # fmt: skip


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A book of before with a rate of 7.25 % and a service that is not taxed any more."""
    path = tmp_path / "old.bayledger"
    make("0007", path)
    write(path, "settings", {"name": "tax_rate", "value": "7250"})
    write(path, "services", {**WASH, "taxed": 0}, {**WASH, "id": 2, "name": "coat", "taxed": 1})
    return path


def test_the_shops_rate_is_the_first_one_of_work_and_services_say_their_kind(old: Path) -> None:
    with Book.open(old) as book, book.reading() as session:
        (rate,) = session.query(TaxRate)
        assert (rate.kind, rate.place, rate.rate) == ("work", "", 7250)
        assert rate.from_day < date(2000, 1, 1)
        assert {one.name: one.tax_kind for one in session.query(Service)} == {
            "wash": "", "coat": "work",
        }  # fmt: skip
        assert session.get(Setting, "tax_rate") is None


def test_that_a_service_was_taxed_is_still_undone(old: Path) -> None:
    write(old, "actions", {
        "id": 2, "name": "Changed the service wash", "at": AT, "kinds": '["services"]',
        "state": "done",
    })  # fmt: skip
    write(old, "images", {
        "id": 2, "action_id": 2, "position": 0, "table_name": "services", "row_key": "1",
        "before": json.dumps({"taxed": True}), "after": json.dumps({"taxed": False}),
    })  # fmt: skip
    with Book.open(old) as book:
        book.undo(today=MONDAY)
        with book.reading() as session:
            assert session.get_one(Service, 1).tax_kind == "work"


def test_a_printed_tax_keeps_its_words_after_the_migration(old: Path) -> None:
    Book.open(old).close()
    with pytest.raises(IntegrityError, match="never changes"):
        change(old, "UPDATE invoice_taxes SET words = 'other'")
    engine = engine_for(old, write=False)
    with engine.connect() as connection:
        assert connection.execute(text("SELECT words FROM invoice_taxes")).scalar() == ""
    engine.dispose()
