"""The likelihood of what was seen of layers, against scipy's Weibull distribution."""

from __future__ import annotations

from dataclasses import replace
from math import log

import numpy as np
import pytest
from scipy import special, stats

from app.calculations.layers.habits import TRUST, UNLEARNT, Fading
from app.calculations.layers.life_evidence import MOST_WRONG, STRAYS, Sights
from app.calculations.layers.sightings import Observation, gather

MEDIAN, SHAPE = 90.0, 3.2
LIFE = stats.weibull_min(SHAPE, scale=MEDIAN / np.log(2) ** (1 / SHAPE))
STRAY = stats.expon(scale=75.0 / np.log(2))  # ended by chance alone, median as on the label


WRONG = 0.02


def told(*seen, fading=UNLEARNT, strength=1.0, wrong=WRONG):
    evidence = gather(seen, {1: 0}).at_label(strength).of(0)
    sights = Sights(np.log([MEDIAN]), np.log([SHAPE]), evidence, log(75.0), fading)
    return float(sights.logs(wrong).sum())


def by_spans(*judgements, wrong=WRONG):
    """The chance of a layer's judgements, (age, gone), summed over where it may have worn out."""
    ages = [0.0, *(age for age, _ in judgements), np.inf]
    chance = 0.0
    for place in range(len(ages) - 1):
        missed = sum(gone == (at <= place) for at, (_, gone) in enumerate(judgements, start=1))
        right = len(judgements) - missed
        chance += (LIFE.cdf(ages[place + 1]) - LIFE.cdf(ages[place])) * (
            wrong**missed * (1 - wrong) ** right
        )
    return log(chance)


def observation(*judgements):
    low = max((age for age, gone in judgements if not gone), default=0.0)
    high = min((age for age, gone in judgements if gone and age > low), default=np.inf)
    return Observation(1, low, high, seen=judgements)


@pytest.mark.parametrize(
    "judgements",
    [
        ((80.0, False),),
        ((60.0, False), (100.0, True)),
        ((100.0, True),),
        ((30.0, False), (60.0, False), (85.0, False), (100.0, True)),
        ((40.0, True), (70.0, False), (95.0, True)),
        ((40.0, False), (70.0, True), (95.0, True)),
    ],
)
@pytest.mark.parametrize("wrong", [0.002, 0.1])
def test_a_layers_judgements_have_the_chance_of_each_end_they_may_have_seen(judgements, wrong):
    found = told(observation(*judgements), wrong=wrong)
    assert found == pytest.approx(by_spans(*judgements, wrong=wrong), rel=1e-9)


def test_more_wrong_judgements_of_a_layer_than_are_counted_are_no_less_likely():
    # A strip wash elsewhere at 5 days, seen at each of many visits after.
    gone = [(5.0 + day, True) for day in range(12)]
    one, other = (told(observation(*gone[:count])) for count in (MOST_WRONG, MOST_WRONG + 6))
    assert other - one > 6 * log(1 - WRONG) - 0.05


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


@pytest.mark.parametrize("fading", [UNLEARNT, Fading.lasting(0.2)])
def test_half_the_exposure_is_half_of_every_age(fading):
    def layers(times):
        return (
            Observation(1, 60.0 * times, 100.0 * times, times, held_days=60.0 * times),
            Observation(1, 80.0 * times, np.inf, times, None, 50.0 * times, 80.0 * times),
        )

    assert told(*layers(0.5), fading=fading) == pytest.approx(told(*layers(1.0), fading=fading))


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
    found = told(seen, other, fading=habit)
    assert found == pytest.approx(log(chance) + log(holding))


def test_an_impossible_sight_is_very_unlikely_but_never_breaks_the_sum():
    assert np.isfinite(told(Observation(1, 1e6), Observation(1, 0.0, 1e-3)))
    assert told(Observation(1, 1e6)) < -100
    assert told(observation((1e6, False))) == pytest.approx(log(WRONG))


def test_no_layers_say_nothing():
    assert told() == 0.0


def test_a_far_future_is_as_good_as_never():
    assert told(Observation(1, 80.0, 1e9)) == pytest.approx(
        log((1 - STRAYS) * LIFE.sf(80) + STRAYS * STRAY.sf(80))
    )
    far = (80.0, False), (1e9, True)
    assert told(observation(*far)) == pytest.approx(by_spans(*far))


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
    found = told(seen, *others, fading=habit)
    assert found == pytest.approx(log(chance) + 3 * log(fading))


@pytest.mark.parametrize("wrong", [0.01, 0.2])
def test_of_a_word_that_is_trusted_only_the_end_that_was_seen_may_be_wrong(wrong):
    """It ended in the span that the words have, or "gone" was wrong and it ended later."""
    judgements = (30.0, False), (50.0, False), (100.0, True)
    seen = Observation(1, 50.0, 100.0, held_days=50.0, seen=judgements)
    spans = right = 0.0
    for part, weight in ((0.9, 0.25), (0.8, 0.5), (0.7, 0.25)):
        within = LIFE.sf(50 / part) - LIFE.sf(100)
        right += weight * within * (1 - wrong) ** 3
        spans += weight * LIFE.sf(100) * (1 - wrong) ** 2 * wrong
    # Nobody said fading, so without the trust the word says no more than that it stood.
    plain = np.exp(by_spans(*judgements, wrong=wrong))
    chance = (1 - TRUST) * plain + TRUST * (right + spans)
    assert told(seen, fading=Fading.lasting(0.2), wrong=wrong) == pytest.approx(log(chance))


def test_a_likelihood_over_a_grid_has_a_row_for_each_median_and_a_column_for_each_shape():
    evidence = gather([Observation(1, 80.0), Observation(1, 0.0, 100.0)], {1: 0}).of(0)
    medians, shapes = np.array([60.0, 90.0, 140.0]), np.array([1.5, 3.0])
    sights = Sights(np.log(medians), np.log(shapes), evidence, log(75.0), UNLEARNT)
    found = sights.logs(WRONG)
    for row, median in enumerate(medians):
        for column, shape in enumerate(shapes):
            life = stats.weibull_min(shape, scale=median / np.log(2) ** (1 / shape))
            gone = (1 - STRAYS) * life.cdf(100) + STRAYS * STRAY.cdf(100)
            assert found[row, column] == pytest.approx([life.logsf(80.0), log(gone)])


def test_the_rows_of_a_supply_are_its_own_with_their_judgements():
    judgements = (20.0, False), (40.0, False), (50.0, True)
    evidence = gather(
        [
            Observation(2, 30.0),
            Observation(1, 80.0, 90.0),
            Observation(2, 40.0, 50.0, seen=judgements),
        ],
        {1: 0, 2: 1},
    )
    own, other = evidence.of(1), evidence.of(0)
    assert np.exp(own.low).tolist() == pytest.approx([30.0, 40.0])
    assert own.first.tolist() == [0, 2]
    assert own.looks.tolist() == [0, 3]
    assert np.exp(own.age[own.judged[1] :]).tolist() == pytest.approx([20.0, 40.0, 50.0])
    # worn out before, between or after them, so many of the three are wrong
    assert own.before[own.judged[1] :].tolist() == [2, 1, 0]
    assert own.after[own.judged[1] :].tolist() == [1, 0, 1]
    assert np.exp(other.high).tolist() == pytest.approx([90.0])
    assert np.exp(other.age).tolist() == pytest.approx([80.0, 90.0])


def test_how_often_a_word_is_said_is_rounded_to_the_nearest_tenth_of_its_log_odds():
    """By scipy's logit; never and always stay what they are."""
    often = np.array([0.0, 0.003, 0.2, 0.25, 0.6, 0.97, 1.0])
    evidence = replace(gather([Observation(1, 40.0)] * len(often), {1: 0}), said=often)
    found = special.logit(evidence.rounded.said)
    assert found[1:-1] == pytest.approx(np.round(special.logit(often[1:-1]), 1))
    assert evidence.rounded.said[[0, -1]].tolist() == [0.0, 1.0]
