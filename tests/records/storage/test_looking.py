"""A book is looked at without a lock, a log folded in, or a file made beside it."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from app.errors import BookBusy, BookDamaged, Mendable
from app.records.book import Book
from app.records.storage import looking
from tests.records.books.make import FOLDER
from tests.records.shop import add_customer
from tests.records.test_book import names


def lying(folder: Path) -> dict[str, bytes]:
    return {one.name: one.read_bytes() for one in folder.iterdir() if "-shm" not in one.name}


def test_a_book_that_is_written_in_elsewhere_is_seen_as_it_stands(path: Path) -> None:
    with Book.open(path) as writer:
        add_customer(writer, "Bram")
        before = lying(path.parent)
        with Book.look(path) as book:
            add_customer(writer, "Cosmo")
            assert names(book)[-1] == "Bram"
            assert book.path == path
            assert book.check() == []
            assert book.lost() == book.glance() == ""
        assert lying(path.parent).keys() == before.keys()


def test_a_log_that_was_left_is_read_and_stays(path: Path, tmp_path: Path) -> None:
    book = Book.open(path)
    add_customer(book, "Bram")
    folder = tmp_path / "killed"
    folder.mkdir()
    killed = folder / "shop.bayledger"
    for tail in ("", "-wal"):
        shutil.copyfile(path.with_name(path.name + tail), killed.with_name(killed.name + tail))
    book.close()
    before = lying(folder)
    with Book.look(killed) as looked:
        assert names(looked)[-1] == "Bram"
    assert lying(folder) == before


def test_a_log_of_another_book_is_not_read_and_stays_and_is_said(
    path: Path, template: Path, tmp_path: Path
) -> None:
    book = Book.open(path)
    add_customer(book, "Bram")
    folder = tmp_path / "killed"
    folder.mkdir()
    killed = folder / "shop.bayledger"
    shutil.copyfile(path.with_name(path.name + "-wal"), killed.with_name(killed.name + "-wal"))
    book.close()
    shutil.copyfile(template, tmp_path / "other")
    with Book.open(tmp_path / "other") as other:
        add_customer(other, "Cosmo")
    shutil.copyfile(tmp_path / "other", killed)
    before = lying(folder)
    with Book.look(killed) as looked:
        assert names(looked)[-1] == "Cosmo"
        assert "Another file was put in the place of shop.bayledger" in looked.at_opening
    assert lying(folder) == before


def test_nothing_can_be_changed(path: Path) -> None:
    with Book.look(path) as book:
        assert not book.may_change
        with pytest.raises(Mendable, match="open for reading only"):
            add_customer(book, "Bram")
        with pytest.raises(Mendable, match="open for reading only"):
            book.backup()


def test_a_book_of_an_older_version_is_brought_forward_only_in_what_is_looked_at(
    tmp_path: Path,
) -> None:
    path = tmp_path / "old.bayledger"
    shutil.copyfile(FOLDER / "0001.db", path)
    before = lying(tmp_path)
    with Book.look(path) as book:
        assert book.check() == []
    assert lying(tmp_path) == before


def test_a_file_that_changes_while_it_is_read_is_read_again(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copied = shutil.copyfile
    times = []

    def copy(one: Path, to: Path) -> object:
        done = copied(one, to)
        if one == path:
            times.append(one)
            if len(times) < 3:
                os.utime(path, ns=(0, len(times)))
        return done

    monkeypatch.setattr(looking, "_PAUSE", 0)
    monkeypatch.setattr(looking.shutil, "copyfile", copy)
    with Book.look(path) as book:
        assert book.check() == []
    assert len(times) == 3


def test_what_never_stands_still_is_said(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    states = iter(range(100))
    monkeypatch.setattr(looking, "_PAUSE", 0)
    monkeypatch.setattr(looking, "_state", lambda _path: [next(states)])
    with pytest.raises(BookBusy, match="is being written just now"):
        Book.look(path)


def test_trouble_names_the_book_and_no_passing_file(path: Path) -> None:
    data = path.read_bytes()
    path.write_bytes(data[: len(data) // 2])
    with pytest.raises(BookDamaged) as told:
        Book.look(path)
    assert str(path) in told.value.sentence
    assert "bayledger-reading" not in told.value.sentence
    with pytest.raises(Mendable, match="There is no book at"):
        Book.look(path.with_name("none"))
