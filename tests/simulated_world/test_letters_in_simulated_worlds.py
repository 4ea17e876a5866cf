"""How welcome this book's letters are in shops of which everything is known.

The bounds are those the work was set: of the letters within a fifth of the true wear-out that
knowing the true medians would reach, at least 99 %; no more than 1.02 times the unprotected time
that the true medians leave. `python -m tests.simulated_world` prints all figures.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.calculations.layers.habit_learning import STRENGTH_SPREAD
from app.calculations.layers.lives import fit
from tests.simulated_world.measure import Score, measure
from tests.simulated_world.other_worlds import OTHER_WORLDS, SMALL
from tests.simulated_world.rivals import letter_ages, ours
from tests.simulated_world.world import STATED, WORLDS, open_shop

pytestmark = pytest.mark.slow
US, LABEL, TRUTH, GRID = "this book", "label's middle", "true medians", "plain grid posterior"
MEASURED = range(9000, 9004)  # the shops of the table in docs/renewals.md
IDEAL, YEAR = "ideal Bayesian", "plain grid of a year"


@pytest.fixture(scope="module")
def stated() -> dict[str, dict[str, Score]]:
    return measure(STATED, range(1, 25), only=(US, LABEL, TRUTH))


def test_letters_hit_at_least_99_percent_of_what_the_true_medians_would(stated):
    scores = stated["new"]
    assert scores[US].hits >= 0.99 * scores[TRUTH].hits


def test_they_leave_no_more_unprotected_time_than_the_true_medians(stated):
    scores = stated["new"]
    assert scores[US].unprotected <= 1.02 * scores[TRUTH].unprotected
    assert scores[US].part <= 1.02 * scores[TRUTH].part


def test_for_layers_out_there_the_last_judgement_makes_letters_better_than_the_truth_alone(stated):
    scores = stated["standing"]
    assert scores[US].hits >= 1.03 * scores[TRUTH].hits
    assert scores[US].hits >= 0.98 * scores["true medians since seen"].hits
    assert scores[US].unprotected <= 1.02 * scores[TRUTH].unprotected


def test_the_world_is_the_one_that_was_described(stated):
    # For orientation: the label's middle hits 29 %, the true medians 50 %, and the true medians
    # leave about half the unprotected time of the label's middle.
    scores = stated["new"]
    assert scores[LABEL].hits == pytest.approx(0.29, abs=0.03)
    assert scores[TRUTH].hits == pytest.approx(0.50, abs=0.02)
    assert scores[TRUTH].unprotected / scores[LABEL].unprotected == pytest.approx(0.5, abs=0.08)


@pytest.mark.parametrize("name", ["fading is noticed from 80 %", "loose wear, shapes 1.3 to 3"])
def test_other_worlds_are_met_nearly_as_well(name):
    (plan,) = (plan for plan in WORLDS if plan.name == name)
    scores = measure(plan, range(1, 7), only=(US, TRUTH), groups=("new",))["new"]
    assert scores[US].hits >= 0.975 * scores[TRUTH].hits
    assert scores[US].unprotected <= 1.08 * scores[TRUTH].unprotected


def test_where_standing_matters_half_as_much_the_book_finds_out():
    (plan,) = (plan for plan in WORLDS if plan.strength == 0.5)
    scores = measure(plan, range(1, 7), only=(US, TRUTH, GRID), groups=("new",))["new"]
    assert scores[US].hits >= 0.975 * scores[TRUTH].hits
    assert scores[US].hits >= 1.02 * scores[GRID].hits


@pytest.mark.parametrize(
    ("name", "hits"),
    [
        ("three in ten vehicles sold, 150 vehicles", 0.98),
        ("one judgement in ten wrong, 150 vehicles", 0.95),
    ],
)
def test_in_worlds_it_was_not_made_in_it_comes_near_the_ideal_bayesian(name, hits):
    (plan,) = (plan for plan in OTHER_WORLDS if plan.name == name)
    scores = measure(plan, range(1, 4), only=(US, IDEAL, LABEL), groups=("new",))["new"]
    assert scores[US].hits >= hits * scores[IDEAL].hits
    assert scores[US].unprotected <= 1.06 * scores[IDEAL].unprotected
    assert scores[LABEL].hits <= 0.6 * scores[IDEAL].hits


@pytest.mark.parametrize(
    ("name", "hits"),
    [
        ("reformulated a year ago, 150 vehicles", 0.93),
        ("most visits because it failed, 150 vehicles", 0.95),
        ("most visits because it failed, 40 vehicles", 0.95),
        ("gone always written, holding one in five", 0.95),
    ],
)
def test_where_supplies_or_looks_are_unlike_what_is_usual_it_comes_near_too(name, hits):
    (plan,) = (plan for plan in OTHER_WORLDS if plan.name == name)
    scores = measure(plan, MEASURED, only=(US, IDEAL, LABEL, GRID), groups=("new",))["new"]
    assert scores[US].hits >= hits * scores[IDEAL].hits
    assert scores[LABEL].hits <= 0.6 * scores[IDEAL].hits
    assert scores[GRID].hits <= 0.75 * scores[IDEAL].hits


def test_a_supply_that_lasts_longer_since_a_year_is_learnt_as_fast_as_from_that_year_alone():
    (plan,) = (plan for plan in OTHER_WORLDS if plan.became == 1.35)
    scores = measure(plan, MEASURED, only=(US, YEAR, GRID), groups=("new",))["new"]
    assert scores[US].hits >= 0.95 * scores[YEAR].hits
    assert scores[US].hits >= 1.1 * scores[GRID].hits


def test_the_80_percent_band_holds_the_truth_in_78_to_82_of_a_hundred_supplies():
    # Two hundred shops, each of them with its own truth about what standing does.
    inside = count = 0
    for seed in range(1, 201):
        rng = np.random.default_rng(seed)
        shop = open_shop(replace(SMALL, strength=float(rng.normal(1.0, STRENGTH_SPREAD))), rng)
        lives = fit(shop.observations, shop.labels)
        for label in shop.labels:
            summary = lives.summary(label.supply)
            truth = shop.true_median(label.supply, 1.0)
            inside += summary.low_days <= truth <= summary.high_days
            count += 1
    assert count == 1000
    assert 0.78 <= inside / count <= 0.82


def test_the_simulation_uses_the_very_function_that_the_window_uses(monkeypatch):
    asked = []
    real = letter_ages.__globals__["due_spans"]
    monkeypatch.setitem(
        letter_ages.__globals__, "due_spans", lambda *args: asked.append(args) or real(*args)
    )
    shop = open_shop(STATED, np.random.default_rng(0))
    ours(shop, shop.standing[:3])
    assert real.__module__ == "app.calculations.letters.renewals"
    assert len(asked) == 1
