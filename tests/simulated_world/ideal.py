"""The ideal Bayesian: it knows how its world is made, and lacks only each supply's own life.

It is told the true spread of scales, the range of shapes, what standing does, how often a judgement
is wrong, on which day a supply was reformulated (or by how much it became better), and how much
likelier a worn layer is seen than a holding one. Each supply's posterior is then exact: a grid
over (log scale, shape) under the likelihood of every single judgement. It writes at the median.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import log

import numpy as np
from numpy.typing import NDArray

from tests.simulated_world.world import History, Plan, Shop, Standing

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
    if supply in shop.reformulated and plan.became == 1.0:
        since = _changed_on(plan)
    seen = [one for one in shop.histories if one.supply == supply and one.applied >= since]
    row, ages, worth = _judgements(shop, seen)
    spread = max(plan.deviation, 1e-3)
    low, high = middle - 4.5 * spread, middle + 4.5 * spread
    first, last = plan.shapes
    starts = np.searchsorted(row, np.arange(len(seen)))
    for _ in range(_ZOOMS):
        scales = np.linspace(low, high, _SCALES)
        shapes = np.linspace(first, last, _SHAPES)
        fits = np.empty((_SCALES, _SHAPES))
        for place, shape in enumerate(shapes.tolist()):
            still = _still(scales, ages, middle, shape)
            chance = np.zeros((_SCALES, len(seen)))
            if row.size:
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
        survival += weight[:, place] @ _still(scales, times, middle, shape)
    return float(np.interp(0.5, survival[::-1], times[::-1]))


def _still(scales: Floats, ages: Floats, middle: float, shape: float) -> Floats:
    """The chance (scales x ages) to protect still; scales as logarithms. The power of a quotient
    is that of both parts, of which there are far fewer; about `middle`, so that none is too large.
    """
    hazard = np.exp(shape * (middle - scales))[:, None] * -((ages / np.exp(middle)) ** shape)
    return np.asarray(np.exp(hazard, out=hazard))


def _judgements(shop: Shop, seen: Sequence[History]) -> tuple[NDArray[np.int64], Floats, Floats]:
    """Every judgement as (row of its layer, age, worth), so that a layer's chance is a sum.

    Worn out between two judgements has the chance of all those before being right to say that it
    holds, and all after that it is gone; with S falling from one to nought the sum over the spans
    becomes one over the ages (0 among them) of S times the step in that chance.
    """
    wrong = shop.plan.wrong
    oftener = _seen_oftener(shop.plan)
    rows, ages, worths = [], [], []
    for row, one in enumerate(seen):
        times = 1.0 / shop.factor(one.exposure)
        if one.supply in shop.reformulated and one.applied < _changed_on(shop.plan):
            times *= shop.plan.became
        gone = np.array(one.gone)
        if_worn = np.where(gone, 1.0 - wrong, wrong)
        if_holds = np.where(gone, wrong, 1.0 - wrong)
        spans = np.array(
            [np.prod(if_holds[:k]) * np.prod(if_worn[k:]) for k in range(len(gone) + 1)]
        )
        starts, spans = _unseen(one, spans, oftener)
        rows += [row] * len(spans)
        ages += [start * times for start in starts]
        worths += [spans[0], *np.diff(spans)]
    return np.array(rows, dtype=np.int64), np.array(ages), np.array(worths)


def _changed_on(plan: Plan) -> float:
    return plan.days - (plan.reformulated_days_ago or 0.0)


def _seen_oftener(plan: Plan) -> float:
    """How much more often a day a worn layer is seen and written down than a holding one."""
    prompted = 1.0 / plan.prompted_days if plan.prompted_days else 0.0
    return prompted + (1.0 - plan.holding_written) / plan.days_between_visits


# Pieces of the time in which a worn layer was not seen, back from its end; as parts of the mean
# time to be seen because of it.
_BACK = np.array([12.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.2, 0.9, 0.6, 0.3])


def _unseen(one: History, spans: Floats, oftener: float) -> tuple[Floats, Floats]:
    """The spans in which it may have worn out, as their first ages and their worths.

    Where worn layers are seen oftener by so much a day, the longer it would have been worn and not
    seen the less likely: by exp(-oftener x days), `until` it would have been seen.
    """
    edges = np.array([0.0, *one.ages])
    if not oftener:
        return edges, spans
    cuts = one.until - _BACK / oftener
    starts = np.unique(np.concatenate([edges, cuts[cuts > 0.0], [one.until]]))
    ends = np.append(starts[1:], np.inf)
    worn = np.maximum(one.until - starts, 0.0) * oftener
    less = np.maximum(one.until - ends, 0.0) * oftener
    unseen = np.where(
        worn > less, (np.exp(-less) - np.exp(-worn)) / np.maximum(worn - less, 1e-12), 1.0
    )
    return starts, spans[np.searchsorted(edges, starts, side="right") - 1] * unseen
