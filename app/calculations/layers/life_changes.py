"""Supplies change: a maker reformulates, a shop works otherwise, and then what was seen long ago
says little of the layers put on today.

Each supply may have changed once, at one of a few times before its newest layer. Under a change,
the layers put on before it have a life of their own and teach nothing of the present one. Each
time is weighed by how likely it makes what was seen (Bayesian change point: Smith, Biometrika 62,
1975, 407-416); where nothing changed the weights say so, and every layer counts.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log

import numpy as np
from numpy.polynomial.legendre import leggauss
from numpy.typing import NDArray

from app.calculations.layers.habits import Habits
from app.calculations.layers.life_evidence import Evidence, KeptSights
from app.calculations.layers.life_memory import Memory
from app.calculations.layers.life_prior import (
    CLASS_SPREAD,
    SHOP_CENTER,
    SHOP_SPREAD,
    SUPPLY_SHAPE_SPREAD,
)

Floats = NDArray[np.float64]

# Supplies that change in a year, of all. Judgement, no source: at three times of it one small
# supply in forty that never changed is taken for changed; what truly changed is found at either.
CHANGES_A_YEAR = 0.02
# Days before a supply's newest layer at which it may have changed: months for two years, since the
# layers of the month in which it did are on the wrong side; then quarters and years. Our choice.
_BACK_DAYS = (*range(30, 750, 30), *range(810, 1110, 90), 1460, 1826)

# How far a life moves when it changes, as a logarithm of (median, shape). Judgement, no source; at
# twice of it and beyond the hits of changed supplies moved by 0.01 at most.
CHANGE_SPREAD = (0.60, 0.20)

# The shares of a shop's supplies that may change at one time (Gauss and Legendre).
_SHARES, _WEIGHTS = leggauss(24) * np.array([[0.5], [0.5]]) + np.array([[0.5], [0.0]])
_REACH = 3.5  # standard deviations to either side of the label
_LEAST = 0.01  # of the likeliest time of change; what is less likely is left out
_GRID = (49, 7)  # points along log median and log shape


@dataclass(frozen=True, slots=True)
class Changes:
    """Which layers (n,) of a supply were put on in which of B spans of time, oldest first.

    `worth` (X, Y, B) is the log weight of a change at the beginning of each span, that of the
    first of no change at all, for a present life of log `medians` (X,) and log `shapes` (Y,).
    """

    inside: Floats  # (n, B), 1 where a layer was put on in a span
    worth: Floats
    medians: Floats
    shapes: Floats

    def laid_over(self, medians: Floats, shapes: Floats) -> Floats:
        """The log weights (J, L, B) for present lives of these log medians and log shapes."""
        if self.worth.shape[2] == 1:
            return np.zeros((len(medians), len(shapes), 1))
        across = np.tensordot(_between(medians, self.medians), self.worth, axes=1)
        return np.asarray(_between(shapes, self.shapes) @ across)

    def likelihood(self, sums: Floats, worth: Floats) -> Floats:
        """Log likelihood (J, L) of present lives, from that of each span's layers (J, L, B)."""
        if worth.shape[2] == 1:
            return np.asarray(sums[:, :, 0])
        since = np.cumsum(sums[:, :, ::-1], axis=2)[:, :, ::-1]
        return _log_sum(since + worth)


def find_changes(
    seen: Evidence,
    label: Floats,
    label_spread: Floats,
    habits: Habits,
    memory: Memory | None = None,
) -> list[Changes]:
    """What each supply's judgements say of when it changed; arguments as `infer` has them."""
    memory = memory or Memory()
    at_label = seen.at_label(habits.strength)
    reach = _REACH * np.sqrt(
        np.stack([np.square(label_spread), np.full(len(label), SUPPLY_SHAPE_SPREAD**2)], axis=1)
        + SHOP_SPREAD**2
        + CLASS_SPREAD**2
    )
    edges, chances = _times(seen.applied)
    weighed = [
        _weighed(at_label.of(supply), middle, reach[supply], edges, habits, memory)
        for supply, middle in enumerate(label.tolist())
    ]
    if not edges.size:
        return [changes for changes, _ in weighed]
    shared = _shared(np.stack([likely for _, likely in weighed]), chances)
    return [
        _kept(changes, likely, np.log(each))
        for (changes, likely), each in zip(weighed, shared, strict=True)
    ]


def _shared(likely: Floats, chances: Floats) -> Floats:
    """The chance of a change at each time for each supply (S, B), as the other supplies have it.

    `likely` (S, B) is the log likelihood of each time. Half of the changes come alone, half where
    at one time any share of the supplies changes, all shares alike likely: a shop that works
    otherwise, or a maker of many supplies, changes several at once. Exact, by Bayes.
    """
    alone = np.concatenate([[(1.0 + chances[0]) / 2], chances[1:] / 2])
    single = _log_sum(likely + np.log(alone))
    # Where a share of the supplies changed at a time: (S, B - 1, shares).
    joined = np.logaddexp(
        np.log1p(-_SHARES) + single[:, None, None], np.log(_SHARES) + likely[:, 1:, None]
    )
    others = joined.sum(axis=0) - joined + np.log(_WEIGHTS)
    events = np.concatenate([(single.sum() - single)[:, None], _log_sum(others)], axis=1)
    events += np.log(chances)
    blame = np.exp(events - _log_sum(events)[:, None])[:, 1:]
    share = np.exp(others - _log_sum(others)[..., None]) @ _SHARES
    common = blame * share
    each = alone * (1.0 - common.sum(axis=1, keepdims=True))
    each[:, 1:] += common
    return np.asarray(each)


def _weighed(
    rows: Evidence, label: float, reach: Floats, edges: Floats, habits: Habits, memory: Memory
) -> tuple[Changes, Floats]:
    """Of one supply, each time (B,) alike likely at first, and the log likelihood of each.

    `reach` (2,) is how far its log median and log shape may be off.
    """
    mark = rows.mark
    key = (mark, label, reach.tobytes(), edges.tobytes(), habits.fading.mark, habits.wrong)
    return memory.of(key, lambda: _weighed_anew(rows, mark, label, reach, edges, habits, memory))


def _weighed_anew(
    rows: Evidence,
    mark: bytes,
    label: float,
    reach: Floats,
    edges: Floats,
    habits: Habits,
    memory: Memory,
) -> tuple[Changes, Floats]:
    # What is not dated is taken for old.
    at = np.searchsorted(edges, np.nan_to_num(rows.applied, nan=-np.inf), side="right")
    inside = (at[:, None] == np.arange(len(edges) + 1)).astype(float)
    center = SHOP_CENTER + np.array([label, 0.0])
    medians, shapes = (
        np.linspace(middle - far, middle + far, points)
        for middle, far, points in zip(center, reach, _GRID, strict=True)
    )
    worth = np.zeros((*_GRID, len(edges) + 1))
    if not edges.size or not rows.low.size:
        return Changes(inside, worth, medians, shapes), np.zeros(len(edges) + 1)
    sights = KeptSights(Memory(), mark, medians, shapes, rows, label, habits.fading)
    logs = sights.sums(inside, habits.wrong)
    whole = np.cumsum(logs, axis=2)
    older = whole[:, :, :-1]
    top = older.max(axis=(0, 1))
    far = [
        _near(axis, spread) for axis, spread in zip((medians, shapes), CHANGE_SPREAD, strict=True)
    ]
    mean = far[1] @ np.tensordot(far[0], np.exp(older - top), axes=1)
    worth[:, :, 1:] += np.log(np.maximum(mean, 1e-300)) + top
    since = whole[:, :, -1:] - np.concatenate([np.zeros((*_GRID, 1)), older], axis=2)
    x, y = (np.linspace(-_REACH, _REACH, points) for points in _GRID)
    prior = -(x[:, None] ** 2 + y[None, :] ** 2) / 2
    likely = _log_sum((worth + since + prior[:, :, None]).reshape(-1, len(edges) + 1).T)
    return Changes(inside, worth, medians, shapes), likely


def _kept(changes: Changes, likely: Floats, chances: Floats) -> Changes:
    """The changes with the log chance of each time, without those that cannot have been."""
    likely = likely + chances
    kept = np.union1d([0], np.flatnonzero(likely > likely.max() + log(_LEAST)))
    return replace(
        changes,
        inside=np.add.reduceat(changes.inside, kept, axis=1),
        worth=(changes.worth + chances)[:, :, kept],
    )


def _near(axis: Floats, spread: float) -> Floats:
    """How likely each of the points (U, U) was before a change, for each that is now."""
    weight = np.exp(-(((axis[:, None] - axis[None, :]) / spread) ** 2) / 2)
    return np.asarray(weight / weight.sum(axis=1, keepdims=True))


def _between(points: Floats, axis: Floats) -> Floats:
    """Weights (J, X) that read values at `axis` (X,) at `points` (J,), by straight lines."""
    place = np.clip((points - axis[0]) / (axis[1] - axis[0]), 0.0, len(axis) - 1.0)
    return np.asarray(np.maximum(1.0 - np.abs(place[:, None] - np.arange(len(axis))), 0.0))


def _times(applied: Floats) -> tuple[Floats, Floats]:
    """The days on which supplies may have changed, and the chance of none and of each."""
    dated = applied[np.isfinite(applied)]
    edges = np.zeros(0)
    if dated.size:
        edges = dated.max() - np.array(_BACK_DAYS, dtype=float)[::-1]
        edges = edges[edges > dated.min()]
    chance = CHANGES_A_YEAR * np.diff([*edges, dated.max() if dated.size else 0.0]) / 365.25
    return edges, np.concatenate([[1.0 - chance.sum()], chance])


def _log_sum(logs: Floats) -> Floats:
    """log of the sum of exp along the last axis."""
    top = logs.max(axis=-1, keepdims=True)
    return np.asarray((top + np.log(np.exp(logs - top).sum(axis=-1, keepdims=True)))[..., 0])
