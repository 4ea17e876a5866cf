"""How welcome this book's letters are in shops of which everything is known.

The bounds are those the work was set: of the letters within a fifth of the true wear-out that
knowing the true medians would reach, at least 99 %; no more than 1.02 times the unprotected time
that the true medians leave. `python -m tests.simulated_world` prints all figures.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.simulated_world.measure import Score, measure
from tests.simulated_world.rivals import letter_ages, ours
from tests.simulated_world.world import STATED, WORLDS, open_shop

pytestmark = pytest.mark.slow
US, LABEL, TRUTH, GRID = "this book", "label's middle", "true medians", "plain grid posterior"


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
    scores = measure(plan, range(1, 7), only=(US, TRUTH))["new"]
    assert scores[US].hits >= 0.975 * scores[TRUTH].hits
    assert scores[US].unprotected <= 1.08 * scores[TRUTH].unprotected


def test_where_standing_matters_half_as_much_the_book_finds_out():
    (plan,) = (plan for plan in WORLDS if plan.strength == 0.5)
    scores = measure(plan, range(1, 7), only=(US, TRUTH, GRID))["new"]
    assert scores[US].hits >= 0.975 * scores[TRUTH].hits
    assert scores[US].hits >= 1.02 * scores[GRID].hits


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
