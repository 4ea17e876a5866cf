"""The posterior of many Weibull lives at once: a grid for each supply, tied in a tree of priors.

Each supply has a median life and a shape. What its own layers say about the two is evaluated
exactly, on a grid laid around where the answer lies. What the supplies of a class say about one
another, and the classes of a shop, passes along a tree (shop, class, supply) of normal
distributions on (log median relative to the label, log shape) by expectation propagation
(Minka 2001): each supply is judged under what all the others suggest, and the normal
distribution nearest to the outcome is what it tells the others in turn. The rate of wrong
judgements is learnt on the way: the one that makes all that was seen likeliest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from app.calculations.layers.habits import WRONG, WRONG_SPREAD, Habits
from app.calculations.layers.life_changes import Changes
from app.calculations.layers.life_evidence import Evidence, KeptSights
from app.calculations.layers.life_memory import Memory, snapped
from app.calculations.layers.life_prior import CLASS_SPREAD, SUPPLY_SHAPE_SPREAD, Tree

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

GRID = (17, 13)  # points along log median and log shape
_REACH = 4.2  # standard deviations to either side
_ZOOMS = 7
_ROUNDS = 4  # of messages along the tree for each grid


@dataclass(frozen=True, slots=True)
class Posterior:
    """Weighted points for each supply: (S, G) arrays; weights of each row sum to one.

    `median` is the log of the median life in days at the label's exposure, `shape` the log shape.
    `evidence` is the log marginal likelihood, up to a constant, `wrong` the rate of wrong
    judgements under which all this holds.
    """

    median: Floats
    shape: Floats
    weight: Floats
    evidence: float
    wrong: float

    def of(self, supply: int) -> tuple[Floats, Floats, Floats]:
        """Log medians, log shapes and weights (G,) of one supply."""
        return self.median[supply], self.shape[supply], self.weight[supply]


def _moments(x: Floats, y: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """Means (S, 2) and covariances (S, 2, 2) of weighted points (S, G)."""
    mean = np.stack([(weight * x).sum(axis=1), (weight * y).sum(axis=1)], axis=1)
    dx, dy = x - mean[:, :1], y - mean[:, 1:]
    cross = (weight * dx * dy).sum(axis=1)
    covariance = np.empty((len(x), 2, 2))
    covariance[:, 0, 0] = (weight * dx * dx).sum(axis=1)
    covariance[:, 1, 1] = (weight * dy * dy).sum(axis=1)
    covariance[:, 0, 1] = covariance[:, 1, 0] = cross
    return mean, covariance


def _tilted(
    x: Floats, y: Floats, likelihood: Floats, mean: Floats, covariance: Floats
) -> tuple[Floats, Floats]:
    """Weights (S, G) under a normal prior, and the log of each supply's evidence (S,)."""
    precision = np.linalg.inv(covariance)
    dx, dy = x - mean[:, :1], y - mean[:, 1:]
    distance = (
        precision[:, 0, 0, None] * dx * dx
        + 2 * precision[:, 0, 1, None] * dx * dy
        + precision[:, 1, 1, None] * dy * dy
    )
    density = likelihood - distance / 2 + np.linalg.slogdet(precision)[1][:, None] / 2
    top = density.max(axis=1, keepdims=True)
    weight = np.exp(density - top)
    total = weight.sum(axis=1, keepdims=True)
    cell = np.log((x[:, -1] - x[:, 0]) * (y[:, -1] - y[:, 0]))
    return weight / total, (top + np.log(total))[:, 0] + cell


def _site(
    mean: Floats, covariance: Floats, prior_mean: Floats, prior_covariance: Floats
) -> tuple[Floats, Floats]:
    """What the layers added to the prior, as a normal message that never takes away."""
    after, before = np.linalg.inv(covariance), np.linalg.inv(prior_covariance)
    values, vectors = np.linalg.eigh(after - before)
    values = np.maximum(values, 0.0)
    precision = np.einsum("sij,sj,skj->sik", vectors, values, vectors)
    # The pull is chosen so that prior and message together have the mean that was found.
    together = precision + before
    pull = np.einsum("sij,sj->si", together, mean) - np.einsum("sij,sj->si", before, prior_mean)
    return precision, pull


# Grids and rates are rounded to these steps, so that what a supply's layers say of them is asked
# again (`life_memory`): parts of a grid's width, and of the logarithm of a width and of the rate.
_SHIFT, _STRETCH, _RATE = 0.25, 0.15, 0.25
_WRONG_STEP = 0.5  # of the logarithm: rates looked at beside the present one
_LOWEST_WRONG, _HIGHEST_WRONG = 0.001, 0.3


def _likelier_wrong(logs: Sequence[float], wrong: float) -> float:
    """The rate of wrong judgements at the top of a parabola through three log evidences.

    `logs` at a step below `wrong`, at it and a step above; the prior's is added here.
    """
    places = log(wrong / WRONG) + _WRONG_STEP * np.array([-1.0, 0.0, 1.0])
    low, mid, high = np.asarray(logs) - (places / WRONG_SPREAD) ** 2 / 2
    bend = low - 2 * mid + high
    uphill = 1.5 if high > low else -1.5
    move = np.clip((low - high) / (2 * bend), -1.5, 1.5) if bend < 0 else uphill
    moved = wrong * exp(float(move) * _WRONG_STEP)
    return min(max(moved, _LOWEST_WRONG), _HIGHEST_WRONG)


def _rounded(center: Floats, width: Floats) -> tuple[Floats, Floats]:
    """Grids near these, none narrower, that stay the same when what is known hardly moves."""
    wide = np.exp(_STRETCH * np.ceil(np.log(width) / _STRETCH - 1e-9))
    step = _SHIFT * wide
    return np.rint(center / step) * step, wide


def infer(
    evidence: Evidence,
    classes: Ints,
    label: Floats,
    label_spread: Floats,
    habits: Habits,
    changes: Sequence[Changes],
    *,
    learn_wrong: bool = False,
    near: Posterior | None = None,
    loose: float = 1.0,
    memory: Memory | None = None,
) -> Posterior:
    """The posterior of every supply.

    `classes` (S,) numbers the class of each supply, `label` (S,) is the log of the label's
    middle in days at its exposure, `label_spread` (S,) how far a supply of that label strays
    from its class, as a logarithm; `habits` what the shop's judgements mean, `changes` when each
    supply may have changed. `learn_wrong` moves the rate of wrong judgements to the likeliest;
    `near` is a posterior close to the one asked for, which saves time; the first grid is `loose`
    times as wide as it. `memory` holds what was found of the same layers before.
    """
    memory = memory or Memory()
    supplies = len(label)
    seen = evidence.at_label(habits.strength)
    rows = [seen.of(supply) for supply in range(supplies)]
    marks = [one.mark for one in rows]
    shapes = np.full(supplies, SUPPLY_SHAPE_SPREAD**2)
    tree = Tree(classes, np.stack([label_spread**2, shapes], axis=1), CLASS_SPREAD**2)
    prior_mean, prior_covariance = tree.priors()
    center = prior_mean.copy()
    width = np.sqrt(np.diagonal(prior_covariance, axis1=1, axis2=2))
    if near is not None:
        mean, covariance = _moments(near.median - label[:, None], near.shape, near.weight)
        center, width = mean, loose * np.sqrt(np.diagonal(covariance, axis1=1, axis2=2))
    steps = [np.linspace(-_REACH, _REACH, size) for size in GRID]
    wrong, settled = habits.wrong, not learn_wrong
    for zoom in range(_ZOOMS):
        started = zoom > 0 or near is not None
        center, width = _rounded(center, width)
        across, along = (center[:, i, None] + width[:, i, None] * steps[i] for i in (0, 1))
        sights = [
            KeptSights(
                memory,
                marks[s],
                across[s] + label[s],
                along[s],
                rows[s],
                float(label[s]),
                habits.fading,
            )
            for s in range(supplies)
        ]
        worth = [
            change.laid_over(across[s] + label[s], along[s]) for s, change in enumerate(changes)
        ]

        def likelihoods(rate: float) -> Floats:
            each = zip(sights, changes, worth, strict=True)  # noqa: B023
            return np.stack(
                [
                    change.likelihood(sight.sums(change.inside, rate), worth).ravel()
                    for sight, change, worth in each
                ]
            )

        likelihood = likelihoods(wrong)
        x = np.repeat(across, GRID[1], axis=1)
        y = np.tile(along, (1, GRID[0]))
        for _ in range(_ROUNDS):
            weight, _evidence = _tilted(x, y, likelihood, prior_mean, prior_covariance)
            mean, covariance = _moments(x, y, weight)
            step = width * (2 * _REACH / (np.array(GRID) - 1))
            covariance[:, [0, 1], [0, 1]] += step**2 / 12  # what a grid cannot see
            tree.precision, tree.pull = _site(mean, covariance, prior_mean, prior_covariance)
            prior_mean, prior_covariance = tree.priors()
        if not settled:
            lower, upper = (likelihoods(wrong * exp(step)) for step in (-_WRONG_STEP, _WRONG_STEP))
            beside = [
                _tilted(x, y, logs, prior_mean, prior_covariance)[1].sum()
                for logs in (lower, likelihood, upper)
            ]
            likelier = _likelier_wrong(beside, wrong)
            settled = started and abs(log(likelier / wrong)) < _WRONG_STEP / 5
            wrong = exp(snapped(log(likelier), _RATE))
            wrong = min(max(wrong, _LOWEST_WRONG), _HIGHEST_WRONG)
        new = np.sqrt(np.diagonal(covariance, axis1=1, axis2=2))
        still = np.abs(mean - center) < 0.7 * width
        if started and settled and np.all(np.abs(new / width - 1) < 0.5) and np.all(still):
            break
        center, width = mean, np.maximum(new, step * 0.5)
    weight, evidences = _tilted(x, y, likelihood, prior_mean, prior_covariance)
    return Posterior(x + label[:, None], y, weight, float(evidences.sum()), wrong)
