"""Who has gone quiet, where it is known: a short run of `python -m tests.simulated_rhythms`.

docs/figures.md has it over sixty shops, beside the published buyers.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.simulated_rhythms.world import (
    LIMITS,
    TODAY,
    counts,
    fit_bg_nbd,
    order_kept,
    ours,
    shop,
    twice_the_gap,
)

SEEDS = range(20)


def test_it_orders_customers_no_worse_than_twice_the_usual_gap_and_names_as_truly() -> None:
    orders, sums = np.zeros(2), np.zeros((2, 3))
    for seed in SEEDS:
        one = shop(seed, 40)
        for at, rule in enumerate((ours, twice_the_gap)):
            doubts = rule(one.visits, TODAY)
            limit = LIMITS["own rhythm" if at == 0 else "twice the gap"]
            orders[at] += order_kept(doubts, one.gone) / len(SEEDS)
            sums[at] += counts(doubts, one.gone, limit)
    assert orders[0] > orders[1] - 0.01
    right, wrong, missed = sums[0]
    assert right / (right + wrong) > 0.8, "of ten named, eight have gone"
    assert right / (right + missed) > 0.5, "of the gone, half are named"


def test_the_rival_is_the_model_of_the_paper() -> None:
    """Fitted to buyers drawn as Fader, Hardie and Lee (2005) say, it finds what they were."""
    rng = np.random.default_rng(3)
    r, alpha, a, b = 1.5, 8.0, 1.2, 2.5
    many = 4000
    rate, leaves = rng.gamma(r, 1 / alpha, many), rng.beta(a, b, many)
    x, last = np.zeros(many), np.zeros(many)
    whole = np.full(many, 60.0)
    for at in range(many):
        day = 0.0
        while True:
            day += rng.exponential(1 / rate[at])
            if day > whole[at]:
                break
            x[at], last[at] = x[at] + 1, day
            if rng.random() < leaves[at]:
                break
    found, _ = fit_bg_nbd(x, last, whole)
    mean_rate, mean_leaves = found[0] / found[1], found[2] / (found[2] + found[3])
    assert mean_rate == pytest.approx(r / alpha, rel=0.1)
    assert mean_leaves == pytest.approx(a / (a + b), abs=0.05)
