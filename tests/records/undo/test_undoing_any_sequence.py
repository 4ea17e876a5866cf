"""Whatever a person did, undone step by step the book says what it said before, and redone again.

Random sequences of actions, with undo, redo and restarts among them.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from app.errors import Refused
from app.records import stock
from app.records.book import Book
from app.records.contents import contents
from app.records.models import Customer, Job, Receipt, Setting, Supply, Use
from tests.records import shop
from tests.records.shop import DAYS, NOON, WASH, WAX

Step = Callable[[Book], None]
days = st.sampled_from(DAYS)
which = st.integers(0, 5)
days_said = st.sampled_from(["day", "instant", "2025-05-05"])  # JSON that looks like our own


def _nth(session: Any, model: Any, number: int) -> Any:
    rows = session.scalars(select(model).order_by(model.id)).all()
    return rows[number % len(rows)] if rows else None


def edit_customer(number: int, phone: str) -> Step:
    def step(book: Book) -> None:
        with book.change("Edit a customer", at=NOON) as session:
            row = _nth(session, Customer, number)
            if row is not None:
                row.phone, row.asks_by = phone, "phone"

    return step


def remove(model: Any, number: int) -> Step:
    def step(book: Book) -> None:
        with book.change(f"Remove from {model.__tablename__}", at=NOON) as session:
            row = _nth(session, model, number)
            if row is not None:
                session.delete(row)

    return step


def edit_receipt(number: int, amount: int) -> Step:
    def step(book: Book) -> None:
        with book.change("Put a receipt right", at=NOON) as session:
            row = _nth(session, Receipt, number)
            if row is not None:
                row.amount, row.note = amount, "put right"

    return step


def move(supply: int, day: date, kind: str, quantity: int) -> Step:
    def step(book: Book) -> None:
        with book.change(f"Shelf: {kind}", day=day, at=NOON) as session:
            shop.move(session, supply, day, kind, quantity, quantity // 1000)

    return step


def add_supply(name: str, day: date, quantity: int) -> Step:
    """A new supply with its first count in the same action: a line without its supply is none."""

    def step(book: Book) -> None:
        with book.change(f"Add {name}", day=day, at=NOON) as session:
            supply = Supply(name=name, kind="liquid", hazard_statements=["H319"])
            session.add(supply)
            session.flush()
            shop.move(session, supply.id, day, "counted", quantity)

    return step


def remember(book: Book, value: Any) -> None:
    with book.change(VIEW, at=NOON, undoable=False) as session:
        row = session.get(Setting, "view") or Setting(name="view")
        row.value = value
        session.add(row)


steps: st.SearchStrategy[Step] = st.one_of(
    st.builds(lambda n: lambda b: shop.add_customer(b, n) and None, st.text("abé", min_size=1)),
    st.builds(edit_customer, which, st.text("0123456789", max_size=5)),
    st.builds(remove, st.sampled_from([Customer, Use, Receipt, Supply, Job]), which),
    st.builds(
        lambda d, q, s: lambda b: shop.set_use(b, d, q, s),
        days,
        st.integers(0, 200_000),
        st.sampled_from([WASH, WAX]),
    ),
    st.builds(lambda d, a: lambda b: shop.take_money(b, d, a), days, st.integers(1, 90_000)),
    st.builds(edit_receipt, which, st.integers(1, 90_000)),
    st.builds(move, st.sampled_from([WASH, WAX]), days, st.just("received"), st.integers(0, 10**6)),
    st.builds(
        move, st.sampled_from([WASH, WAX]), days, st.just("counted"), st.integers(-(10**5), 10**5)
    ),
    st.builds(add_supply, st.text("xyz", min_size=1), days, st.integers(1, 10**6)),
    st.builds(lambda d: lambda b: shop.close_day(b, d), days),
    st.builds(lambda d: lambda b: shop.close_day(b, d), days),
    st.builds(lambda d, t: lambda b: shop.reopen_day(b, d, t), days, days),
    st.builds(lambda d: lambda b: shop.prepare_reminder(b, d), days),
    st.builds(lambda d: lambda b: shop.send_reminder(b, d), days),
    st.just(shop.add_job),
    st.just(shop.exchange_numbers),
    st.builds(lambda v: lambda b: remember(b, v), st.none() | st.dictionaries(days_said, which)),
)
UNDO, REDO, RESTART = "undo", "redo", "restart"
moves = st.one_of(steps, steps, steps, st.sampled_from([UNDO, UNDO, REDO, RESTART]))


def shelf_is_the_sum_of_its_lines(book: Book) -> None:
    for day in (*DAYS, None):
        with book.reading() as session:
            found = stock.balances(session, day)
        assert found == shop.line_sums(book, day)


VIEW = "Remember a view"


def said(book: Book) -> dict[str, Any]:
    """What the book says, but for the remembered view, which nobody undoes."""
    return {name: rows for name, rows in contents(book).items() if name != "settings"}


class Player:
    """Plays a sequence and keeps what the book said before and after each action."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.book = Book.open(path)
        self.done: list[tuple[Any, Any]] = []
        self.undone: list[tuple[Any, Any]] = []

    def play(self, move: Any, today: date) -> None:
        if move == UNDO:
            self.undo(today)
        elif move == REDO:
            self.redo(today)
        elif move == RESTART:
            self.book.close()
            self.book = Book.open(self.path)
        else:
            before = said(self.book)
            count = len(self.book.history(10_000))
            try:
                move(self.book)
            except Refused:
                assert said(self.book) == before
                return
            history = self.book.history(10_000)
            if len(history) > count and history[0].name != VIEW:
                self.done.append((before, said(self.book)))
                self.undone.clear()

    def undo(self, today: date) -> bool:
        if not self.done:
            return False
        name = self.book.next_undo()
        assert self.book.undo(today=today, at=NOON).name == name
        before, after = self.done.pop()
        assert said(self.book) == before
        self.undone.append((before, after))
        return True

    def redo(self, today: date) -> bool:
        if not self.undone:
            assert self.book.next_redo() is None
            return False
        name = self.book.next_redo()
        assert self.book.redo(today=today, at=NOON).name == name
        before, after = self.undone.pop()
        assert said(self.book) == after
        self.done.append((before, after))
        return True


@pytest.mark.slow
@settings(
    max_examples=40,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # a failing sequence is short enough
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(sequence=st.lists(st.tuples(moves, days), max_size=14))
def test_any_sequence_undone_gives_the_same_content_and_redone_too(
    template: Path, sequence: list[tuple[Any, date]]
) -> None:
    with shop.quick_folder() as folder:
        player = Player(shop.copy_shop(template, folder))
        try:
            for move, today in sequence:
                player.play(move, today)
            shelf_is_the_sum_of_its_lines(player.book)
            assert player.book.check() == []
            while player.undo(DAYS[-1]):
                pass
            shelf_is_the_sum_of_its_lines(player.book)
            assert player.book.check() == []
            while player.redo(DAYS[0]):
                pass
            shelf_is_the_sum_of_its_lines(player.book)
            assert player.book.check() == []
            while player.undo(DAYS[1]):
                pass
            assert player.book.check() == []
        finally:
            player.book.close()
