"""A job over several days: nothing is counted twice. Common practice, no source."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from app.calculations.plan.visit_days import (
    amount_on,
    minutes_by_day,
    next_workday,
    planned_days,
    steps_done_by,
    weekdays_worked,
)

FRIDAY = date(2025, 8, 15)
MONDAY = date(2025, 8, 18)
TUESDAY = date(2025, 8, 19)


def test_a_visit_from_friday_to_tuesday_is_worked_on_three_days():
    assert planned_days(FRIDAY, TUESDAY) == (FRIDAY, MONDAY, TUESDAY)


def test_a_visit_that_ends_on_saturday_is_worked_on_saturday():
    assert planned_days(FRIDAY, FRIDAY + timedelta(1)) == (FRIDAY, FRIDAY + timedelta(1))


def test_after_friday_comes_monday():
    assert next_workday(FRIDAY) == MONDAY


@given(st.dates(date(2020, 1, 1), date(2030, 1, 1)), st.sets(st.integers(0, 6), min_size=1))
def test_the_next_workday_is_the_first_of_the_coming_week_that_is_worked(day, weekdays):
    week = [day + timedelta(n) for n in range(1, 8)]
    assert next_workday(day, weekdays) == next(one for one in week if one.weekday() in weekdays)


SATURDAY_SHOP = frozenset({1, 2, 3, 4, 5})  # Tuesday to Saturday


def days_of(weekdays, weeks):
    """The days of so many weeks that fall on these weekdays."""
    days = (MONDAY - timedelta(weeks=weeks) + timedelta(i) for i in range(7 * weeks))
    return [day for day in days if day.weekday() in weekdays]


def test_the_shop_s_week_is_read_off_the_days_it_closed():
    assert weekdays_worked(days_of(SATURDAY_SHOP, 4)) == SATURDAY_SHOP
    assert weekdays_worked(days_of(range(7), 6)) == frozenset(range(7))


def test_a_saturday_in_two_counts_and_one_in_three_does_not():
    weekdays = days_of(range(5), 12)
    saturdays = days_of([5], 12)
    assert weekdays_worked([*weekdays, *saturdays[::2]]) == frozenset(range(6))
    assert weekdays_worked([*weekdays, *saturdays[::3]]) == frozenset(range(5))


def test_a_book_of_less_than_four_weeks_works_from_monday_to_friday():
    assert weekdays_worked([]) == frozenset(range(5))
    assert weekdays_worked(days_of(SATURDAY_SHOP, 4)[1:]) == frozenset(range(5))


def test_a_saturday_shop_works_on_saturday_and_rests_on_monday():
    saturday = FRIDAY + timedelta(1)
    assert planned_days(FRIDAY, TUESDAY, SATURDAY_SHOP) == (FRIDAY, saturday, TUESDAY)
    assert next_workday(FRIDAY, SATURDAY_SHOP) == saturday
    assert next_workday(saturday, SATURDAY_SHOP) == TUESDAY


def test_eight_hours_over_three_days_come_in_fives_and_sum_to_eight():
    spread = minutes_by_day(480, [FRIDAY, MONDAY, TUESDAY], {})
    assert spread == {FRIDAY: 160, MONDAY: 160, TUESDAY: 160}
    assert minutes_by_day(100, [FRIDAY, MONDAY, TUESDAY], {}) == {
        FRIDAY: 35, MONDAY: 30, TUESDAY: 35
    }  # fmt: skip


def test_six_hours_on_the_first_of_two_days_leave_two_for_the_second():
    assert minutes_by_day(480, [MONDAY, TUESDAY], {MONDAY: 360})[TUESDAY] == 120


def test_a_job_that_ran_over_expects_nothing_more():
    assert minutes_by_day(480, [MONDAY, TUESDAY], {MONDAY: 600})[TUESDAY] == 0


def test_steps_follow_the_hours_and_the_last_day_does_all():
    minutes = {MONDAY: 360, TUESDAY: 120}
    assert steps_done_by(4, MONDAY, minutes, finishes=False) == 3
    assert steps_done_by(4, TUESDAY, minutes, finishes=True) == 4


def test_the_first_of_two_equal_days_takes_half():
    weights = {MONDAY: 240, TUESDAY: 240}
    assert amount_on(100, MONDAY, weights, {}, finishes=False) == 50


def test_the_second_day_takes_what_the_first_left():
    weights = {MONDAY: 240, TUESDAY: 240}
    assert amount_on(100, TUESDAY, weights, {MONDAY: 80}, finishes=True) == 20
    assert amount_on(100, TUESDAY, weights, {MONDAY: 130}, finishes=True) == 0


def test_an_earlier_day_nobody_told_of_keeps_its_share():
    weights = {MONDAY: 240, TUESDAY: 240}
    assert amount_on(100, TUESDAY, weights, {}, finishes=True) == 50
    assert amount_on(100, TUESDAY, weights, {}, over=[MONDAY], finishes=True) == 100


def test_a_coating_falls_on_the_day_of_its_step():
    assert amount_on(30, MONDAY, {MONDAY: 0, TUESDAY: 1}, {}, finishes=False) == 0
    assert amount_on(30, TUESDAY, {MONDAY: 0, TUESDAY: 1}, {}, finishes=True) == 30


@given(
    expected=st.integers(0, 10**7),
    minutes=st.lists(st.integers(0, 600), min_size=1, max_size=6),
    typed=st.dictionaries(st.integers(0, 5), st.integers(0, 10**7)),
)
def test_days_closed_in_order_take_the_expected_use_and_never_more(expected, minutes, typed):
    days = [MONDAY + timedelta(i) for i in range(len(minutes))]
    weights = dict(zip(days, minutes, strict=True))
    taken: dict[date, int] = {}
    for place, day in enumerate(days):
        filled = amount_on(
            expected, day, weights, taken, over=list(taken), finishes=place == len(days) - 1
        )
        assert 0 <= filled <= max(0, expected - sum(taken.values()))
        taken[day] = typed.get(place, filled)
    if not any(place < len(days) for place in typed):
        assert sum(taken.values()) == expected


@given(
    expected=st.integers(0, 3000),
    known=st.dictionaries(st.integers(0, 9), st.integers(0, 900)),
    count=st.integers(1, 8),
)
def test_the_hours_of_all_days_sum_to_what_is_expected(expected, known, count):
    days = [MONDAY + timedelta(i) for i in range(count)]
    told = {MONDAY + timedelta(i): minutes for i, minutes in known.items()}
    spread = minutes_by_day(expected, days, told)
    assert all(minutes >= 0 for minutes in spread.values())
    if any(day not in told for day in days):
        assert sum(spread.values()) == max(expected, sum(told.values()))


def test_on_a_day_whose_hours_are_nothing_the_days_count_alike():
    nothing = {MONDAY: 0, TUESDAY: 0}
    assert amount_on(100, MONDAY, nothing, {}, finishes=False) == 50
    assert steps_done_by(4, MONDAY, nothing, finishes=False) == 2
    assert steps_done_by(4, MONDAY, {}, finishes=False) == 0


def test_what_the_day_itself_took_is_not_taken_off_before():
    weights = {MONDAY: 240, TUESDAY: 240}
    assert amount_on(100, MONDAY, weights, {MONDAY: 70, TUESDAY: 30}, finishes=False) == 70


def test_on_its_last_day_no_later_day_takes_a_share():
    weights = {MONDAY: 240, TUESDAY: 240}
    assert amount_on(100, MONDAY, weights, {}, finishes=True) == 100
    assert amount_on(100, MONDAY + timedelta(7), weights, {}, finishes=False) == 0
    assert amount_on(100, MONDAY + timedelta(7), weights, {}, finishes=True) == 100


def test_a_visit_that_ends_before_it_begins_is_one_day():
    assert planned_days(TUESDAY, MONDAY) == (TUESDAY,)


def test_a_short_day_takes_what_it_has_room_for_where_the_others_hold_the_rest() -> None:
    room = {FRIDAY: 210, MONDAY: 540, TUESDAY: 540}
    assert minutes_by_day(1200, [FRIDAY, MONDAY, TUESDAY], {}, room) == {
        FRIDAY: 210, MONDAY: 495, TUESDAY: 495,
    }  # fmt: skip
    assert minutes_by_day(600, [FRIDAY, MONDAY], {FRIDAY: 60}, room)[MONDAY] == 540
    overfull = minutes_by_day(1500, [FRIDAY, MONDAY, TUESDAY], {}, room)
    assert set(overfull.values()) == {500}, "more than all hold is not hidden on one of them"
