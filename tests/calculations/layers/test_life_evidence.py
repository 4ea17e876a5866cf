"""The likelihood of what was seen of layers, against scipy's Weibull distribution."""

from __future__ import annotations

from math import log

import numpy as np
import pytest
from scipy import stats

from app.calculations.layers.habits import TRUST, Fading, Habits
from app.calculations.layers.life_evidence import STRAYS, log_likelihood
from app.calculations.layers.sightings import Observation, gather

MEDIAN, SHAPE = 90.0, 3.2
LIFE = stats.weibull_min(SHAPE, scale=MEDIAN / np.log(2) ** (1 / SHAPE))
STRAY = stats.expon(scale=75.0 / np.log(2))  # ended by chance alone, median as on the label


def told(*seen, habits=None, strength=1.0):
    evidence = gather(seen, {1: 0}).at_factor_one(strength)
    grid = np.log([MEDIAN]), np.log([SHAPE])
    return float(log_likelihood(*grid, evidence, log(75.0), habits or Habits())[0, 0])


def test_a_layer_still_standing_has_the_chance_of_living_longer():
    assert told(Observation(1, 80.0)) == pytest.approx(LIFE.logsf(80.0))


def test_a_layer_that_ended_in_between_has_the_chance_of_that_or_of_a_stray():
    chance = (1 - STRAYS) * (LIFE.sf(60) - LIFE.sf(100)) + STRAYS * (STRAY.sf(60) - STRAY.sf(100))
    assert told(Observation(1, 60.0, 100.0)) == pytest.approx(log(chance))


def test_a_layer_seen_gone_at_once_ended_some_time_before():
    chance = (1 - STRAYS) * LIFE.cdf(100) + STRAYS * STRAY.cdf(100)
    assert told(Observation(1, 0.0, 100.0)) == pytest.approx(log(chance))


def test_layers_multiply():
    one, other = Observation(1, 60.0, 100.0), Observation(1, 80.0)
    assert told(one, other) == pytest.approx(told(one) + told(other))


def test_exposure_scales_ages_with_its_strength():
    street = told(Observation(1, 40.0, exposure=0.5))
    assert street == pytest.approx(LIFE.logsf(80.0))
    assert told(Observation(1, 40.0, exposure=0.25), strength=0.5) == pytest.approx(street)


def test_a_layer_seen_fading_ends_soon_after_as_the_habit_has_it():
    # Fading from 80 % of a life on, give or take; half the layers were called so.
    habit = Fading.lasting(0.2)
    seen = Observation(1, 60.0, held_days=50.0, faded_days=60.0)
    other = Observation(1, 60.0, held_days=60.0)
    chance = (1 - TRUST) * 0.5 * LIFE.sf(60)
    for part, weight in ((0.9, 0.25), (0.8, 0.5), (0.7, 0.25)):
        low = max(60.0, 50.0 / part)
        chance += TRUST * weight * max(LIFE.sf(low) - LIFE.sf(60.0 / part), 0.0)
    holding = (1 - TRUST) * 0.5 * LIFE.sf(60) + TRUST * sum(
        weight * LIFE.sf(60.0 / part) for part, weight in ((0.9, 0.25), (0.8, 0.5), (0.7, 0.25))
    )
    found = told(seen, other, habits=Habits(fading=habit))
    assert found == pytest.approx(log(chance) + log(holding))


def test_an_impossible_sight_is_very_unlikely_but_never_breaks_the_sum():
    assert np.isfinite(told(Observation(1, 1e6), Observation(1, 0.0, 1e-3)))
    assert told(Observation(1, 1e6)) < -100


def test_no_layers_say_nothing():
    assert told() == 0.0


def test_a_far_future_is_as_good_as_never():
    assert told(Observation(1, 80.0, 1e9)) == pytest.approx(
        log((1 - STRAYS) * LIFE.sf(80) + STRAYS * STRAY.sf(80))
    )


def test_in_a_shop_whose_fading_is_trusted_a_stray_end_has_the_chance_of_its_word_too():
    # One layer was called holding and is gone, three others fading: the word has a share of 1/4.
    habit = Fading.lasting(0.2)
    parts = ((0.9, 0.25), (0.8, 0.5), (0.7, 0.25))
    seen = Observation(1, 50.0, 100.0, held_days=50.0)
    others = [Observation(1, 60.0, held_days=0.0, faded_days=60.0)] * 3
    within = (1 - TRUST) * 0.25 * (LIFE.sf(50) - LIFE.sf(100)) + TRUST * sum(
        weight * (LIFE.sf(50 / part) - LIFE.sf(100)) for part, weight in parts
    )
    chance = (1 - STRAYS) * within + STRAYS * 0.25 * (STRAY.sf(50) - STRAY.sf(100))
    fading = (1 - TRUST) * 0.75 * LIFE.sf(60) + TRUST * sum(
        weight * (LIFE.sf(60) - LIFE.sf(60 / part)) for part, weight in parts
    )
    found = told(seen, *others, habits=Habits(fading=habit))
    assert found == pytest.approx(log(chance) + 3 * log(fading))


def test_a_likelihood_over_a_grid_has_a_row_for_each_median_and_a_column_for_each_shape():
    evidence = gather([Observation(1, 80.0), Observation(1, 0.0, 100.0)], {1: 0})
    medians, shapes = np.array([60.0, 90.0, 140.0]), np.array([1.5, 3.0])
    found = log_likelihood(np.log(medians), np.log(shapes), evidence, log(75.0), Habits())
    for row, median in enumerate(medians):
        for column, shape in enumerate(shapes):
            life = stats.weibull_min(shape, scale=median / np.log(2) ** (1 / shape))
            gone = (1 - STRAYS) * life.cdf(100) + STRAYS * STRAY.cdf(100)
            assert found[row, column] == pytest.approx(life.logsf(80.0) + log(gone))


def test_the_rows_of_a_supply_are_its_own():
    evidence = gather(
        [Observation(2, 30.0), Observation(1, 80.0, 90.0), Observation(2, 40.0, 50.0)],
        {1: 0, 2: 1},
    )
    own = evidence.of(1)
    assert np.exp(own.low).tolist() == pytest.approx([30.0, 40.0])
    assert own.first.tolist() == [0, 2]
    assert np.exp(evidence.of(0).high).tolist() == pytest.approx([90.0])
