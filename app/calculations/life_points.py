"""One supply's life as weighted points: what the posterior holds possible, and how likely."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LOG2 = log(2.0)

# A layer seen fading has had at least this part of its life, nine times in ten; judgement,
# no source.
FADING_FROM = 0.6
FADING_TRUST = 0.9

_LONGEST = 600.0  # a cumulative hazard above this is as good as certain, and exp() still works
_KEPT = 1.0 - 1e-4  # of the weight; the rest of the points is not worth its time


@dataclass(frozen=True, slots=True)
class LifePoints:
    """Weighted points (G,) of a Weibull life: medians in days at factor 1, shapes, weights.

    A layer's survival at age t is 0.5 ** ((t / median) ** shape) at each point. `learnt` says
    that layers of this supply were seen again and the weights hold what they showed.
    """

    medians: Floats
    shapes: Floats
    weights: Floats
    learnt: bool

    @classmethod
    def kept(
        cls, log_medians: Floats, log_shapes: Floats, weights: Floats, learnt: bool
    ) -> LifePoints:
        """The points that carry nearly all of the weight; weights sum to one again."""
        order = np.argsort(weights)[::-1]
        count = int(np.searchsorted(np.cumsum(weights[order]), _KEPT * weights.sum())) + 1
        keep = np.sort(order[:count])
        kept = weights[keep] / weights[keep].sum()
        return cls(np.exp(log_medians[keep]), np.exp(log_shapes[keep]), kept, learnt)

    @property
    def unit(self) -> float:
        """The middle of the medians, in days."""
        return float(np.exp((self.weights * np.log(self.medians)).sum()))

    def chances(self, ages: Floats, seen: Floats, fading: bool) -> tuple[Floats, Floats]:
        """Chance at each point to protect at `ages` (n,) given a layer did, or faded, at `seen`.

        With the weights of the points for that layer: two arrays (n, G), whose product summed
        along the points is the chance.
        """
        at_age, at_seen = self._hazard(ages), self._hazard(seen)
        share = self._share(seen, at_seen, fading)
        later = (ages > seen / FADING_FROM)[:, None]
        chance = np.exp(np.minimum(at_seen - at_age, 0.0))
        chance = np.where(later, chance * (1.0 - FADING_TRUST * fading), chance - share)
        chance = np.clip(chance / (1.0 - share), 0.0, 1.0)
        chance[ages <= seen] = 1.0
        return chance, self._weights(at_seen, share)

    def table(self, ages: Floats, seen: Floats, fading: bool) -> Floats:
        """The chance (T, A) for every pair of `ages` (T,) and `seen` (A,)."""
        at_age, at_seen = self._hazard(ages), self._hazard(seen)
        share = self._share(seen, at_seen, fading)
        weights = self._weights(at_seen, share) / (1.0 - share)
        chance = np.exp(-at_age) @ (weights * np.exp(at_seen)).T
        later = ages[:, None] > seen / FADING_FROM
        spent = (weights * share).sum(axis=1)
        chance = np.where(later, chance * (1.0 - FADING_TRUST * fading), chance - spent)
        chance = np.where(ages[:, None] <= seen, 1.0, np.clip(chance, 0.0, 1.0))
        return np.asarray(np.minimum.accumulate(chance, axis=0))

    def _share(self, seen: Floats, at_seen: Floats, fading: bool) -> Floats:
        """The part (n, G) of layers that a verdict of fading rules out: those living longer.

        Worn out by seen / FADING_FROM, as far as that is trusted.
        """
        if not fading:
            return np.zeros_like(at_seen)
        longer = np.exp(at_seen - self._hazard(seen / FADING_FROM))
        return np.asarray(np.minimum(FADING_TRUST * longer, 1.0 - 1e-9))

    def _weights(self, at_seen: Floats, share: Floats) -> Floats:
        """The weights (n, G) for layers of which this was seen.

        Weights that were learnt already hold what the layer showed and stay; those from labels
        alone move to the points under which it is likely.
        """
        if self.learnt:
            return np.broadcast_to(self.weights, at_seen.shape)
        logs = np.log(self.weights) - at_seen + np.log1p(-share)
        moved = np.exp(logs - logs.max(axis=1, keepdims=True))
        return np.asarray(moved / moved.sum(axis=1, keepdims=True))

    def median_band(self, share: float = 0.8) -> tuple[float, float, float]:
        """Low, middle and high of the median life in days; `share` of the weight between."""
        levels = np.array([(1 - share) / 2, 0.5, (1 + share) / 2])
        logs, place = np.unique(np.log(self.medians), return_inverse=True)
        weight = np.bincount(place, self.weights)
        edges = np.concatenate(
            [
                [logs[0] - (logs[1] - logs[0]) / 2],
                (logs[1:] + logs[:-1]) / 2,
                [logs[-1] + (logs[-1] - logs[-2]) / 2],
            ]
        )
        heights = np.concatenate([[0.0], np.cumsum(weight)])
        low, middle, high = np.exp(np.interp(levels, heights, edges))
        return float(low), float(middle), float(high)

    def _hazard(self, ages: Floats) -> Floats:
        power = (np.maximum(ages, 0.0)[:, None] / self.medians) ** self.shapes
        return np.asarray(np.minimum(LOG2 * power, _LONGEST))


def weighted_quantiles(
    values: Floats, weights: Floats, levels: Sequence[float]
) -> tuple[Floats, ...]:
    """Quantiles along the last axis of `values` under `weights`, both (n, G)."""
    order = np.argsort(values, axis=1)
    heights = np.cumsum(np.take_along_axis(weights, order, axis=1), axis=1)
    ranked = np.take_along_axis(values, order, axis=1)
    rows = np.arange(len(values))
    return tuple(
        ranked[rows, np.minimum((heights < level).sum(axis=1), values.shape[1] - 1)]
        for level in levels
    )
