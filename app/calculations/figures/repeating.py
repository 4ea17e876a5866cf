"""Expenses that come again: which months or years of a rule are due by a day, and on which day."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterator
from datetime import date

MONTH, YEAR = "month", "year"


def due_by(every: str, first: date, until: date | None, by: date) -> Iterator[tuple[date, date]]:
    """(first day of the month or year, the day on which it is due) of each one due by a day.

    Due is the day of the month on which the rule begins, or the last one of a month that is
    shorter: from 31 January on 28 or 29 February, then on 31 March; from 29 February on 28 February
    in a common year. None is due after `until`.
    """
    last = by if until is None else min(by, until)
    step = 12 if every == YEAR else 1
    month = first.year * 12 + first.month - 1
    while True:
        year, at = divmod(month, 12)
        if year > date.max.year:
            return
        due = date(year, at + 1, min(first.day, monthrange(year, at + 1)[1]))
        if due > last:
            return
        yield (date(year, 1, 1) if every == YEAR else due.replace(day=1)), due
        month += step
