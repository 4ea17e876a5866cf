"""How a job over several days falls on its days: hours, steps, and what it uses of supplies.

The rules (common practice, no source), chosen so that nothing is ever counted twice:

* *Days.* The days of a visit that are worked are those on whose weekday the shop works; its first
  and last always count.
* *Hours.* What is left of the expected hours is spread evenly over the days not yet told of; a day
  that is too short for that takes what it has room for, where the others hold the rest.
* *Steps.* Steps are done in their order, as far as the hours have come; all of them at the end.
* *Supplies.* A day takes, of what is left of the job's expected use, the share that its hours are
  of its own hours and those of the days still to come (and of earlier days nobody has told of yet).
  A supply that the job's own steps name falls on the days of those steps instead, so a coating
  leaves the shelf on the day it is applied. On the last day the rest falls due. What was taken on
  another day, more or less than expected, is no longer left.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction

from app.calculations.numbers.rounding import half_away

ROUND_TO = 5  # minutes; finer shares of a day would only look exact
MONDAY_TO_FRIDAY = frozenset(range(5))
FEWEST_CLOSED = 20  # days closed, four weeks of five, before the shop's own week is read off them


def weekdays_worked(closed: Collection[date]) -> frozenset[int]:
    """The weekdays (Monday 0) on which the shop works, by the days that it closed.

    One counts that was closed half as often as the one closed most often, so that now and then a
    Saturday makes no Saturday shop; Monday to Friday while fewer than `FEWEST_CLOSED` are known.
    """
    if len(closed) < FEWEST_CLOSED:
        return MONDAY_TO_FRIDAY
    times = Counter(day.weekday() for day in closed)
    most = max(times.values())
    return frozenset(weekday for weekday, count in times.items() if 2 * count >= most)


def planned_days(
    first: date,
    last: date,
    weekdays: Collection[int] = MONDAY_TO_FRIDAY,
    closed: Collection[date] = (),
) -> tuple[date, ...]:
    """The days of a visit that are worked: those weekdays but closed days, and its first and last
    day always."""
    last = max(first, last)
    days = (first + timedelta(days=i) for i in range((last - first).days + 1))
    return tuple(
        day
        for day in days
        if day in (first, last) or (day.weekday() in weekdays and day not in closed)
    )


def next_workday(
    day: date, weekdays: Collection[int] = MONDAY_TO_FRIDAY, closed: Collection[date] = ()
) -> date:
    """The next day that falls on one of these weekdays, of which there is at least one, and is not
    closed."""
    following = day + timedelta(days=1)
    while following.weekday() not in weekdays or following in closed:
        following += timedelta(days=1)
    return following


def minutes_by_day(
    expected: int,
    days: Sequence[date],
    known: Mapping[date, int],
    room: Mapping[date, int] | None = None,
) -> dict[date, int]:
    """Minutes of each day of a visit: what is known, and what is left spread over the others.

    Parameters
    ----------
    expected
        Minutes of the whole job.
    days
        Its days in order.
    known
        Minutes of days that were told of; they need not be among `days`. A day that is over and
        was not worked is known with 0.
    room
        Minutes that the shop is open on a day, from the begin on; no day is short without.

    Returns
    -------
    Every day of either, in order. Shares are rounded to five minutes; the last open day takes the
    rest, so that the sum is `expected` unless more is known already.
    """
    left = max(0, expected - sum(known.values()))
    silent = [day for day in days if day not in known]
    short = _short_days(left, silent, room or {})
    silent = [day for day in silent if day not in short]
    left -= sum(short.values())
    spread = dict(short)
    given = 0
    for place, day in enumerate(silent, start=1):
        if place == len(silent):
            upto = left
        else:
            upto = min(left, ROUND_TO * half_away(Fraction(left * place, len(silent) * ROUND_TO)))
        spread[day] = upto - given
        given = upto
    return dict(sorted({**spread, **known}.items()))


def _short_days(left: int, days: Sequence[date], room: Mapping[date, int]) -> dict[date, int]:
    """The days whose room is below an even share, with it; none where all together are too short
    for what is left."""
    short: dict[date, int] = {}
    while len(short) < len(days):
        share = Fraction(left - sum(short.values()), len(days) - len(short))
        below = {day: room[day] for day in days if day not in short and room.get(day, left) < share}
        if not below:
            return short
        short |= below
    return {}


def steps_done_by(steps: int, day: date, minutes: Mapping[date, int], *, finishes: bool) -> int:
    """How many of a job's steps, in their order, are expected to be done when a day ends.

    In proportion to the minutes of the days up to it; where no minutes are known, to the days.
    """
    if finishes:
        return steps
    total = sum(minutes.values())
    weights = minutes if total else dict.fromkeys(minutes, 1)
    if not weights:
        return 0
    until = sum(weight for one, weight in weights.items() if one <= day)
    return half_away(Fraction(steps * until, sum(weights.values())))


def amount_on(
    expected: int,
    day: date,
    weights: Mapping[date, int],
    taken: Mapping[date, int],
    *,
    over: Collection[date] = (),
    finishes: bool,
) -> int:
    """What of a job's expected use falls on a day.

    Parameters
    ----------
    expected
        The use of the whole job, base units.
    weights
        How much each day counts: its minutes, or the number of its steps that use this supply.
        All zero: every day that is not told of counts the same.
    taken
        What is known to be taken on other days. An entry for `day` itself is not read.
    over
        Other days that are over: what they took stands in `taken`, no more is expected of them.
    finishes
        Whether the job ends on this day, so that no later day takes a share.
    """
    left = expected - sum(amount for one, amount in taken.items() if one != day)
    if left <= 0:
        return 0
    open_days = {
        one: weight
        for one, weight in weights.items()
        if one == day or (one not in taken and one not in over and not (finishes and one > day))
    }
    if day not in open_days:
        return left if finishes else 0
    if not any(open_days.values()):
        open_days = dict.fromkeys(open_days, 1)
    return half_away(Fraction(left * open_days[day], sum(open_days.values())))
