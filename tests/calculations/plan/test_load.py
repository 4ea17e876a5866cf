"""How many hours a day holds, against those that it is open."""

from __future__ import annotations

from datetime import date, timedelta

from app.calculations.plan.load import DayLoad, with_job

THURSDAY = date(2025, 8, 14)


def test_a_day_is_over_only_where_something_is_added() -> None:
    friday = THURSDAY + timedelta(days=1)
    days = {
        friday: DayLoad(friday, 540, 500),
        THURSDAY: DayLoad(THURSDAY, 540, 600),
    }
    first, second = with_job(days, {friday: 40})
    assert (first.day, first.over) == (THURSDAY, False)  # full before, and nothing comes to it
    assert (second.held, second.over) == (540, False)  # exactly full
    assert with_job(days, {friday: 41})[1].over
    assert DayLoad(friday, 540, 540, 1).over, "a minute is beyond it as well"


def test_minutes_beyond_the_open_hours_are_those_that_do_not_fit() -> None:
    held = [DayLoad(THURSDAY, 540, 500, added).beyond for added in (0, 40, 41, 100)]
    assert held == [0, 0, 1, 60]
