"""A log that another book left beside this one is moved aside, and never read into it."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from app.records.book import Book
from app.records.storage import backup
from tests.records.shop import add_customer
from tests.records.test_book import names


@pytest.fixture
def swapped(path: Path, tmp_path: Path) -> tuple[Path, list[str]]:
    """A book in the place of another whose program was killed; who stands in it."""
    other = tmp_path / "other.bayledger"
    with Book.create(other) as book:
        for number in range(300):
            add_customer(book, f"Another customer {number}")
        theirs = names(book)
    with Book.open(path) as before:
        for number in range(200):
            add_customer(before, f"Customer {number}")
    killed = Book.open(path)
    add_customer(killed, "Bram")
    left = tmp_path / "left"
    shutil.copyfile(path.with_name(path.name + "-wal"), left)
    killed.close()
    os.replace(other, path)
    os.replace(left, path.with_name(path.name + "-wal"))
    return path, theirs


def aside(path: Path) -> list[str]:
    return [one.name for one in path.parent.glob("* log of another book.bayledger-wal")]


@pytest.mark.parametrize("write", [False, True])
def test_a_log_of_another_book_is_moved_aside(swapped: tuple[Path, list[str]], write: bool) -> None:
    path, theirs = swapped
    with Book.open(path, write=write) as book:
        assert names(book) == theirs
        assert book.check() == []
    assert len(aside(path)) == 1


def test_a_book_that_is_moved_aside_by_a_restore_takes_no_other_books_log_along(
    swapped: tuple[Path, list[str]], template: Path
) -> None:
    path, theirs = swapped
    former = backup.restore(template, path)
    assert former is not None
    with Book.open(former, write=False) as book:
        assert names(book) == theirs
        assert book.check() == []


def test_the_log_of_the_book_itself_is_read(path: Path, tmp_path: Path) -> None:
    book = Book.open(path)
    add_customer(book, "Bram")
    killed = tmp_path / "killed.bayledger"
    for tail in ("", "-wal"):
        shutil.copyfile(path.with_name(path.name + tail), killed.with_name(killed.name + tail))
    book.close()
    for write in (False, True):
        with Book.open(killed, write=write) as again:
            assert names(again)[-1] == "Bram"
    assert aside(killed) == []


def test_the_log_of_a_book_that_is_written_in_now_is_left_alone(path: Path) -> None:
    with Book.open(path) as writer:
        add_customer(writer, "Bram")
        with Book.open(path, write=False) as reader:
            assert names(reader)[-1] == "Bram"
        add_customer(writer, "Cosmo")
    assert aside(path) == []
