"""Weighted points of a life: what is kept of them, bands and quantiles."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from app.calculations.layers.habits import UNLEARNT, Fading
from app.calculations.layers.life_points import LifePoints, weighted_quantiles

NORMAL = np.linspace(-4.2, 4.2, 17)


def normal(spread=0.1):
    weights = stats.norm.pdf(NORMAL)
    return LifePoints.kept(
        np.log(100.0) + spread * NORMAL, np.full(17, np.log(3.0)), weights, learnt=True
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
