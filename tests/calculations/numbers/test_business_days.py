"""Business days against pandas' calendar of federal holidays and numpy's counting."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pandas.tseries.holiday import USFederalHolidayCalendar

from app.calculations.numbers.business_days import after_business_days, federal_holidays, honor_by

days = st.dates(date(2022, 1, 3), date(2040, 12, 31))


@pytest.mark.parametrize("year", range(2022, 2041))
def test_federal_holidays_agree_with_pandas(year):
    reference = USFederalHolidayCalendar().holidays(f"{year}-01-01", f"{year}-12-31")
    assert federal_holidays(year) == {day.date() for day in reference}


def test_before_2021_juneteenth_was_no_federal_holiday():
    assert date(2020, 6, 19) not in federal_holidays(2020)
    # a Saturday in the year of Public Law 117-17 (17 June 2021), and kept on the Friday
    assert date(2021, 6, 18) in federal_holidays(2021)


def test_ten_business_days_from_a_monday_are_two_weeks():
    assert honor_by(date(2026, 8, 3)) == date(2026, 8, 17)


def test_a_stop_before_christmas_has_until_the_new_year():
    # 18 December 2026 is a Friday; Christmas and New Year's Day fall on Fridays.
    assert honor_by(date(2026, 12, 18)) == date(2027, 1, 5)


def test_a_stop_said_on_a_saturday_counts_from_monday():
    assert honor_by(date(2026, 8, 1)) == honor_by(date(2026, 7, 31)) == date(2026, 8, 14)


def test_holidays_of_ones_own_may_be_passed_in():
    assert honor_by(date(2026, 8, 3), [date(2026, 8, 10)]) == date(2026, 8, 18)


@given(days, st.integers(0, 30))
def test_counting_agrees_with_numpy(start, count):
    holidays = federal_holidays(start.year) | federal_holidays(start.year + 1)
    reference = np.busday_offset(
        np.datetime64(start), count, roll="backward", holidays=sorted(holidays)
    )
    found = after_business_days(start, count, holidays)
    assert count == 0 or found == reference.astype(date)


@given(days)
def test_a_limit_is_never_on_a_day_off(start):
    limit = honor_by(start)
    assert limit.weekday() < 5
    assert limit not in federal_holidays(limit.year)
    assert limit - start >= timedelta(days=12)
