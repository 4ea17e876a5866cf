"""Weighted points of a life: what is kept of them, bands and quantiles."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from app.calculations.layers.habits import TRUST, UNLEARNT, Fading
from app.calculations.layers.life_points import LifePoints, weighted_quantiles

NORMAL = np.linspace(-4.2, 4.2, 17)


def normal(spread=0.1):
    weights = stats.norm.pdf(NORMAL)
    return LifePoints.kept(
        np.log(100.0) + spread * NORMAL, np.full(17, np.log(3.0)), weights, True, 1.0
    )


def test_the_band_of_a_normal_posterior_is_the_normal_one():
    low, middle, high = normal().median_band()
    reach = np.exp(0.1 * stats.norm.ppf(0.9))
    assert (low, middle, high) == pytest.approx((100 / reach, 100, 100 * reach), rel=0.01)


def test_points_that_weigh_nothing_are_dropped_and_the_rest_weighs_one():
    points = normal()
    assert 5 < len(points.weights) < 17
    assert points.weights.sum() == pytest.approx(1.0)
    assert points.unit == pytest.approx(100.0, rel=1e-3)


@pytest.mark.parametrize("fading", [False, True])
@pytest.mark.parametrize("habit", [UNLEARNT, Fading.lasting(0.2)])
@given(seen=st.floats(0.0, 400.0))
def test_chances_start_at_one_and_fall(fading, habit, seen):
    ages = seen + np.linspace(0.0, 300.0, 40)
    each, weights = normal().chances(ages, np.full(40, seen), fading, habit)
    assert each[0] == pytest.approx(np.ones(each.shape[1]))
    assert np.all(np.diff(each, axis=0) <= 1e-9)
    assert weights.sum(axis=1) == pytest.approx(np.ones(40))


def test_quantiles_of_weighted_values_are_those_of_repeated_ones():
    values, counts = np.array([[3.0, 1.0, 2.0]]), np.array([[2, 5, 3]])
    low, high = weighted_quantiles(values, counts / 10, (0.45, 0.75))
    repeated = np.repeat(values[0], counts[0])
    reference = np.quantile(repeated, (0.45, 0.75), method="inverted_cdf")
    assert (low[0], high[0]) == tuple(reference)


def test_a_quantile_on_a_step_is_the_value_that_reaches_it():
    """As the inverted distribution function has it: half of the weight lies on 1 and below."""
    values, weights = np.array([[3.0, 1.0, 2.0]]), np.array([[0.25, 0.5, 0.25]])
    found = weighted_quantiles(values, weights, (0.5, 0.75, 1.0))
    assert [one[0] for one in found] == [1.0, 2.0, 3.0]


def test_of_two_points_the_band_is_that_of_two_even_cells():
    """Cells of width 1 around logs of 0 and 1: the tenth lies at -0.3, the middle at 0.5."""
    points = LifePoints(np.exp([0.0, 1.0]), np.array([3.0, 3.0]), np.array([0.5, 0.5]), True, 1.0)
    assert np.log(points.median_band()) == pytest.approx([-0.3, 0.5, 1.3])
    assert np.log(points.median_band(share=0.5)) == pytest.approx([0.0, 0.5, 1.0])


def test_as_few_points_are_kept_as_carry_nearly_all_of_the_weight():
    weights = np.array([0.5, 0.3, 0.1, 0.0996, 0.0003, 0.0001])
    points = LifePoints.kept(np.arange(6.0), np.zeros(6), weights, False, 1.0)
    assert np.log(points.medians) == pytest.approx([0, 1, 2, 3])
    assert points.weights == pytest.approx(weights[:4] / weights[:4].sum())


@pytest.mark.parametrize("age", [0.0, 40.0, 90.0, 200.0])
def test_a_layer_never_seen_again_holds_as_the_weibull_of_scipy(age):
    points = LifePoints(
        np.array([80.0, 120.0]), np.array([2.5, 4.0]), np.array([0.3, 0.7]), False, 1.0
    )
    each, weights = points.chances(np.array([age]), np.array([0.0]), False, UNLEARNT)
    for column, (median, shape) in enumerate(zip(points.medians, points.shapes, strict=True)):
        life = stats.weibull_min(shape, scale=median / np.log(2) ** (1 / shape))
        assert each[0, column] == pytest.approx(life.sf(age), abs=1e-6)
    assert weights[0] == pytest.approx([0.3, 0.7])


def test_of_a_layer_that_outlived_them_lives_weigh_by_how_likely_that_was():
    """Bayes: each point's weight times its chance to hold so long, for labels alone."""
    points = LifePoints(
        np.array([80.0, 120.0]), np.array([2.5, 4.0]), np.array([0.3, 0.7]), False, 1.0
    )
    seen = np.array([100.0])
    _, weights = points.chances(seen, seen, False, UNLEARNT)
    held = [
        stats.weibull_min(shape, scale=median / np.log(2) ** (1 / shape)).sf(100.0)
        for median, shape in ((80.0, 2.5), (120.0, 4.0))
    ]
    expected = np.array([0.3, 0.7]) * held
    assert weights[0] == pytest.approx(expected / expected.sum())


@pytest.mark.parametrize("fading", [False, True])
def test_what_is_seen_with_a_trusted_word_is_bayes_over_where_the_end_may_lie(fading):
    """Ends drawn from the life, kept as often as the word would have been said of them."""
    habit = Fading.lasting(0.3)
    points = LifePoints(np.array([100.0]), np.array([3.0]), np.array([1.0]), True, 1.0)
    life = stats.weibull_min(3.0, scale=100.0 / np.log(2) ** (1 / 3.0))
    ends = life.ppf((np.arange(200_000) + 0.5) / 200_000)
    seen = 70.0
    # With TRUST the word means what it says, in each of the parts; else only that it stands.
    said = (1 - TRUST) * (ends > seen)
    for part, weight in zip(habit.parts, habit.weights, strict=True):
        inside = (ends > seen) & (ends <= seen / part) if fading else ends > seen / part
        said = said + TRUST * weight * inside
    for age in (75.0, 95.0, 130.0):
        each, _ = points.chances(np.array([age]), np.array([seen]), fading, habit)
        assert each[0, 0] == pytest.approx(said[ends > age].sum() / said.sum(), abs=1e-3)


def test_the_outermost_cells_of_a_band_are_as_wide_as_those_beside_them():
    """By hand: cells of logs 0, 1 and 3 from -0.5 to 0.5, to 2 and to 4, a quarter, and half."""
    points = LifePoints(
        np.exp([0.0, 1.0, 3.0]), np.full(3, 3.0), np.array([0.25, 0.25, 0.5]), True, 1.0
    )
    assert np.log(points.median_band()) == pytest.approx([-0.1, 2.0, 3.6])
