"""The parts of the forecast, each against scipy, pandas or a count one by one."""

from __future__ import annotations

from math import exp

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from scipy.integrate import quad

from app.calculations.orders import need
from app.calculations.orders.need import HORIZON
from app.calculations.orders.shelf_state import BookedNeed, SupplyState

NOTICES = st.lists(st.integers(0, 500), max_size=20)


def supply(number: int = 1, **more: object) -> SupplyState:
    return SupplyState(supply=number, supplier=1, on_hand=0, **more)  # type: ignore[arg-type]


@given(NOTICES, st.integers(1, HORIZON))
def test_the_share_booked_is_that_of_jobs_with_so_much_notice_and_of_five_that_fall_off_evenly(
    notice: list[int], days: int
) -> None:
    """A geometric notice of mean 7 outlasts d days with chance (7 / 8) ** d."""
    counted = sum(one >= days for one in notice)
    expected = (5 * stats.geom.sf(days, 1 / 8) + counted) / (5 + len(notice))
    assert need.booked_ahead(notice)[days - 1] == pytest.approx(expected)


@given(st.lists(NOTICES, min_size=1, max_size=4), st.integers(1, HORIZON))
def test_a_supply_s_own_share_leans_on_that_of_all_work_as_on_five_jobs(
    notices: list[list[int]], days: int
) -> None:
    pooled = np.linspace(0.9, 0.0, HORIZON)
    found = need.own_shares(pooled, notices)
    for row, notice in enumerate(notices):
        counted = sum(min(one, HORIZON) >= days for one in notice)
        expected = (5 * pooled[days - 1] + counted) / (5 + len(notice))
        assert found[row, days - 1] == pytest.approx(expected)


@given(st.integers(1, 5000), st.floats(0.01, 1.5))
def test_a_booked_need_has_the_moments_of_the_log_normal_of_scipy(
    amount: int, spread: float
) -> None:
    found = need._booked(100, [supply(booked=(BookedNeed(103, amount, spread),))])
    life = stats.lognorm(spread, scale=amount)
    assert found.mean[0, 2] == pytest.approx(life.mean())
    assert found.variance[0, 2] == pytest.approx(life.var(), rel=1e-6)
    assert found.count.sum() == found.count[0, 2] == 1


def test_bookings_count_from_tomorrow_to_the_horizon_and_two_of_a_day_add_up() -> None:
    days = (90, 100, 101, 101, 100 + HORIZON, 101 + HORIZON)
    booked = (*(BookedNeed(day, 10, 0.0) for day in days), BookedNeed(105, 0, 0.3))
    found = need._booked(100, [supply(), supply(2, booked=booked)])
    assert found.count[0].sum() == 0
    assert found.count[1, 0] == 4, "what is overdue or of today is work of tomorrow"
    assert found.mean[1, 0] == 40
    assert np.flatnonzero(found.count[1]).tolist() == [0, HORIZON - 1]


def test_histories_end_today_and_what_came_before_a_supply_is_not_known() -> None:
    use, known = need._windows([supply(use=[1, 2, 3, 4]), supply(2, use=[5]), supply(3)], 3)
    assert use.tolist() == [[2, 3, 4], [0, 0, 5], [0, 0, 0]]
    assert known.tolist() == [[1, 1, 1], [0, 0, 1], [0, 0, 0]]
    use, known = need._windows([supply(use=[-4, 2])], 365)
    assert use.tolist() == [[0, 2]], "a use taken back is none"
    assert need._windows([supply()], 365)[0].shape == (1, 1)


@given(st.lists(st.integers(0, 6), min_size=14, max_size=70), st.integers(1, 9))
def test_the_week_is_the_mean_of_each_weekday_drawn_to_an_even_week(
    counts: list[int], supplies: int
) -> None:
    frame = pd.DataFrame({"count": counts, "chances": supplies})
    frame["weekday"] = np.arange(len(counts)) % 7
    if not sum(counts):
        return
    sums = frame.groupby("weekday")[["count", "chances"]].sum()
    overall = frame["count"].sum() / frame["chances"].sum()
    drawn = (sums["count"] + 2 * supplies * overall) / (sums["chances"] + 2 * supplies)
    found = need._week(
        frame["count"].to_numpy(float), frame["chances"].to_numpy(float),
        frame["weekday"].to_numpy(),
    )  # fmt: skip
    assert found == pytest.approx((drawn / drawn.mean()).to_numpy())
    assert found.mean() == pytest.approx(1)


def test_half_of_what_was_seen_counts_after_each_half_life() -> None:
    assert need.faded(np.array([0.0, 14.0, 28.0, 7.0]), 14.0) == pytest.approx(
        [1, 1 / 2, 1 / 4, 2**-0.5]
    )


def test_a_shop_without_work_has_an_even_week() -> None:
    nothing = np.zeros(9)
    assert need._week(nothing, np.ones(9), np.arange(9) % 7).tolist() == [1] * 7


@given(
    st.lists(st.tuples(st.integers(0, 9), st.floats(0.0, 5.0)), min_size=1, max_size=80),
)
def test_how_busy_a_day_was_is_read_from_two_weeks_on_either_side(
    days: list[tuple[int, float]],
) -> None:
    counts, usual = (np.array(column, dtype=float) for column in zip(*days, strict=True))
    found = need._smoothed(counts, usual)
    for day in range(len(days)):
        near = slice(max(day - 14, 0), day + 15)
        assert found[day] == pytest.approx((counts[near].sum() + 1) / (usual[near].sum() + 1))


@pytest.mark.parametrize(("quiet", "every"), [(5, 5), (40, 5), (90, 10), (200, 20)])
def test_a_silence_is_luck_or_a_supply_out_of_use_by_bayes(quiet: int, every: int) -> None:
    """It went out of use at some moment of the silence, one chance in 730 a day (integrated)."""
    window = 300
    used = np.zeros((1, window))
    used[0, window - 1 - quiet :: -every] = 1
    last, first = window - 1 - quiet, int(used[0].argmax())
    number = used.sum(axis=1)
    _, still = need._in_use(used, np.ones((1, window)), number, np.zeros(1), np.zeros(1))
    rate = number[0] / (last - first + 1 + window / number[0])
    luck = exp(-rate * quiet)
    stopped = quad(lambda after: need.STOPPING * exp(-rate * after), 0, quiet)[0]
    assert still[0] == pytest.approx(luck / (luck + stopped))


def test_days_before_the_first_use_count_as_far_as_the_supply_was_there() -> None:
    used = np.zeros((2, 100))
    used[0, 60::5] = 1
    number = used.sum(axis=1)
    counted, still = need._in_use(used, np.ones((2, 100)), number, np.zeros(2), np.zeros(2))
    assert counted[0, 60:96].tolist() == [1] * 36
    assert len(set(counted[0, :60])) == 1
    assert 0 < counted[0, 0] < 0.2
    assert counted[0, 99] == pytest.approx(still[0])
    assert still[1] == 0, "what was never used is not in use"


def test_what_is_booked_is_in_use_however_long_it_was_silent() -> None:
    used = np.zeros((1, 200))
    used[0, :40:5] = 1
    booked = np.ones(1)
    _, still = need._in_use(used, np.ones((1, 200)), used.sum(axis=1) + 1, booked, np.zeros(1))
    assert still[0] == 1


@given(
    st.lists(st.tuples(st.integers(1, 900), st.floats(0.1, 1.0)), min_size=2, max_size=20),
)
def test_the_size_of_a_use_is_its_weighted_mean_and_its_variation_leans_on_four_uses(
    uses: list[tuple[int, float]],
) -> None:
    size, weight = (np.array(column, dtype=float) for column in zip(*uses, strict=True))
    nothing = np.zeros((1, HORIZON))
    found, variation = need._sizes(
        size[None, :], np.ones((1, size.size)), weight, need._Booked(nothing, nothing, nothing)
    )
    mean = np.average(size, weights=weight)
    spread = np.average((size - mean) ** 2, weights=weight) / mean**2
    n = weight.sum()
    assert found[0] == pytest.approx(mean)
    assert variation[0] == pytest.approx((4 * 0.4 + n * spread) / (4 + n), rel=1e-6)


def test_booked_uses_tell_a_size_too() -> None:
    booked = need._booked(100, [supply(booked=(BookedNeed(103, 500, 0.4), BookedNeed(104, 900)))])
    one = np.zeros((1, 1))
    size, _ = need._sizes(one, one, np.ones(1), booked)
    assert size[0] == pytest.approx(booked.mean.sum() / 2)


DAYS = st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)), min_size=1, max_size=30)
FRACTIONS = st.floats(0.0, 1.0)


@given(DAYS, st.floats(0.5, 40.0), FRACTIONS, FRACTIONS)
def test_a_day_has_a_use_or_none_and_its_open_share_is_forecast(
    days: list[tuple[float, float]], seen: float, still: float, variation: float
) -> None:
    """Moments of a use that comes or not, by scipy's coin, day by day (law of total variance).

    The rate is in doubt as a gamma of mean 1, and no use in all days is that gamma's mixture of
    Poisson counts, the negative binomial's chance of nothing; with the chance to be still in use
    all this is, else nothing.
    """
    size = 250.0
    doubt = need.DRIFT + 1 / (seen + 1)
    nothing = np.zeros((1, HORIZON))
    chances, open_ = np.zeros((1, HORIZON)), np.zeros((1, HORIZON))
    chances[0, : len(days)], open_[0, : len(days)] = zip(*days, strict=True)
    found = need._booked_and_rest(
        need._Booked(nothing, nothing, nothing), chances, open_,
        *(np.array([one]) for one in (0.3, seen, still, size, variation)),
    )  # fmt: skip
    events = mean = own = 0.0
    for at, (chance, share) in enumerate(days):
        coin = stats.bernoulli(chance)
        events += share * coin.mean()
        mean += share * coin.mean() * size
        own += share * (coin.mean() * size**2 * variation + coin.var() * size**2)
        of_rate = doubt * mean**2
        mixed = still * (own + of_rate + mean**2) - (still * mean) ** 2
        assert found.mean[0, at] == pytest.approx(still * mean, rel=1e-6, abs=1e-9)
        assert found.variance[0, at] == pytest.approx(mixed, rel=1e-5, abs=1e-6)
        none = stats.nbinom(1 / doubt, 1 / (1 + doubt * events)).pmf(0)
        assert found.some[0, at] == pytest.approx(still * (1 - none), rel=1e-6, abs=1e-9)
    assert found.per_day[0] == pytest.approx(0.3 * still * size)
    assert not found.booked.any()


@given(st.floats(0.05, 30.0), st.floats(0.5, 40.0), FRACTIONS, FRACTIONS)
def test_the_rest_of_seldom_uses_is_a_sum_whose_number_is_a_negative_binomial(
    events: float, seen: float, still: float, variation: float
) -> None:
    """Mean and variance of a compound sum (Wald, and Blackwell and Girshick), by scipy's counts.

    Seldom: two uses never meet on a day, as where each of ever so many days has a tiny chance.
    """
    size, split = 250.0, 1e7
    doubt = need.DRIFT + 1 / (seen + 1)
    count = stats.nbinom(1 / doubt, 1 / (1 + doubt * events))
    nothing = np.zeros((1, HORIZON))
    # the open share here stands for how many such tiny days one day holds
    found = need._booked_and_rest(
        need._Booked(nothing, nothing, nothing),
        np.full((1, HORIZON), 1 / split), np.full((1, HORIZON), events * split / HORIZON),
        *(np.array([one]) for one in (0.3, seen, still, size, variation)),
    )  # fmt: skip
    mean = count.mean() * size
    variance = count.mean() * size**2 * variation + count.var() * size**2
    mixed = still * (variance + mean**2) - (still * mean) ** 2
    assert found.mean[0, -1] == pytest.approx(still * mean, rel=1e-6)
    assert found.variance[0, -1] == pytest.approx(mixed, rel=1e-5, abs=1e-6)
    assert found.some[0, -1] == pytest.approx(still * (1 - count.pmf(0)), rel=1e-6, abs=1e-9)


def test_booked_needs_and_the_rest_of_a_day_add_up() -> None:
    """Two independent parts: means and variances add, and what is booked is needed for certain."""
    booked = need._booked(100, [supply(booked=(BookedNeed(103, 500, 0.4),))])
    nothing = np.zeros((1, HORIZON))
    even = np.full((1, HORIZON), 0.2), np.full((1, HORIZON), 0.5)
    usual = [np.array([one]) for one in (0.2, 9.0, 0.8, 250.0, 0.3)]
    both = need._booked_and_rest(booked, *even, *usual)
    rest = need._booked_and_rest(need._Booked(nothing, nothing, nothing), *even, *usual)
    life = stats.lognorm(0.4, scale=500)
    assert both.mean[0, 1:4] - rest.mean[0, 1:4] == pytest.approx([0, life.mean(), life.mean()])
    assert both.variance[0, 3] - rest.variance[0, 3] == pytest.approx(life.var())
    assert both.booked[0, 1:4] == pytest.approx([0, life.mean(), life.mean()])
    assert both.booked_jobs[0, 1:4].tolist() == [0, 1, 1]
    assert both.some[0, 1] == rest.some[0, 1] < 1
    assert both.some[0, 2] == 1


@given(st.floats(0.01, 5.0), st.integers(0, 40), st.floats(1.0, 4.0))
def test_the_mean_notice_is_what_is_booked_over_a_day_s_work_and_a_job_of_seven_days(
    rate: float, booked: int, together: float
) -> None:
    """Little's law: bookings that stand = bookings a day x mean notice; one job leans on 7 days."""
    weight = together / 7.0
    found = need._mean_notice(rate, float(booked), together)
    assert found * (rate + weight) == pytest.approx(booked + 7.0 * weight)
    assert need._mean_notice(0.0, 3.0, together) == 7.0


def test_a_supply_is_learnt_once_it_was_used_long_enough_ago() -> None:
    used = np.zeros((3, need.LEARNT + 20))
    used[0, -need.LEARNT] = used[1, -need.LEARNT + 1] = 1.0
    assert need._learnt(used).tolist() == [1.0, 0.0, 0.0]


def test_of_a_single_use_all_days_known_are_the_wait_for_it() -> None:
    """One in as many days as are known and its own; the silence after it is luck by that rate."""
    used = np.zeros((1, 300))
    used[0, 200] = 1
    _, still = need._in_use(used, np.ones((1, 300)), np.ones(1), np.zeros(1), np.zeros(1))
    rate, quiet = 1 / 301, 99
    luck = exp(-rate * quiet)
    stopped = quad(lambda after: need.STOPPING * exp(-rate * after), 0, quiet)[0]
    assert still[0] == pytest.approx(luck / (luck + stopped))
