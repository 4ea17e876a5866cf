"""Each repeating expense is written once: late, twice closed, undone, changed, beside another."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.actions.costs import expenses
from app.actions.costs.expenses import Typed, spent
from app.actions.day.closing import close_day, closing, reopen_day
from app.actions.desk.desk import Desk
from app.calculations.numbers.dates import day_month, day_year
from app.errors import Mendable
from app.records.book import Book
from app.records.models import Expense
from app.records.queries.expenses import RepeatRow, written
from tests.shop import Clock, new_desk

RENT = Typed(
    kind="rent", text="the bay", amount="950", day="31 Jan 2025", every="month",
    method="transfer",
)  # fmt: skip
YEAR = (date(2025, 1, 1), date(2025, 12, 31))


def rule(desk: Desk) -> RepeatRow:
    return spent(desk, *YEAR).repeats[0][0]


def days(desk: Desk) -> list[date]:
    return sorted(one.day for one in spent(desk, *YEAR).lines if one.counters_id is None)


@pytest.fixture
def rented(tmp_path: Path, clock: Clock) -> Desk:
    """A new book on 3 March 2025, with a rent from 31 January on."""
    clock.go_to(date(2025, 3, 3))
    desk = new_desk(tmp_path / "rented.bayledger", clock)
    expenses.write_expense(desk, RENT)
    return desk


def test_closing_a_day_writes_all_that_fell_due_meanwhile_and_nothing_twice(
    rented: Desk, clock: Clock
) -> None:
    closed = close_day(rented, date(2025, 3, 3))
    assert days(rented) == [date(2025, 1, 31), date(2025, 2, 28)]
    assert "expenses 1,900.00" in closed.changed.sentence
    close_day(rented, date(2025, 2, 28))  # a day that was forgotten
    clock.go_to(date(2025, 4, 2))
    close_day(rented, date(2025, 4, 2))
    assert days(rented) == [date(2025, 1, 31), date(2025, 2, 28), date(2025, 3, 31)]
    assert spent(rented, *YEAR).repeats[0][1] == date(2025, 4, 30)


def test_what_a_close_wrote_stands_among_what_was_booked_with_its_year_where_it_is_another(
    empty: Desk,
) -> None:
    day = empty.today
    yearly = Typed(kind="insurance", amount="120", day=str(day.replace(year=day.year - 1)),
                   every="year")  # fmt: skip
    expenses.write_expense(empty, yearly)
    texts = [f"Insurance, 120.00, due {day_year(day.replace(year=day.year - 1))}",
             f"Insurance, 120.00, due {day_month(day)}"]  # fmt: skip
    assert [one.text for one in closing(empty, day).lines] == texts
    close_day(empty, day)
    assert [one.text for one in closing(empty, day).lines] == texts
    said = reopen_day(empty, day, "a wrong hour").sentence
    assert said == "Nothing was booked on that day.", "the rules’ lines stay"


def test_a_close_that_is_undone_or_opened_again_leaves_one_when_it_is_closed_anew(
    rented: Desk,
) -> None:
    day = date(2025, 3, 3)
    close_day(rented, day)
    rented.book.undo(today=rented.today)
    close_day(rented, day)
    assert days(rented) == [date(2025, 1, 31), date(2025, 2, 28)]
    reopen_day(rented, day, "a wrong hour")
    close_day(rented, day)
    assert days(rented) == [date(2025, 1, 31), date(2025, 2, 28)]
    assert rented.book.check() == []


def test_one_that_is_taken_back_is_not_written_again_until_that_is_undone(rented: Desk) -> None:
    close_day(rented, date(2025, 3, 3))
    january = spent(rented, *YEAR).lines[-1]
    expenses.take_back_expense(rented, january.expense_id)
    reopen_day(rented, date(2025, 3, 3), "once more")
    close_day(rented, date(2025, 3, 3))
    assert days(rented) == [date(2025, 2, 28)]


def test_a_changed_rule_holds_for_what_is_due_from_then_on(rented: Desk, clock: Clock) -> None:
    close_day(rented, date(2025, 3, 3))
    anew = replace(RENT, amount="1000", day="15 Jan 2025", until="20 Apr 2025")
    expenses.change_repeat(rented, rule(rented).repeat_id, anew)
    clock.go_to(date(2025, 6, 1))
    close_day(rented, date(2025, 6, 1))
    found = {one.day: one.amount for one in spent(rented, *YEAR).lines}
    assert found == {
        date(2025, 1, 31): 95000, date(2025, 2, 28): 95000,
        date(2025, 3, 15): 100000, date(2025, 4, 15): 100000,
    }  # fmt: skip
    assert spent(rented, *YEAR).repeats[0][1] is None
    with pytest.raises(Mendable, match="end this one"):
        expenses.change_repeat(rented, rule(rented).repeat_id, replace(anew, every="year"))


def test_a_close_that_breaks_off_at_its_end_writes_none_and_the_next_writes_each_once(
    rented: Desk,
) -> None:
    def break_off(_share: float, words: str) -> None:
        if words.startswith("Writing the papers"):  # all is booked, nothing is committed yet
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        close_day(rented, date(2025, 3, 3), progress=break_off)
    with Book.open(rented.book.path, write=False) as looked:  # as another window sees it
        assert spent(Desk(looked, clock=rented.clock), *YEAR).lines == ()
    close_day(rented, date(2025, 3, 3))
    again = close_day(rented, date(2025, 3, 3))
    assert again.already
    assert days(rented) == [date(2025, 1, 31), date(2025, 2, 28)]


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    first=st.dates(date(2023, 12, 1), date(2024, 3, 31)),
    every=st.sampled_from(["month", "year"]),
    steps=st.lists(
        st.tuples(st.sampled_from(["close", "undo", "redo", "change", "reopen"]),
                  st.integers(0, 70)),
        min_size=2, max_size=7,
    ),
)  # fmt: skip
def test_whatever_happens_no_month_is_written_twice_and_none_is_missed(
    tmp_path_factory: pytest.TempPathFactory,
    first: date,
    every: str,
    steps: list[tuple[str, int]],
) -> None:
    clock = Clock(date(2024, 3, 31))
    desk = new_desk(tmp_path_factory.mktemp("any") / "any.bayledger", clock)
    typed = Typed(kind="rent", amount="10", day=first.isoformat(), every=every)
    expenses.write_expense(desk, typed)
    closed: date | None = None
    for what, ahead in steps:
        if what == "close":
            closed = desk.today + timedelta(days=ahead)
            clock.go_to(closed)
            desk.meant.add(closed)
            close_day(desk, closed)
        elif what == "change" and spent(desk, *YEAR).repeats:
            day = first.replace(day=1 + ahead % 28)
            anew = replace(typed, amount=str(10 + ahead), day=day.isoformat())
            expenses.change_repeat(desk, rule(desk).repeat_id, anew)
        else:
            try:
                if what == "reopen" and closed is not None:
                    reopen_day(desk, closed, "why not")
                elif what == "undo":
                    desk.book.undo(today=desk.today)
                elif what == "redo":
                    desk.book.redo(today=desk.today)
            except Mendable:
                pass  # nothing to undo, or something stands in its way
    if spent(desk, *YEAR).repeats:
        last = desk.today + timedelta(days=1)
        clock.go_to(last)
        desk.meant.add(last)
        close_day(desk, last)
        with desk.book.reading() as session:
            lines = [(one.id, one.period, one.counters_id) for one in session.query(Expense)]
            whole = written(session, rule(desk).repeat_id)
        gone = {counters for _, _, counters in lines}
        standing = [one for one in lines if one[2] is None and one[0] not in gone]
        assert set(Counter(period for _, period, _ in standing).values()) <= {1}
        assert {period for _, period, _ in standing} == whole
        assert desk.book.check() == []
    desk.book.close()
