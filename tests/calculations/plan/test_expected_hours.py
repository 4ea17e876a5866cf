"""Expected hours, against numpy's median and quantiles (its default, linear between neighbours)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.plan.expected_hours import (
    ENOUGH,
    HourFactors,
    Sold,
    expected_hours,
    list_minutes,
    main_service,
)

# Common practice, no source: hands-on time by size outside, inside, and by condition.
FACTORS = HourFactors(
    {"S": 0.85, "M": 1.0, "L": 1.2, "XL": 1.45},
    {"S": 0.8, "M": 1.0, "L": 1.3, "XL": 1.6},
    {"kept": 0.85, "average": 1.0, "neglected": 1.35, "extreme": 1.85},
)
WASH = Sold(1, 75, outside=True)
INTERIOR = Sold(2, 210, outside=False)


def test_a_medium_vehicle_in_average_condition_takes_what_the_list_says():
    assert list_minutes([WASH, INTERIOR], "M", "M", "average", FACTORS) == {1: 75.0, 2: 210.0}


def test_outside_work_goes_by_the_outside_and_inside_work_by_the_inside():
    minutes = list_minutes([WASH, INTERIOR], "XL", "S", "average", FACTORS)
    assert minutes[1] == pytest.approx(75 * 1.45)
    assert minutes[2] == pytest.approx(210 * 0.8)


def test_a_neglected_vehicle_takes_longer_and_each_layer_its_own_time():
    coat = Sold(3, 150, outside=True, layers=2)
    assert list_minutes([coat], "M", "M", "neglected", FACTORS)[3] == pytest.approx(2 * 150 * 1.35)


def test_a_size_nobody_knows_counts_as_medium():
    assert list_minutes([WASH], "XXL", "?", "shiny", FACTORS) == {1: 75.0}


def test_the_service_that_takes_longest_says_what_kind_of_job_it_is():
    assert main_service({1: 75.0, 2: 210.0, 3: 20.0}) == 2
    assert main_service({7: 60.0, 4: 60.0}) == 4
    assert main_service({}) is None


def test_four_jobs_leave_the_list_as_it_is_and_say_so():
    found = expected_hours(300, [1.5, 1.6, 1.4, 1.5])
    assert (found.minutes, found.by_list, found.low, found.high) == (300, 300, 300, 300)
    assert not found.own


def test_after_five_jobs_their_middle_takes_over_and_one_bad_day_does_not_move_it():
    found = expected_hours(300, [1.1, 1.1, 1.1, 1.1, 5.0])
    assert found.own
    assert (found.minutes, found.by_list) == (330, 300)


@given(st.lists(st.floats(0.3, 4.0), min_size=ENOUGH, max_size=40), st.integers(30, 2000))
def test_the_middle_and_the_span_are_numpys(ratios: list[float], by_list: int):
    found = expected_hours(by_list, ratios)
    low, middle, high = by_list * np.quantile(ratios, [0.1, 0.5, 0.9])
    assert abs(found.minutes - middle) <= 2.5 + 1e-6
    assert abs(found.low - low) <= 2.5 + 1e-6
    assert abs(found.high - high) <= 2.5 + 1e-6
    assert found.low <= found.minutes <= found.high


@pytest.mark.parametrize(
    ("minutes", "rounded"), [(0, 0), (2.4, 0), (2.5, 5), (7.4, 5), (7.5, 10), (-3, 0)]
)
def test_expectations_are_rounded_to_five_minutes(minutes: float, rounded: int):
    assert expected_hours(minutes, []).minutes == rounded


def test_no_layer_counts_as_one_and_a_service_sold_twice_adds_up():
    twice = [Sold(1, 60, outside=True, layers=0), Sold(1, 30, outside=True)]
    assert list_minutes(twice, "M", "M", "average", FACTORS) == {1: 90.0}
