"""What work asks for: worked by hand, and what must hold of any jobs."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from app.calculations.figures import charging
from app.calculations.figures.charging import Took, Worked

jobs_of = st.lists(
    st.builds(
        Worked,
        st.integers(1, 9999),
        st.integers(0, 10**7),
        st.integers(0, 10**6),
        st.integers(1, 3000),
    ),
    min_size=1,
    max_size=12,
)


def test_each_hour_on_a_job_carries_its_share_of_those_that_nobody_pays() -> None:
    # 10 h on jobs and 2 h on the shop: 2 h of a job carry 24 min. At 90 an hour with 12 of supplies
    # it asks for 12 + 2.4 x 90 = 228, by hand.
    (job,) = charging.carrying([Worked(1, 20000, 1200, 120)], 600, 120)
    assert job.unpaid == 24
    assert charging.asked(job, 9000) == 22800
    assert charging.left_an_hour([job]) == Fraction(60 * 18800, 144)


def test_below_five_jobs_each_price_is_listed_and_no_middle_is_told() -> None:
    four = [Worked(at, 9000, 0, minutes) for at, minutes in enumerate((90, 60, 30, 120))]
    few = charging.price(four, 6000)
    assert (few.charged, few.asks, few.short) == (None, None, None)
    assert few.each == (3000, 6000, 9000, 12000)
    five = charging.price([*four, Worked(9, 9000, 0, 150)], 6000)
    assert five.asks is not None
    assert (five.asks.middle, five.asks.n, five.each) == (9000, 5, ())
    assert five.short == 0


@given(jobs_of, st.integers(0, 50000), st.integers(0, 10**6))
def test_at_what_it_asks_for_a_job_brings_the_wish(
    jobs: list[Worked], on_shop: int, rate: int
) -> None:
    carried = charging.carrying(jobs, sum(job.minutes for job in jobs), on_shop)
    assert sum(job.unpaid for job in carried) == on_shop
    for job in carried:
        paid = Worked(1, charging.asked(job, rate), job.supplies, job.minutes, job.unpaid)
        found = charging.left_an_hour([paid])
        assert found is not None
        assert abs(found - rate) * job.all_minutes <= 30  # half a minor unit, by the hour


@given(jobs_of, st.integers(0, 90), st.integers(0, 4000))
def test_other_prices_and_times_move_only_what_they_are_about(
    jobs: list[Worked], percent: int, minutes: int
) -> None:
    for was, now in zip(jobs, charging.dearer(jobs, percent), strict=True):
        assert abs(100 * now.earned - was.earned * (100 + percent)) <= 50
        assert (now.supplies, now.all_minutes) == (was.supplies, was.all_minutes)
    for was, now in zip(jobs, charging.quicker(jobs, minutes), strict=True):
        assert now.minutes == max(0, was.minutes - minutes)
        assert (now.earned, now.supplies, now.unpaid) == (was.earned, was.supplies, was.unpaid)


def test_a_cheaper_pack_saves_by_its_size_and_a_dearer_one_nothing() -> None:
    # A gallon at 82.00 against 16 oz at 24.30, in ounces: 128 oz would cost 194.40, by hand.
    assert charging.saved(19440, 8200, 128, 2430, 16) == 19440 - 8200
    assert charging.saved(19440, 19440, 128, 2430, 16) == 0
    assert charging.saved(8200, 2430, 16, 8200, 128) == 0


def test_work_without_any_time_leaves_nothing_an_hour() -> None:
    assert charging.left_an_hour([Worked(1, 100, 0, 0)]) is None


def test_what_a_job_leaves_against_the_year_before_is_split_by_hand() -> None:
    # Before: 100.00 charged, 10 units at 1.00. Now: 99.00 charged, 12 units at 1.50 (18.00), and
    # one new supply for 0.50. Leaves 99 - 18.50 - 90 = 9.50 less: 1.00 charged, 12 x 0.50 = 6.00 by
    # price, the rest 2.50 by use.
    then = [Worked(at, 10000, 1000, 60) for at in range(5)]
    now = [Worked(at, 9900, 1850, 60) for at in range(5)]
    took_now = {7: Took(60, 9000), 8: Took(5, 250)}
    change = charging.year_ago(now, then, took_now, {7: Took(50, 5000)})
    assert change == charging.YearAgo(-950, -100, 600, 250, ((7, 600),))
    assert charging.year_ago(now[:4], then, took_now, {}) is None
    assert charging.year_ago(now, then[:4], took_now, {}) is None


@given(
    jobs_of.filter(lambda some: len(some) >= 5),
    jobs_of.filter(lambda some: len(some) >= 5),
    st.integers(1, 10**6),
    st.integers(0, 10**6),
)
def test_the_parts_of_a_change_are_the_whole(
    now: list[Worked], then: list[Worked], quantity: int, cost: int
) -> None:
    took = sum(job.supplies for job in now)
    change = charging.year_ago(now, then, {1: Took(9, took)}, {1: Took(quantity, cost)})
    assert change is not None
    assert change.left == change.charged - change.prices - change.use
    left = [
        Fraction(sum(job.earned - job.supplies for job in some), len(some)) for some in (now, then)
    ]
    assert abs(change.left - (left[0] - left[1])) <= 1


def test_what_was_saved_is_left_as_if_it_had_been_earned() -> None:
    """By hand: 200.00 less 12.00 and 30.00 saved are 218.00 in two hours."""
    jobs = [Worked(1, 20000, 1200, 120)]
    assert charging.left_an_hour(jobs, 3000) == 10900
