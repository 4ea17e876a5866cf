"""What the disk and the file did is said in plain words: damage as damage, a full disk as full."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select, text

from app.errors import BookDamaged, Mendable, Stopped, stoppable
from app.records.book import Book
from app.records.models import Customer, Job, Movement, Supply
from tests.records.shop import MONDAY, add_customer, set_use
from tests.records.test_book import names

HARM = {
    "text cut in a letter": ("UPDATE customers SET name = CAST(x'4e6fc3' AS TEXT)", Customer),
    "a day that is none": ("UPDATE customers SET since = '2025-02-31'", Customer),
    "a number for a day": ("UPDATE customers SET since = 7", Customer),
    "broken JSON": ("UPDATE supplies SET hazard_statements = '[\"H31'", Supply),
    "bytes for JSON": ("UPDATE supplies SET hazard_statements = x'ff'", Supply),
    "a moment that is none": ("UPDATE movements SET at = 'noon'", Movement),
}


@pytest.fixture
def damaged(path: Path, request: pytest.FixtureRequest) -> Path:
    with Book.open(path) as book, book.load() as session:
        session.execute(text(request.param))
    return path


@pytest.mark.parametrize(("damaged", "kind"), HARM.values(), ids=HARM, indirect=["damaged"])
def test_a_value_that_cannot_be_read_is_damage_and_says_what_to_do(
    damaged: Path, kind: type
) -> None:
    with Book.open(damaged) as book:
        with pytest.raises(BookDamaged) as told, book.reading() as session:
            session.scalars(select(kind)).all()
        assert str(damaged) in told.value.sentence
        assert "restore the last backup (bayledger restore BACKUP BOOK)" in told.value.sentence
        assert "bayledger salvage BOOK NEW" in told.value.sentence
        assert book.glance() == told.value.sentence


@pytest.mark.parametrize("damaged", ["UPDATE jobs SET number = 'first'"], indirect=True)
def test_what_a_damaged_number_does_to_our_own_code_is_damage_too(damaged: Path) -> None:
    with Book.open(damaged) as book:
        with pytest.raises(BookDamaged), book.reading() as session:
            max(session.scalars(select(Job.number)).all()) + 1
        with pytest.raises(BookDamaged), book.damage_told():
            sum(["first", 1])  # type: ignore[list-item]


@pytest.mark.parametrize("table", ["judgements", "customers"])
def test_a_table_that_is_gone_under_an_open_book_is_damage(book: Book, table: str) -> None:
    with book.reading() as session:
        session.scalars(select(Customer)).all()
    raw = book._engine.raw_connection()
    raw.execute("PRAGMA query_only = OFF")  # type: ignore[attr-defined]
    raw.execute("PRAGMA foreign_keys = OFF")  # type: ignore[attr-defined]
    raw.execute(f"DROP TABLE {table}")  # type: ignore[attr-defined]
    raw.close()
    with pytest.raises(BookDamaged), book.reading() as session:
        session.execute(text(f"SELECT * FROM {table}"))


def test_a_complaint_of_sqlite_that_is_no_text_itself_is_damage(path: Path) -> None:
    """It quotes the name of what is wrong in the schema; there a byte was flipped."""
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA writable_schema = ON")
        raw.execute(
            "UPDATE sqlite_master SET name = CAST(x'6a6f96' AS TEXT), sql = 'CREATE' "
            "WHERE name = 'jobs'"
        )
        raw.commit()
    with pytest.raises(BookDamaged, match="is damaged"):
        Book.open(path)


def test_our_own_mistake_in_a_whole_book_is_no_damage(book: Book) -> None:
    for wrong in ("2025-02-31", "soon"):
        with pytest.raises(ValueError, match=r"isoformat|month|day"), book.reading():
            date.fromisoformat(wrong)
    with pytest.raises(TypeError), book.change("x"):
        sum(["a", 1])  # type: ignore[list-item]
    assert book.glance() == ""


def test_a_look_through_that_is_no_longer_wanted_ends(book: Book) -> None:
    with book.load() as session:
        session.add_all(Customer(name=f"Customer {number}") for number in range(20_000))
    with pytest.raises(Stopped), stoppable(lambda: True):
        book.glance()


def test_errors_do_not_tell_what_was_written(book: Book) -> None:
    with pytest.raises(Exception, match="hidden") as told, book.change("x") as session:
        session.add_all(Job(number=900, title="Ada Quillfeather") for _ in range(2))
    assert "Quillfeather" not in str(told.value)


# A full disk


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of a few megabytes; only who runs everything can have one."""
    place = tmp_path / "disk"
    place.mkdir()
    made = None
    if hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("mount"):
        made = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", str(place)],
            capture_output=True,
            check=False,
        )
    if made is None or made.returncode:
        pytest.skip("no disk can be made here")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def add_many(book: Book) -> None:
    for _ in range(200):
        add_customer(book, "Bram")


def fill(disk: Path) -> Path:
    filler = disk / "filler"
    with filler.open("wb", buffering=0) as file:
        while True:
            try:
                file.write(bytes(4096))
            except OSError:
                return filler


def test_on_a_full_disk_a_book_is_read_and_what_would_write_says_full(
    path: Path, small_disk: Path
) -> None:
    book = Path(shutil.copyfile(path, small_disk / "shop.bayledger"))
    fill(small_disk)
    with Book.open(book, write=False) as opened:
        assert names(opened) == ["Ada Quillfeather"]
        assert opened.check() == []
        with pytest.raises(Mendable, match="full"):
            opened.backup(small_disk / "copy.bayledger")
    with pytest.raises(Mendable, match=r"^The disk with .* is full"):
        Book.open(book)


def test_a_disk_that_fills_up_under_an_open_book_says_full_and_reading_goes_on(
    path: Path, small_disk: Path
) -> None:
    place = Path(shutil.copyfile(path, small_disk / "shop.bayledger"))
    with Book.open(place) as book:
        filler = fill(small_disk)
        with pytest.raises(Mendable, match=r"^The disk with .* is full"):
            add_many(book)
        count = len(names(book))
        assert book.check() == []
        filler.unlink()
        set_use(book, MONDAY, 5)
        assert len(names(book)) == count
