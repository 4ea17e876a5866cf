"""The posterior of many Weibull lives at once: a grid for each supply, tied in a tree of priors.

Each supply has a median life and a shape. What its own layers say about the two is evaluated
exactly, on a grid laid around where the answer lies. What the supplies of a class say about one
another, and the classes of a shop, passes along a tree (shop, class, supply) of normal
distributions on (log median relative to the label, log shape) by expectation propagation
(Minka 2001): each supply is judged under what all the others suggest, and the normal
distribution nearest to the outcome is what it tells the others in turn. How far supplies stray
from their class, and classes from their shop, is learnt on the way (empirical Bayes).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import log

import numpy as np
from numpy.typing import NDArray

from app.calculations.layers.habits import Habits
from app.calculations.layers.life_evidence import Evidence, log_likelihood

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# The priors, as spreads of the natural logarithm of (median life, shape); judgement, no source.
# A shop, a class in the shop and a supply in the class each stray from the label by about a
# fifth to a quarter, which together is a third.
SHOP_CENTER = np.array([0.0, log(3.4)])
SHOP_SPREAD = np.array([0.20, 0.18])
CLASS_SPREAD = np.array([0.25, 0.18])
SUPPLY_SHAPE_SPREAD = 0.12
# The spreads above weigh like this many classes or supplies when spreads are learnt.
SPREAD_WEIGHT = 4.0

GRID = (17, 13)  # points along log median and log shape
_REACH = 4.2  # standard deviations to either side
_ZOOMS = 5
_ROUNDS = 4  # of messages along the tree for each grid


@dataclass(frozen=True, slots=True)
class Posterior:
    """Weighted points for each supply: (S, G) arrays; weights of each row sum to one.

    `median` is the log of the median life in days at exposure factor 1, `shape` the log shape.
    `evidence` is the log marginal likelihood, up to a constant.
    """

    median: Floats
    shape: Floats
    weight: Floats
    evidence: float


@dataclass(slots=True)
class _Tree:
    """The tree of normal priors, in natural parameters; nothing was said yet."""

    classes: Ints  # class of each supply (S,)
    within: Floats  # variances of a supply in its class (S, 2)
    across: Floats  # variances of a class in the shop (2,)
    precision: Floats = field(init=False)  # what each supply's own layers say (S, 2, 2)
    pull: Floats = field(init=False)  # precision times mean (S, 2)
    stretch: Floats = field(init=False)  # learnt factors on both variances (2, 2)

    def __post_init__(self) -> None:
        supplies = len(self.classes)
        self.precision = np.zeros((supplies, 2, 2))
        self.pull = np.zeros((supplies, 2))
        self.stretch = np.ones((2, 2))

    def priors(self) -> tuple[Floats, Floats]:
        """Mean (S, 2) and covariance (S, 2, 2) of each supply from all the others.

        Learns the stretch of the spreads from what was said so far.
        """
        within = (self.within * self.stretch[0])[:, :, None] * np.eye(2)
        across: Floats = np.eye(2) * (self.across * self.stretch[1])
        count = int(self.classes.max()) + 1
        up_precision, up_pull = _widened(self.precision, self.pull, within)
        class_precision = np.zeros((count, 2, 2))
        class_pull = np.zeros((count, 2))
        np.add.at(class_precision, self.classes, up_precision)
        np.add.at(class_pull, self.classes, up_pull)
        shop_precision, shop_pull = _widened(class_precision, class_pull, across)
        prior = np.diag(1.0 / SHOP_SPREAD**2)
        rest_precision = prior + shop_precision.sum(axis=0) - shop_precision
        rest_pull = prior @ SHOP_CENTER + shop_pull.sum(axis=0) - shop_pull
        down_precision, down_pull = _widened(rest_precision, rest_pull, across)
        precision = (down_precision + class_precision)[self.classes] - up_precision
        pull = (down_pull + class_pull)[self.classes] - up_pull
        covariance = np.asarray(np.linalg.inv(precision), dtype=float)
        mean = np.einsum("sij,sj->si", covariance, pull)
        of_supplies = _strayed(self.precision, self.pull, mean, covariance, within)
        rest_covariance = np.asarray(np.linalg.inv(rest_precision), dtype=float)
        rest_mean = np.einsum("cij,cj->ci", rest_covariance, rest_pull)
        of_classes = _strayed(
            class_precision,
            class_pull,
            rest_mean,
            rest_covariance,
            np.tile(across, (count, 1, 1)),
        )
        self.stretch = np.stack(
            [
                _stretch(of_supplies / self.within),
                _stretch(of_classes / self.across),
            ]
        )
        return mean, covariance + within


def _widened(precision: Floats, pull: Floats, covariance: Floats) -> tuple[Floats, Floats]:
    """A normal message after adding `covariance`; a message that says nothing stays one."""
    inner = np.linalg.inv(np.eye(2) + precision @ covariance)
    return inner @ precision, np.einsum("sij,sj->si", inner, pull)


def _strayed(
    precision: Floats, pull: Floats, mean: Floats, covariance: Floats, spread: Floats
) -> Floats:
    """Mean squares (n, 2) of how far each strays from its parent.

    A child = its parent (`mean`, `covariance`, as all others say) + a stray of variance
    `spread`; of their sum `precision` and `pull` were said. The posterior of the stray follows.
    """
    inner = np.linalg.inv(np.eye(2) + precision @ covariance)
    said_precision = inner @ precision
    said_pull = np.einsum("sij,sj->si", inner, pull - np.einsum("sij,sj->si", precision, mean))
    posterior = np.linalg.inv(np.linalg.inv(spread) + said_precision)
    middle = np.einsum("sij,sj->si", posterior, said_pull)
    return np.asarray(middle**2 + np.diagonal(posterior, axis1=1, axis2=2))


def _stretch(ratios: Floats) -> Floats:
    """The factor (2,) on a variance, from mean squares over it (n, 2) and the prior's weight."""
    return np.asarray((ratios.sum(axis=0) + SPREAD_WEIGHT) / (len(ratios) + SPREAD_WEIGHT))


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


def infer(
    evidence: Evidence,
    classes: Ints,
    label: Floats,
    label_spread: Floats,
    habits: Habits,
) -> Posterior:
    """The posterior of every supply.

    `classes` (S,) numbers the class of each supply, `label` (S,) is the log of the label's
    middle in days at factor 1, `label_spread` (S,) how far a supply of that label strays from
    its class, as a logarithm; `habits` what the shop's judgements mean.
    """
    supplies = len(label)
    seen = evidence.at_factor_one(habits.strength)
    rows = [seen.of(supply) for supply in range(supplies)]
    shapes = np.full(supplies, SUPPLY_SHAPE_SPREAD**2)
    tree = _Tree(classes, np.stack([label_spread**2, shapes], axis=1), CLASS_SPREAD**2)
    prior_mean, prior_covariance = tree.priors()
    center = prior_mean.copy()
    width = np.sqrt(np.diagonal(prior_covariance, axis1=1, axis2=2))
    steps = [np.linspace(-_REACH, _REACH, size) for size in GRID]
    for zoom in range(_ZOOMS):
        across, along = (center[:, i, None] + width[:, i, None] * steps[i] for i in (0, 1))
        likelihood = np.stack(
            [
                log_likelihood(
                    across[s] + label[s], along[s], rows[s], float(label[s]), habits
                ).ravel()
                for s in range(supplies)
            ]
        )
        x = np.repeat(across, GRID[1], axis=1)
        y = np.tile(along, (1, GRID[0]))
        for _ in range(_ROUNDS):
            weight, _evidence = _tilted(x, y, likelihood, prior_mean, prior_covariance)
            mean, covariance = _moments(x, y, weight)
            step = width * (2 * _REACH / (np.array(GRID) - 1))
            covariance[:, [0, 1], [0, 1]] += step**2 / 12  # what a grid cannot see
            tree.precision, tree.pull = _site(mean, covariance, prior_mean, prior_covariance)
            prior_mean, prior_covariance = tree.priors()
        new = np.sqrt(np.diagonal(covariance, axis1=1, axis2=2))
        still = np.abs(mean - center) < 0.7 * width
        if zoom and np.all(np.abs(new / width - 1) < 0.5) and np.all(still):
            break
        center, width = mean, np.maximum(new, step * 0.5)
    weight, evidences = _tilted(x, y, likelihood, prior_mean, prior_covariance)
    return Posterior(x + label[:, None], y, weight, float(evidences.sum()))
