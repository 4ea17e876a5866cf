"""What a paper printed of tax is carried by its lines after version 0007, and still stays."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import select

from app.records.book import Book
from app.records.models import Customer, InvoiceLine, InvoiceTax, Job
from tests.records.books.make import make
from tests.records.storage.test_third_version import write


def test_the_first_line_of_a_rate_carries_its_tax_and_nobody_pays_for_another_yet(
    tmp_path: Path,
) -> None:
    path = tmp_path / "old.bayledger"
    make("0006", path)
    line = {"invoice_id": 1, "job_id": 1, "charge_id": None, "text": "more", "amount": 0}
    write(
        path,
        "invoice_lines",
        {"id": 2, "position": 2, "tax_rate": 7250, "tax_letter": "A", **line},
        {"id": 3, "position": 3, "tax_rate": 0, "tax_letter": "", **line},
    )
    with Book.open(path) as book, book.reading() as session:
        (printed,) = session.scalars(select(InvoiceTax.tax))
        query = select(InvoiceLine.tax).order_by(InvoiceLine.id)
        assert list(session.scalars(query)) == [printed, 0, 0]
        assert session.scalar(select(Job.payer_id)) is None
        someone = session.scalars(select(Customer)).one()
        assert (someone.payer_id, someone.terms_days) == (None, None)
    with sqlite3.connect(path) as other:
        for column in ("tax", "amount"):
            with pytest.raises(sqlite3.IntegrityError, match="an issued invoice never changes"):
                other.execute(f"UPDATE invoice_lines SET {column} = 1")
