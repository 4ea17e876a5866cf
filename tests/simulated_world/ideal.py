"""The ideal Bayesian: it knows how its world is made, and lacks only each supply's own life.

It is told the true spread of scales, the range of shapes, what standing does, how often a judgement
is wrong and on which day a supply was reformulated. Each supply's posterior is then exact: a grid
over (log scale, shape) under the likelihood of every single judgement. It writes at the median.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import log

import numpy as np
from numpy.typing import NDArray

from tests.simulated_world.world import History, Shop, Standing

Floats = NDArray[np.float64]

_SCALES, _SHAPES = 61, 25
_ZOOMS = 3


def ideal(shop: Shop, layers: Sequence[Standing]) -> list[float]:
    """The median age of a new layer under the exact posterior of its supply."""
    medians = {supply: _median(shop, supply) for supply in {one.supply for one in layers}}
    return [medians[one.supply] * shop.factor(one.exposure) for one in layers]


def _median(shop: Shop, supply: int) -> float:
    """The median life, at the factor that labels are meant for."""
    plan, label = shop.plan, shop.labels[supply]
    middle = log((label.low_days + label.high_days) / 2)
    since = -1.0
    if supply in shop.reformulated:
        assert plan.reformulated_days_ago is not None
        since = plan.days - plan.reformulated_days_ago
    seen = [one for one in shop.histories if one.supply == supply and one.applied >= since]
    row, ages, worth = _judgements(shop, seen)
    spread = max(plan.deviation, 1e-3)
    low, high = middle - 4.5 * spread, middle + 4.5 * spread
    first, last = plan.shapes
    for _ in range(_ZOOMS):
        scales = np.linspace(low, high, _SCALES)
        shapes = np.linspace(first, last, _SHAPES)
        fits = np.empty((_SCALES, _SHAPES))
        for place, shape in enumerate(shapes.tolist()):
            with np.errstate(over="ignore"):
                still = np.exp(-((ages / np.exp(scales)[:, None]) ** shape))
            chance = np.zeros((_SCALES, len(seen)))
            if row.size:
                starts = np.searchsorted(row, np.arange(len(seen)))
                chance = np.add.reduceat(still * worth, starts, axis=1)
            fits[:, place] = np.log(np.maximum(chance, 1e-300)).sum(axis=1)
        fits -= ((scales[:, None] - middle) / spread) ** 2 / 2
        weight = np.exp(fits - fits.max())
        weight /= weight.sum()
        across, along = weight.sum(axis=1), weight.sum(axis=0)
        held = np.flatnonzero(across > 1e-7 * across.max())
        low, high = scales[max(held[0] - 1, 0)], scales[min(held[-1] + 1, _SCALES - 1)]
        held = np.flatnonzero(along > 1e-7 * along.max())
        first, last = shapes[max(held[0] - 1, 0)], shapes[min(held[-1] + 1, _SHAPES - 1)]
    times = np.exp(np.linspace(middle - 3.0, middle + 2.5, 1201))
    survival = np.zeros_like(times)
    for place, shape in enumerate(shapes.tolist()):
        with np.errstate(over="ignore"):
            each = np.exp(-((times[:, None] / np.exp(scales)) ** shape))
        survival += each @ weight[:, place]
    return float(np.interp(0.5, survival[::-1], times[::-1]))


def _judgements(shop: Shop, seen: Sequence[History]) -> tuple[NDArray[np.int64], Floats, Floats]:
    """Every judgement as (row of its layer, age, worth), so that a layer's chance is a sum.

    Worn out between two judgements has the chance of all those before being right to say that it
    holds, and all after that it is gone; with S falling from one to nought the sum over the spans
    becomes one over the ages (0 among them) of S times the step in that chance.
    """
    wrong = shop.plan.wrong
    rows, ages, worths = [], [], []
    for row, one in enumerate(seen):
        gone = np.array(one.gone)
        if_worn = np.where(gone, 1.0 - wrong, wrong)
        if_holds = np.where(gone, wrong, 1.0 - wrong)
        spans = np.array(
            [np.prod(if_holds[:k]) * np.prod(if_worn[k:]) for k in range(len(gone) + 1)]
        )
        rows += [row] * len(spans)
        ages += [0.0, *(age / shop.factor(one.exposure) for age in one.ages)]
        worths += [spans[0], *np.diff(spans)]
    return np.array(rows, dtype=np.int64), np.array(ages), np.array(worths)
