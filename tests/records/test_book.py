"""Opening, reading and changing a book: one writer, all or nothing, durable."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import insert, select, text, update

from app.errors import BookBusy, BookDamaged, BookTooNew, Mendable, Refused
from app.records.book import Book
from app.records.contents import contents
from app.records.models import Action, Customer, Image, Job, OwnerLink, Setting, Supply
from tests import ROOT, WAIT
from tests.records.shop import MONDAY, NOON, add_customer
from tests.steps import steps


def run(code: str, *arguments: object) -> subprocess.CompletedProcess[str]:
    """Another process of ours, with the book's path as its first argument."""
    return subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=WAIT,
        check=False,
    )


def names(book: Book) -> list[str]:
    with book.reading() as session:
        return list(session.scalars(select(Customer.name).order_by(Customer.id)))


# Opening


def test_a_new_book_is_empty_whole_and_one_file(tmp_path: Path) -> None:
    with Book.create(tmp_path / "Quillfeather & Co #1 50%.bayledger") as book:
        assert book.check() == []
        assert book.next_undo() is None
        assert not any(contents(book).values())
    seen = [path.name for path in tmp_path.iterdir() if not path.name.startswith(".")]
    assert seen == ["Quillfeather & Co #1 50%.bayledger"]


def test_a_new_book_never_replaces_what_is_there(path: Path) -> None:
    before = path.read_bytes()
    with pytest.raises(Mendable, match="exists already"):
        Book.create(path)
    assert path.read_bytes() == before


def test_a_new_book_needs_its_folder(tmp_path: Path) -> None:
    with pytest.raises(Mendable, match="There is no folder"):
        Book.create(tmp_path / "nowhere" / "shop.bayledger")


def test_a_missing_book_is_said_to_be_missing(tmp_path: Path) -> None:
    for write in (True, False):
        with pytest.raises(Mendable, match="There is no book at"):
            Book.open(tmp_path / "shop.bayledger", write=write)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_is_not_a_book(tmp_path: Path) -> None:
    with pytest.raises(Mendable, match="is a folder"):
        Book.open(tmp_path)


@pytest.mark.parametrize("inside", [b"", b"hello", b"SQLite format 3\x00", b"PK\x03\x04" * 500])
def test_a_file_of_something_else_is_refused_and_left_alone(tmp_path: Path, inside: bytes) -> None:
    path = tmp_path / "shop.bayledger"
    path.write_bytes(inside)
    for write in (True, False):
        with pytest.raises(BookDamaged):
            Book.open(path, write=write)
    assert path.read_bytes() == inside


def test_another_programs_database_is_refused(tmp_path: Path) -> None:
    import sqlite3

    path = tmp_path / "other.db"
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE customers (id INTEGER)")
    other.commit()
    other.close()
    with pytest.raises(BookDamaged, match="holds no Bayledger book"):
        Book.open(path)


@pytest.mark.parametrize("lost", [100, 4096, 200_000])
def test_a_copy_that_broke_off_is_refused(path: Path, lost: int) -> None:
    path.write_bytes(path.read_bytes()[:-lost])
    for write in (True, False):
        with pytest.raises(BookDamaged, match="restore the last backup"):
            Book.open(path, write=write)


def test_a_book_with_a_page_of_rubbish_fails_in_plain_words(path: Path) -> None:
    whole = bytearray(path.read_bytes())
    for place in range(4096, len(whole)):
        whole[place] = 0xA5
    path.write_bytes(bytes(whole))
    with pytest.raises(BookDamaged), Book.open(path) as book:
        add_customer(book, "Bram")


def test_a_book_from_a_newer_version_is_refused_and_left_alone(path: Path) -> None:
    with Book.open(path) as book, book.load() as session:
        session.execute(text("UPDATE alembic_version SET version_num = '9000'"))
    before = path.read_bytes()
    for write in (True, False):
        with pytest.raises(BookTooNew, match="its tables are version 9000, and this one") as told:
            Book.open(path, write=write)
        assert "Update Bayledger here, or use a backup from before" in told.value.sentence
    assert path.read_bytes() == before


def test_a_book_without_one_of_its_tables_is_damaged(path: Path) -> None:
    with Book.open(path) as book, book.load() as session:
        session.execute(text("DROP TABLE judgements"))
    with pytest.raises(BookDamaged):
        Book.open(path)


# Reading and changing


def test_what_a_change_did_is_there_when_the_book_is_opened_again(path: Path) -> None:
    with Book.open(path) as book:
        add_customer(book, "Bram")
    with Book.open(path, write=False) as book:
        assert names(book) == ["Ada Quillfeather", "Bram"]


def test_a_change_that_fails_leaves_nothing(book: Book) -> None:
    before = contents(book), book.history()

    def add_two() -> None:
        with book.change("Add two") as session:
            session.add(Customer(name="Bram"))
            session.flush()
            session.add(Customer(name=str(1 // 0)))

    with pytest.raises(ZeroDivisionError):
        add_two()
    assert (contents(book), book.history()) == before


def test_a_commit_in_the_middle_makes_no_half_action_last(book: Book) -> None:
    before = contents(book)

    def add_two() -> None:
        with book.change("Add two") as session:
            session.add(Customer(name="Bram"))
            session.commit()
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        add_two()
    assert contents(book) == before


def test_a_change_of_nothing_is_not_logged(book: Book) -> None:
    before = book.history()
    with book.change("Nothing") as session:
        customer = session.get_one(Customer, 1)
        customer.name, customer.phone = "Other", "1"
        session.flush()
        customer.name, customer.phone = "Ada Quillfeather", ""
    assert book.history() == before


def test_the_log_says_what_was_done_when_and_on_which_day(book: Book) -> None:
    with book.change("Add Bram", day=MONDAY, kinds=["money", "customers"], at=NOON) as session:
        session.add(Customer(name="Bram"))
    newest = book.history(1)[0]
    assert (newest.name, newest.day, newest.at, newest.undone) == ("Add Bram", MONDAY, NOON, False)
    with book.reading() as session:
        action = session.get_one(Action, newest.id)
        assert action.kinds == ["customers", "money"]


def test_reading_refuses_to_write(book: Book) -> None:

    def write() -> None:
        with book.reading() as session:
            session.add(Customer(name="Bram"))
            session.flush()

    with pytest.raises(RuntimeError, match="reading session"):
        write()
    assert names(book) == ["Ada Quillfeather"]


def test_a_view_stays_as_it_was_while_others_write(book: Book) -> None:
    with book.reading() as session:
        first = session.scalars(select(Customer.name)).all()
        add_customer(book, "Bram")
        assert session.scalars(select(Customer.name)).all() == first
    assert names(book) == [*first, "Bram"]


def test_a_change_within_a_change_is_our_bug(book: Book) -> None:
    with pytest.raises(RuntimeError, match="change within a change"), book.change("One"):
        add_customer(book, "Bram")


def test_a_closed_book_is_closed(path: Path) -> None:
    book = Book.open(path)
    book.close()
    book.close()
    with pytest.raises(RuntimeError, match="is closed"):
        add_customer(book, "Bram")


def test_statements_that_change_many_rows_are_refused(book: Book) -> None:
    for statement in (
        update(Customer).values(name="x"),
        insert(Customer).values(name="x"),
        text("UPDATE customers SET name = 'x'"),
    ):
        with pytest.raises(RuntimeError, match="one by one"), book.change("Many") as session:
            session.execute(statement)
    assert names(book) == ["Ada Quillfeather"]


def test_founding_work_may_change_many_rows_and_is_not_logged(book: Book) -> None:
    before = book.history()
    with book.load() as session:
        session.execute(insert(Customer), [{"name": f"customer {n}"} for n in range(1000)])
    assert len(names(book)) == 1001
    assert book.history() == before


def test_a_row_that_others_need_is_not_taken_out(book: Book) -> None:
    with book.change("Ada's wagon") as session:
        session.add(OwnerLink(vehicle_id=1, customer_id=1))
    with (
        pytest.raises(Refused, match=r"^The customer Ada Quillfeather cannot be removed: .* needs"),
        book.change("Remove") as session,
    ):
        session.delete(session.get_one(Customer, 1))
    assert names(book) == ["Ada Quillfeather"]


def test_the_version_grows_with_every_change_and_only_then(book: Book) -> None:
    first = book.version
    names(book)
    assert book.version == first
    add_customer(book, "Bram")
    second = book.version
    assert second != first
    book.undo(today=MONDAY)
    assert book.version not in (first, second)


def test_a_reader_sees_another_version_after_the_writer_changed(path: Path) -> None:
    with Book.open(path) as writer, Book.open(path, write=False) as reader:
        before = reader.version
        add_customer(writer, "Bram")
        assert reader.version != before


def test_ten_times_the_rows_take_ten_times_the_steps_at_the_most(book: Book) -> None:
    def change(rows: int) -> None:
        with book.change("Rows") as session:
            session.add_all(Customer(name=f"customer {n}") for n in range(rows))

    change(20)
    few, many = (steps(lambda rows=rows: change(rows)) for rows in (20, 200))
    assert many < 10 * few


@pytest.mark.parametrize(
    ("name", "value"), [("number", 10**30), ("title", "\ud800")], ids=["number", "surrogate"]
)
def test_a_value_that_cannot_be_kept_is_said_so(book: Book, name: str, value: object) -> None:
    before = contents(book)
    with pytest.raises(Mendable, match=r"cannot be kept|too large"), book.change("Odd") as session:
        setattr(session.get_one(Job, 1), name, value)
    assert contents(book) == before


def test_an_overflow_of_our_own_is_not_blamed_on_the_entry(book: Book) -> None:
    with pytest.raises(OverflowError), book.change("Odd"):
        float(10**400)


def test_a_naive_moment_is_refused(book: Book) -> None:
    with (
        pytest.raises(Exception, match="time zone"),
        book.change("x", at=datetime(2025, 1, 1)) as s,
    ):
        s.add(Customer(name="Bram"))
    assert names(book) == ["Ada Quillfeather"]


# One writer


def test_a_second_writer_is_told_who_must_wait(path: Path) -> None:
    with Book.open(path), pytest.raises(BookBusy, match="open in another window or command"):
        Book.open(path)
    Book.open(path).close()


def test_a_second_writer_by_another_name_of_the_file_is_told_too(path: Path) -> None:
    link = path.with_name("link.bayledger")
    link.symlink_to(path)
    with Book.open(path), pytest.raises(BookBusy):
        Book.open(link)


def test_readers_read_while_one_writes(path: Path) -> None:
    with Book.open(path) as writer, Book.open(path, write=False) as reader:
        with writer.change("Add") as session:
            session.add(Customer(name="Bram"))
            session.flush()
            assert names(reader) == ["Ada Quillfeather"]
        assert names(reader) == ["Ada Quillfeather", "Bram"]
        with pytest.raises(Mendable, match="for reading only"):
            add_customer(reader, "Cosmo")


def test_the_book_can_be_closed_in_another_thread(path: Path) -> None:
    book = Book.open(path)
    closer = threading.Thread(target=book.close)
    closer.start()
    closer.join()
    Book.open(path).close()


def test_two_threads_take_turns(book: Book) -> None:
    def add(letter: str) -> None:
        for number in range(10):
            add_customer(book, f"{letter}{number}")

    threads = [threading.Thread(target=add, args=(letter,)) for letter in "ab"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(names(book))[1:] == sorted(f"{a}{n}" for a in "ab" for n in range(10))
    assert book.check() == []


OPEN_AND_SAY = """
import sys
from pathlib import Path
from app.errors import Mendable
from app.records.book import Book
try:
    with Book.open(Path(sys.argv[1]), write=sys.argv[2] == "write") as book:
        print("open", book.next_undo())
except Mendable as error:
    print(type(error).__name__, error)
"""


def test_another_process_may_read_but_not_write(path: Path) -> None:
    with Book.open(path):
        assert run(OPEN_AND_SAY, path, "write").stdout.startswith("BookBusy ")
        assert run(OPEN_AND_SAY, path, "read").stdout == "open Found the shop\n"
    assert run(OPEN_AND_SAY, path, "write").stdout == "open Found the shop\n"


# Crashes and power cuts

DIE = """
import os, sys
from pathlib import Path
from app.records.book import Book
from app.records.models import Customer
book = Book.open(Path(sys.argv[1]))
with book.change("Add Bram") as session:
    session.add(Customer(name="Bram"))
with book.change("Add Cosmo") as session:
    session.add(Customer(name="Cosmo"))
    session.flush()
    if sys.argv[2] == "within":
        os._exit(9)
os._exit(9)
"""


@pytest.mark.slow
@pytest.mark.parametrize(("when", "kept"), [("within", ["Bram"]), ("after", ["Bram", "Cosmo"])])
def test_a_process_that_dies_loses_nothing_saved_and_leaves_nothing_half(
    path: Path, when: str, kept: list[str]
) -> None:
    assert run(DIE, path, when).returncode == 9
    with Book.open(path) as book:
        assert names(book) == ["Ada Quillfeather", *kept]
        assert book.next_undo() == f"Add {kept[-1]}"
        assert book.check() == []
        book.undo(today=MONDAY)
        assert names(book)[1:] == kept[:-1]


def test_what_is_on_the_disk_after_a_change_is_enough(path: Path, tmp_path: Path) -> None:
    """A power cut leaves the file and its log, as they are right after the change returned."""
    cut = tmp_path / "cut"
    cut.mkdir()
    with Book.open(path) as book:
        add_customer(book, "Bram")
        for side in ("", "-wal"):
            shutil.copyfile(f"{path}{side}", cut / f"shop.bayledger{side}")
    with Book.open(cut / "shop.bayledger") as book:
        assert names(book) == ["Ada Quillfeather", "Bram"]


def test_every_commit_is_pushed_to_the_disk(book: Book) -> None:
    """SQLite documentation, PRAGMA synchronous: 2 is FULL, 3 is EXTRA, both durable with a log."""
    with book._engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() in (2, 3)
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1


# What the disk or the rights do


def test_a_full_disk_is_said_plainly_and_nothing_is_changed(book: Book) -> None:
    before = contents(book)
    with book._engine.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
    full = r"disk with .* is full; nothing was changed"
    with pytest.raises(Mendable, match=full), book.change("Long notes") as session:
        session.add(Setting(name="long", value="x" * 500_000))
    assert contents(book) == before


def as_one_whom_rights_bind(action: Callable[[], str]) -> str:
    """What the action says, or the error that it ends in, for someone who is not the superuser."""

    def say() -> str:
        try:
            return action()
        except Exception as error:
            return f"{type(error).__name__} {error}"

    if os.geteuid() != 0:
        return say()
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.setuid(65534)
        os.write(write, say().encode())
        os._exit(0)
    os.close(write)
    with os.fdopen(read) as pipe:
        said = pipe.read()
    os.waitpid(child, 0)
    return said


@pytest.mark.skipif(os.name == "nt", reason="rights to folders are kept otherwise there")
@pytest.mark.parametrize("locked", ["folder", "file"])
def test_without_the_right_to_write_one_can_still_read(template: Path, locked: str) -> None:
    def opened(path: Path, write: bool) -> Callable[[], str]:
        def action() -> str:
            with Book.open(path, write=write) as book:
                return f"open {book.next_undo()} {names(book)}"

        return action

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        path = Path(shutil.copyfile(template, folder / "shop.bayledger"))
        path.chmod(0o444)
        folder.chmod(0o555 if locked == "folder" else 0o777)
        try:
            written = as_one_whom_rights_bind(opened(path, write=True))
            assert written.startswith("Mendable "), written
            assert "cannot be written" in written
            read = as_one_whom_rights_bind(opened(path, write=False))
            assert read == "open Found the shop ['Ada Quillfeather']"
        finally:
            folder.chmod(0o755)


def test_days_instants_and_lists_come_back_as_they_were(book: Book) -> None:
    at = datetime(2025, 3, 30, 1, 59, 59, 123_456, tzinfo=UTC)
    with book.change("Job", at=NOON) as session:
        job = session.get_one(Job, 1)
        job.promised_at, job.last_day = at, MONDAY
        session.get_one(Supply, 1).hazard_statements = ["H319", "H412"]
    with book.change("Other") as session:
        session.get_one(Job, 1).promised_at = None
        session.get_one(Supply, 1).hazard_statements = []
    book.undo(today=MONDAY)
    with book.reading() as session:
        job = session.get_one(Job, 1)
        assert (job.promised_at, job.last_day) == (at, MONDAY)
        assert session.get_one(Supply, 1).hazard_statements == ["H319", "H412"]
        assert session.scalars(select(Image)).all()
