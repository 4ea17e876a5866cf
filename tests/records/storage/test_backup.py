"""Backups are whole books; old ones are thinned out; bringing one back loses nothing."""

from __future__ import annotations

import os
import shutil
import sqlite3
import time
from contextlib import closing
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import func, select

from app.errors import BookBusy, BookDamaged, BookTooNew, Mendable
from app.records.book import Book
from app.records.contents import contents
from app.records.models import Job
from app.records.storage import backup, sealing
from app.records.storage.engine import TURNS, whole_or_refuse
from tests.records.shop import add_customer
from tests.records.test_book import DIE, names, run

KEY = sealing.Key(4, 8, 1, bytes(16), bytes(range(32)))  # as a passphrase would give it


def test_a_backup_is_a_whole_book_of_the_moment_in_one_file(book: Book) -> None:
    add_customer(book, "Bram")
    made = book.backup()
    add_customer(book, "Cosmo")
    assert made.parent == book.path.parent / "backups"
    assert made.name.startswith("shop 20")
    assert made.suffix == ".bayledger"
    assert [path.name for path in made.parent.iterdir()] == [made.name]
    with Book.open(made, write=False) as copy:
        assert names(copy) == ["Ada Quillfeather", "Bram"]
        assert copy.check() == []


def test_a_backup_goes_where_one_says(book: Book, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    assert book.backup(stick).parent == stick
    assert book.backup(stick / "friday.bayledger") == stick / "friday.bayledger"
    with pytest.raises(Mendable, match="exists already"):
        book.backup(stick / "friday.bayledger")
    with pytest.raises(Mendable, match="There is no folder"):
        book.backup(tmp_path / "nowhere" / "friday.bayledger")
    assert len(list(stick.iterdir())) == 2


def test_backups_of_one_second_do_not_replace_each_other(book: Book) -> None:
    assert len({book.backup() for _ in range(4)}) == 4


def test_a_reader_can_make_a_backup_while_another_writes(path: Path) -> None:
    with Book.open(path) as writer, Book.open(path, write=False) as reader:
        add_customer(writer, "Bram")
        with Book.open(reader.backup(), write=False) as copy:
            assert names(copy)[-1] == "Bram"


def test_a_backup_that_fails_leaves_no_half_file(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr("app.records.storage.backup.os.replace", full)
    with pytest.raises(Mendable, match="the disk is full"):
        book.backup(tmp_path / "friday.bayledger")
    assert not [path for path in tmp_path.iterdir() if "friday" in path.name]


# Thinning out


def dated(folder: Path, template: Path, day: datetime, stem: str = "shop", words: str = "") -> Path:
    folder.mkdir(exist_ok=True)
    name = f"{stem} {day:%Y-%m-%d %H%M%S}{words}.bayledger"
    return Path(shutil.copyfile(template, folder / name))


def test_where_the_book_itself_is_damaged_it_is_said_of_the_book(book: Book) -> None:
    add_customer(book, "Bram")
    book.close()
    with closing(sqlite3.connect(book.path)) as raw, raw:
        raw.execute("PRAGMA writable_schema = ON")
        raw.execute("UPDATE sqlite_master SET rootpage = (SELECT rootpage FROM sqlite_master "
                    "WHERE name = 'vehicles') WHERE name = 'ix_customers_name'")  # fmt: skip
    with Book.open(book.path) as again, pytest.raises(BookDamaged) as told:
        again.backup()
    assert told.value.sentence.startswith(f"{book.path} is damaged")
    assert "bayledger salvage BOOK NEW" in told.value.sentence
    assert again.newest_backup() is None


def test_a_wrong_index_is_found_in_one_turn_of_each_row_and_at_once_without_turns(
    book: Book, tmp_path: Path
) -> None:
    harmed = book.backup(tmp_path / "harmed.bayledger")
    with closing(sqlite3.connect(harmed)) as raw, raw:
        raw.execute("PRAGMA writable_schema = ON")
        raw.execute("UPDATE sqlite_master SET sql = replace(sql, '(name)', '(city)') "
                    "WHERE name = 'ix_customers_name'")  # fmt: skip
    found = []
    for turn in range(100, 100 + TURNS):
        try:
            whole_or_refuse(harmed, turn)
        except BookDamaged:
            found.append(turn)
    assert len(found) == 1
    with pytest.raises(BookDamaged, match="ix_customers_name"):
        whole_or_refuse(harmed)


def test_all_of_thirty_days_stay_then_the_last_of_each_week_and_of_each_month(
    template: Path, tmp_path: Path
) -> None:
    now = datetime(2025, 6, 15, 18, 0)  # a Sunday
    made = {dated(tmp_path, template, now - timedelta(days=back)) for back in range(200)}
    backup.thin_out(tmp_path, "shop", now)
    left = {path.name[5:15] for path in made if path.exists()}
    recent = {f"{now - timedelta(days=back):%Y-%m-%d}" for back in range(31)}
    # the Sundays of twelve weeks, by the calendar on the wall
    weeks = {"2025-03-23", "2025-03-30", "2025-04-06", "2025-04-13", "2025-04-20", "2025-04-27",
             "2025-05-04", "2025-05-11"}  # fmt: skip
    months = {"2024-11-30", "2024-12-31", "2025-01-31", "2025-02-28", "2025-03-31", "2025-04-30"}
    assert left == recent | weeks | months


def test_thinned_out_every_evening_a_year_keeps_the_last_of_all_its_months(
    template: Path, tmp_path: Path
) -> None:
    first = datetime(2024, 1, 1, 18, 0)
    for after in range(366):
        evening = first + timedelta(days=after)
        dated(tmp_path, template, evening)
        backup.thin_out(tmp_path, "shop", evening)
    left = {path.name[5:15] for path in tmp_path.iterdir() if path.name.startswith("shop ")}
    assert {f"{datetime(2024, month + 1, 1) - timedelta(days=1):%Y-%m-%d}"
            for month in range(1, 12)} <= left  # fmt: skip
    assert len([day for day in left if "2024-10-08" <= day < "2024-12-01"]) == 9
    assert len(left) == 31 + 9 + 9  # days; weeks from 8 October on with two ends of months; months


def test_plain_and_sealed_copies_are_thinned_out_each_for_themselves(
    template: Path, tmp_path: Path, book: Book
) -> None:
    now = datetime(2025, 6, 15, 18, 0)
    plain = [dated(tmp_path, template, datetime(2024, 1, day)) for day in (3, 7)]
    sealed = []
    another = replace(KEY, salt=bytes(range(16)))  # a book of the same name on another PC
    for day, key in ((5, KEY), (9, KEY), (11, another)):
        made = dated(tmp_path, template, datetime(2024, 1, day))
        sealing.seal(made, tmp_path / f"{made.name}.sealed", key, 0)
        made.unlink()
        sealed.append(tmp_path / f"{made.name}.sealed")
    backup.thin_out(tmp_path, "shop", now)
    assert [path.exists() for path in (*plain, *sealed)] == [False, True, False, True, True]


def test_plain_copies_of_two_books_of_one_name_are_thinned_out_each_for_themselves(
    template: Path, tmp_path: Path
) -> None:
    ours = [dated(tmp_path, template, datetime(2024, 1, day)) for day in (3, 7)]
    theirs = [dated(tmp_path, template, datetime(2024, 1, day)) for day in (9, 11)]
    for path in theirs:
        with closing(sqlite3.connect(path)) as raw, raw:
            assert raw.execute("UPDATE actions SET at = '2023-05-01 09:00:00'").rowcount
    backup.thin_out(tmp_path, "shop", datetime(2025, 6, 15, 18, 0))
    assert [path.exists() for path in (*ours, *theirs)] == [False, True, False, True]


# Looking into them


def test_copies_are_listed_by_their_moment_with_what_each_holds(
    book: Book, template: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "backups"
    old = dated(folder, template, datetime(2025, 3, 1, 17, 54))
    before = dated(
        folder, template, datetime(2025, 3, 2, 8, 0), words=" before the change of its tables"
    )
    dated(folder, template, datetime(2025, 3, 3), stem="shop two")
    (folder / "shop 2025-02-31 120000.bayledger").write_text("a day that never was")
    found = backup.copies(book.path)
    assert [copy.path for copy in found] == [before, old]
    assert (found[0].why, found[1].made) == (
        "before the change of its tables",
        datetime(2025, 3, 1, 17, 54),
    )
    assert found[1].size == old.stat().st_size
    assert backup.newest(book.path) == old


def test_a_copy_that_cannot_be_counted_is_no_backup(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def lost(copy: Path) -> int:
        raise BookDamaged(f"{copy} is damaged")

    monkeypatch.setattr(backup, "jobs_in", lost)
    with pytest.raises(BookDamaged):
        book.backup()
    assert list((tmp_path / "backups").iterdir()) == []


def test_a_sealed_copy_says_how_many_jobs_it_holds_and_is_restored_by_its_key(
    book: Book, tmp_path: Path
) -> None:
    with book.load() as session:
        session.add_all(Job(number=number) for number in range(901, 904))
        count = session.scalar(select(func.count()).select_from(Job))
    before = contents(book)
    sealed = book.backup(key=KEY)
    assert sealed.name.endswith(".bayledger.sealed")
    assert backup.jobs_in(sealed) == backup.jobs_in(book.backup()) == count >= 3
    assert {copy.sealed for copy in backup.copies(book.path)} == {True, False}
    assert b"Quillfeather" not in sealed.read_bytes()
    elsewhere = tmp_path / "other" / "shop.bayledger"
    elsewhere.parent.mkdir()
    with pytest.raises(Mendable, match="takes its passphrase"):
        backup.restore(sealed, elsewhere)
    assert backup.restore(sealed, elsewhere, KEY) is None
    with Book.open(elsewhere) as restored:
        assert contents(restored) == before
        assert restored.check() == []


def test_what_was_not_made_by_us_is_never_thinned_out(template: Path, tmp_path: Path) -> None:
    now = datetime(2025, 6, 15, 18, 0)
    old = [datetime(2020, 1, day, 18, 0) for day in (1, 2, 3)]
    theirs = [
        *(dated(tmp_path, template, day, stem="other shop") for day in old),
        *(dated(tmp_path, template, day, words=" before the change of its tables") for day in old),
        *(dated(tmp_path, template, day, words=" kept by Ada") for day in old),
    ]
    written = [dated(tmp_path, template, day) for day in old]
    written[0].write_text("a shopping list")
    written[1].unlink()
    written[1].mkdir()
    (written[1] / "note.txt").write_text("not ours either")
    backup.thin_out(tmp_path, "shop", now)
    assert all(path.exists() for path in theirs + written)


def test_making_a_backup_thins_out_the_books_own_folder_only(
    book: Book, template: Path, tmp_path: Path
) -> None:
    old = [datetime(2020, 1, day, 18, 0) for day in (1, 2)]
    first, last = (dated(tmp_path / "backups", template, day) for day in old)
    elsewhere = [dated(tmp_path / "stick", template, day) for day in old]
    book.backup(tmp_path / "stick")
    book.backup()
    assert (first.exists(), last.exists()) == (False, True)
    assert all(path.exists() for path in elsewhere)


# Bringing one back


def test_a_backup_takes_the_books_place_and_the_book_is_moved_aside(path: Path) -> None:
    with Book.open(path) as book:
        made = book.backup()
        before = contents(book)
        add_customer(book, "Bram")
        later = contents(book)
    aside = backup.restore(made, path)
    assert aside is not None
    with Book.open(path) as book, Book.open(aside) as former:
        assert contents(book) == before
        assert contents(former) == later
    assert made.exists()


def test_a_backup_makes_a_book_where_there_is_none(template: Path, tmp_path: Path) -> None:
    assert backup.restore(template, tmp_path / "again.bayledger") is None
    with Book.open(tmp_path / "again.bayledger") as book:
        assert names(book) == ["Ada Quillfeather"]


def test_what_a_crash_left_in_the_log_is_moved_aside_with_its_book(
    path: Path, template: Path
) -> None:
    assert run(DIE, path, "after").returncode == 9
    assert path.with_name(path.name + "-wal").stat().st_size > 0
    aside = backup.restore(template, path)
    assert aside is not None
    with Book.open(path) as book, Book.open(aside) as former:
        assert names(book) == ["Ada Quillfeather"]
        assert names(former) == ["Ada Quillfeather", "Bram", "Cosmo"]


def test_a_damaged_book_is_moved_aside_too(path: Path, template: Path) -> None:
    path.write_bytes(b"rubbish")
    aside = backup.restore(template, path)
    assert aside is not None
    assert aside.read_bytes() == b"rubbish"
    with Book.open(path) as book:
        assert book.check() == []


def test_a_backup_that_is_not_whole_is_refused_and_the_book_stays(
    path: Path, template: Path, tmp_path: Path
) -> None:
    before = path.read_bytes()
    whole = template.read_bytes()
    broken = tmp_path / "broken.bayledger"
    middle = len(whole) // 2
    for inside in (whole[:middle], whole[:4096] + b"\xa5" * (len(whole) - 4096), b"", b"text"):
        broken.write_bytes(inside)
        with pytest.raises(BookDamaged):
            backup.restore(broken, path)
    newer = Path(shutil.copyfile(template, tmp_path / "newer.bayledger"))
    with Book.open(newer) as book, book.load() as session:
        session.connection().exec_driver_sql("UPDATE alembic_version SET version_num = '9000'")
    with pytest.raises(
        BookTooNew, match=r"newer\.bayledger was .* version 9000.* Update Bayledger"
    ):
        backup.restore(newer, path)
    with pytest.raises(Mendable, match="There is no backup"):
        backup.restore(tmp_path / "nothing", path)
    with pytest.raises(Mendable, match="is the book itself"):
        backup.restore(path, path)
    with pytest.raises(Mendable, match="is a folder"):
        backup.restore(template, tmp_path)
    with pytest.raises(Mendable, match="There is no folder"):
        backup.restore(template, tmp_path / "nowhere" / "shop.bayledger")
    assert path.read_bytes() == before


def test_a_book_in_use_is_not_replaced(path: Path, template: Path) -> None:
    with Book.open(path) as book:
        add_customer(book, "Bram")
        with pytest.raises(BookBusy):
            backup.restore(template, path)
        assert names(book) == ["Ada Quillfeather", "Bram"]


@pytest.mark.skipif(os.name == "nt", reason="Windows keeps pipes apart from files")
def test_what_is_no_file_is_not_moved_aside_for_a_backup(template: Path, tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(Mendable, match="is a device or pipe, no file"):
        backup.restore(template, pipe)
    assert pipe.is_fifo()
    assert sorted(one.name for one in tmp_path.iterdir() if "pipe" in one.name) == ["pipe"]


def test_where_the_new_file_cannot_take_its_place_the_book_comes_back(
    path: Path, template: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = path.read_bytes()
    real = os.replace

    def fails_for_the_backup(source: Path, target: Path) -> None:
        if str(source).endswith(".unfinished"):
            raise OSError(13, os.strerror(13))
        real(source, target)

    monkeypatch.setattr("app.records.storage.backup.os.replace", fails_for_the_backup)
    with pytest.raises(Mendable, match="is as it was"):
        backup.restore(template, path)
    monkeypatch.undo()
    assert path.read_bytes() == before
    assert [entry.name for entry in path.parent.iterdir() if entry.name[0] != "."] == [path.name]


def test_a_restore_onto_a_full_disk_leaves_nothing_beside_the_book(
    path: Path, template: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_engine: object, to: Path) -> None:
        for tail in ("", "-journal"):
            to.with_name(to.name + tail).write_bytes(b"half")
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr("app.records.storage.backup.copy_whole", full)
    with pytest.raises(Mendable, match="the disk is full"):
        backup.restore(template, path)
    assert [entry.name for entry in path.parent.iterdir() if entry.name[0] != "."] == [path.name]


def left_behind(path: Path, minutes: float) -> Path:
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(b"half a copy")
    then = time.time() - 60 * minutes
    os.utime(path, (then, then))
    return path


LEFT = (
    "shop.bayledger.unfinished",
    "backups/shop 2025-08-14 175400.bayledger.unfinished",
    "backups/shop 2025-08-14 175400 before the change of its tables.bayledger.unfinished",
)
NOT_OURS = (
    "other.bayledger.unfinished",
    "shop list.unfinished",
    "backups/shop 2.bayledger.unfinished",
    "backups/shop two 2025-08-14 175400.bayledger.unfinished",
    "backups/shop 2025-08-14 175400.bayledger",
)


def test_what_a_killed_backup_left_is_cleared_when_the_book_is_opened_to_write(path: Path) -> None:
    ours = [left_behind(path.parent / name, 10) for name in LEFT]
    others = [left_behind(path.parent / name, 10) for name in NOT_OURS]
    now = left_behind(path.parent / "backups/shop 2025-08-14 180000.bayledger.unfinished", 0)
    with Book.open(path, write=False):
        assert all(one.exists() for one in ours)
    with Book.open(path):
        assert not any(one.exists() for one in ours)
        assert all(one.exists() for one in (*others, now))
        again = left_behind(ours[0], 10)
        with pytest.raises(BookBusy):
            Book.open(path)
        assert again.exists()
