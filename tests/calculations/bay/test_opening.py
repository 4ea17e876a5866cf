"""Open windows on the shop's clock, checked against zoneinfo."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from app.calculations.bay.opening import OpenHours, instant_of, minute_of, next_open

WEEK = (480, 480, 480, 480, 480, 240, 0)


@pytest.mark.parametrize("zone", ["America/Chicago", "Europe/Berlin", "Pacific/Kiritimati"])
def test_a_day_opens_at_its_time_on_the_clock_and_is_as_long_though_clocks_change(zone: str):
    hours = OpenHours((510,) * 7, WEEK, zone)
    for first in (date(2027, 3, 8), date(2027, 3, 24), date(2027, 10, 27), date(2027, 11, 3)):
        last = first + timedelta(days=9)
        windows = hours.windows(first, last)
        for start, end in windows:
            local = instant_of(start).astimezone(ZoneInfo(zone))
            assert (local.hour, local.minute) == (8, 30)
            assert end - start == WEEK[local.weekday()]
        open_days = [first + timedelta(days=at) for at in range(10)]
        assert len(windows) == sum(WEEK[day.weekday()] > 0 for day in open_days)


def test_a_closed_day_has_no_window():
    hours = OpenHours((480,) * 7, WEEK, "UTC", frozenset({date(2027, 7, 5)}))
    assert hours.on(date(2027, 7, 5)) == 0
    assert len(hours.windows(date(2027, 7, 5), date(2027, 7, 11))) == 5


def test_a_minute_is_an_instant_and_back():
    at = datetime(2027, 3, 14, 9, 17, tzinfo=UTC)
    assert instant_of(minute_of(at)) == at


def test_a_vehicle_can_be_fetched_until_the_shop_closes_and_else_when_it_opens():
    windows = ((100, 200), (300, 400))
    assert [next_open(windows, at) for at in (50, 150, 200, 201, 400)] == [100, 150, 200, 300, 400]
    assert next_open(windows, 401) is None
