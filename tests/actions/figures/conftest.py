"""A year of the made-up shop, which the tests of figures read and none of them changes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest

from app.actions.desk.desk import Desk
from app.demo.story import build_demo
from app.records.book import Book
from tests.shop import Clock

TODAY = date(2026, 8, 14)


@pytest.fixture(scope="package")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A year of the made-up shop, as it stands on its last day."""
    path = tmp_path_factory.mktemp("demo") / "demo.bayledger"
    build_demo(path, years=1, jobs_per_week=6, seed=3, today=TODAY)
    with Book.open(path) as book:
        yield Desk(book, Clock(TODAY))
