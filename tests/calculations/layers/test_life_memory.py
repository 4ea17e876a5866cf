"""Lives learnt with what was kept are those learnt from nothing, and most of it is kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from app.calculations.layers.layers import Verdict
from app.calculations.layers.life_memory import Memory, snapped
from app.calculations.layers.lives import Lives, fit
from app.calculations.layers.sightings import Label, Observation, observe

KINDS = {1: "wax", 2: "wax", 3: "sealant", 4: "sealant", 5: "coating", 6: "glass"}
LABELS = [Label(supply, kind, 50.0 * supply, 100.0 * supply) for supply, kind in KINDS.items()]
START = date(2024, 1, 1)


def seen_layers(rng: np.random.Generator, count: int) -> list[Observation]:
    found = []
    for supply in KINDS:
        for life in 80.0 * supply * rng.weibull(3.0, count):
            ages = np.cumsum(rng.exponential(30 * supply, 20))
            at = int(np.searchsorted(ages, life))
            words = [
                (float(age), Verdict.HOLDING if age < 0.8 * life else Verdict.FADING)
                for age in ages[:at]
            ]
            gone = [(float(ages[at]), Verdict.GONE)] if at < 20 else []
            day = START + timedelta(days=int(rng.integers(200, 900)))
            found.append(observe(supply, [*words, *gone], float(rng.choice([0.7, 1.0, 1.4])), day))
    return [one for one in found if one is not None]


def seen_once_more(layer: Observation, days: float) -> Observation:
    last = max(layer.seen[-1][0], layer.low_days) + days
    stood = last if not layer.gone else layer.low_days
    assert layer.day
    later = layer.day + timedelta(days=days)
    return replace(layer, low_days=stood, day=later, seen=(*layer.seen, (last, layer.gone)))


def told(lives: Lives) -> list[object]:
    """Every figure that is shown or reckoned with, exactly."""
    days = lives.due(list(KINDS), 1.0, 0.0), lives.due(list(KINDS), 1.3, 40.0, fading=True)
    return [
        [column.tolist() for due in days for column in due],
        [lives.summary(supply) for supply in KINDS],
        (lives.habits.wrong, lives.habits.strength, lives.habits.fading.share),
    ]


@pytest.mark.parametrize("seed", range(2))
def test_after_any_judgements_lives_are_exactly_those_learnt_anew(seed: int) -> None:
    rng = np.random.default_rng(seed)
    seen, memory = seen_layers(rng, 12), Memory()
    before = seen
    for turn in range(5):
        assert told(fit(seen, LABELS, memory)) == told(fit(seen, LABELS))
        at = int(rng.integers(len(seen)))
        before, seen = seen, [*seen]
        if turn % 2:
            del seen[at]
        else:
            seen[at] = seen_once_more(seen[at], float(rng.integers(1, 60)))
    assert told(fit(before, LABELS, memory)) == told(fit(before, LABELS))


def test_after_one_judgement_the_layers_of_its_supply_alone_are_looked_at_again() -> None:
    rng = np.random.default_rng(0)
    seen, memory = seen_layers(rng, 40), Memory()
    fit(seen, LABELS, memory)
    first = before = memory.made
    fit(seen, LABELS, memory)
    assert memory.made == first
    shares = []
    for at in (20, 60, 100, 150, 200):
        fit([*seen[:at], seen_once_more(seen[at], 5.0), *seen[at + 1 :]], LABELS, memory)
        shares.append((memory.made - before) / first)
        before = memory.made
    assert (
        sorted(shares)[2] < 0.3
    )  # a supply of six, of which all the rest may have to move a little


def test_what_was_not_used_for_a_few_times_is_forgotten() -> None:
    memory = Memory()
    for time in range(7):
        memory.begin()
        memory.of("used", lambda: 1)
        memory.of(("now", time), lambda: 2)
    assert memory.made == 8
    memory.of(("now", 6), lambda: 2)
    memory.of(("now", 2), lambda: 2)
    assert memory.made == 9


def test_a_rounded_number_is_the_nearest_step() -> None:
    assert [snapped(value, 0.25) for value in (0.3, -0.3, 0.375, 1.0)] == [0.25, -0.25, 0.5, 1.0]
