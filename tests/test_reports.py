"""What is written down of a mistake: kinds and places, and nothing that a person typed."""

from __future__ import annotations

import logging
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from app import reports
from app.records.book import Book
from app.records.models import Customer, Job
from app.reports import keep_log, told, without_values

SECRET = "Mara Tolk, 90 dollars"


def caught(do) -> str:
    with pytest.raises(Exception) as seen:  # noqa: PT011
        do()
    return told(seen.value)


def test_the_kind_and_the_places_are_told_and_no_value() -> None:
    def inner() -> None:
        raise ValueError(SECRET)

    def outer() -> None:
        try:
            inner()
        except ValueError as trouble:
            raise KeyError(SECRET) from trouble

    written = caught(outer)
    assert "Mara" not in written
    assert written.index("KeyError") < written.index("after\nValueError")
    assert "tests/test_reports.py:" in written
    assert "in inner: raise ValueError(SECRET)" in written


def test_what_is_about_code_is_told_in_full() -> None:
    assert "has no attribute 'nmae'" in caught(lambda: SECRET.nmae)  # type: ignore[attr-defined]


def test_of_a_file_its_error_is_told_and_not_its_path(tmp_path: Path) -> None:
    written = caught(lambda: (tmp_path / "Tolk, Mara.csv").read_text())
    assert written.startswith("FileNotFoundError: ENOENT")
    assert "Mara" not in written.partition("\n")[0]


def test_of_the_database_its_word_and_the_column_are_told(tmp_path: Path) -> None:
    def twice(book: Book) -> None:
        with book.change(SECRET) as session:
            session.add_all([Job(number=1, title=SECRET), Job(number=1, title=SECRET)])

    def undecoded() -> None:
        sqlite3.connect(":memory:").execute("SELECT CAST(x'4d617261ff' AS TEXT)").fetchall()

    with Book.create(tmp_path / "b.bayledger") as book:
        written = caught(lambda: twice(book))
    assert "SQLITE_CONSTRAINT_UNIQUE UNIQUE constraint failed: jobs.number" in written
    assert "Mara" not in written + caught(undecoded).partition("\n")[0]


def test_what_a_library_quotes_is_left_out() -> None:
    said = without_values(
        "QPainter: cannot open '/home/tolk/a b.pdf' or /home/tolk/x.pdf (\"Mara\")"
    )
    assert said == "QPainter: cannot open … or … (…)"


@pytest.fixture
def log(tmp_path: Path) -> Iterator[Path]:
    handler = keep_log(tmp_path / "log")
    assert handler is not None
    yield tmp_path / "log" / "window.log"
    logging.getLogger("bayledger").removeHandler(handler)
    handler.close()


@pytest.mark.logs_an_error
def test_a_logged_exception_stands_in_the_log_without_values(log: Path) -> None:
    try:
        Customer(nmae=SECRET)
    except TypeError:
        logging.getLogger("bayledger.window").exception("an action failed")
    written = log.read_text()
    assert "ERROR bayledger.window: an action failed" in written
    assert "TypeError" in written
    assert "Mara" not in written
    assert log.stat().st_mode & 0o077 == 0


@pytest.mark.logs_an_error
def test_the_log_does_not_grow_for_ever(log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for handler in logging.getLogger("bayledger").handlers:
        if isinstance(handler, reports.RotatingFileHandler):
            handler.maxBytes = 2000
    for number in range(200):
        logging.getLogger("bayledger").error("a line of some length, number %s", number)
    kept = list(log.parent.iterdir())
    assert len(kept) == 4
    assert all(one.stat().st_size <= 2000 for one in kept)
    assert "number 199" in log.read_text()


def test_where_no_log_can_be_kept_the_program_runs_without(tmp_path: Path) -> None:
    (tmp_path / "log").write_text("a file")
    assert keep_log(tmp_path / "log") is None
