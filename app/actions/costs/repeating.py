"""What repeating expenses write when a day is closed: each month or year once."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk
from app.calculations.figures.repeating import due_by
from app.calculations.numbers.dates import near
from app.records.models import Expense
from app.records.queries import expenses as queries
from app.records.queries.days import Session
from app.records.queries.expenses import ExpenseRow, RepeatRow

_AHEAD = 3  # years in which a rule's next day is looked for


def due(session: Session, day: date) -> list[tuple[RepeatRow, date, date]]:
    """(rule, first day of its month or year, day it is due) of all that is due by the end of a day
    and was not written yet, the earliest first.

    So a month in which nothing was closed is made up for by the next close.
    """
    found = []
    for rule in queries.repeats(session):
        written = queries.written(session, rule.repeat_id)
        for period, on in due_by(rule.every, rule.from_day, rule.until, day):
            if period not in written:
                found.append((rule, period, on))
    return sorted(found, key=lambda one: (one[2], one[0].repeat_id))


def due_texts(desk: Desk, day: date) -> list[str]:
    """What closing a day would write: `Rent, the bay, 950.00, due 1 July`."""
    with desk.book.reading() as session:
        found = due(session, day)
    return [_text(desk, rule, on, day) for rule, _period, on in found]


def written_texts(desk: Desk, day: date) -> list[str]:
    """What the close of a closed day wrote, in the words of `due_texts`."""
    with desk.book.reading() as session:
        found = queries.written_by_close(session, day)
    return [_text(desk, one, one.day, day) for one in found]


def _text(desk: Desk, one: RepeatRow | ExpenseRow, on: date, day: date) -> str:
    what = ", ".join(filter(None, (one.kind.capitalize(), one.text)))
    return f"{what}, {money(desk, one.amount)}, due {near(on, day)}"


def write_due(session: Session, desk: Desk, day: date, at: datetime) -> int:
    """Write what is due by a day, within the change that closes it at `at`; what it comes to.

    What is written yet is read in the same transaction, while nobody else can write.
    """
    total = 0
    for rule, period, on in due(session, day):
        session.add(
            Expense(
                day=on, at=at, kind=rule.kind, text=rule.text, amount=rule.amount,
                tax=rule.tax, method=rule.method, repeat_id=rule.repeat_id, period=period,
            )
        )  # fmt: skip
        total += rule.amount
    return total


def next_days(session: Session, rules: Sequence[RepeatRow]) -> dict[int, date | None]:
    """By rule, the day of the first one that is not written yet; None where it has ended."""
    found: dict[int, date | None] = {}
    for rule in rules:
        written = queries.written(session, rule.repeat_id)
        last = max([rule.from_day, *written])
        by = last.replace(year=last.year + _AHEAD, day=1)
        days = due_by(rule.every, rule.from_day, rule.until, by)
        found[rule.repeat_id] = next((on for period, on in days if period not in written), None)
    return found
