"""Several actions made one: what it takes back and brings again is what they did together."""

from __future__ import annotations

import random

import pytest

from app.records.book import Book
from app.records.contents import contents
from app.records.models import Customer
from app.records.undo.joining import join_since
from tests.records.shop import DAYS, add_customer

TODAY = DAYS[2]


def join(book: Book, before: int, name: str) -> None:
    with book.change(name, undoable=False) as session:
        join_since(session, before, name)


def newest(book: Book) -> int:
    return next((one.id for one in book.history(1)), 0)


def turn_at_random(book: Book, chance: random.Random) -> None:
    """Write, change or take out customers: one action of several rows."""
    with book.change("A turn") as session:
        for customer in session.query(Customer).all():
            which = chance.randrange(4)
            if which == 0 and customer.since == TODAY:  # the others have jobs
                session.delete(customer)
            elif which < 3:
                customer.name = chance.choice("ABC")
                customer.notes = chance.choice(("", "a note"))
        for _ in range(chance.randrange(3)):
            session.add(Customer(name=chance.choice("ABC"), since=TODAY))


@pytest.mark.parametrize("seed", range(6))
def test_joined_actions_are_taken_back_and_done_again_as_one(book: Book, seed: int) -> None:
    chance = random.Random(seed)
    add_customer(book, "Bram")
    turn_at_random(book, chance)
    before, at = contents(book), newest(book)
    for _ in range(5):
        turn_at_random(book, chance)
    after = contents(book)
    join(book, at, "Five turns")
    assert contents(book) == after
    assert book.history(1)[0].name == "Five turns"
    assert book.undo(today=TODAY).name == "Five turns"
    assert contents(book) == before
    book.redo(today=TODAY)
    assert contents(book) == after
    assert book.check() == []


def test_what_cannot_be_taken_back_is_not_joined(book: Book) -> None:
    at = newest(book)
    add_customer(book, "Bram")
    with book.change("For good", undoable=False) as session:
        session.add(Customer(name="Ida", since=TODAY))
    join(book, at, "Both")
    assert [one.name for one in book.history(2)] == ["For good", "Add Bram"]
