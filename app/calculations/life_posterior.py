"""The posterior of many Weibull lives at once: a grid for each supply, tied in a tree of priors.

Each supply has a median life and a shape. What its own layers say about the two is evaluated
exactly, on a grid laid around where the answer lies. What the supplies of a class say about one
another, and the classes of a shop, passes along a tree (shop, class, supply) of normal
distributions on (log median relative to the label, log shape) by expectation propagation
(Minka 2001): each supply is judged under what all the others suggest, and the normal
distribution nearest to the outcome is what it tells the others in turn.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LOG2 = log(2.0)

# The priors, as spreads of the natural logarithm; judgement, no source. A shop, a class in the
# shop and a supply in the class each stray from the label by about a fifth to a quarter, which
# together is a third.
SHOP_CENTER = np.array([0.0, log(3.4)])
SHOP_SPREAD = np.array([0.20, 0.18])
CLASS_SPREAD = np.array([0.25, 0.18])
SUPPLY_SHAPE_SPREAD = 0.12

# One layer in fifty ends by something that is not wear (a strip wash elsewhere, a repaint, a slip
# of the pen): its end says nothing. Without this a few early ends pull a whole supply down.
STRAYS = 0.02

_GRID = (17, 13)  # points along log median and log shape
_REACH = 4.2  # standard deviations to either side
_LONGEST_POWER = 80.0


@dataclass(frozen=True, slots=True)
class Evidence:
    """What was seen, one row for each layer, sorted by supply.

    `first[s]` to `first[s + 1]` are the rows of supply s. `low` and `high` are natural
    logarithms of the ages in days after which and by which the layer wore out (-inf: age zero;
    +inf: not known to have). `exposure` is the logarithm of the factor on its life. `weight` is
    the trust in the upper end: 1 for a layer seen gone, less for one seen fading, 0 for none.
    """

    first: Ints
    low: Floats
    high: Floats
    exposure: Floats
    weight: Floats


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


def log_likelihood(
    medians: Floats,
    shapes: Floats,
    low: Floats,
    high: Floats,
    weight: Floats,
    stray: Floats,
) -> Floats:
    """Log likelihood of one supply's layers on a grid: (J,) log medians by (L,) log shapes.

    With cumulative hazard H(t) = log 2 (t / median) ** shape a layer has the chance
    exp(-H(low)) - weight exp(-H(high)); `stray` (n,) is the chance it has as a stray. Ages are
    logarithms at factor 1.
    """
    center = float(medians.mean())
    shape = np.exp(shapes)
    rate = LOG2 * np.exp(-shape * (medians[:, None] - center))[:, :, None]  # (J, L, 1)
    near = np.exp(-rate * _power(shape, low - center))
    ended = weight > 0
    if ended.any():
        near[:, :, ended] -= weight[ended] * np.exp(-rate * _power(shape, high[ended] - center))
    return np.log((1.0 - STRAYS) * near + STRAYS * stray).sum(axis=2)


def _stray(low: Floats, high: Floats, weight: Floats, label: Floats) -> Floats:
    """The chance (n,) of each layer's outcome if nothing but chance ended it: shape 1."""
    chance: Floats = np.exp(-LOG2 * np.exp(low - label))
    ended = weight > 0
    chance[ended] -= weight[ended] * np.exp(-LOG2 * np.exp(high[ended] - label[ended]))
    return np.maximum(chance, 1e-12)


def _power(shape: Floats, logs: Floats) -> Floats:
    """exp(shape * log), (L, n), held below overflow."""
    return np.exp(np.minimum(shape[:, None] * logs[None, :], _LONGEST_POWER))


@dataclass(slots=True)
class _Tree:
    """The tree of normal priors; arrays over supplies (S, 2[, 2]) in natural parameters."""

    classes: Ints  # class of each supply
    count: int
    spread: Floats  # (S, 2) variances of a supply within its class
    precision: Floats  # (S, 2, 2) what each supply's own layers say
    pull: Floats  # (S, 2) precision times mean

    def priors(self) -> tuple[Floats, Floats]:
        """Mean (S, 2) and covariance (S, 2, 2) of each supply from all the others."""
        eye = np.eye(2)
        within = self.spread[:, :, None] * eye
        up_precision, up_pull = _widened(self.precision, self.pull, within)
        class_precision = np.zeros((self.count, 2, 2))
        class_pull = np.zeros((self.count, 2))
        np.add.at(class_precision, self.classes, up_precision)
        np.add.at(class_pull, self.classes, up_pull)
        across = np.diag(CLASS_SPREAD**2)
        shop_precision, shop_pull = _widened(class_precision, class_pull, across)
        prior = np.diag(1.0 / SHOP_SPREAD**2)
        rest_precision = prior + shop_precision.sum(axis=0) - shop_precision
        rest_pull = prior @ SHOP_CENTER + shop_pull.sum(axis=0) - shop_pull
        down_precision, down_pull = _widened(rest_precision, rest_pull, across)
        precision = (down_precision + class_precision)[self.classes] - up_precision
        pull = (down_pull + class_pull)[self.classes] - up_pull
        covariance = np.linalg.inv(precision)
        mean = np.einsum("sij,sj->si", covariance, pull)
        return mean, covariance + within


def _widened(precision: Floats, pull: Floats, covariance: Floats) -> tuple[Floats, Floats]:
    """A normal message after adding `covariance`; a message that says nothing stays one."""
    inner = np.linalg.inv(np.eye(2) + precision @ covariance)
    return inner @ precision, np.einsum("sij,sj->si", inner, pull)


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
    return weight / total, (top + np.log(total))[:, 0]


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
    strength: float = 1.0,
) -> Posterior:
    """The posterior of every supply.

    `classes` (S,) numbers the class of each supply, `label` (S,) is the log of the label's
    middle in days at factor 1, `label_spread` (S,) its spread as a logarithm. `strength` is the
    power to which the exposure factors hold.
    """
    supplies = len(label)
    spread = np.stack([label_spread**2, np.full(supplies, SUPPLY_SHAPE_SPREAD**2)], axis=1)
    tree = _Tree(
        classes,
        int(classes.max()) + 1,
        spread,
        np.zeros((supplies, 2, 2)),
        np.zeros((supplies, 2)),
    )
    shift = strength * evidence.exposure
    low, high = evidence.low - shift, evidence.high - shift
    stray = _stray(low, high, evidence.weight, np.repeat(label, np.diff(evidence.first)))
    prior_mean, prior_covariance = tree.priors()
    center = prior_mean.copy()
    width = np.sqrt(np.diagonal(prior_covariance, axis1=1, axis2=2))
    steps = [np.linspace(-_REACH, _REACH, size) for size in _GRID]
    for zoom in range(4):
        axes = [center[:, i, None] + width[:, i, None] * steps[i] for i in (0, 1)]
        likelihood = np.stack(
            [
                log_likelihood(
                    axes[0][s] + label[s],
                    axes[1][s],
                    low[evidence.first[s] : evidence.first[s + 1]],
                    high[evidence.first[s] : evidence.first[s + 1]],
                    evidence.weight[evidence.first[s] : evidence.first[s + 1]],
                    stray[evidence.first[s] : evidence.first[s + 1]],
                ).ravel()
                for s in range(supplies)
            ]
        )
        x = np.repeat(axes[0], _GRID[1], axis=1)
        y = np.tile(axes[1], (1, _GRID[0]))
        for _ in range(4):
            weight, _evidence = _tilted(x, y, likelihood, prior_mean, prior_covariance)
            mean, covariance = _moments(x, y, weight)
            step = width * (2 * _REACH / (np.array(_GRID) - 1))
            covariance[:, [0, 1], [0, 1]] += step**2 / 12  # what a grid cannot see
            tree.precision, tree.pull = _site(mean, covariance, prior_mean, prior_covariance)
            prior_mean, prior_covariance = tree.priors()
        new = np.sqrt(np.diagonal(covariance, axis1=1, axis2=2))
        settled = np.all(np.abs(new / width - 1) < 0.5) and np.all(
            np.abs(mean - center) < 0.7 * width
        )
        if zoom and settled:
            break
        center, width = mean, np.maximum(new, step * 0.5)
    weight, evidences = _tilted(x, y, likelihood, prior_mean, prior_covariance)
    return Posterior(x + label[:, None], y, weight, float(evidences.sum()))
