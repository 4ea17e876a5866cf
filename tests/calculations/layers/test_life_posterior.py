"""The posterior of lives against brute force: dense integration and sampling of the whole tree."""

from __future__ import annotations

from math import inf, log

import numpy as np
import pytest
from scipy import stats

from app.calculations.layers import life_posterior, life_prior
from app.calculations.layers.habits import WRONG, WRONG_SPREAD, Habits
from app.calculations.layers.life_changes import find_changes
from app.calculations.layers.life_evidence import STRAYS
from app.calculations.layers.life_posterior import infer
from app.calculations.layers.life_prior import (
    CLASS_SPREAD,
    SHOP_CENTER,
    SHOP_SPREAD,
    SUPPLY_SHAPE_SPREAD,
)
from app.calculations.layers.sightings import Observation, gather
from tests.calculations.layers.weibull import weibull_mle

LABEL = log(75.0)
SPREAD = 0.20
SEEN = [
    Observation(0, 60.0, 95.0),
    Observation(0, 88.0, 120.0),
    Observation(0, 0.0, 70.0),
    Observation(0, 110.0),
    Observation(0, 101.0, 140.0),
    Observation(0, 40.0),
]
OTHERS = [
    Observation(1, 90.0, 130.0),
    Observation(1, 120.0),
    Observation(1, 100.0, 125.0),
    Observation(1, 105.0, 150.0),
]


@pytest.fixture
def fixed_spreads(monkeypatch):
    """Spreads as stated, so that the prior is known exactly."""
    monkeypatch.setattr(life_prior, "SPREAD_WEIGHT", 1e12)


def _chance(seen: list[Observation], median: np.ndarray, shape: np.ndarray) -> np.ndarray:
    """Likelihood of layers by scipy's Weibull, with the share of strays."""
    life = stats.weibull_min(shape, scale=median / np.log(2) ** (1 / shape))
    stray = stats.expon(scale=75.0 / np.log(2))
    total = np.ones_like(median)
    for one in seen:
        chance = life.sf(one.low_days) - (life.sf(one.high_days) if one.high_days < inf else 0.0)
        if one.high_days < inf:
            other = stray.sf(one.low_days) - stray.sf(one.high_days)
            chance = (1 - STRAYS) * chance + STRAYS * other
        total = total * chance
    return total


def _infer(seen, supplies):
    evidence = gather(seen, {supply: supply for supply in range(supplies)})
    labels = np.full(supplies, LABEL), np.full(supplies, SPREAD)
    classes = np.zeros(supplies, dtype=np.int64)
    changes = find_changes(evidence, *labels, Habits())
    return infer(evidence, classes, *labels, Habits(), changes)


def _moments(found, supply):
    weight = found.weight[supply]
    median = (weight * found.median[supply]).sum()
    shape = (weight * found.shape[supply]).sum()
    spread = np.sqrt((weight * (found.median[supply] - median) ** 2).sum())
    return median, spread, shape


@pytest.mark.usefixtures("fixed_spreads")
def test_one_supply_alone_agrees_with_dense_integration():
    median, shape = np.meshgrid(np.linspace(-1.6, 1.6, 401), np.linspace(-0.2, 2.8, 301))
    spread = np.sqrt(SHOP_SPREAD**2 + CLASS_SPREAD**2 + [SPREAD**2, SUPPLY_SHAPE_SPREAD**2])
    density = stats.norm(SHOP_CENTER[0], spread[0]).pdf(median)
    density *= stats.norm(SHOP_CENTER[1], spread[1]).pdf(shape)
    density *= _chance(SEEN, np.exp(median + LABEL), np.exp(shape))
    density /= density.sum()
    mean = (density * median).sum() + LABEL
    deviation = np.sqrt((density * (median + LABEL - mean) ** 2).sum())
    found = _moments(_infer(SEEN, 1), 0)
    assert found[0] == pytest.approx(mean, abs=0.003)
    assert found[1] == pytest.approx(deviation, rel=0.03)
    assert found[2] == pytest.approx((density * shape).sum(), abs=0.01)


@pytest.mark.usefixtures("fixed_spreads")
def test_two_supplies_of_a_class_agree_with_sampling_the_whole_tree():
    rng = np.random.default_rng(1)
    count = 400_000
    shop = SHOP_CENTER + SHOP_SPREAD * rng.standard_normal((count, 2))
    kind = shop + CLASS_SPREAD * rng.standard_normal((count, 2))
    within = np.array([SPREAD, SUPPLY_SHAPE_SPREAD])
    supplies = [kind + within * rng.standard_normal((count, 2)) for _ in range(3)]
    weight = np.ones(count)
    for supply, seen in enumerate((SEEN, OTHERS)):
        weight *= _chance(
            seen, np.exp(supplies[supply][:, 0] + LABEL), np.exp(supplies[supply][:, 1])
        )
    weight /= weight.sum()
    found = _infer([*SEEN, *OTHERS], 3)
    for supply in range(3):  # the third was never seen and lives by the other two
        mean = (weight * supplies[supply][:, 0]).sum()
        deviation = np.sqrt((weight * (supplies[supply][:, 0] - mean) ** 2).sum())
        median, spread, shape = _moments(found, supply)
        assert median == pytest.approx(mean + LABEL, abs=0.01)
        assert spread == pytest.approx(deviation, rel=0.05)
        assert shape == pytest.approx((weight * supplies[supply][:, 1]).sum(), abs=0.02)


def test_how_far_supplies_stray_from_their_class_is_learnt():
    def newcomer(medians):
        seen = [
            Observation(supply, median * 0.97, median * 1.03)
            for supply, median in enumerate(medians)
            for _ in range(30)
        ]
        return _moments(_infer(seen, len(medians) + 1), len(medians))[1]

    alike = newcomer([100, 102, 98, 101, 99, 100, 101, 99])
    unlike = newcomer([60, 160, 80, 120, 70, 150, 95, 110])
    assert alike < 0.17 < unlike


def test_the_weights_of_every_supply_sum_to_one():
    found = _infer([*SEEN, *OTHERS], 3)
    assert found.weight.sum(axis=1) == pytest.approx(np.ones(3))
    assert np.isfinite(found.evidence)


@pytest.mark.parametrize("correlation", [-0.8, 0.0, 0.6])
def test_a_prior_weighs_points_as_the_bivariate_normal_of_scipy(correlation):
    rng = np.random.default_rng(2)
    x, y = np.meshgrid(np.linspace(-1.0, 1.0, 9), np.linspace(-0.5, 0.5, 7), indexing="ij")
    x, y = x.reshape(1, -1), y.reshape(1, -1)
    likelihood = rng.normal(size=x.shape)
    mean = np.array([[0.1, -0.2]])
    covariance = np.array([[[0.16, correlation * 0.12], [correlation * 0.12, 0.09]]])
    weight, _ = life_posterior._tilted(x, y, likelihood, mean, covariance)
    density = stats.multivariate_normal(mean[0], covariance[0]).pdf(np.stack([x[0], y[0]], axis=1))
    expected = density * np.exp(likelihood[0])
    assert weight[0] == pytest.approx(expected / expected.sum())
    found_mean, found = life_posterior._moments(x, y, weight)
    points = np.stack([x[0], y[0]])
    assert found_mean[0] == pytest.approx(np.average(points, axis=1, weights=weight[0]))
    assert found[0] == pytest.approx(np.cov(points, aweights=weight[0], ddof=0))


@pytest.mark.usefixtures("fixed_spreads")
def test_what_the_layers_say_is_as_likely_as_dense_integration_has_it():
    # The constant falls out between two sets of layers.
    median, shape = np.meshgrid(np.linspace(-1.6, 1.6, 401), np.linspace(-0.2, 2.8, 301))
    spread = np.sqrt(SHOP_SPREAD**2 + CLASS_SPREAD**2 + [SPREAD**2, SUPPLY_SHAPE_SPREAD**2])
    prior = stats.norm(SHOP_CENTER[0], spread[0]).pdf(median)
    prior *= stats.norm(SHOP_CENTER[1], spread[1]).pdf(shape)

    def exact(seen):
        return log((prior * _chance(seen, np.exp(median + LABEL), np.exp(shape))).sum())

    late = [Observation(0, 150.0, 190.0), Observation(0, 170.0)]
    ours = _infer(SEEN, 1).evidence - _infer(late, 1).evidence
    assert ours == pytest.approx(exact(SEEN) - exact(late), abs=0.03)


def test_messages_of_normals_are_those_of_the_exact_joint_normal():
    """Adding a spread to a message, and what a child strays, by conditioning one large normal."""
    precision = np.array([[[8.0, 1.5], [1.5, 5.0]]])
    said = np.array([[0.4, -0.3]])
    covariance = np.array([[0.09, 0.02], [0.02, 0.05]])
    pull = np.einsum("sij,sj->si", precision, said)
    wide, wide_pull = life_prior._widened(precision, pull, covariance)
    assert np.linalg.inv(wide[0]) == pytest.approx(np.linalg.inv(precision[0]) + covariance)
    assert np.linalg.solve(wide[0], wide_pull[0]) == pytest.approx(said[0])
    # child = parent + stray; `said` is the child seen with the noise of the message
    parent, stray = np.array([[0.1, 0.2]]), np.diag([0.04, 0.03])
    doubt = np.array([[[0.06, -0.01], [-0.01, 0.08]]])
    noise = np.linalg.inv(precision[0])
    gain = stray @ np.linalg.inv(stray + doubt[0] + noise)
    middle = gain @ (said[0] - parent[0])
    left = stray - gain @ stray
    found = life_prior._strayed(precision, pull, parent, doubt, stray[None])
    assert found[0] == pytest.approx(middle**2 + np.diag(left))


def test_a_site_is_what_turns_the_prior_into_the_posterior():
    prior, posterior = np.diag([0.25, 0.16])[None], np.array([[[0.05, 0.01], [0.01, 0.04]]])
    mean, before = np.array([[0.3, 0.1]]), np.array([[-0.1, 0.2]])
    precision, pull = life_posterior._site(mean, posterior, before, prior)
    together = np.linalg.inv(prior[0]) + precision[0]
    assert np.linalg.inv(together) == pytest.approx(posterior[0])
    found = np.linalg.solve(together, np.linalg.solve(prior[0], before[0]) + pull[0])
    assert found == pytest.approx(mean[0])


def test_a_learnt_spread_starts_from_the_stated_one_as_from_so_many_supplies():
    ratios = np.array([[3.0, 0.5], [1.0, 0.5]])
    weight = life_prior.SPREAD_WEIGHT
    # the mean of what was seen and of `SPREAD_WEIGHT` supplies that strayed as stated
    expected = [(4.0 + weight) / (2 + weight), (1.0 + weight) / (2 + weight)]
    assert life_prior._stretch(ratios) == pytest.approx(expected)


@pytest.mark.parametrize("peak", [0.004, 0.012, 0.05])
@pytest.mark.parametrize("spread", [0.4, 1.0])
def test_the_rate_of_wrong_judgements_is_where_the_prior_and_what_was_seen_meet(peak, spread):
    """The product of two normals of the logarithm, the mean of both by their precisions."""
    wrong = 0.012
    logs = [
        -(((log(wrong / peak) + step) / spread) ** 2) / 2
        for step in (-life_posterior._WRONG_STEP, 0.0, life_posterior._WRONG_STEP)
    ]
    prior, said = 1 / WRONG_SPREAD**2, 1 / spread**2
    middle = (prior * log(WRONG) + said * log(peak)) / (prior + said)
    farthest = 1.5 * life_posterior._WRONG_STEP
    expected = log(wrong) + np.clip(middle - log(wrong), -farthest, farthest)
    assert log(life_posterior._likelier_wrong(logs, wrong)) == pytest.approx(expected)


def test_classes_of_one_supply_stray_from_the_shop_as_supplies_of_one_class_from_it():
    """Where only one step of the tree strays, it is the same whichever step that is."""
    rng = np.random.default_rng(3)
    count, still = 6, np.full(2, 1e-9)
    spread = np.array([0.06, 0.03])
    one_class = life_prior.Tree(np.zeros(count, dtype=int), np.tile(spread, (count, 1)), still)
    each_alone = life_prior.Tree(np.arange(count), np.tile(still, (count, 1)), spread)
    for tree in (one_class, each_alone):
        tree.precision = np.tile(np.diag([400.0, 300.0]), (count, 1, 1))
    means = SHOP_CENTER + rng.normal(scale=0.5, size=(count, 2))
    for _ in range(4):
        priors = []
        for tree in (one_class, each_alone):
            tree.pull = np.einsum("sij,sj->si", tree.precision, means)
            priors.append(tree.priors())
        for one, other in zip(*priors, strict=True):
            assert one == pytest.approx(other, rel=1e-4, abs=1e-6)
    assert np.all(one_class.stretch[0] > 1.5), "they stray further than was said"


def test_what_says_nothing_is_as_likely_under_every_prior():
    """A normal distribution sums to one, however wide and however slanted."""
    steps = np.linspace(-6.0, 6.0, 41)
    found = []
    for spread, correlation in ((0.1, 0.0), (0.4, 0.6), (0.9, -0.3)):
        covariance = spread**2 * np.array([[[1.0, correlation], [correlation, 1.0]]])
        x, y = (one.reshape(1, -1) for one in np.meshgrid(spread * steps, spread * steps))
        nothing = np.zeros_like(x)
        _, evidence = life_posterior._tilted(x, y, nothing, np.zeros((1, 2)), covariance)
        found.append(float(evidence[0]))
    assert found == pytest.approx([found[0]] * 3, abs=1e-6)


def test_layers_that_leave_more_doubt_than_there_was_take_nothing_away():
    prior, wider = np.diag([0.04, 0.04])[None], np.diag([0.09, 0.01])[None]
    mean = np.zeros((1, 2))
    precision, _ = life_posterior._site(mean, wider, mean, prior)
    assert precision[0] == pytest.approx(np.diag([0.0, 1 / 0.01 - 1 / 0.04]))


def test_two_thousand_layers_known_to_half_a_day_are_learnt_as_the_classical_fit_has_them():
    """What is known far better than a first grid can see, with a mate that was never seen."""
    rng = np.random.default_rng(1)
    ends = 100.0 * (rng.exponential(size=2000) / log(2)) ** (1 / 12)
    classical = weibull_mle(ends - 0.5, ends + 0.5)
    found = _infer([Observation(0, end - 0.5, end + 0.5) for end in ends], 2)
    median, _, shape = _moments(found, 0)
    assert np.exp(median) == pytest.approx(classical.median, rel=2e-3)
    assert np.exp(shape) == pytest.approx(classical.shape, rel=0.05)


@pytest.mark.parametrize(("logs", "way"), [([3.0, 0.0, 4.0], 1), ([4.0, 0.0, 3.0], -1)])
def test_where_the_evidence_bends_upwards_the_rate_moves_toward_the_higher_side(logs, way):
    wrong, step = 0.02, life_posterior._WRONG_STEP
    found = life_posterior._likelier_wrong(logs, wrong)
    assert log(found / wrong) == pytest.approx(way * 1.5 * step)
