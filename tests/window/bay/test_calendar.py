"""Minutes along the plan, there and back, and the begins that keys and the mouse stop at."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from app.actions.bay.plan_of_shop import DayOfPlan
from app.calculations.bay.opening import OpenHours
from app.window.bay.calendar import begin_at, calendar_of, day_step, working_step

# Clocks go back on 26 October 2025 in Berlin: that Sunday has 25 hours.
FIRST = date(2025, 10, 23)
HOURS = OpenHours((480,) * 7, (510,) * 5 + (240, 0), "Europe/Berlin")


def days(count: int = 7) -> list[DayOfPlan]:
    found = []
    for at in range(count):
        day = FIRST + timedelta(days=at)
        start, end = HOURS.midnight(day), HOURS.midnight(day + timedelta(days=1))
        window = next(iter(HOURS.windows(day, day)), None)
        found.append(DayOfPlan(day, start, end, window, HOURS.on(day), 0))
    return found


def test_days_follow_each_other_and_a_closed_one_is_narrow() -> None:
    calendar = calendar_of(days(), 100, 700)
    assert calendar.spans[0][0] == 100
    assert round(calendar.spans[-1][1], 6) == 700
    assert all(one[1] == other[0] for one, other in zip(calendar.spans, calendar.spans[1:],
                                                        strict=False))  # fmt: skip
    wide = [right - left for left, right in calendar.spans]
    assert wide[3] < wide[2] < wide[0], "Sunday is closed, Saturday is a half day"
    assert calendar.last - calendar.first == 7 * 1440 + 60 - 480


@given(st.integers(0, 7 * 1440))
def test_a_minute_is_found_again_where_it_stands(after: int) -> None:
    calendar = calendar_of(days(), 0, 7000)
    minute = min(calendar.first + after, calendar.last - 1)
    assert abs(calendar.minute(calendar.x(minute)) - minute) <= 6  # of a night, drawn narrow
    assert calendar.x(minute) <= calendar.x(minute + 1)


def test_keys_stop_at_half_hours_of_open_time() -> None:
    shown = days()
    thursday, friday, saturday, _sunday, monday = shown[:5]
    assert thursday.window is not None
    assert friday.window is not None
    assert monday.window is not None
    last = thursday.window[0] + 480  # 16:00, and 16:30 is the end of its last half hour
    assert working_step(shown, last, 1) == friday.window[0]
    assert working_step(shown, friday.window[0], -1) == last
    assert working_step(shown, friday.window[0] + 10, 1) == friday.window[0] + 30
    assert day_step(shown, friday.window[0] + 60, -1) == thursday.window[0] + 60
    assert saturday.window is not None
    assert day_step(shown, saturday.window[0] + 30, 1) == monday.window[0] + 30  # over 25 hours
    assert day_step(shown, thursday.window[0], -1) == thursday.window[0]
    assert begin_at(shown, saturday.window[1] + 12 * 60) == saturday.window[1] - 30
    assert begin_at(shown, friday.window[0] + 44) == friday.window[0] + 30
