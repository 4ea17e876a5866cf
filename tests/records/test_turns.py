"""One writer at a time: who waits for whom, and the thread that never waits."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from app.errors import BeingWritten
from app.records.book import Book
from app.records.models import Customer


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.create(tmp_path / "shop.bayledger") as made:
        yield made


def add(book: Book, name: str) -> None:
    with book.change(f"Add {name}") as session:
        session.add(Customer(name=name))


def names(book: Book) -> list[str]:
    with book.reading() as session:
        return sorted(one.name for one in session.query(Customer))


def elsewhere(do: Callable[[], object]) -> threading.Thread:
    thread = threading.Thread(target=do)
    thread.start()
    return thread


def held(book: Book, go: threading.Event) -> threading.Thread:
    """Another thread in the middle of a change, until it may go on."""
    within = threading.Event()

    def write() -> None:
        with book.change("Add Ada") as session:
            session.add(Customer(name="Ada"))
            within.set()
            go.wait(60)

    thread = elsewhere(write)
    assert within.wait(60)
    return thread


def test_a_thread_that_never_waits_is_refused_while_another_writes(book: Book) -> None:
    go = threading.Event()
    book.never_wait_here(lambda: False)
    other = held(book, go)
    with pytest.raises(BeingWritten, match="nothing was changed"):
        add(book, "Bram")
    assert names(book) == []
    go.set()
    other.join()
    add(book, "Bram")
    assert names(book) == ["Ada", "Bram"]


def test_it_is_refused_too_where_others_wait_before_it(book: Book) -> None:
    others = [1]
    book.never_wait_here(lambda: bool(others))
    with pytest.raises(BeingWritten):
        add(book, "Ada")
    others.clear()
    add(book, "Ada")
    assert names(book) == ["Ada"]


def test_every_other_thread_waits_for_its_turn_and_loses_nothing(book: Book) -> None:
    go = threading.Event()
    other = held(book, go)
    third = elsewhere(lambda: add(book, "Bram"))
    go.set()
    other.join()
    third.join()
    assert names(book) == ["Ada", "Bram"]


def test_waiting_for_a_turn_is_not_for_the_thread_that_never_waits(book: Book) -> None:
    book.never_wait_here(lambda: False)
    with pytest.raises(RuntimeError, match="waits for no writer"):
        book.await_turn()
    elsewhere(book.await_turn).join()


def test_a_thread_knows_the_versions_of_its_own_last_change_only(book: Book) -> None:
    assert book.changed_here is None
    add(book, "Ada")
    mine = book.changed_here
    assert mine == (0, 1)
    elsewhere(lambda: add(book, "Bram")).join()
    assert book.changed_here == mine
    assert book.version == 2
    add(book, "Cato")
    assert book.changed_here == (2, 3)


def test_what_would_be_undone_is_counted_in_rows(book: Book) -> None:
    assert book.rows_to_undo() == 0
    with book.change("Add three") as session:
        session.add_all([Customer(name=name) for name in ("Ada", "Bram", "Cato")])
    assert book.rows_to_undo() == 3
