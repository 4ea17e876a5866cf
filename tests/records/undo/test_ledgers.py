"""Which ledger lines are final, and that a final line keeps what it says."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from app.errors import Refused
from app.records.book import Book
from app.records.models import Customer, DaySheet, LayerEvent, Movement, Receipt, Record
from app.records.stock import snapshot
from app.records.undo import ledgers
from tests.records.shop import (
    DAYS,
    MONDAY,
    NOON,
    WAX,
    close_day,
    move,
    reopen_day,
    set_use,
    take_money,
)


def final(book: Book, kind: type[Record]) -> list[bool]:
    with book.reading() as session:
        numbers = session.scalars(select(kind.id).order_by(kind.id)).all()  # type: ignore[attr-defined]
        found = ledgers.final_keys(session.connection(), kind.__table__, numbers)  # type: ignore[arg-type]
        return [number in found for number in numbers]


def test_a_receipt_is_final_while_its_day_is_closed(book: Book) -> None:
    take_money(book, MONDAY, 100)
    assert final(book, Receipt) == [False]
    close_day(book, DAYS[1])
    assert final(book, Receipt) == [False]
    close_day(book, MONDAY)
    assert final(book, Receipt) == [True]
    reopen_day(book, MONDAY, DAYS[1])
    assert final(book, Receipt) == [False]


def test_a_line_of_an_open_day_is_put_right_as_one_likes(book: Book) -> None:
    take_money(book, MONDAY, 100)
    with book.change("Put right") as session:
        session.get_one(Receipt, 1).amount = 110
    close_day(book, DAYS[1])
    with book.change("Remove") as session:
        session.delete(session.get_one(Receipt, 1))
    with book.reading() as session:
        assert session.get(Receipt, 1) is None


@pytest.mark.parametrize("name", ["amount", "day", "kind", "method"])
def test_what_a_final_line_says_is_held(book: Book, name: str) -> None:
    take_money(book, MONDAY, 100)
    close_day(book, MONDAY)
    other = {"amount": 1, "day": DAYS[1], "kind": "tip", "method": "card"}[name]
    with pytest.raises(Refused, match=f"line of {MONDAY} is final"), book.change("x") as session:
        setattr(session.get_one(Receipt, 1), name, other)
    with pytest.raises(Refused, match="counter-line"), book.change("x") as session:
        session.delete(session.get_one(Receipt, 1))


def test_where_a_final_line_leads_may_be_set_anew(book: Book) -> None:
    """Two entries of one person become one customer; their receipts follow."""
    take_money(book, MONDAY, 100)
    close_day(book, MONDAY)
    with book.change("One person twice") as session:
        session.add(Customer(id=2, name="A. Quillfeather"))
        receipt = session.get_one(Receipt, 1)
        receipt.customer_id, receipt.note = 2, "was entered twice"
    book.undo(today=DAYS[2])
    with book.reading() as session:
        assert session.get_one(Receipt, 1).customer_id == 1


def test_the_change_that_closes_a_day_may_still_put_its_lines_right(book: Book) -> None:
    with book.change("Close") as session:
        receipt = Receipt(day=MONDAY, at=NOON, amount=1)
        session.add_all([DaySheet(day=MONDAY, page=1, state="closed"), receipt])
        session.flush()
        receipt.amount = 2
    with book.reading() as session:
        assert session.get_one(Receipt, 1).amount == 2


def test_the_change_that_closes_a_day_does_not_alter_what_its_snapshot_counted(book: Book) -> None:
    def close() -> None:
        with book.change("Close") as session:
            session.add(DaySheet(day=MONDAY, page=1, state="closed"))
            line = move(session, WAX, MONDAY, "used", -5)
            snapshot(session, MONDAY)
            line.quantity = -6

    with pytest.raises(Refused, match="final"):
        close()


def test_a_line_taken_back_and_its_counter_stay_as_they_are(book: Book) -> None:
    take_money(book, MONDAY, 100)
    with book.change("Take back") as session:
        line = session.get_one(Receipt, 1)
        session.add(ledgers.countering(line, day=MONDAY, at=NOON, note=""))
    for number in (1, 2):
        with pytest.raises(Refused, match="taken back"), book.change("x") as session:
            session.get_one(Receipt, number).amount = 1
        with pytest.raises(Refused, match="taken back"), book.change("x") as session:
            session.delete(session.get_one(Receipt, number))


def test_lines_taken_back_and_their_counters_do_not_stand(book: Book) -> None:
    set_use(book, MONDAY, 1_000, WAX)
    close_day(book, MONDAY)

    def standing(kind: type) -> int:
        with book.reading() as session:
            return len(session.scalars(select(kind).where(ledgers.standing(kind))).all())

    assert (standing(Movement), standing(LayerEvent)) == (3, 1)
    reopen_day(book, MONDAY, DAYS[1])
    assert (standing(Movement), standing(LayerEvent)) == (2, 0)


def test_every_ledger_table_is_known() -> None:
    assert sorted(ledgers.LEDGERS) == [
        "expenses",
        "layer_events",
        "movements",
        "pool_events",
        "receipts",
        "reminder_events",
    ]
