"""What is believed of lives before anything was seen: a tree of shop, classes and supplies.

Each strays from the one above it by a normal distribution on (log median relative to the label,
log shape). How far supplies stray from their class, and classes from their shop, is learnt from
what was said of them (empirical Bayes).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import log

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# The priors, as spreads of the natural logarithm of (median life, shape); judgement, no source.
# A shop, a class in the shop and a supply in the class each stray from the label by about a
# fifth to a quarter, which together is a third.
SHOP_CENTER = np.array([0.0, log(3.4)])
SHOP_SPREAD = np.array([0.20, 0.18])
CLASS_SPREAD = np.array([0.25, 0.18])
SUPPLY_SHAPE_SPREAD = 0.12
# The spreads above weigh like this many classes or supplies when spreads are learnt; judgement, no
# source.
SPREAD_WEIGHT = 4.0


@dataclass(slots=True)
class Tree:
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
