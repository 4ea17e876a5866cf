"""What the shelf will be asked for: booked work first, then the rest.

The shops here are drawn from known rates, so the forecast can be held against the truth.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.orders.need import DRIFT, HORIZON, Needs, booked_ahead, needs_ahead
from app.calculations.orders.shelf_state import BookedNeed, ShelfState, SupplyState

MONDAY = 735_000 - (735_000 - 1) % 7
SUNDAY = MONDAY - 1


def ahead(*supplies: SupplyState, day: int = SUNDAY, notice: tuple[int, ...] = ()) -> Needs:
    return needs_ahead(ShelfState(day, supplies, (), notice), supplies)


def supply(use: list[int], number: int = 1, booked: tuple[BookedNeed, ...] = ()) -> SupplyState:
    return SupplyState(supply=number, supplier=1, on_hand=0, booked=booked, use=use)


def workdays(amount: int, weeks: int) -> list[int]:
    """Monday to Friday, ending on a Sunday."""
    return ([amount] * 5 + [0, 0]) * weeks


def test_a_supply_never_used_and_not_booked_is_not_needed() -> None:
    for use in ([], [0] * 365):
        needs = ahead(supply(use))
        assert needs.mean.max() == 0
        assert needs.some.max() == 0


def test_a_booked_need_counts_with_the_mean_of_its_log_normal() -> None:
    needs = ahead(supply([], booked=(BookedNeed(MONDAY + 2, 1000, 0.4),)), notice=(30,) * 500)
    booked = 1000 * np.exp(0.4**2 / 2)
    assert needs.booked[0, :2].tolist() == [0, 0]
    assert needs.booked[0, 2] == pytest.approx(booked)
    variance = booked**2 * np.expm1(0.4**2)
    assert needs.variance[0, 2] >= variance
    assert needs.booked_jobs[0, [1, 2]].tolist() == [0, 1]
    assert needs.some[0, 2] == 1


def test_what_was_booked_for_a_past_day_is_still_to_be_done() -> None:
    needs = ahead(supply([], booked=(BookedNeed(SUNDAY - 3, 1000, 0.0),)))
    assert needs.booked[0, 0] == 1000


def test_steady_use_goes_on_and_rests_at_the_weekend() -> None:
    needs = ahead(supply(workdays(1000, 40)))
    day = np.diff(needs.mean[0], prepend=0.0)
    assert needs.mean[0, 27] == pytest.approx(20_000, rel=0.15)
    # by rule of thumb part of the first days would be booked already, so look at a later week
    assert day[35:40].min() > 5 * day[40:42].max()


def test_work_that_is_always_booked_long_ahead_is_not_forecast_twice() -> None:
    use = workdays(1000, 40)
    full = tuple(BookedNeed(MONDAY + d, 1000, 0.0) for d in (0, 1, 2, 3, 4))
    always = ahead(supply(use, booked=full), notice=(20,) * 400)
    never = ahead(supply(use), notice=(0,) * 400)
    assert always.mean[0, 6] == pytest.approx(5000, rel=0.05)
    assert never.mean[0, 6] == pytest.approx(5000, rel=0.12)


def test_a_full_diary_raises_the_forecast_and_an_empty_one_lowers_it() -> None:
    use = workdays(1000, 40)
    notice = (10,) * 50
    full = tuple(BookedNeed(MONDAY + d % 7 + 7 * (d // 5), 1000, 0.3) for d in range(10))
    later = slice(20, 40)
    quiet, usual = ahead(supply(use), notice=notice), ahead(supply(use, booked=full), notice=notice)
    assert quiet.mean[0, later].sum() < usual.mean[0, later].sum() - full[0].amount


@pytest.mark.parametrize("rate", [0.05, 0.15, 0.5])
def test_a_known_rate_is_found_on_average(rate: float) -> None:
    rng = np.random.default_rng(8)
    found = []
    for _ in range(60):
        use = np.where(rng.random(365) < rate, rng.lognormal(7, 0.4, 365), 0).astype(int)
        found.append(float(ahead(supply(use.tolist()), notice=(0,) * 200).mean[0, 27]))
    true = 28 * rate * np.exp(7 + 0.08)
    assert np.mean(found) == pytest.approx(true, rel=0.12)


def test_the_spread_is_as_wide_as_what_comes() -> None:
    """Standardised errors of a four weeks' forecast have about unit variance."""
    rng = np.random.default_rng(9)
    errors = []
    for _ in range(200):
        use = np.where(rng.random(393) < 0.2, rng.lognormal(7, 0.4, 393), 0).astype(int)
        needs = ahead(supply(use[:365].tolist()), notice=(0,) * 200)
        miss = use[365:].sum() - needs.mean[0, 27]
        errors.append(miss / np.sqrt(needs.variance[0, 27]))
    assert 0.6 < np.std(errors) < 1.2


def test_a_service_that_stops_is_forgotten_before_its_year_is_over() -> None:
    before = workdays(1000, 30)
    others = [supply(workdays(700, 52), number) for number in (2, 3, 4)]
    still = [
        float(ahead(supply(before + [0] * 7 * weeks), *others).mean[0, 27])
        for weeks in (0, 2, 4, 8)
    ]
    assert still == sorted(still, reverse=True)
    assert still[2] < 0.5 * still[0]
    assert still[3] < 0.02 * still[0]


def test_a_rare_supply_is_not_forgotten_for_a_pause_of_its_usual_length() -> None:
    rare = ([0] * 29 + [1000]) * 12
    needs = ahead(supply(rare + [0] * 25), supply(workdays(500, 55), 2))
    assert needs.mean[0, 89] > 1500  # three in ninety days, if nothing else were known


def test_a_new_supply_is_forecast_from_what_is_booked() -> None:
    booked = tuple(BookedNeed(MONDAY + d, 1000, 0.3) for d in (1, 3, 8))
    for history in ([], [0] * 300):  # left out, or given as zeros
        needs = ahead(supply(history, booked=booked), supply(workdays(500, 52), 2))
        assert needs.mean[0, 41] > needs.booked[0, 41] * 1.3


def test_a_new_supply_soon_stands_on_its_own_feet() -> None:
    started = [0] * 300 + workdays(1000, 3)
    needs = ahead(supply(started), supply(workdays(500, 52), 2), notice=(0,) * 100)
    assert needs.mean[0, 27] == pytest.approx(20_000, rel=0.35)


def test_the_season_is_followed_by_all_supplies_together() -> None:
    """Thirty rare supplies of a shop whose work has doubled in the last six weeks."""
    rng = np.random.default_rng(4)
    rate = np.where(np.arange(365) > 365 - 42, 0.12, 0.06)
    uses = [np.where(rng.random(365) < rate, 1000, 0).tolist() for _ in range(30)]
    supplies = [supply(use, number + 1) for number, use in enumerate(uses)]
    needs = ahead(*supplies, notice=(0,) * 100)
    assert needs.mean[:, 27].mean() == pytest.approx(28 * 0.12 * 1000, rel=0.25)


def test_the_share_booked_ahead_is_that_of_recent_jobs() -> None:
    share = booked_ahead([3] * 995)
    assert share[:3].min() > 0.99
    assert share[3:].max() < 0.01
    assert (np.diff(booked_ahead([5, 0, 12])) <= 0).all()
    assert (np.diff(booked_ahead([])) <= 0).all()


def test_walk_ins_are_forecast_in_full_beside_work_booked_for_weeks() -> None:
    """Forecast at 0.35 of the truth while the notice of all work was taken for theirs."""
    washes = supply(workdays(1000, 40), 1)
    standing = tuple(
        BookedNeed(MONDAY + 7 * week + day, 1000, 0.0) for week in range(3) for day in range(5)
    )
    coatings = supply(workdays(1000, 40), 2, standing)
    notice = (0, 21) * 50
    apart = ahead(
        replace(washes, notice=(0,) * 50), replace(coatings, notice=(21,) * 50), notice=notice
    )
    assert apart.mean[0, 4] == pytest.approx(5_000, rel=0.15)
    assert apart.mean[1, 4] == pytest.approx(5_000, rel=0.15), "what is booked, and no more"


@pytest.mark.parametrize("jobs_a_day", [0.1, 0.5, 2.0])
def test_the_doubt_about_a_week_is_that_of_the_jobs_drawn(jobs_a_day: float) -> None:
    """Jobs a day by Poisson, uses log-normal (0.35): a day's variance is rate x E[x^2], however
    many days have a use (compound Poisson: Ross, Introduction to Probability Models, section
    5.4; from memory). It was twice that for what is taken on nearly every day."""
    rng = np.random.default_rng(5)
    found = []
    for _ in range(60):
        jobs = rng.poisson(jobs_a_day, (52, 7)) * (np.arange(7) < 5)
        use = [int(rng.lognormal(7, 0.35, n).sum()) for n in jobs.ravel()]
        found.append(ahead(supply(use), notice=(0,) * 500).variance[0, 6])
    second = np.exp(2 * 7 + 2 * 0.35**2)
    exact = 5 * jobs_a_day * second
    mean = 5 * jobs_a_day * np.exp(7 + 0.35**2 / 2)
    doubt = DRIFT + 1.0 / (52 * 5 * (1 - np.exp(-jobs_a_day)) / 2.0)  # of the rate, half forgotten
    assert np.mean(found) == pytest.approx(exact + doubt * mean**2, rel=0.2)


@given(
    st.lists(st.lists(st.integers(0, 5000), max_size=80), min_size=1, max_size=4),
    st.lists(st.integers(-3, 60), max_size=8),
    st.lists(st.integers(-5, 500), max_size=20),
)
def test_needs_only_grow_with_the_days(
    uses: list[list[int]], days: list[int], notice: list[int]
) -> None:
    booked = tuple(BookedNeed(MONDAY + day, 700, 0.3) for day in days)
    supplies = [supply(use, n + 1, booked if n == 0 else ()) for n, use in enumerate(uses)]
    needs = ahead(*supplies, notice=tuple(notice))
    assert needs.mean.shape == (len(uses), HORIZON)
    for column in (needs.mean, needs.variance, needs.some, needs.booked):
        assert np.isfinite(column).all()
        assert (column >= 0).all()
    assert (np.diff(needs.mean, axis=1) >= -1e-9).all()
    assert (np.diff(needs.some, axis=1) >= -1e-9).all()
    assert needs.some.max() <= 1


def test_a_steady_shop_is_as_busy_as_usual_however_many_supplies_a_job_takes() -> None:
    for supplies in (1, 4, 9):
        needs = ahead(*(supply([1000] * 300, number) for number in range(supplies)))
        assert needs.per_day == pytest.approx(np.full(supplies, 1000.0), rel=0.06)
