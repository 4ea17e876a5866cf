"""Two books that say the same have the same contents, however they came about."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import text

from app.records.book import Book
from app.records.contents import contents
from app.records.models import Customer, Job, OwnerLink, Vehicle
from tests.records.shop import DAYS, MONDAY, NOON, WAX, close_day, reopen_day, set_use


def with_numbers(path: Path, first: int, order: int) -> dict:
    """Two customers, one sent by the other, with a vehicle and a job, under other numbers."""
    people = [
        Customer(id=first, name="Ada Quillfeather"),
        Customer(id=first + 1, name="Bram Oxley", referred_by_id=first),
        Vehicle(id=first + 2, description="blue wagon"),
        OwnerLink(id=first, vehicle_id=first + 2, customer_id=first + 1, from_day=MONDAY),
        Job(id=first + 3, number=1, vehicle_id=first + 2, customer_id=first + 1),
    ]
    with Book.create(path) as book:
        for row in people[::order]:
            with book.load() as session:
                session.execute(text("PRAGMA defer_foreign_keys = ON"))
                session.add(row)
                if order < 0:  # rows that come before what they point to
                    session.add_all(people)
            if order < 0:
                break
        return contents(book)


def test_numbers_and_order_do_not_count(tmp_path: Path) -> None:
    assert with_numbers(tmp_path / "one", 1, 1) == with_numbers(tmp_path / "two", 700, -1)


def test_everything_that_is_said_counts(book: Book) -> None:
    seen = [contents(book)]
    for name, value in (
        ("phone", "+15550100"),
        ("since", MONDAY),
        ("may_remind", False),
        ("referred_by_id", 1),
    ):
        with book.change("Edit") as session:
            setattr(session.get_one(Customer, 1), name, value)
        said = contents(book)
        assert said not in seen
        seen.append(said)


def test_who_is_pointed_to_counts_by_what_they_say(book: Book) -> None:
    with book.change("Add") as session:
        session.add(Customer(id=2, name="Ada Quillfeather", phone="+15550100"))
    before = contents(book)
    with book.change("Other Ada") as session:
        session.get_one(Job, 1).customer_id = 2
    assert contents(book)["jobs"] != before["jobs"]
    assert contents(book)["customers"] == before["customers"]


def test_two_who_sent_each_other_are_told_apart_from_two_who_did_not(book: Book) -> None:
    with book.change("Add") as session:
        session.add(Customer(id=2, name="Bram"))
    before = contents(book)
    with book.change("Each other") as session:
        session.get_one(Customer, 2).referred_by_id = 1
        session.get_one(Customer, 1).referred_by_id = 2
    assert contents(book) != before


def test_lines_taken_back_do_not_count_nor_does_the_log(book: Book) -> None:
    set_use(book, MONDAY, 5_000, WAX)
    before = contents(book)
    close_day(book, MONDAY)
    reopen_day(book, MONDAY, DAYS[1])
    after = contents(book)
    assert before.keys() == after.keys()
    assert [name for name in before if before[name] != after[name]] == ["days"]
    assert not {"actions", "images", "balances"} & after.keys()


def test_the_shelf_is_named_and_counted(book: Book) -> None:
    (wax, *_), (wash, *_) = contents(book)["shelf"]
    assert wax.startswith("paste wax#")
    assert wash.startswith("rinseless wash#")
    assert [line[1:] for line in contents(book)["shelf"]] == [(1_000_000, 2_000)] * 2


def test_days_and_instants_are_said_in_full(book: Book) -> None:
    with book.change("Promise") as session:
        session.get_one(Job, 1).promised_at = NOON
    (job,) = contents(book)["jobs"]
    assert dict(job)["promised_at"] == "2025-05-05T17:00:00+00:00"
    assert dict(job)["first_day"] == "2025-05-05"
