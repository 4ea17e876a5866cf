"""Whatever became of a book's file: a new whole book and what is lost, or one plain sentence."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections import Counter
from contextlib import closing, suppress
from datetime import date, timedelta
from pathlib import Path
from random import Random

import pytest
from sqlalchemy import select, text

from app.errors import BookBusy, BookDamaged, BookTooNew, Mendable
from app.records import stock
from app.records.book import Book
from app.records.contents import contents
from app.records.models import Customer, DaySheet, Job, Receipt
from app.records.queries import settings
from app.records.salvage.pages import Pages
from app.records.salvage.salvaging import Salvaged, salvage
from tests.records.books.make import FOLDER, ROWS
from tests.records.salvage.harm import HARM, PAGE
from tests.records.shop import (
    MONDAY,
    WAX,
    add_customer,
    close_day,
    found_shop,
    prepare_reminder,
    reopen_day,
    set_use,
    take_money,
)

LAST = MONDAY + timedelta(days=39)


@pytest.fixture(scope="module")
def year(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book of forty days, one of which was reopened, closed."""
    path = tmp_path_factory.mktemp("salvage") / "year.bayledger"
    found_shop(path)
    with Book.open(path) as book:
        for number in range(40):
            day = MONDAY + timedelta(days=number)
            add_customer(book, f"Customer number {number} " + "of the long name " * 8)
            set_use(book, day, 1000 * number + 500)
            set_use(book, day, 300, WAX)
            take_money(book, day, 9_000 + number)
            prepare_reminder(book, day)
            close_day(book, day)
        reopen_day(book, MONDAY, LAST)
        close_day(book, MONDAY)
        assert book.check() == []
    return path


@pytest.fixture
def harmed(year: Path, tmp_path: Path) -> Path:
    """A copy of it to do harm to."""
    return Path(shutil.copyfile(year, tmp_path / "shop.bayledger"))


def rows(path: Path) -> dict[str, Counter[str]]:
    """What stands in each table, but for what is made anew."""
    with closing(sqlite3.connect(path)) as book:
        book.text_factory = bytes
        names = [n.decode() for (n,) in book.execute("SELECT name FROM sqlite_master "
                                                     "WHERE type = 'table'")]  # fmt: skip
        anew = {"balances", "images", "sqlite_sequence", "alembic_version", "actions"}
        return {
            name: Counter(map(repr, book.execute(f"SELECT * FROM {name}")))
            for name in names
            if name not in anew
        }


def page_of(path: Path, table: str, rowid: int) -> int:
    """Where the page begins that holds a row."""
    pages = Pages(path.read_bytes())
    for number in pages._tree(root_of(path, table) // PAGE + 1, 13, 5):
        if any(cell.rowid == rowid for cell in pages._cells(number)):
            return PAGE * (number - 1)
    raise AssertionError(f"row {rowid} of {table} is not there")


def zero(path: Path, at: int) -> None:
    data = bytearray(path.read_bytes())
    data[at : at + PAGE] = bytes(PAGE)
    path.write_bytes(data)


def root_of(path: Path, name: str) -> int:
    with closing(sqlite3.connect(path)) as book:
        (root,) = book.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (name,))
    return PAGE * (root[0] - 1)


def test_of_a_whole_book_nothing_is_lost(year: Path, tmp_path: Path) -> None:
    told = salvage(year, tmp_path / "new.bayledger")
    assert (told.share, told.lost, told.unknown, told.supplies, told.days) == (1, {}, (), (), ())
    with Book.open(year, write=False) as old, Book.open(told.path) as new:
        assert contents(new) == contents(old)
        assert new.check() == []
        assert new.history()[0].name == old.history()[0].name
        assert new.next_undo() is None


def test_a_setting_that_is_a_bare_number_is_got_out(harmed: Path, tmp_path: Path) -> None:
    with Book.open(harmed) as book, book.change("Settings") as session:
        settings.write(session, {"tax_rate": 6875, "share": 0.25, "zone": "America/Chicago"})
    told = salvage(harmed, tmp_path / "new.bayledger")
    assert (told.lost, told.damaged_values) == ({}, 0)
    with Book.open(told.path, write=False) as new, new.reading() as session:
        kept = settings.read_all(session)
    assert (kept["tax_rate"], kept["share"], kept["zone"]) == (6875, 0.25, "America/Chicago")


def try_all(book: Path, folder: Path, how: str, seeds: range) -> list[float]:
    """Harm a book by each seed; the shares of its rows that came out as they were."""
    data, truth, shares = book.read_bytes(), rows(book), []
    for seed in seeds:
        path, new = folder / "harmed.bayledger", folder / "new.bayledger"
        path.write_bytes(HARM[how](data, Random(f"{how} {seed}")))
        before = path.read_bytes()
        told = None
        with suppress(Mendable):  # one sentence: next to nothing is left
            told = salvage(path, new)
        if told is None:
            shares.append(0.0)
        else:
            with Book.open(new, write=False) as salvaged:
                assert salvaged.check() == [], seed
            assert all(told.sentences())
            found = rows(new)
            alike = sum((found[name] & truth[name]).total() for name in truth if name in found)
            shares.append(alike / sum(kind.total() for kind in truth.values()))
            new.unlink()
        assert path.read_bytes() == before
        assert not list(folder.glob("*.unfinished*"))
    return shares


# Shares measured with these seeds; where a file ends early, no more can be there than it holds.
LEAST = {"bits flipped": 0.9, "cut off": 0.15, "pages zeroed": 0.8, "written over": 0.85}


@pytest.mark.parametrize("how", HARM)
def test_a_harmed_book_becomes_a_whole_one(year: Path, tmp_path: Path, how: str) -> None:
    shares = try_all(year, tmp_path, how, range(6))
    assert sum(shares) / len(shares) > LEAST[how]


@pytest.mark.slow
@pytest.mark.parametrize("how", HARM)
def test_a_book_harmed_in_very_many_ways_becomes_a_whole_one(
    year: Path, tmp_path: Path, how: str
) -> None:
    many = int(os.environ.get("BAYLEDGER_SALVAGES", "4"))
    shares = try_all(year, tmp_path, how, range(100, 100 + many))
    assert sum(shares) / len(shares) > LEAST[how]


@pytest.mark.parametrize("version", sorted(ROWS))
def test_a_harmed_book_of_an_older_version_becomes_one_of_today(
    tmp_path: Path, version: str
) -> None:
    old = Path(shutil.copyfile(FOLDER / f"{version}.db", tmp_path / "old.bayledger"))
    zero(old, root_of(old, "consents"))
    told = salvage(old, tmp_path / "new.bayledger")
    assert told.lost == {"consents": 1}
    with Book.open(told.path) as book, book.reading() as session:
        assert book.check() == []
        assert session.scalars(select(Customer.name)).all() == ["Ada Quillfeather"]
        assert stock.balances(session)[1] == (3_726_264, 7_482)


def test_the_first_page_may_be_gone(harmed: Path, tmp_path: Path) -> None:
    zero(harmed, 0)
    told = salvage(harmed, tmp_path / "new.bayledger")
    assert told.share > 0.95


@pytest.mark.parametrize("name", ["movements", "receipts", "ix_movements_supply_id_day"])
def test_the_root_of_a_tree_may_be_gone(
    year: Path, harmed: Path, tmp_path: Path, name: str
) -> None:
    """The rows stand on other pages, and other indexes say whose they are."""
    zero(harmed, root_of(harmed, name))
    told = salvage(harmed, tmp_path / "new.bayledger")
    assert rows(told.path)["movements"] == rows(year)["movements"]


@pytest.mark.parametrize(
    ("words", "harm"),
    [
        (b"\tphone_as_typed VARCHAR(80)", b"\tphone_as_tyqed VARCHAR(80)"),
        (b"\tphone_as_typed VARCHAR(80)", b"\tphone_as_typed INTEGER(80)"),
        (b"CREATE TABLE customers", b"CREATE TABLE customezs"),
        (b"CREATE TABLE customers", b"CREATE UABLE customers"),
        (b"CREATE INDEX ix_customers_name", b"CREATE INDEY ix_customers_name"),
        (b"tablecustomerscustomers", b"tablecustomezscustomers"),
    ],
)
def test_a_word_of_the_tables_may_be_damaged(
    year: Path, harmed: Path, tmp_path: Path, words: bytes, harm: bytes
) -> None:
    data = harmed.read_bytes()
    assert data.count(words) == 1
    harmed.write_bytes(data.replace(words, harm))
    told = salvage(harmed, tmp_path / "new.bayledger")
    assert rows(told.path)["customers"] == rows(year)["customers"]


def test_a_lost_page_of_the_ledger_is_told_and_the_shelf_is_what_it_was(
    year: Path, harmed: Path, tmp_path: Path
) -> None:
    with closing(sqlite3.connect(harmed)) as book:
        (day,) = book.execute("SELECT day FROM movements WHERE id = 40").fetchone()
    zero(harmed, page_of(harmed, "movements", 40))
    told = salvage(harmed, tmp_path / "new.bayledger")
    assert told.lost["movements"] > 10
    assert told.supplies
    assert date.fromisoformat(day) in told.days
    said = " ".join(told.sentences())
    assert f"Lost of lines of the stock ledger: {told.lost['movements']}." in said
    assert "Count these supplies: " in said
    assert "Look at these days: " in said
    with Book.open(year, write=False) as old, Book.open(told.path) as new:
        assert new.check() == []
        with old.reading() as before, new.reading() as after:
            assert stock.balances(after) == stock.balances(before)


def test_a_reopened_day_of_a_salvaged_book_closes_again(harmed: Path, tmp_path: Path) -> None:
    zero(harmed, page_of(harmed, "movements", 82))
    with Book.open(salvage(harmed, tmp_path / "new.bayledger").path) as book:
        reopen_day(book, LAST, LAST)
        close_day(book, LAST)
        assert book.check() == []


def test_lost_customers_come_back_from_what_undo_kept(
    year: Path, harmed: Path, tmp_path: Path
) -> None:
    with Book.open(harmed) as book, book.change("A job") as session:
        session.add(Job(number=900, customer_id=5))
    zero(harmed, page_of(harmed, "customers", 5))
    told = salvage(harmed, tmp_path / "new.bayledger")
    assert told.lost["customers"] > 1
    assert told.restored["customers"] >= 1
    with Book.open(told.path) as book, book.reading() as session:
        assert session.get_one(Customer, 5).name.startswith("Customer number 3 of")


def test_who_is_lost_for_good_keeps_a_place_to_be_named_again(harmed: Path, tmp_path: Path) -> None:
    with Book.open(harmed) as book, book.load() as session:
        session.execute(text("DELETE FROM images"))
        session.add(Job(number=900, customer_id=5))
    with closing(sqlite3.connect(harmed)) as raw:
        raw.execute("VACUUM")
    zero(harmed, page_of(harmed, "customers", 5))
    told = salvage(harmed, tmp_path / "new.bayledger")
    assert told.stood_in["customers"] >= 1
    with Book.open(told.path) as book, book.reading() as session:
        assert book.check() == []
        assert session.get_one(Customer, 5).name == "Customer 5 (lost)"


def test_a_lost_sheet_is_written_anew_and_named(harmed: Path, tmp_path: Path) -> None:
    zero(harmed, page_of(harmed, "days", 40))
    told = salvage(harmed, tmp_path / "new.bayledger")
    assert LAST in told.days
    with Book.open(told.path) as book, book.reading() as session:
        assert session.get_one(DaySheet, LAST).state == "closed"


def test_a_text_that_is_damaged_in_part_keeps_the_rest(harmed: Path, tmp_path: Path) -> None:
    data = harmed.read_bytes().replace(b"Customer number 7 of", b"Customer num\xff\xfer 7 of")
    harmed.write_bytes(data)
    told = salvage(harmed, tmp_path / "new.bayledger")
    assert told.damaged_values >= 1
    with Book.open(told.path) as book, book.reading() as session:
        assert session.get_one(Customer, 9).name.startswith("Customer num\ufffd\ufffdr 7 of")


def test_what_was_not_folded_into_the_file_yet_is_there(harmed: Path, tmp_path: Path) -> None:
    with Book.open(harmed) as book:
        take_money(book, LAST, 123_456)
        for tail in ("", "-wal"):  # as a disk is copied while the program runs
            shutil.copyfile(f"{harmed}{tail}", tmp_path / f"copy.bayledger{tail}")
    log = (tmp_path / "copy.bayledger-wal").read_bytes()
    told = salvage(tmp_path / "copy.bayledger", tmp_path / "new.bayledger")
    with Book.open(told.path) as book, book.reading() as session:
        assert session.scalar(select(Receipt.amount).order_by(Receipt.id.desc())) == 123_456
    assert (tmp_path / "copy.bayledger-wal").read_bytes() == log


def test_a_page_of_the_log_that_is_not_right_ends_it(harmed: Path, tmp_path: Path) -> None:
    with Book.open(harmed) as book:
        take_money(book, LAST, 123_456)
        for tail in ("", "-wal"):
            shutil.copyfile(f"{harmed}{tail}", tmp_path / f"copy.bayledger{tail}")
    log = bytearray((tmp_path / "copy.bayledger-wal").read_bytes())
    log[100] ^= 1
    (tmp_path / "copy.bayledger-wal").write_bytes(log)
    told = salvage(tmp_path / "copy.bayledger", tmp_path / "new.bayledger")
    with Book.open(told.path) as book, book.reading() as session:
        assert session.scalar(select(Receipt.amount).order_by(Receipt.id.desc())) == 9_039


def refused(book: Path, new: Path) -> Mendable:
    with pytest.raises(Mendable) as told:
        salvage(book, new)
    assert "\n" not in told.value.sentence
    return told.value


def test_what_cannot_be_salvaged_is_refused_in_one_sentence(year: Path, tmp_path: Path) -> None:
    new, other = tmp_path / "new.bayledger", tmp_path / "other"
    assert "There is no book at" in refused(tmp_path / "none", new).sentence
    assert "There is no folder" in refused(year, tmp_path / "gone" / "new").sentence
    other.write_bytes(b"a letter " * 4000)
    assert "exists already" in refused(year, other).sentence
    assert isinstance(refused(other, new), BookDamaged)
    other.write_bytes(b"")
    assert isinstance(refused(other, new), BookDamaged)
    assert not new.exists()


def test_a_book_that_is_written_in_or_newer_is_not_salvaged(harmed: Path, tmp_path: Path) -> None:
    new = tmp_path / "new.bayledger"
    with Book.open(harmed) as book:
        assert isinstance(refused(harmed, new), BookBusy)
        with book.load() as session:
            session.execute(text("UPDATE alembic_version SET version_num = '9000'"))
    told = refused(harmed, new)
    assert isinstance(told, BookTooNew)
    assert "its tables are version 9000" in told.sentence
    assert not new.exists()


def test_nothing_is_left_where_the_new_book_cannot_be_written(
    year: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "rename", full)
    told = refused(year, tmp_path / "new.bayledger")
    assert "the disk is full" in told.sentence
    assert list(tmp_path.iterdir()) == []


def test_spans_of_days_are_told_in_short() -> None:
    days = tuple(MONDAY + timedelta(days=at) for at in (0, 1, 4, 20))
    told = Salvaged(Path("b"), {"uses": 3}, {"uses": 1}, (), 0, {}, {}, (), days)
    assert "Look at these days: 2025-05-05 to 2025-05-09, 2025-05-25." in told.sentences()
    assert told.sentences()[0] == "3 lines were got out; 1 are lost (75.0% got out)."


def test_a_word_that_nobody_wrote_is_let_go_of(harmed: Path, tmp_path: Path) -> None:
    with Book.open(harmed) as book:
        with book.load() as session:
            settings.write(session, {"system": "EUR", "zone": "America/Chicago"})
            session.execute(text("UPDATE days SET state = 'ajar' WHERE day = :day"), {"day": LAST})
        assert book.check()
    told = salvage(harmed, tmp_path / "new.bayledger")
    assert (told.damaged_values, told.lost["settings"]) == (2, 1)
    with Book.open(told.path, write=False) as new, new.reading() as session:
        assert settings.read_all(session) == {"zone": "America/Chicago"}


@pytest.mark.parametrize("size", [512, 8192, 65536])
def test_a_wrong_size_of_page_in_the_header_loses_nothing(
    harmed: Path, tmp_path: Path, size: int
) -> None:
    before = rows(harmed)
    data = bytearray(harmed.read_bytes())
    data[16:18] = (1 if size == 65536 else size).to_bytes(2, "big")
    harmed.write_bytes(data)
    told = salvage(harmed, tmp_path / "new.bayledger")
    assert (told.share, told.lost, told.unknown) == (1, {}, ())
    assert rows(told.path) == before


def test_a_change_that_broke_off_is_taken_back_by_its_journal(harmed: Path, tmp_path: Path) -> None:
    """A disk that refuses a log: SQLite keeps what was in a journal, and writes into the file."""
    before = rows(harmed)
    killed = tmp_path / "killed.bayledger"
    with closing(sqlite3.connect(harmed, isolation_level=None)) as book:
        book.execute("PRAGMA journal_mode = DELETE")
        book.execute("PRAGMA cache_size = 2")  # pages go into the file before the change is done
        book.execute("PRAGMA cache_spill = 1")
        book.execute("BEGIN IMMEDIATE")
        for table in ("customers", "uses", "receipts"):
            book.execute(f"UPDATE {table} SET id = id + 100000")
        book.execute("CREATE TABLE more (words)")
        book.executemany("INSERT INTO more VALUES (?)", [("x" * 3000,)] * 200)
        for tail in ("", "-journal"):
            shutil.copyfile(f"{harmed}{tail}", f"{killed}{tail}")
        book.execute("ROLLBACK")
    told = salvage(killed, tmp_path / "new.bayledger")
    assert (told.share, told.lost) == (1, {})
    assert rows(told.path) == before


def test_a_log_of_another_book_is_not_read(harmed: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.bayledger"
    shutil.copyfile(harmed, other)
    with Book.open(other) as book:
        add_customer(book, "Bram")
        shutil.copyfile(f"{other}-wal", f"{harmed}-wal")
    with Book.open(other) as book:
        add_customer(book, "Cosmo")
    shutil.copyfile(other, harmed)
    with Book.open(harmed) as book:  # which moves the log aside; put it there once more
        add_customer(book, "Dora")
    told_before = rows(harmed)
    shutil.copyfile(next(tmp_path.glob("*log of another*")), f"{harmed}-wal")
    told = salvage(harmed, tmp_path / "new.bayledger")
    assert "The log beside it is another book's and was not read." in told.sentences()
    assert rows(told.path) == told_before
