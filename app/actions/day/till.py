"""The cash in the till at the day's end: what was counted, and what should have been there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from app.actions.costs.repeating import due
from app.actions.day.money_taken import money_taken
from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import is_closed, writing_on
from app.calculations.figures.till import Count, counts, expected_on
from app.calculations.numbers.dates import day_month
from app.calculations.numbers.money import read_money
from app.errors import Mendable
from app.records.models import DaySheet
from app.records.queries import expenses as queries

KINDS = frozenset({"expenses", "days"})


@dataclass(frozen=True)
class Till:
    """The till on a day; `expected` is None before anything was ever counted."""

    counted: int | None
    expected: int | None

    @property
    def difference(self) -> int:
        """What was counted above what should be there; 0 where there is nothing to compare."""
        if self.counted is None or self.expected is None:
            return 0
        return self.counted - self.expected


def till(desk: Desk, day: date) -> Till:
    """The till at the end of a day; of an open one with the cash that its close will book."""
    with desk.book.reading() as session:
        moves, counted = queries.cash_moves(session), queries.counted(session)
        if not is_closed(desk, day):
            for rule, _period, on in due(session, day):
                if rule.method == queries.CASH:
                    moves[on] = moves.get(on, 0) - rule.amount
    if not is_closed(desk, day):
        rows = money_taken(desk, day).rows
        to_come = sum(row.taken for row in rows if row.state == "expected" and row.method == "cash")
        moves[day] = moves.get(day, 0) + to_come
    return Till(counted.get(day), expected_on(day, counted, moves))


def till_and_road(desk: Desk, day: date) -> tuple[Till, int]:
    """The till on a day, and the metres driven on it."""
    with desk.book.reading() as session:
        driven = queries.driven_on(session, day)
    return till(desk, day), driven


def difference_text(desk: Desk, found: Till) -> str:
    """`12.00 less in the till than should be there`; nothing where nothing is to be said."""
    if not found.difference:
        return ""
    word = "less" if found.difference < 0 else "more"
    return f"{money(desk, abs(found.difference))} {word} in the till than should be there"


def set_counted(desk: Desk, day: date, typed: str) -> Changed:
    """Note what was counted in the till on an open day; nothing typed: nobody counted."""
    counted = read_money(typed, desk.settings.currency) if typed.strip() else None
    if counted is not None and counted < 0:
        raise Mendable("Less than nothing does not lie in a till; type what was counted.")
    words = "not counted" if counted is None else money(desk, counted)
    name = f"Cash in the till on {day_month(day)}: {words}"
    with writing_on(desk, day, name, KINDS) as session:
        session.get_one(DaySheet, day).cash_counted = counted
    return Changed(name, KINDS)


def differences(desk: Desk, first: date, last: date) -> tuple[Count, ...]:
    """The counts of these days at which more or less lay there than should have."""
    with desk.book.reading() as session:
        found = counts(queries.counted(session), queries.cash_moves(session))
    return tuple(one for one in found if one.difference and first <= one.day <= last)
