"""The full text is what the book says: after every change, and made anew where it was not."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from sqlalchemy import select, text
from sqlalchemy.orm import Session

from app.calculations.numbers.spelling import beginnings
from app.records.book import Book
from app.records.contents import contents
from app.records.finding import full_text, looking_up
from app.records.finding.documents import KINDS, MODELS, documents, key_of
from app.records.models import Action, Customer, Job, OwnerLink, Receipt, Vehicle
from app.records.salvage.salvaging import salvage
from tests.records.shop import MONDAY, NOON


def make(book: Book) -> None:
    while book.mend_finding():
        pass


def found(book: Book, typed: str) -> list[str]:
    with book.reading() as session:
        return [hit.text for hit in looking_up.find(session, typed) if hit.kind == "customer"]


def is_current(book: Book) -> bool:
    with book.reading() as session:
        return looking_up.is_current(session)


def assert_whole(book: Book) -> None:
    """It holds what would be made of the book now, and FTS5 finds the same by its own check."""
    with book.load() as session:  # which forgets all of it afterwards
        connection = session.connection()
        assert full_text.is_current(connection)
        rows = connection.execute(text("SELECT id, title, more FROM finding_words"))
        words = {key: (title, more) for key, title, more in rows}
        things = [
            key_of(kind, number)
            for kind, model in zip(KINDS, MODELS, strict=True)
            for number in session.scalars(select(model.id))
        ]
        assert words == documents(connection, things)
        connection.exec_driver_sql(
            "INSERT INTO finding_text (finding_text, rank) VALUES ('integrity-check', 1)"
        )
        rows = connection.execute(text("SELECT start, word FROM finding_near"))
        near = {(start, word) for start, word in rows}
        spelt = full_text._vocabulary((key, *both) for key, both in words.items())
        assert near == {(start, word) for word in spelt for start in beginnings(word)}
    make(book)


def test_any_changes_and_their_undoing_are_followed(book: Book) -> None:
    make(book)
    rng = random.Random(3)
    with book.change("Begin") as session:
        session.add_all([Customer(id=at, name=f"Nomar {at}") for at in range(2, 8)])
        session.add(Vehicle(id=2, description="gray van", plate="AB 12"))
        session.add(OwnerLink(id=1, vehicle_id=2, customer_id=2))
        session.add(Receipt(id=1, job_id=1, day=MONDAY, at=NOON, amount=5, note="check 81"))

    def rename(session: Session) -> None:
        name = rng.choice(("Ada", "Zoë", "Ole")) + " " + rng.choice(("Fenn", "Tolk", "Ångström"))
        session.get_one(Customer, rng.randint(1, 7)).name = name

    def repaint(session: Session) -> None:
        session.get_one(Vehicle, rng.randint(1, 2)).plate = f"CD {rng.randint(10, 99)}"

    def hand_over(session: Session) -> None:
        session.get_one(OwnerLink, 1).customer_id = rng.randint(1, 7)
        session.get_one(OwnerLink, 1).to_day = rng.choice((None, MONDAY))

    def rebook(session: Session) -> None:
        session.get_one(Job, 1).customer_id = rng.randint(1, 7)

    def part(session: Session) -> None:
        session.add(Customer(name=f"Passing {rng.random()}", notes="side door"))

    for _ in range(25):
        do = rng.choice((rename, repaint, hand_over, rebook, part, None))
        if do is None:
            book.undo(today=MONDAY)
            continue
        with book.change("A change") as session:
            do(session)
    assert_whole(book)


def test_many_things_at_once_wait_and_are_found_all_the_same(book: Book) -> None:
    make(book)
    with book.change("A list") as session:
        session.add_all([Customer(name=f"Hollin {at:02}") for at in range(60)])
    assert not is_current(book)
    assert found(book, "hollin")  # by its twin
    make(book)
    assert is_current(book)
    assert found(book, "holiln 31") == ["Hollin 31"]
    assert_whole(book)


def test_what_an_older_program_wrote_is_noticed(book: Book) -> None:
    make(book)
    with book.change("Here") as session:
        session.get_one(Customer, 1).notes = "x"
    assert is_current(book)
    with book._writing() as session:  # as by a program that knows nothing of finding
        session.add(Action(name="Elsewhere", at=NOON, state="kept"))
        session.flush()
    assert not is_current(book)
    with book.change("Here again") as session:
        session.get_one(Customer, 1).notes = "y"
    assert not is_current(book)
    make(book)
    assert_whole(book)


@pytest.mark.parametrize(
    "harm",
    [
        "DROP TABLE finding_words",
        "DROP TABLE finding_state",
        "UPDATE finding_text_data SET block = x'00ff00ff'",
    ],
)
def test_where_it_is_damaged_all_is_found_written_and_made_anew(book: Book, harm: str) -> None:
    make(book)
    with book._writing(says_more=False) as session:
        session.connection().exec_driver_sql(harm)
    assert found(book, "quillf") == ["Ada Quillfeather"]
    with book.change("All the same") as session:
        session.get_one(Customer, 1).notes = "prefers mornings"
    book.finding_failed = True  # as finding notes it
    make(book)
    assert found(book, "mornngis") == ["Ada Quillfeather"]
    assert book.check() == []
    assert_whole(book)


def test_salvage_takes_nothing_of_it_for_rows_of_the_book(path: Path, tmp_path: Path) -> None:
    with Book.open(path) as book:
        make(book)
        before = contents(book)
    told = salvage(path, tmp_path / "new.bayledger")
    assert not told.lost
    assert not told.unknown
    with Book.open(tmp_path / "new.bayledger") as new:
        assert contents(new) == before
        assert not is_current(new)
