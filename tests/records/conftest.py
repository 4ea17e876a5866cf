"""A small book for every test, copied from one that is made once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.records.book import Book
from tests.records.shop import copy_shop, found_shop


@pytest.fixture(scope="session")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small shop's book, closed."""
    path = tmp_path_factory.mktemp("template") / "template.bayledger"
    found_shop(path)
    return path


@pytest.fixture
def path(template: Path, tmp_path: Path) -> Path:
    """A copy of the small shop's book, closed."""
    return copy_shop(template, tmp_path)


@pytest.fixture
def book(path: Path) -> Iterator[Book]:
    """A copy of the small shop's book, open for writing."""
    with Book.open(path) as book:
        yield book
