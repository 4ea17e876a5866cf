"""Learn a shop's habits from its judgements: each by how likely it makes what was seen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from app.calculations.habits import Fading, Habits
from app.calculations.life_evidence import Evidence, log_likelihood
from app.calculations.life_posterior import GRID, Posterior, infer

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# How far the exposure factors hold: 1 as the scale says, 0 not at all. Judgement, no source.
STRENGTH_SPREAD = 0.15
_STRENGTHS = (0.7, 1.0, 1.3)
# Shares of a life during which a layer may be called fading, alike likely at first.
_FADING = (0.06, 0.12, 0.20, 0.30, 0.42, 0.55)


def learn_habits(
    evidence: Evidence, classes: Ints, promised: Floats, spread: Floats
) -> tuple[Habits, Posterior]:
    """The habits of a shop and the posterior of its lives under them; arguments as `infer`."""
    habits = Habits(strength=_strength(evidence, classes, promised, spread))
    found = infer(evidence, classes, promised, spread, habits)
    seen = evidence.at_factor_one(habits.strength)
    fading = _fading(seen, promised, found, habits)
    if fading is habits.fading:
        return habits, found
    better = replace(habits, fading=fading)
    return better, infer(evidence, classes, promised, spread, better)


def _strength(evidence: Evidence, classes: Ints, promised: Floats, spread: Floats) -> float:
    """The power to which the exposure factors hold: the top of a parabola around 1.

    The log evidence at three strengths, with the prior's, is taken as a parabola; without
    layers of unlike exposure it is the prior's and the answer is 1.
    """
    if evidence.exposure.size < 2 or np.ptp(evidence.exposure) < 1e-3:
        return 1.0
    low, mid, high = (
        infer(evidence, classes, promised, spread, Habits(strength)).evidence
        - ((strength - 1.0) / STRENGTH_SPREAD) ** 2 / 2
        for strength in _STRENGTHS
    )
    step = _STRENGTHS[2] - _STRENGTHS[1]
    bend = (low - 2 * mid + high) / step**2
    if bend >= 0:
        return 1.0
    return float(np.clip(1.0 - (high - low) / (2 * step) / bend, 0.2, 1.8))


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
