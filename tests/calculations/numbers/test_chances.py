"""Chances without tables, against scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from app.calculations.numbers.chances import (
    gamma_survival,
    need_survival,
    normal_quantile,
    normal_survival,
)


def test_the_normal_tail_agrees_with_scipy() -> None:
    z = np.linspace(-8, 8, 400)
    assert np.abs(normal_survival(z) - stats.norm.sf(z)).max() < 1e-7


def test_the_printed_points_of_the_normal_distribution() -> None:
    # as printed in statistical tables, and by scipy: .90, .95, .98
    assert normal_quantile(0.90) == pytest.approx(1.2815516, abs=1e-7)
    assert normal_quantile(0.95) == pytest.approx(1.6448536, abs=1e-7)
    assert normal_quantile(0.98) == pytest.approx(2.0537489, abs=1e-7)


@pytest.mark.parametrize("shape", [1.0, 2.0, 5.0, 30.0])
def test_the_cube_root_is_close_to_the_gamma_tail_of_scipy(shape: float) -> None:
    x = np.linspace(0.01, 8 * shape, 300)
    exact = stats.gamma.sf(x, shape)
    ours = gamma_survival(x, np.full(x.shape, shape), np.full(x.shape, shape))
    assert np.abs(ours - exact).max() < 0.012
    upper = exact < 0.2
    assert np.abs(ours - exact)[upper].max() < 0.004


@pytest.mark.parametrize("shape", [0.001, 0.02, 0.1, 0.3, 0.5, 0.8, 0.999])
def test_below_a_shape_of_one_the_tail_is_that_of_scipy(shape: float) -> None:
    x = np.concatenate([[0.0], np.logspace(-6, 2, 300)])
    exact = stats.gamma.sf(x, shape, scale=3.0)
    mean, variance = np.full(x.shape, 3.0 * shape), np.full(x.shape, 9.0 * shape)
    ours = gamma_survival(x, mean, variance)
    assert ours == pytest.approx(exact, abs=1e-6)
    assert ours[exact > 1e-9] == pytest.approx(exact[exact > 1e-9], rel=1e-3)
    assert np.diff(ours).max() <= 0, "more is never exceeded more often"


def test_a_certain_need_is_a_step() -> None:
    chance = gamma_survival(np.array([-1.0, 9.99, 10.01]), np.full(3, 10.0), np.zeros(3))
    assert chance == pytest.approx([1, 1, 0])
    none = gamma_survival(np.array([-1.0, 0.0, 5.0]), np.zeros(3), np.zeros(3))
    assert none.tolist() == [1, 0, 0], "where nothing is needed, nothing is exceeded"


def test_a_rare_need_is_close_to_a_drawn_one() -> None:
    rng = np.random.default_rng(7)
    events = rng.poisson(0.7, 400_000)
    sizes = rng.lognormal(0.0, 0.5, int(events.sum()))
    drawn = np.zeros(events.size)
    np.add.at(drawn, np.repeat(np.arange(events.size), events), sizes)
    x = np.array([0.0, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0])
    ours = need_survival(
        x,
        np.full(x.shape, drawn.mean()),
        np.full(x.shape, drawn.var()),
        np.full(x.shape, 1 - np.exp(-0.7)),
    )
    exact = (drawn[:, None] > x).mean(axis=0)
    assert np.abs(ours - exact).max() < 0.03
    assert np.abs(ours - exact)[exact < 0.1].max() < 0.005


def test_more_than_nothing_less_than_nothing() -> None:
    ones = np.ones(2)
    chance = need_survival(np.array([-0.001, 0.0]), ones, ones, 0.25 * ones)
    assert chance == pytest.approx([1.0, 0.25])
