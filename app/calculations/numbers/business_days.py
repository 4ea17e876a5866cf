"""Business days in the United States: federal holidays, and the day by which a stop is honored."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta

# A commercial mail's opt-out is honored within ten business days (15 U.S.C. 7704(a)(4)).
OPT_OUT_DAYS = 10

_MONDAY, _THURSDAY, _SATURDAY, _SUNDAY = 0, 3, 5, 6


def federal_holidays(year: int) -> frozenset[date]:
    """Legal public holidays of a year (5 U.S.C. 6103(a)), each on the weekday it is kept.

    One that falls on a Saturday is kept on the Friday before, on a Sunday on the Monday after
    (5 U.S.C. 6103(b), Executive Order 11582); so a New Year's Day may be kept in the old year.
    """
    fixed = [date(year, 1, 1), date(year, 7, 4), date(year, 11, 11), date(year, 12, 25)]
    if year >= 2021:
        fixed.append(date(year, 6, 19))
    floating = [
        _nth(year, 1, _MONDAY, 3),
        _nth(year, 2, _MONDAY, 3),
        _nth(year, 6, _MONDAY, 1) - timedelta(days=7),  # the last Monday of May
        _nth(year, 9, _MONDAY, 1),
        _nth(year, 10, _MONDAY, 2),
        _nth(year, 11, _THURSDAY, 4),
    ]
    kept = {_kept(day) for day in fixed} | set(floating)
    kept.add(_kept(date(year + 1, 1, 1)))
    return frozenset(day for day in kept if day.year == year)


def _nth(year: int, month: int, weekday: int, count: int) -> date:
    first = date(year, month, 1)
    return first + timedelta(days=(weekday - first.weekday()) % 7 + 7 * (count - 1))


def _kept(day: date) -> date:
    if day.weekday() == _SATURDAY:
        return day - timedelta(days=1)
    return day + timedelta(days=1) if day.weekday() == _SUNDAY else day


def after_business_days(start: date, count: int, holidays: Collection[date]) -> date:
    """The `count`-th business day after `start`, which itself does not count."""
    day = start
    while count > 0:
        day += timedelta(days=1)
        if day.weekday() < _SATURDAY and day not in holidays:
            count -= 1
    return day


def honor_by(
    stopped_on: date, holidays: Collection[date] | None = None, business_days: int = OPT_OUT_DAYS
) -> date:
    """The last day on which a "stop" said on `stopped_on` must have been honored.

    `holidays` None takes the federal ones. A limit for the law's sake: the book itself stops
    at once.
    """
    if holidays is None:
        holidays = federal_holidays(stopped_on.year) | federal_holidays(stopped_on.year + 1)
    return after_business_days(stopped_on, business_days, holidays)
