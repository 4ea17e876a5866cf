"""How long a supplier's deliveries take: the promise, moved by what was really seen."""

from __future__ import annotations

from bisect import insort
from collections.abc import Sequence
from functools import lru_cache
from math import lgamma

import numpy as np
from numpy.typing import NDArray

from app.calculations.numbers.chances import Floats, gamma_survival

ASSUMED_DAYS = 5  # where nothing was promised: common practice, no source
PRIOR_WEIGHT = 4.0  # the promise counts like so many deliveries seen: judgement, no source
PRIOR_RATIO = 0.5  # standard deviation of a promise, as a share of it: judgement, no source
RECENT = 50  # deliveries that are read
CHANGE = 0.03  # chance, a delivery, that a supplier's ways have changed: judgement, no source
FRESH_WEIGHT = 1.0  # the promise counts for so many after such a change: judgement, no source
WILD = 3.0  # times the middle: what took longer, as a lost parcel does, counts as so long
LONGEST = 90  # days: judgement, no source
NEVER_COME = 0.01  # share of parcels: judgement, no source
_LEAST = 2e-4  # chances below this are left out; our choice
_RARE = 0.01  # places of a change that are less likely are left out; our choice, for speed


def lead_time_chances(
    seen: Sequence[int], promised: int | None, waiting: Sequence[int] = ()
) -> Floats:
    """Chances of a lead time of 1, 2, 3… days; they add up to 1.

    Half of what is known is a gamma whose mean and variance start from the promise and move with
    the deliveries seen (the last fifty; those from before a change count less); the other half, as
    it grows, is what was seen itself, so that a supplier's two kinds of parcels are not smoothed
    into one, and a parcel that once was lost does not make all others late.

    seen: days from order to shelf, latest last; waiting: days that parcels on their way have taken
    so far. Such a parcel will take longer than that: it counts with the mean of what is longer, by
    the share of parcels that would have come by now (a step of expectation and maximization for
    censored times: Dempster, Laird and Rubin, *J. Royal Statistical Society* B 39, 1977, 1-38; from
    memory). So one that was sent yesterday says nothing, one that is overdue nearly as much as one
    that came.
    """
    days, changed, chances = _of_seen(tuple(seen[-RECENT:]), promised)
    open_ = np.clip(np.asarray(waiting, dtype=float), 0.0, LONGEST - 1.0)
    if not (open_ >= 1).any():
        return chances
    own, so_far = _longer_than(open_, chances)
    weights = np.append(np.ones(days.size), so_far)
    return _chances(np.append(days, own), weights, changed, promised)


@lru_cache
def _of_seen(seen: tuple[int, ...], promised: int | None) -> tuple[Floats, Floats, Floats]:
    """(days, the chance of each place of a change, chances of a lead time) of deliveries seen.

    Kept, since the same supplier is asked about for each parcel on its way and on each day.
    """
    days = np.clip(np.asarray(seen, dtype=float), 1.0, LONGEST)
    changed = change_places(days, promised)
    found = days, changed, _chances(days, np.ones(days.size), changed, promised)
    for one in found:
        one.flags.writeable = False
    return found


def comes_at_all(late: int, given: int, seen: Sequence[int], promised: int | None) -> float:
    """The chance that a parcel that is so many days late comes at all.

    By Bayes, where a share `NEVER_COME` of parcels never does and all others take what this
    supplier's take (survival with a part that is immune: Boag, *J. Royal Statistical Society* B 11,
    1949, 15-53; from memory): the longer it is late beyond what was ever seen, the surer it is
    lost. A later day that was agreed moves what is usual along.

    given: days from the order to the day on which it was expected; seen, promised: as for
    `lead_time_chances`.
    """
    if late <= 0:
        return 1.0
    chances = lead_time_chances(seen, promised)
    waited = late + min(given, lead_time_quantile(chances, 0.5))
    later = (1.0 - NEVER_COME) * float(chances[max(waited, 0) :].sum())
    return later / (later + NEVER_COME)


def _prior(promised: int | None) -> float:
    return float(max(1, ASSUMED_DAYS if promised is None else promised))


def change_places(days: Floats, promised: int | None) -> Floats:
    """The chance of each delivery (latest last) that it was the first after a change; of the first
    that nothing has changed.

    One change at most within them, each place as likely (`CHANGE`): the posterior of a single
    change-point (Smith, *Biometrika* 62, 1975, 407-416; from memory). Both sides are gamma with
    the spread of a promise and an unknown mean, about which a conjugate prior knows the promise,
    as `PRIOR_WEIGHT` deliveries before the change and as `FRESH_WEIGHT` after it.
    """
    if days.size < 2:
        return np.ones(days.size)
    shape = PRIOR_RATIO**-2  # of the gamma of one delivery
    prior, many = _prior(promised), np.arange(days.size + 1)

    def fits(weight: float, number: NDArray[np.int64], total: Floats) -> Floats:
        """The logarithm of how well so many deliveries of this sum fit one mean."""
        first, worth = shape * weight + 1.0, weight * prior
        alpha = first + shape * number
        return _rising(first, shape)[number] + first * np.log(worth) - alpha * np.log(worth + total)

    before = np.concatenate([[0.0], np.cumsum(np.minimum(days, WILD * _middles_since(days)[0]))])
    fit = fits(PRIOR_WEIGHT, many, before)
    fit = fit + fits(FRESH_WEIGHT, many[::-1], before[-1] - before)
    # the first place (all deliveries after it) stands for no change
    fit[0] = fits(PRIOR_WEIGHT, many[-1:], before[-1:])[0] + np.log(1.0 / CHANGE - 1.0)
    odds = np.exp(fit[:-1] - fit[:-1].max())
    places: Floats = odds / odds.sum()
    return places


@lru_cache
def _rising(first: float, shape: float) -> Floats:
    """The logarithm of gamma(first + shape * n) by gamma(first), of 0, 1, 2… deliveries."""
    return np.array([lgamma(first + shape * n) - lgamma(first) for n in range(RECENT + 1)])


def _longer_than(waited: Floats, chances: Floats) -> tuple[Floats, Floats]:
    """(mean of the lead times that are longer, share of those that are not) of each wait.

    Beyond all that is thought possible it is one day more.
    """
    lengths = np.arange(1, chances.size + 1)
    longer = lengths > waited[:, None]
    share = longer @ chances
    some = np.where(share > 0, share, 1.0)
    mean = np.where(share > 0, (longer * lengths) @ chances / some, waited + 1)
    return mean, 1.0 - share


def _chances(days: Floats, weights: Floats, changed: Floats, promised: int | None) -> Floats:
    """Chances from lead times (latest last) of which each counts so much.

    changed: the chance of each place that the supplier's ways changed there (first: never did). The
    chances that follow from each are averaged by it: that has a longer tail than one gamma for
    all, and what was wild before a change is usual after it. All places are worked out at once:
    a row is what is known since that place.
    """
    places = np.flatnonzero(changed >= _RARE) if changed.size else np.zeros(1, dtype=int)
    shares = changed[places] if changed.size else np.ones(1)
    # The promise was made for the time before a change.
    promise = np.where(places > 0, FRESH_WEIGHT, PRIOR_WEIGHT)
    counts = np.where(np.arange(days.size) >= places[:, None], weights, 0.0)
    prior, n = _prior(promised), counts.sum(axis=1)
    weight = promise + n
    tame = np.minimum(days, WILD * _middles_since(days)[places, None]) if days.size else counts
    mean = (promise * prior + (counts * tame).sum(axis=1)) / weight
    prior_variance = max(1.0, PRIOR_RATIO * prior) ** 2
    off = (counts * (tame - mean[:, None]) ** 2).sum(axis=1)
    moved = (prior - mean) ** 2 * np.minimum(1.0, 4.0 / weight)
    variance = (promise * (prior_variance + moved) + off) / weight
    beyond = gamma_survival(np.arange(LONGEST + 1) + 0.5, mean[:, None], variance[:, None])
    beyond[:, 0] = 1.0
    chances = beyond[:, :-1] - beyond[:, 1:]
    own = n / (n + 20.0) * 0.5
    seen = np.rint(days).astype(int)[:, None] == np.arange(1, LONGEST + 1)
    counted = counts @ seen / np.where(n > 0, n, 1.0)[:, None]
    chances = (1.0 - own[:, None]) * chances + own[:, None] * counted
    chances = np.where(chances < _LEAST, 0.0, chances)
    return _cut(shares @ (chances / chances.sum(axis=1, keepdims=True)))


def _middles_since(days: Floats) -> Floats:
    """The median of the deliveries from each on to the last."""
    later: list[float] = []
    middles = np.empty(days.size)
    for at in range(days.size - 1, -1, -1):
        insort(later, float(days[at]))
        half = len(later) // 2
        middles[at] = later[half] if len(later) % 2 else (later[half - 1] + later[half]) / 2.0
    return middles


def _cut(chances: Floats) -> Floats:
    """Chances without those that are next to nothing; they add up to 1."""
    chances = np.where(chances < _LEAST, 0.0, chances)
    chances = chances[: int(np.flatnonzero(chances)[-1]) + 1]
    return chances / chances.sum()


def lead_time_quantile(chances: Floats, share: float) -> int:
    """The days within which this share of deliveries has come."""
    return int(np.searchsorted(np.cumsum(chances), share - 1e-9)) + 1
