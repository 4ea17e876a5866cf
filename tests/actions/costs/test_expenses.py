"""Expenses as they are typed, changed, taken back and undone, in currencies of 0 to 3 decimals."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from app.actions.costs import expenses
from app.actions.costs.expenses import Typed, spent
from app.actions.day.closing import close_day
from app.actions.desk.desk import Desk
from app.errors import Mendable
from app.records.models import Receipt
from app.records.queries.expenses import ExpenseRow
from tests.shop import TODAY, Clock, new_desk

MONTH = (date(2025, 8, 1), date(2025, 8, 31))
FUEL = Typed(kind="fuel", text="the pump", amount="48.20", tax="3.10", method="cash")


def lines(desk: Desk) -> tuple[ExpenseRow, ...]:
    return spent(desk, *MONTH).lines


def test_an_expense_is_written_for_its_day_and_undone_by_its_name(empty: Desk) -> None:
    assert expenses.write_expense(empty, FUEL).name == "Fuel, the pump: 48.20"
    (line,) = lines(empty)
    assert (line.day, line.kind, line.amount, line.tax) == (TODAY, "fuel", 4820, 310)
    assert (line.method, line.text) == ("cash", "the pump")
    assert spent(empty, *MONTH).costs == (("Fuel", 4820),)
    empty.book.undo(today=empty.today)
    assert lines(empty) == ()


@pytest.mark.parametrize(("currency", "minor"), [("JPY", 4820), ("KWD", 4_820_000)])
def test_amounts_are_whole_minor_units_of_any_currency(
    tmp_path: Path, currency: str, minor: int
) -> None:
    desk = new_desk(tmp_path / "other.bayledger", currency=currency)
    expenses.write_expense(desk, Typed(kind="tools", amount="4820"))
    assert [line.amount for line in lines(desk)] == [minor]
    desk.book.close()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (Typed(kind="rent", amount=""), "No amount"),
        (Typed(kind="rent", amount="0"), "expense of nothing"),
        (Typed(kind="rent", amount="12", tax="13"), "part of the amount"),
        (Typed(kind="tax", amount="12", tax="1"), "part of the amount"),
        (Typed(kind="tips", amount="12"), "to whom"),
        (Typed(kind="till in", amount="-12"), "without a minus"),
        (Typed(kind="tips", text="Bo", amount="12", every="month"), "do not come again"),
        (Typed(kind="rent", amount="12", day="1 Jan 2018"), "far from today"),
        (Typed(kind="rent", amount="9", every="month", until="1 Aug 2025"), "before it begins"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_a_sentence(
    empty: Desk, typed: Typed, said: str
) -> None:
    with pytest.raises(Mendable, match=said):
        expenses.write_expense(empty, typed)
    assert lines(empty) == ()


def test_a_day_typed_without_its_year_is_the_last_one(empty: Desk) -> None:
    expenses.write_expense(empty, Typed(kind="rent", amount="9", day="3 Mar"))
    assert [one.day for one in spent(empty, date(2025, 1, 1), TODAY).lines] == [date(2025, 3, 3)]


def test_more_tips_than_came_are_said_to_be_too_many(empty: Desk) -> None:
    with empty.book.load() as session:
        session.add(
            Receipt(day=empty.today, at=empty.clock(), amount=1500, method="cash", kind="tip",
                    state="confirmed")
        )  # fmt: skip
    fair = expenses.write_expense(empty, Typed(kind="tips", text="Bo", amount="15"))
    assert "more was handed on" not in fair.sentence
    much = expenses.write_expense(empty, Typed(kind="tips", text="Bo", amount="4"))
    assert much.sentence.endswith(". So far 4.00 more was handed on than came as tips.")


def test_what_is_put_into_the_till_comes_in_and_is_no_cost(empty: Desk) -> None:
    expenses.write_expense(empty, Typed(kind="till in", amount="100"))
    expenses.write_expense(empty, Typed(kind="till out", amount="30", text="to the bank"))
    found = spent(empty, *MONTH)
    assert [(one.kind, one.amount, one.method) for one in found.lines] == [
        ("till", 3000, "cash"), ("till", -10000, "cash"),
    ]  # fmt: skip
    assert (found.costs, found.total) == ((), 0)
    assert found.beside == (("Cash taken out of the till", -7000),)


def test_a_line_of_an_open_day_is_changed_and_one_of_a_closed_day_is_countered(
    empty: Desk, clock: Clock
) -> None:
    empty.clock = clock
    expenses.write_expense(empty, FUEL)
    key = lines(empty)[0].expense_id
    typed = expenses.as_typed(empty, lines(empty)[0])
    assert (typed.amount, typed.tax, typed.day) == ("48.20", "3.10", TODAY.isoformat())
    expenses.change_expense(empty, key, Typed(kind="tools", amount="50"))
    assert [(one.kind, one.amount) for one in lines(empty)] == [("tools", 5000)]
    close_day(empty, TODAY)
    with pytest.raises(Mendable, match="Del takes it back"):
        expenses.change_expense(empty, key, FUEL)
    clock.go_to(date(2025, 9, 2))
    expenses.take_back_expense(empty, key)
    (kept,) = lines(empty)
    assert kept.taken_back_on == date(2025, 9, 2)
    (counter,) = spent(empty, date(2025, 9, 1), date(2025, 9, 30)).lines
    assert (counter.amount, counter.kind, counter.counters_id) == (-5000, "tools", key)
    with pytest.raises(Mendable, match="taken back already"):
        expenses.take_back_expense(empty, key)
    empty.book.undo(today=empty.today)
    assert spent(empty, date(2025, 9, 1), date(2025, 9, 30)).lines == ()
    assert empty.book.check() == []


def test_a_line_of_an_open_day_is_simply_gone(empty: Desk) -> None:
    expenses.write_expense(empty, FUEL)
    expenses.take_back_expense(empty, lines(empty)[0].expense_id)
    assert lines(empty) == ()
