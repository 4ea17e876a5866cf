"""How long a supplier's deliveries take: the promise, moved by what was really seen."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.calculations.numbers.chances import Floats, gamma_survival

ASSUMED_DAYS = 5  # where nothing was promised: common practice, no source
PRIOR_WEIGHT = 4.0  # the promise counts like so many deliveries seen: judgement, no source
PRIOR_RATIO = 0.5  # standard deviation of a promise, as a share of it: judgement, no source
RECENT = 50  # deliveries that are read
HALF_LIFE = 25.0  # deliveries after which one counts half: judgement, no source
WILD = 3.0  # times the middle: what took longer counts as so long in the smooth half
LONGEST = 90  # days
_LEAST = 2e-4  # chances below this are left out


def lead_time_chances(
    seen: Sequence[int], promised: int | None, waiting: Sequence[int] = ()
) -> Floats:
    """Chances of a lead time of 1, 2, 3… days; they add up to 1.

    Half of what is known is a gamma whose mean and variance start from the promise and move with
    the deliveries seen (the last fifty, the older the less); the other half, as it grows, is what
    was seen itself, so that a supplier's two kinds of parcels are not smoothed into one, and a
    parcel that once was lost does not make all others late.

    seen: days from order to shelf, latest last; waiting: days that parcels on their way have taken
    so far. Such a parcel will take longer than that: it counts with the mean of what is longer, by
    the share of parcels that would have come by now (a step of expectation and maximization for
    censored times: Dempster, Laird and Rubin, *J. Royal Statistical Society* B 39, 1977, 1-38; from
    memory). So one that was sent yesterday says nothing, one that is overdue nearly as much as one
    that came.
    """
    days = np.clip(np.asarray(seen, dtype=float)[-RECENT:], 1.0, LONGEST)
    weights = 0.5 ** (np.arange(days.size)[::-1] / HALF_LIFE)
    chances = _chances(days, weights, promised)
    open_ = np.clip(np.asarray(waiting, dtype=float), 0.0, LONGEST - 1.0)
    if not (open_ >= 1).any():
        return chances
    own, so_far = _longer_than(open_, chances)
    return _chances(np.append(days, own), np.append(weights, so_far), promised)


def _longer_than(waited: Floats, chances: Floats) -> tuple[Floats, Floats]:
    """(mean of the lead times that are longer, share of those that are not) of each wait.

    Beyond all that is thought possible it is one day more.
    """
    lengths = np.arange(1, chances.size + 1)
    longer = lengths > waited[:, None]
    share = longer @ chances
    mean = np.where(share > 0, (longer * lengths) @ chances / np.maximum(share, 1e-12), waited + 1)
    return mean, 1.0 - share


def _chances(days: Floats, weights: Floats, promised: int | None) -> Floats:
    """Chances from lead times (latest last) of which each counts so much."""
    prior = float(max(1, ASSUMED_DAYS if promised is None else promised))
    n = float(weights.sum())
    weight = PRIOR_WEIGHT + n
    tame = np.minimum(days, WILD * float(np.median(days))) if days.size else days
    mean = (PRIOR_WEIGHT * prior + weights @ tame) / weight
    prior_variance = max(1.0, PRIOR_RATIO * prior) ** 2
    variance = (
        PRIOR_WEIGHT * (prior_variance + (prior - mean) ** 2 * min(1.0, 4.0 / weight))
        + weights @ (tame - mean) ** 2
    ) / weight
    edges = np.arange(LONGEST + 1) + 0.5
    beyond = gamma_survival(edges, np.full(edges.shape, mean), np.full(edges.shape, variance))
    beyond[0] = 1.0
    chances = beyond[:-1] - beyond[1:]
    if n > 0:
        own = n / (n + 20.0) * 0.5
        counted = np.bincount(np.rint(days).astype(int), weights, LONGEST + 1)[1:] / n
        chances = (1.0 - own) * chances + own * counted
    chances = np.where(chances < _LEAST, 0.0, chances)
    chances = chances[: int(np.flatnonzero(chances)[-1]) + 1]
    return chances / chances.sum()


def lead_time_quantile(chances: Floats, share: float) -> int:
    """The days within which this share of deliveries has come."""
    return int(np.searchsorted(np.cumsum(chances), share - 1e-9)) + 1
