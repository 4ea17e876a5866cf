"""How long a supplier's deliveries take: the promise, moved by what was really seen."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.calculations.numbers.chances import Floats, gamma_survival

ASSUMED_DAYS = 5  # where nothing was promised: common practice, no source
PRIOR_WEIGHT = 4.0  # the promise counts like so many deliveries seen: judgement, no source
PRIOR_RATIO = 0.5  # standard deviation of a promise, as a share of it: judgement, no source
RECENT = 50  # deliveries that are read
WILD = 3.0  # times the middle: what took longer counts as so long in the smooth half
LONGEST = 90  # days
_LEAST = 2e-4  # chances below this are left out


def lead_time_chances(seen: Sequence[int], promised: int | None) -> Floats:
    """Chances of a lead time of 1, 2, 3… days; they add up to 1.

    Half of what is known is a gamma whose mean and variance start from the promise and move with
    the deliveries seen (at most the last fifty); the other half, as it grows, is what was seen
    itself, so that a supplier's two kinds of parcels are not smoothed into one, and a parcel that
    once was lost does not make all others late.
    """
    prior = float(max(1, ASSUMED_DAYS if promised is None else promised))
    days = np.clip(np.asarray(seen, dtype=float)[-RECENT:], 1.0, LONGEST)
    n = days.size
    weight = PRIOR_WEIGHT + n
    tame = np.minimum(days, WILD * float(np.median(days))) if n else days
    mean = (PRIOR_WEIGHT * prior + tame.sum()) / weight
    prior_variance = max(1.0, PRIOR_RATIO * prior) ** 2
    variance = (
        PRIOR_WEIGHT * (prior_variance + (prior - mean) ** 2 * min(1.0, 4.0 / weight))
        + ((tame - mean) ** 2).sum()
    ) / weight
    edges = np.arange(LONGEST + 1) + 0.5
    beyond = gamma_survival(edges, np.full(edges.shape, mean), np.full(edges.shape, variance))
    beyond[0] = 1.0
    chances = beyond[:-1] - beyond[1:]
    if n:
        own = n / (n + 20.0) * 0.5
        counted = np.bincount(np.rint(days).astype(int), minlength=LONGEST + 1)[1:] / n
        chances = (1.0 - own) * chances + own * counted
    chances = np.where(chances < _LEAST, 0.0, chances)
    chances = chances[: int(np.flatnonzero(chances)[-1]) + 1]
    return chances / chances.sum()


def lead_time_quantile(chances: Floats, share: float) -> int:
    """The days within which this share of deliveries has come."""
    return int(np.searchsorted(np.cumsum(chances), share - 1e-9)) + 1
