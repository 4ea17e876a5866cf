"""Lives: how long each supply lasts in this shop, learnt from what was seen of its layers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import inf

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.calculations.layers import Verdict

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Label:
    """What a supply's label (or its class) says: a range of days, and for what exposure.

    `at_factor` is the exposure factor for which the middle of the range is meant; 1.0 where
    observations are given relative to it.
    """

    supply: int
    protection_class: str
    low_days: float
    high_days: float
    at_factor: float = 1.0


@dataclass(frozen=True, slots=True)
class Observation:
    """What is known of one layer's wear-out: after `low_days`, by `high_days` (inf: not yet).

    `exposure` is the factor on life of its vehicle; `day` when the last of it was seen.
    """

    supply: int
    low_days: float
    high_days: float = inf
    exposure: float = 1.0
    fading: bool = False
    day: date | None = None


@dataclass(frozen=True, slots=True)
class LifeSummary:
    """One supply's life in this shop, in days at exposure factor 1."""

    supply: int
    median_days: float
    low_days: float  # 80 % band of the median
    high_days: float
    shape: float
    layers: int  # seen again at least once
    gone: int
    label: Label
    sentence: str


@dataclass(frozen=True, slots=True)
class Curve:
    """Survival at `ages_days` with its 80 % band, for drawing."""

    ages_days: Floats
    survival: Floats
    low: Floats
    high: Floats


def observe(
    supply: int,
    seen: Sequence[tuple[float, Verdict]],
    exposure: float = 1.0,
    day: date | None = None,
) -> Observation | None:
    """What a layer's judgements, (age in days, verdict) each, say of its wear-out.

    None when they say nothing (never seen again). A layer seen gone and later holding was dirty,
    not gone: the later verdict stands.
    """
    raise NotImplementedError


class Lives:
    """What was learnt. All ages are days since application; arrays broadcast."""

    def survival(
        self,
        supply: int,
        age_days: ArrayLike,
        exposure: ArrayLike = 1.0,
        last_seen_days: ArrayLike = 0.0,
    ) -> Floats:
        """Chance that a layer still protects at `age_days`, given it did at `last_seen_days`."""
        raise NotImplementedError

    def curve(self, supply: int, exposure: float = 1.0, last_seen_days: float = 0.0) -> Curve:
        """The survival curve with its 80 % band."""
        raise NotImplementedError

    def summary(self, supply: int) -> LifeSummary:
        """The supply's life in figures and one sentence."""
        raise NotImplementedError

    def due(
        self,
        supplies: ArrayLike,
        exposure: ArrayLike,
        last_seen_days: ArrayLike,
        fading: ArrayLike = False,
    ) -> tuple[Floats, Floats, Floats]:
        """Ages at which survival has fallen to 80 %, to 50 %, and at which to write."""
        raise NotImplementedError


def fit(observations: Sequence[Observation], labels: Sequence[Label]) -> Lives:
    """Learn the lives. Raises `Mendable` for a label or observation that cannot be."""
    raise NotImplementedError


def differs_since(
    observations: Sequence[Observation], labels: Sequence[Label], supply: int
) -> date | None:
    """The day since which this shop's 80 % band of the median lies outside the label's range."""
    raise NotImplementedError
