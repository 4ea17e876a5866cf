"""One supply's life as weighted points: what the posterior holds possible, and how likely."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

from app.calculations.layers.habits import TRUST, Fading
from app.calculations.layers.life_evidence import LOG2

Floats = NDArray[np.float64]

_LONGEST_POWER = 6.7  # exp(6.7) log 2 = 563: as good as certain, and exp() of it still works
_KEPT = 1.0 - 5e-4  # of the weight; the rest of the points is not worth its time


@dataclass(frozen=True, slots=True)
class LifePoints:
    """Weighted points (G,) of a Weibull life: medians in days at the label's exposure, shapes,
    weights, and the power to which exposure factors hold (`strengths`, one for all or for each).

    A layer's survival at age t is 0.5 ** ((t / median) ** shape) at each point. `learnt` says
    that layers of this supply were seen again and the weights hold what they showed.
    """

    medians: Floats
    shapes: Floats
    weights: Floats
    learnt: bool
    strengths: Floats | float

    @classmethod
    def kept(
        cls,
        log_medians: Floats,
        log_shapes: Floats,
        weights: Floats,
        learnt: bool,
        strengths: Floats | float,
    ) -> LifePoints:
        """The points that carry nearly all of the weight; weights sum to one again."""
        order = np.argsort(weights)[::-1]
        count = int(np.searchsorted(np.cumsum(weights[order]), _KEPT * weights.sum())) + 1
        keep = np.sort(order[:count])
        kept = weights[keep] / weights[keep].sum()
        powers = np.broadcast_to(strengths, weights.shape)[keep]
        return cls(np.exp(log_medians[keep]), np.exp(log_shapes[keep]), kept, learnt, powers)

    @property
    def unit(self) -> float:
        """The middle of the medians, in days."""
        return float(np.exp((self.weights * np.log(self.medians)).sum()))

    def chances(
        self, ages: Floats, seen: Floats, fading: bool, habit: Fading
    ) -> tuple[Floats, Floats]:
        """Chance at each point to protect at `ages` (n,) given what was seen at `seen` (n,).

        Seen holding, or `fading`, under the shop's `habit`. With the weights of the points for
        that layer: two arrays (n, G), whose product summed along the points is the chance.
        """
        at_seen, at_age = self._hazard(seen), self._hazard(ages)
        total, whole = np.zeros_like(at_age), np.zeros_like(at_age)
        for low, high, weight in _ends(fading, habit):
            lowest = at_seen if low == 1.0 else self._hazard(seen * low)
            later = np.exp(at_seen - np.maximum(at_age, lowest))
            start = np.exp(at_seen - lowest)
            if high is not None:
                end = np.exp(at_seen - self._hazard(seen * high))
                later, start = np.maximum(later - end, 0.0), start - end
            total += weight * later
            whole += weight * start
        chance = np.clip(total / np.maximum(whole, 1e-300), 0.0, 1.0)
        return chance, self._weights(at_seen, whole)

    def table(self, ages: Floats, seen: Floats, fading: bool, habit: Fading) -> Floats:
        """The chance (T, A) for every pair of `ages` (T,) and `seen` (A,)."""
        at_age, at_seen = self._hazard(ages), self._hazard(seen)
        parts, whole = [], np.zeros_like(at_seen)
        for low, high, weight in _ends(fading, habit):
            lowest = self._hazard(seen * low)
            start = np.exp(at_seen - lowest)
            end = np.zeros_like(start)
            if high is not None:
                end = np.exp(at_seen - self._hazard(seen * high))
            whole += weight * (start - end)
            parts.append((low, high, weight, start, end))
        share = self._weights(at_seen, whole) / np.maximum(whole, 1e-300)
        falling = _product(np.exp(-at_age), (share * np.exp(at_seen)).T)
        chance = np.zeros((len(ages), len(seen)))
        for low, high, weight, start, end in parts:
            first = (share * (start - end)).sum(axis=1)
            later = falling - (share * end).sum(axis=1)
            inside = np.where(ages[:, None] <= seen * low, first, later)
            if high is not None:
                inside = np.where(ages[:, None] >= seen * high, 0.0, inside)
            chance += weight * np.maximum(inside, 0.0)
        return np.asarray(np.minimum.accumulate(np.clip(chance, 0.0, 1.0), axis=0))

    def _weights(self, at_seen: Floats, whole: Floats) -> Floats:
        """The weights (n, G) for layers of which this was seen.

        Weights that were learnt already hold what the layer showed and stay; those from labels
        alone move to the points under which it is likely.
        """
        if self.learnt:
            return np.broadcast_to(self.weights, at_seen.shape)
        logs = np.log(self.weights) - at_seen + np.log(np.maximum(whole, 1e-300))
        moved = np.exp(logs - logs.max(axis=1, keepdims=True))
        return np.asarray(moved / moved.sum(axis=1, keepdims=True))

    def median_band(self, exposure: float = 1.0, share: float = 0.8) -> tuple[float, float, float]:
        """Low, middle and high of the median life in days; `share` of the weight between.

        For a vehicle of so many times the exposure factor that the label is meant for.
        """
        levels = np.array([(1 - share) / 2, 0.5, (1 + share) / 2])
        at = np.log(self.medians) + log(exposure) * np.asarray(self.strengths)
        logs, place = np.unique(at, return_inverse=True)
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
        """Cumulative hazard (n, G), held below overflow; an age of zero has none."""
        logs = np.log(np.maximum(ages, 1e-9))
        power = self.shapes * (logs[:, None] - np.log(self.medians))
        return np.asarray(LOG2 * np.exp(np.minimum(power, _LONGEST_POWER)))


def _product(left: Floats, right: Floats) -> Floats:
    """left @ right, in pieces too small for the linear algebra library to start threads.

    Its threads wait for one another by spinning, which on a busy PC costs more than the sums.
    """
    return np.concatenate([left[row : row + 30] @ right for row in range(0, len(left), 30)])


def _ends(fading: bool, habit: Fading) -> list[tuple[float, float | None, float]]:
    """Spans in which a layer's end may lie, as multiples of the age it was seen at.

    (after, by, weight): with the trust the word has, a layer seen fading at age a ends by
    a / part and one seen holding after a / part; without it, only after a.
    """
    if not fading and not habit.trusted:
        return [(1.0, None, 1.0)]
    spans: list[tuple[float, float | None, float]] = [(1.0, None, 1.0 - TRUST)]
    for part, weight in zip(habit.parts.tolist(), habit.weights.tolist(), strict=True):
        span = (1.0, 1.0 / part) if fading else (1.0 / part, None)
        spans.append((*span, TRUST * weight))
    return spans


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
