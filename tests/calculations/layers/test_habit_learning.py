"""What a shop's habits are learnt as: a product of normals, and likelihoods summed one by one."""

from __future__ import annotations

from dataclasses import replace
from math import inf, log

import numpy as np
import pytest

from app.calculations.layers import habit_learning
from app.calculations.layers.habits import Fading, Habits
from app.calculations.layers.life_evidence import log_likelihood
from app.calculations.layers.life_posterior import Posterior, infer
from app.calculations.layers.sightings import Observation, gather

NOBODY = np.zeros(0, dtype=np.int64), np.zeros(0), np.zeros(0)


def strength(monkeypatch: pytest.MonkeyPatch, peak: float, spread: float) -> float:
    """The strength learnt where what was seen speaks for `peak` as a normal of this spread."""

    def evidence_of(_seen, _classes, _promised, _spread, habits):
        said = -(((habits.strength - peak) / spread) ** 2) / 2
        return Posterior(np.zeros(0), np.zeros(0), np.zeros(0), said)

    monkeypatch.setattr(habit_learning, "infer", evidence_of)
    seen = gather([Observation(1, 40.0, exposure=0.5), Observation(1, 40.0)], {1: 0})
    found = evidence_of(None, None, None, None, Habits())
    return habit_learning._strength(seen, *NOBODY, found)


@pytest.mark.parametrize("peak", [0.3, 0.8, 1.0, 1.15, 1.4])
@pytest.mark.parametrize("spread", [0.1, 0.3, 1.0])
def test_the_strength_is_where_the_prior_and_what_was_seen_meet(monkeypatch, peak, spread):
    """The product of two normals has the mean of both, weighted by their precisions."""
    prior = 1 / habit_learning.STRENGTH_SPREAD**2
    middle = (prior * 1.0 + peak / spread**2) / (prior + 1 / spread**2)
    assert strength(monkeypatch, peak, spread) == pytest.approx(middle, abs=1e-6)


@pytest.mark.parametrize(("peak", "ends"), [(-40.0, -0.2), (40.0, 2.2)])
def test_a_strength_beyond_all_reason_is_not_followed(monkeypatch, peak, ends):
    """From 0.1 to 1.9 in steps, and one more step at the most between them."""
    assert strength(monkeypatch, peak, 0.02) == pytest.approx(ends)


def test_where_what_was_seen_bends_upwards_the_last_step_is_as_far_as_is_gone(monkeypatch):
    def evidence_of(_seen, _classes, _promised, _spread, habits):
        away = habits.strength - 1.0
        return Posterior(np.zeros(0), np.zeros(0), np.zeros(0), 50 * away**2 + 5 * away)

    monkeypatch.setattr(habit_learning, "infer", evidence_of)
    seen = gather([Observation(1, 40.0, exposure=0.5), Observation(1, 40.0)], {1: 0})
    nothing = Posterior(np.zeros(0), np.zeros(0), np.zeros(0), 0.0)
    assert habit_learning._strength(seen, *NOBODY, nothing) == pytest.approx(1.9)


@pytest.mark.parametrize(
    ("worth", "top"),
    [
        # steps of 0.3 from 0.1 to 1.9, and one more on either side
        ([-9, -5, -4, 0.0, 1.0, 0.9, 1.5, -3, -9], 1.0 + 0.3 * 0.9 / 2.2),
        ([-9, -5, -4, 0.9, 1.0, 0.0, -3, -4, -9], 1.0 - 0.3 * 0.9 / 2.2),
        ([-9, -5, -4, 0.0, 1.0, 2.0, 1.5, -3, -9], 1.3 + 0.3 * 0.5 / 3.0),
    ],
)
def test_the_nearest_top_is_found_by_the_parabola_through_three_steps(monkeypatch, worth, top):
    """By hand: of values l, m and h around a top it lies (l - h) / (2 (l - 2 m + h)) steps on."""

    def evidence_of(_seen, _classes, _promised, _spread, habits):
        away = habits.strength - 1.0
        prior = (away / habit_learning.STRENGTH_SPREAD) ** 2 / 2
        said = worth[4 + round(away / 0.3)] + prior
        return Posterior(np.zeros(0), np.zeros(0), np.zeros(0), said)

    monkeypatch.setattr(habit_learning, "infer", evidence_of)
    seen = gather([Observation(1, 40.0, exposure=0.5), Observation(1, 40.0)], {1: 0})
    nothing = Posterior(np.zeros(0), np.zeros(0), np.zeros(0), worth[4])
    assert habit_learning._strength(seen, *NOBODY, nothing) == pytest.approx(top)


def test_vehicles_that_all_stand_alike_tell_nothing_of_exposure(monkeypatch):
    def never(*_given):
        raise AssertionError("asked all the same")

    monkeypatch.setattr(habit_learning, "infer", never)
    nothing = Posterior(np.zeros(0), np.zeros(0), np.zeros(0), 0.0)
    for seen in ([Observation(1, 40.0, exposure=0.5)] * 2, [Observation(1, 40.0, exposure=0.7)]):
        assert habit_learning._strength(gather(seen, {1: 0}), *NOBODY, nothing) == 1.0


def fading_shop(part: float, seed: int, count: int = 120) -> list[Observation]:
    """Two supplies whose layers look faded from this part of their life on."""
    rng = np.random.default_rng(seed)
    seen = []
    for place, life in enumerate(90.0 * rng.weibull(3.5, count)):
        ages = np.cumsum(rng.exponential(25, 30))
        held = max((age for age in ages if age < part * life), default=0.0)
        faded = min((age for age in ages if part * life <= age < life), default=inf)
        low = max((age for age in ages if age < life), default=0.0)
        high = min((age for age in ages if age >= life), default=inf)
        seen.append(Observation(place % 2, low, high, held_days=held, faded_days=faded))
    return seen


@pytest.mark.parametrize("part", [0.7, 0.85])
def test_what_is_meant_by_fading_is_the_mean_of_all_shares_by_how_likely_each_makes_it(part):
    evidence = gather(fading_shop(part, 3), {0: 0, 1: 1})
    promised, classes = np.full(2, log(75.0)), np.zeros(2, dtype=np.int64)
    found = infer(evidence, classes, promised, np.full(2, 0.2), Habits())
    seen = evidence.at_factor_one(1.0)
    shares = habit_learning._FADING
    likely = np.ones(len(shares))
    for supply in range(2):
        points = zip(found.median[supply], found.shape[supply], found.weight[supply], strict=True)
        ratios = np.zeros(len(shares))
        for median, shape, weight in points:
            if weight < 1e-12:
                continue
            at = np.array([median]), np.array([shape]), seen.of(supply), log(75.0)
            plain = log_likelihood(*at, Habits())[0, 0]
            for place, share in enumerate(shares):
                habits = replace(Habits(), fading=Fading.lasting(share))
                ratios[place] += weight * np.exp(log_likelihood(*at, habits)[0, 0] - plain)
        likely *= ratios
    expected = (likely * np.array(shares)).sum() / likely.sum()
    habit = habit_learning._fading(seen, promised, found, Habits())
    assert habit.trusted
    assert habit.share == pytest.approx(expected, rel=1e-6)
    assert habit.share == pytest.approx(1 - part, abs=0.12)


def test_a_shop_that_never_says_fading_keeps_what_was_assumed():
    evidence = gather([Observation(0, 40.0, 90.0, held_days=40.0)], {0: 0})
    promised = np.array([log(75.0)])
    habits, _ = habit_learning.learn_habits(
        evidence, np.zeros(1, dtype=np.int64), promised, np.array([0.2])
    )
    assert not habits.fading.trusted
    assert habits.strength == 1.0
