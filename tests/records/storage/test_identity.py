"""A book whose file was replaced, deleted or written over while it is open claims nothing more."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from app.errors import BookBusy, BookGone
from app.records.book import Book
from app.records.models import Customer
from tests.records.test_book import OPEN_AND_SAY, add_customer, names, run

ADA = "Ada Quillfeather"


def _replaced(path: Path) -> None:
    other = path.with_name("other")
    shutil.copyfile(path, other)
    os.replace(other, path)


def _written_over_an_hour_ago(path: Path) -> None:
    then = path.stat().st_mtime - 3600
    os.utime(path, (then, then))


HARM: dict[str, tuple[Callable[[Path], object], str]] = {
    "replaced": (_replaced, "was replaced by another file"),
    "deleted": (Path.unlink, "was deleted, moved or renamed"),
    "renamed": (lambda path: path.rename(path.with_name("b")), "was deleted, moved or renamed"),
    "folder gone": (
        lambda path: path.parent.rename(path.parent.with_name("gone")),
        "its folder or disk is gone",
    ),
    "log deleted": (
        lambda path: path.with_name(path.name + "-wal").unlink(),
        "has lost shop.bayledger-wal, which holds what was written last",
    ),
    "written over": (_written_over_an_hour_ago, "was written over by another program"),
}


@pytest.fixture
def opened(path: Path) -> Book:
    place = path.parent / "own"
    place.mkdir()
    return Book.open(path.rename(place / "shop.bayledger"))


@pytest.mark.parametrize("harm", HARM)
def test_nothing_more_is_claimed_as_saved(opened: Book, harm: str) -> None:
    do, words = HARM[harm]
    do(opened.path)
    with pytest.raises(BookGone, match=words) as told:
        add_customer(opened, "Bram")
    assert "Save what is open here under another name" in told.value.sentence
    assert names(opened) == [ADA]  # what is open can still be read
    opened.close()


@pytest.mark.parametrize("harm", HARM)
def test_what_is_open_is_saved_under_another_name(opened: Book, harm: str, tmp_path: Path) -> None:
    add_customer(opened, "Bram")
    HARM[harm][0](opened.path)
    saved = opened.save_elsewhere(tmp_path / "saved.bayledger")
    opened.close()
    with Book.open(saved) as book:
        assert names(book) == [ADA, "Bram"]
        assert book.check() == []


@pytest.mark.parametrize("harm", ["replaced", "deleted", "renamed", "folder gone"])
def test_a_backup_is_not_made_of_a_book_that_is_not_there(opened: Book, harm: str) -> None:
    HARM[harm][0](opened.path)
    with pytest.raises(BookGone):
        opened.backup()
    assert opened.newest_backup() is None
    opened.close()


def test_what_was_put_in_its_place_is_left_as_it_is(opened: Book) -> None:
    path = opened.path
    _replaced(path)
    before = path.read_bytes()
    opened.close()
    assert path.read_bytes() == before


def test_no_log_of_what_was_open_is_read_into_another_book(opened: Book) -> None:
    path, other = opened.path, opened.path.with_name("other.bayledger")
    with Book.create(other) as book:
        for number in range(300):
            add_customer(book, f"Another customer {number}")
        theirs = names(book)
    for number in range(20):
        add_customer(opened, f"Customer {number}")  # stands in the log alone
    os.replace(other, path)
    opened.close()
    with Book.open(path) as book:
        assert names(book) == theirs
        assert book.check() == []


def test_a_book_renamed_while_it_is_open_takes_what_was_typed_along(opened: Book) -> None:
    add_customer(opened, "Bram")
    moved = opened.path.rename(opened.path.with_name("moved.bayledger"))
    opened.close()
    with Book.open(moved) as book:
        assert names(book) == [ADA, "Bram"]


def test_a_change_that_is_under_way_when_the_file_goes_is_not_said_to_be_saved(
    opened: Book,
) -> None:
    def change() -> None:
        with opened.change("Add") as session:
            session.add(Customer(name="Bram"))
            opened.path.unlink()

    with pytest.raises(BookGone):
        change()
    opened.close()


def test_a_change_of_ours_long_after_the_last_is_not_taken_for_another_s(opened: Book) -> None:
    _written_over_an_hour_ago(opened.path)
    opened._file.note_own_change()  # as if it had last been changed by us then
    for name in ("Bram", "Cosmo"):
        with opened._engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA wal_autocheckpoint = 1")
        add_customer(opened, name)
        assert time.time() - opened.path.stat().st_mtime < 600
    assert names(opened) == [ADA, "Bram", "Cosmo"]
    opened.close()


# The locks that SQLite holds on the file


def test_a_new_book_keeps_its_log_when_a_reader_comes_and_goes(tmp_path: Path) -> None:
    """A file that a process opens and closes by itself loses the locks that SQLite has on it
    (sqlite.org/howtocorrupt.html, 2.2); the reader then took the log away, with all changes."""
    path = tmp_path / "new.bayledger"
    with Book.create(path) as book:
        assert run(OPEN_AND_SAY, path, "read").stdout == "open None\n"
        add_customer(book, "Bram")
        assert run(OPEN_AND_SAY, path, "read").stdout != "open None\n"
        assert path.with_name("new.bayledger-wal").exists()


def test_a_book_that_is_asked_for_once_more_in_this_process_keeps_its_log(path: Path) -> None:
    with Book.open(path) as book:
        with pytest.raises(BookBusy):
            Book.open(path)
        run(OPEN_AND_SAY, path, "read")
        add_customer(book, "Bram")
        with Book.open(path, write=False) as reader:
            assert names(reader) == [ADA, "Bram"]
        assert path.with_name(path.name + "-wal").exists()


# Two names of one file


def test_a_second_name_of_the_same_file_is_the_same_book(path: Path) -> None:
    folder = path.parent / "elsewhere"
    folder.mkdir()
    link = folder / "second.bayledger"
    os.link(path, link)
    with Book.open(path), pytest.raises(BookBusy, match="open under another name"):
        Book.open(link)
    with Book.open(link):
        assert run(OPEN_AND_SAY, path, "write").stdout.startswith("BookBusy ")
    Book.open(path).close()
