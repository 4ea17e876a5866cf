"""A log that another book left beside this one is moved aside, and never read into it."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from app.errors import BookBusy, Mendable
from app.records.book import Book
from app.records.salvage.salvaging import salvage
from app.records.storage import backup, lineage
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


# Books so like that no page looks torn


@pytest.fixture
def left(path: Path, tmp_path: Path) -> Path:
    """The book of a program that was killed with what it wrote last in the log; and a backup."""
    folder = tmp_path / "killed"
    folder.mkdir()
    book = Book.open(path)
    add_customer(book, "Bram")
    book.backup(folder / "copy")
    add_customer(book, "Dora")
    for tail in ("", "-wal"):
        shutil.copyfile(path.with_name(path.name + tail), folder / f"shop.bayledger{tail}")
    book.close()
    return folder / "shop.bayledger"


def _older_copy(path: Path, template: Path) -> None:
    """The book as a second PC had it, where one other customer was added since."""
    shutil.copyfile(template, path)
    log = path.with_name(path.name + "-wal")
    hidden = log.rename(path.with_name("hidden"))
    with Book.open(path) as other:
        add_customer(other, "Cosmo")
    hidden.rename(log)


def _the_books_own_backup(path: Path, _template: Path) -> None:
    os.replace(path.with_name("copy"), path)


@pytest.mark.parametrize("put", [_older_copy, _the_books_own_backup])
@pytest.mark.parametrize("write", [False, True])
def test_a_log_is_not_mixed_into_a_copy_of_its_own_book(
    left: Path, template: Path, put: Callable[[Path, Path], None], write: bool
) -> None:
    put(left, template)
    with Book.open(left, write=write) as book:
        found = names(book)
        assert found[1:] == (["Cosmo"] if put is _older_copy else ["Bram"])
        assert "Another file was put in the place of shop.bayledger" in book.at_opening
        assert aside(left)[0] in book.at_opening
        assert book.check() == []
    assert len(aside(left)) == 1


@pytest.mark.parametrize("write", [False, True])
def test_a_log_of_many_changes_and_foldings_is_read_into_its_own_book(
    path: Path, tmp_path: Path, write: bool
) -> None:
    for number in range(30):
        book = Book.open(path)
        for customer in range(number % 4):
            add_customer(book, f"Customer {number} {customer}")
        if number % 3 == 0:
            with book._engine.connect() as connection:
                connection.exec_driver_sql("PRAGMA wal_checkpoint")
        add_customer(book, f"Last {number}")
        killed = tmp_path / f"killed {number}.bayledger"
        for tail in ("", "-wal"):
            shutil.copyfile(path.with_name(path.name + tail), killed.with_name(killed.name + tail))
        with Book.open(killed, write=write) as again:
            assert names(again) == names(book)
            assert again.at_opening == ""
        book.close()


def test_a_log_that_says_nothing_is_read_where_it_fits(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lineage, "draw_next", lambda _connection: None)  # an earlier version
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA user_version = 0")
    book = Book.open(path)
    add_customer(book, "Bram")
    killed = tmp_path / "killed.bayledger"
    for tail in ("", "-wal"):
        shutil.copyfile(path.with_name(path.name + tail), killed.with_name(killed.name + tail))
    book.close()
    with Book.open(killed) as again:
        assert names(again)[-1] == "Bram"


def test_neither_an_old_log_nor_an_old_file_is_taken_for_the_books_own_unasked(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of an earlier version both say 0, as any two of its books do: whether pages fit is asked."""
    monkeypatch.setattr(lineage, "draw_next", lambda _connection: None)
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA user_version = 0")
    with Book.open(path) as book:
        for number in range(300):  # the file grows: its first page, with the 0, is in the log
            add_customer(book, f"Customer {number} " + "of the long name " * 20)
        killed = tmp_path / "killed.bayledger"
        for tail in ("", "-wal"):
            shutil.copyfile(path.with_name(path.name + tail), killed.with_name(killed.name + tail))
    assert lineage.follows(killed) is None


def test_a_book_that_was_replaced_under_its_writer_is_not_read_with_the_writers_log(
    path: Path, template: Path
) -> None:
    writer = Book.open(path)
    add_customer(writer, "Bram")
    other = path.with_name("other")
    shutil.copyfile(template, other)
    with Book.open(other) as another:
        add_customer(another, "Cosmo")
    os.replace(other, path)
    with pytest.raises(BookBusy, match="while it was open in another window"):
        Book.open(path, write=False)
    writer.close()
    with Book.open(path, write=False) as book:
        assert names(book)[-1] == "Cosmo"


def test_nothing_new_is_made_where_a_log_would_be_read_into_it(path: Path, tmp_path: Path) -> None:
    new = tmp_path / "new.bayledger"
    log = tmp_path / "new.bayledger-wal"
    log.write_bytes(b"what a killed program left")
    with pytest.raises(Mendable, match="would be read into new"):
        Book.create(new)
    with pytest.raises(Mendable, match="would be read into new"):
        salvage(path, new)
    with Book.open(path) as book, pytest.raises(Mendable, match="would be read into new"):
        book.backup(new)
    assert log.read_bytes() == b"what a killed program left"
    assert not new.exists()
