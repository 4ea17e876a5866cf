"""Learn a shop's habits from its judgements: each by how likely it makes what was seen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from app.calculations.layers.habits import Fading, Habits
from app.calculations.layers.life_evidence import Evidence, log_likelihood
from app.calculations.layers.life_posterior import GRID, Posterior, infer

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# How far the exposure factors hold: 1 as the scale says, 0 not at all. Judgement, no source.
STRENGTH_SPREAD = 0.15
_STEP, _STEPS = 0.3, 3  # strengths are looked for in steps of 0.3, from 0.1 to 1.9
# Shares of a life during which a layer may be called fading, alike likely at first.
_FADING = (0.06, 0.12, 0.20, 0.30, 0.42, 0.55)


def learn_habits(
    evidence: Evidence, classes: Ints, promised: Floats, spread: Floats
) -> tuple[Habits, Posterior]:
    """The habits of a shop and the posterior of its lives under them; arguments as `infer`."""
    found = infer(evidence, classes, promised, spread, Habits())
    habits = Habits(strength=_strength(evidence, classes, promised, spread, found))
    if habits.strength != 1.0:
        found = infer(evidence, classes, promised, spread, habits)
    seen = evidence.at_factor_one(habits.strength)
    fading = _fading(seen, promised, found, habits)
    if fading is habits.fading:
        return habits, found
    better = replace(habits, fading=fading)
    return better, infer(evidence, classes, promised, spread, better)


def _strength(
    evidence: Evidence, classes: Ints, promised: Floats, spread: Floats, found: Posterior
) -> float:
    """The power to which the exposure factors hold: the top of a parabola.

    The log evidence, with the prior's, at three strengths around 1; while it is greatest at
    the edge, the three move on by one. `found` is the posterior at 1. Without layers of unlike
    exposure the answer is 1.
    """
    if evidence.exposure.size < 2 or np.ptp(evidence.exposure) < 1e-3:
        return 1.0
    worth = {0: found.evidence}

    def at(place: int) -> float:
        if place not in worth:
            strength = 1.0 + place * _STEP
            other = infer(evidence, classes, promised, spread, Habits(strength))
            worth[place] = other.evidence - ((strength - 1.0) / STRENGTH_SPREAD) ** 2 / 2
        return worth[place]

    place = 0
    while abs(place) < _STEPS and at(place) < max(at(place - 1), at(place + 1)):
        place += 1 if at(place + 1) > at(place - 1) else -1
    low, mid, high = at(place - 1), at(place), at(place + 1)
    bend = low - 2 * mid + high
    offset = np.clip((low - high) / (2 * bend), -1.0, 1.0) if bend < 0 else 0.0
    return float(1.0 + (place + offset) * _STEP)


def _fading(seen: Evidence, promised: Floats, found: Posterior, habits: Habits) -> Fading:
    """What this shop means by fading; nothing when it never says so, or says it at random."""
    if not np.isfinite(seen.faded).any():
        return habits.fading
    told = np.isfinite(seen.held) | np.isfinite(seen.faded)
    shares = np.array(_FADING)
    weighed = [replace(habits, fading=Fading.lasting(share)) for share in _FADING]
    # How much likelier each makes what was seen: for each supply the mean of the ratio of
    # likelihoods over the posterior found without it; multiplied over the supplies.
    gains = np.zeros(len(weighed))
    for supply, label in enumerate(promised.tolist()):
        rows = seen.of(supply)
        if not rows.low.size:
            continue
        grid = (
            found.median[supply].reshape(GRID)[:, 0],
            found.shape[supply].reshape(GRID)[0],
            rows,
            label,
        )
        with np.errstate(divide="ignore"):
            base = np.log(found.weight[supply].reshape(GRID)) - log_likelihood(*grid, habits)
        for place, one in enumerate(weighed):
            gain = base + log_likelihood(*grid, one)
            gains[place] += gain.max() + np.log(np.exp(gain - gain.max()).sum())
    if gains.max() < np.log(seen.said[told]).sum():
        return habits.fading
    likely = np.exp(gains - gains.max())
    return Fading.lasting(float((likely * shares).sum() / likely.sum()))
