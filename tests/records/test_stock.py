"""What stands on the shelf is the sum of its lines, at a cost that does not grow with the years."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event, insert, select

from app.records import stock
from app.records.book import Book
from app.records.models import Balance, Lot, Movement, Supply
from tests.records.shop import (
    DAYS,
    MONDAY,
    NOON,
    WASH,
    WAX,
    copy_shop,
    line_sums,
    move,
    quick_folder,
    steps_of_sqlite,
)

numbers = st.integers(-(10**9), 10**9)


def test_a_line_says_what_it_was_told(book: Book) -> None:
    with book.change("Waste") as session:
        line = move(session, WASH, MONDAY, "wasted", -5_000, -10, note="spilt")
    with book.reading() as session:
        kept = session.get_one(Movement, line.id)
        assert (kept.supply_id, kept.day, kept.at, kept.kind) == (WASH, MONDAY, NOON, "wasted")
        assert (kept.quantity, kept.value, kept.note) == (-5_000, -10, "spilt")


@pytest.mark.parametrize(
    ("kind", "quantity", "value"),
    [
        ("received", -1, 0),
        ("used", 1, 0),
        ("wasted", 1, 0),
        ("expired", 1, 0),
        ("counted", 5, -1),
        ("counted", -5, 1),
        ("reversed", 5, 1),
        ("lent", 5, 1),
    ],
)
def test_a_line_that_goes_the_wrong_way_is_our_bug(
    book: Book, kind: str, quantity: int, value: int
) -> None:
    with book.reading() as session, pytest.raises(ValueError, match=r"way|kind"):
        move(session, WASH, MONDAY, kind, quantity, value)


def test_a_balance_by_hand(book: Book) -> None:
    """1,000,000 worth 2,000 stood the day before; every line of it is written out here."""
    with book.change("Lines") as session:
        move(session, WASH, DAYS[0], "used", -200_000, -400)
        move(session, WASH, DAYS[2], "received", 500_000, 1_500)
        stock.snapshot(session, DAYS[1])
    with book.reading() as session:
        assert stock.balances(session, DAYS[0] - timedelta(days=2)) == {}
        assert stock.balances(session, DAYS[0]) == {WASH: (800_000, 1_600), WAX: (1_000_000, 2_000)}
        assert stock.balances(session, DAYS[1])[WASH] == (800_000, 1_600)
        assert stock.balances(session, DAYS[2])[WASH] == (1_300_000, 3_100)
        assert stock.balances(session)[WASH] == (1_300_000, 3_100)
        assert stock.balance(session, WASH) == (1_300_000, 3_100)
        assert stock.balance(session, 99) == (0, 0)


def test_a_line_entered_late_comes_on_top_of_the_snapshot(book: Book) -> None:
    with book.change("Close") as session:
        stock.snapshot(session, DAYS[2])
    with book.change("Late") as session:
        move(session, WASH, DAYS[1], "used", -7)
    with book.reading() as session:
        for day, quantity in ((DAYS[0], 1_000_000), (DAYS[1], 999_993), (DAYS[3], 999_993)):
            assert stock.balances(session, day)[WASH][0] == quantity
            assert stock.balance(session, WASH, day)[0] == quantity
    assert book.check() == []


def test_only_what_moved_is_written_down_again(book: Book) -> None:
    with book.change("Close") as session:
        assert stock.snapshot(session, DAYS[0]) == 2
        assert stock.snapshot(session, DAYS[1]) == 0
        move(session, WAX, DAYS[2], "used", -7)
        assert stock.snapshot(session, DAYS[2]) == 1
        move(session, WAX, DAYS[2], "used", -7)
        assert stock.snapshot(session, DAYS[2]) == 1
    with book.reading() as session:
        rows = session.execute(
            select(Balance.supply_id, Balance.day, Balance.quantity).order_by(Balance.day)
        ).all()
    assert [tuple(row) for row in rows] == [
        (WASH, DAYS[0], 1_000_000),
        (WAX, DAYS[0], 1_000_000),
        (WAX, DAYS[2], 999_986),
    ]


lines = st.tuples(
    st.just("line"), st.sampled_from([WASH, WAX, 3]), st.sampled_from(DAYS), numbers, numbers
)
closes = st.tuples(st.just("close"), st.sampled_from(DAYS))


@pytest.mark.slow
@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(steps=st.lists(st.one_of(lines, lines, closes), max_size=30))
def test_any_ledger_balances_to_the_sum_of_its_lines_on_every_day(
    template: Path, steps: list[tuple]
) -> None:
    """Lines in any order of days, days closed in any order and again, supplies that never moved."""
    with (
        quick_folder() as folder,
        Book.open(copy_shop(template, folder)) as book,
    ):
        with book.change("A third supply") as session:
            session.add(Supply(id=3, name="clay", kind="piece"))
        with book.load() as session:
            for step in steps:
                if step[0] == "close":
                    stock.snapshot(session, step[1])
                    continue
                _, supply, day, quantity, value = step
                session.add(
                    Movement(
                        supply_id=supply,
                        day=day,
                        at=NOON,
                        kind="counted",
                        quantity=quantity,
                        value=value,
                    )
                )
                session.flush()
        for day in (*DAYS, None):
            wanted = line_sums(book, day)
            with book.reading() as session:
                assert stock.balances(session, day) == wanted
                for supply in (WASH, WAX, 3):
                    found = stock.balance(session, supply, day)
                    assert found == wanted.get(supply, (0, 0))
        assert book.check() == []


def years(book: Book, count: int) -> None:
    """So many years of closed days for a third supply, five lines a day."""
    first = date(2000, 1, 1)
    movements, snapshots, stands = [], [], 0
    for number in range(count * 365):
        day = first + timedelta(days=number)
        for _ in range(5):
            stands += number % 3
            movements.append({"supply_id": 3, "day": day, "at": NOON, "quantity": number % 3})
        last = 2 + len(movements)
        snapshots.append({"supply_id": 3, "day": day, "quantity": stands, "up_to_movement": last})
    with book.load() as session:
        session.add(Supply(id=3, name="clay", kind="piece"))
        session.flush()
        common = {"kind": "counted", "value": 0, "note": ""}
        session.execute(insert(Movement), [row | common for row in movements])
        session.execute(insert(Balance), [row | {"value": 0} for row in snapshots])


@pytest.mark.slow
@pytest.mark.parametrize("back", [None, 0, 3], ids=["now", "last day", "three days before"])
@pytest.mark.parametrize("count", [1, 10])
def test_ten_years_of_lines_are_not_read_to_know_what_stands(
    book: Book, count: int, back: int | None
) -> None:
    """Counted in steps of SQLite's own machine, which do not depend on how busy this one is."""
    years(book, count)
    day = None if back is None else date(2000, 1, 1) + timedelta(days=count * 365 - 1 - back)
    with book.reading() as session:
        with steps_of_sqlite(session) as steps:
            found = stock.balances(session, day)
        assert found == line_sums(book, day)
    assert sum(steps) < 1_000


def test_a_balance_asks_the_book_four_times_however_many_supplies(book: Book) -> None:
    with book.change("Close") as session:
        stock.snapshot(session, MONDAY)
    asked = []
    with book.reading() as session:
        event.listen(session, "do_orm_execute", lambda state: asked.append(state.statement))
        stock.balances(session)
    assert len(asked) == 4


def test_lots_are_used_up_oldest_first(book: Book) -> None:
    with book.change("Lots") as session:
        for number, expires in ((1, date(2026, 1, 1)), (2, date(2025, 9, 1)), (3, None)):
            session.add(Lot(id=number, supply_id=WAX, received_on=MONDAY, expires_on=expires))
        session.flush()
        for number, left in ((1, 30), (2, 50), (3, 20)):
            move(session, WAX, MONDAY, "received", left, left, lot_id=number)
        move(session, WAX, MONDAY, "used", -20, -20, lot_id=3)
        move(session, WAX, MONDAY, "used", -10, -10, lot_id=2)
    with book.reading() as session:
        assert stock.lots_left(session, WAX) == [(2, 40, 40), (1, 30, 30)]
        assert stock.lots_left(session, WASH) == []
