"""When a supply changed, against brute force over every month it may have changed in."""

from __future__ import annotations

from datetime import date, timedelta
from math import log

import numpy as np
import pytest
from scipy import special, stats

from app.calculations.layers.habits import Habits
from app.calculations.layers.life_changes import (
    _REACH,
    CHANGE_SPREAD,
    CHANGES_A_YEAR,
    Changes,
    _between,
    _kept,
    _near,
    _shared,
    _times,
    _weighed,
    find_changes,
)
from app.calculations.layers.life_evidence import Sights, in_spans
from app.calculations.layers.life_memory import Memory
from app.calculations.layers.life_prior import SHOP_CENTER
from app.calculations.layers.sightings import Observation, gather

LABEL, SPREAD, START = log(75.0), 0.2, date(2024, 1, 1)


def layer(put_on: int, low: float, high: float) -> Observation:
    return Observation(1, low, high, day=START + timedelta(days=put_on + int(high)))


def changes_of(*seen: Observation):
    evidence = gather(seen, {1: 0})
    found = find_changes(evidence, np.array([LABEL]), np.array([SPREAD]), Habits())
    return evidence.of(0), found[0]


def likelihood(rows, changes, medians, shapes):
    grid = np.log(medians), np.log(shapes)
    logs = Sights(*grid, rows, LABEL, Habits().fading).logs(0.01)
    return changes.likelihood(in_spans(logs, changes.inside), changes.laid_over(*grid))


def test_layers_without_a_day_or_all_of_one_month_cannot_tell_of_a_change():
    for seen in ([Observation(1, 40.0, 60.0)], [layer(0, 40, 60), layer(20, 40, 60)]):
        rows, changes = changes_of(*seen)
        assert changes.worth.shape[2] == 1
        logs = Sights(np.log([70.0]), np.log([3.0]), rows, LABEL, Habits().fading).logs(0.01)
        found = likelihood(rows, changes, np.array([70.0]), np.array([3.0]))
        assert found == pytest.approx(logs.sum(axis=2))


def test_the_likelihood_is_the_mean_over_a_change_in_the_month_and_none():
    # Two layers forty days apart: one month in which it may have changed. By scipy's Weibull and
    # a sum over 40,000 former lives.
    old, new = layer(0, 90, 110), layer(40, 35, 45)
    rows, changes = changes_of(old, new)
    rng = np.random.default_rng(1)
    former = np.exp(
        np.log([60.0, 3.0]) + np.array(CHANGE_SPREAD) * rng.standard_normal((40_000, 2))
    )

    def chance(one, median, shape):
        life = stats.weibull_min(shape, scale=median / np.log(2) ** (1 / shape))
        stray = stats.expon(scale=75.0 / np.log(2))
        return 0.99 * (life.sf(one.low_days) - life.sf(one.high_days)) + 0.01 * (
            stray.sf(one.low_days) - stray.sf(one.high_days)
        )

    changed = CHANGES_A_YEAR * 30 / 365.25
    before = chance(old, former[:, 0], former[:, 1]).mean()
    now = chance(new, 60.0, 3.0)
    by_hand = log((1 - changed) * chance(old, 60.0, 3.0) * now + changed * before * now)
    found = likelihood(rows, changes, np.array([60.0]), np.array([3.0]))[0, 0]
    assert found == pytest.approx(by_hand, abs=0.02)


def test_months_in_which_nothing_can_have_changed_are_left_out():
    steady = [layer(30 * month, 60, 80) for month in range(20) for _ in range(3)]
    broken = [
        layer(30 * month, *((100, 120) if month < 10 else (30, 40)))
        for month in range(20)
        for _ in range(6)
    ]
    assert changes_of(*steady)[1].worth.shape[2] < 20
    _, changes = changes_of(*broken)
    assert changes.worth.shape[2] <= 3
    assert changes.inside[:, 0].sum() == pytest.approx(60, abs=6)


def test_supplies_that_changed_together_make_a_change_of_another_then_likelier():
    """Of ten supplies five say nothing and four clearly changed in one month; one more is in
    doubt. By Bayes the share that changed there has the mean of Beta(5, 1)."""
    none, month = np.zeros(2), np.array([0.0, 30.0])
    prior = np.array([0.995, 0.005])
    alone = _shared(np.stack([none] * 10), prior)
    beside = _shared(np.stack([none] * 5 + [month] * 4 + [none]), prior)
    assert alone == pytest.approx(np.tile(prior, (10, 1)), rel=0.01)
    assert beside[-1, 1] == pytest.approx(5 / 6, rel=1e-4)
    assert beside[5, 1] < beside[-1, 1], "its own change is no evidence for itself"


def test_the_chance_of_a_common_change_is_that_of_every_way_in_which_it_can_have_come():
    """Three supplies and two months, against a sum over a thousand shares and scipy's logsumexp."""
    likely = np.array([[0.0, 1.5, -0.5], [0.0, 3.0, 1.0], [0.0, -2.0, 0.5]])
    prior = np.array([0.97, 0.01, 0.02])
    alone = np.array([0.985, 0.005, 0.01])
    shares = (np.arange(1000) + 0.5) / 1000
    found = _shared(likely, prior)
    for supply in range(3):
        rest = [one for one in range(3) if one != supply]
        single = np.exp(special.logsumexp(likely + np.log(alone), axis=1))
        worth, took_part = [0.97 * np.prod(single[rest])], []
        for time in (1, 2):
            each = [(1 - shares) * single[one] + shares * np.exp(likely[one, time]) for one in rest]
            worth.append(prior[time] * np.prod(each, axis=0).mean())
            took_part.append(prior[time] * (shares * np.prod(each, axis=0)).mean())
        together = np.array(took_part) / sum(worth)
        expected = alone * (1 - together.sum()) + np.array([0.0, *together])
        assert found[supply] == pytest.approx(expected, rel=1e-4)


def test_a_little_evidence_in_each_of_a_few_supplies_is_no_common_change():
    """Where the share is learnt from how many seem to have changed, they carry each other away."""
    found = _shared(np.tile([0.0, 0.7], (5, 1)), np.array([0.998, 0.002]))
    assert found[:, 1].max() < 0.05


def test_a_former_life_strays_from_the_present_one_as_a_normal_of_scipy():
    axis = np.linspace(3.5, 5.1, 49)
    for row, middle in zip(_near(axis, 0.3), axis, strict=True):
        density = stats.norm(middle, 0.3).pdf(axis)
        assert row == pytest.approx(density / density.sum(), abs=1e-12)


def test_values_between_points_are_numpys_interpolation():
    axis, values = np.linspace(3.5, 5.1, 9), np.sin(np.arange(9.0))
    points = np.array([3.0, 3.5, 3.61, 4.0, 4.97, 5.1, 6.0])
    assert _between(points, axis) @ values == pytest.approx(np.interp(points, axis, values))


def test_times_are_kept_by_how_likely_they_are_with_the_chance_of_a_change():
    """A time is left out below a hundredth of the likeliest, evidence and chance together."""
    worth = np.arange(8.0).reshape(1, 2, 4)
    changes = Changes(np.eye(4), worth, np.zeros(1), np.zeros(2))
    likely, chances = np.log([1.0, 500.0, 2.0, 900.0]), np.log([0.9, 0.05, 1e-3, 1e-5])
    # 0.9, 25, 0.002 and 0.009: the first always stays, the others from 0.25 on
    kept = _kept(changes, likely, chances)
    assert kept.inside.tolist() == [[1, 0], [0, 1], [0, 1], [0, 1]]
    assert kept.worth == pytest.approx((worth + chances)[:, :, [0, 1]])


@pytest.mark.parametrize("held", [(90, 110), (150, 170), (40, 50)])
def test_how_likely_a_change_is_is_a_mean_over_all_lives_that_a_supply_may_have(held):
    """By drawing lives about the label, and for each former ones about it that the grid reaches."""
    rng = np.random.default_rng(4)
    rows = gather([layer(0, *held), layer(40, 35, 45)], {1: 0}).of(0)
    edges, _ = _times(rows.applied)
    spread = np.array([0.33, 0.25])
    _, likely = _weighed(rows, LABEL, _REACH * spread, edges, Habits(), Memory())
    lives = SHOP_CENTER + [LABEL, 0.0] + spread * rng.standard_normal((1500, 2))
    former = lives[:, None] + np.array(CHANGE_SPREAD) * rng.standard_normal((1500, 400, 2))

    def chance(low, high, logs):
        medians, shapes = np.exp(logs[..., 0]), np.exp(logs[..., 1])
        fell = [np.exp(-log(2) * (age / medians) ** shapes) for age in (low, high)]
        stray = [np.exp(-log(2) * age / 75.0) for age in (low, high)]
        return 0.99 * (fell[0] - fell[1]) + 0.01 * (stray[0] - stray[1])

    now = chance(35, 45, lives)
    same = (chance(*held, lives) * now).mean()
    reached = np.all(np.abs(former - SHOP_CENTER - [LABEL, 0.0]) <= _REACH * spread, axis=2)
    changed = (np.average(chance(*held, former), axis=1, weights=reached) * now).mean()
    assert likely.size == 2
    assert likely[1] - likely[0] == pytest.approx(log(changed / same), abs=0.08)
