"""A log that was moved aside is brought back as a book of its own; the open one stays as it is."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from app.actions.desk.desk import Desk
from app.actions.shop.moved_logs import bring_back_log
from app.errors import Mendable
from app.records.book import Book
from tests.records.shop import add_customer
from tests.records.test_book import names
from tests.shop import small_book


@pytest.fixture
def replaced(tmp_path: Path) -> Path:
    """A book whose older copy was put in its place while what was written last is in the log."""
    path = tmp_path / "shop.bayledger"
    small_book(path)
    log, older = path.with_name(f"{path.name}-wal"), tmp_path / "older"
    shutil.copyfile(path, older)
    book = Book.open(path)
    add_customer(book, "Dora")
    shutil.copyfile(log, tmp_path / "left")
    book.close()
    with Book.open(older) as other:
        add_customer(other, "Cosmo")
    older.replace(path)
    (tmp_path / "left").replace(log)
    return path


def test_what_a_log_holds_is_looked_at_in_a_book_of_its_own(replaced: Path) -> None:
    with Book.open(replaced) as book:
        assert "Ctrl K, Bring back a log" in book.at_opening
        before = names(book)
        said = bring_back_log(Desk(book))
        assert names(book) == before
        assert book.check() == []
    (made,) = replaced.parent.glob("* log of another book, brought back.bayledger")
    assert made.name in said
    assert "this has what the log says" in said
    with Book.open(made, write=False) as back:
        assert "Dora" in names(back)
        assert "Cosmo" not in names(back)
        assert back.check() == []
    assert not made.with_name(f"{made.name}-wal").exists()
    assert len(list(replaced.parent.glob("* log of another book.bayledger-wal"))) == 1


def test_where_no_log_was_moved_aside_it_says_so(tmp_path: Path) -> None:
    path = tmp_path / "shop.bayledger"
    small_book(path)
    with Book.open(path) as book, pytest.raises(Mendable, match="No log was moved aside"):
        bring_back_log(Desk(book))
