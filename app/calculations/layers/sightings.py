"""Labels, and what was seen of layers: the two things that lives are learnt from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, inf, isfinite, log

import numpy as np

from app.calculations.layers.layers import Verdict
from app.calculations.layers.life_evidence import Evidence
from app.errors import Mendable

# Labels are written by optimists: their middle is taken for the age by which 63 % have worn out
# (the Weibull scale), which at usual shapes lies a tenth above the median. Judgement, no source.
OPTIMISM = 0.10

_SHORTEST = 0.5  # days within which an end can be known at best


@dataclass(frozen=True, slots=True)
class Label:
    """What a supply's label (or its class) says: a range of days, and for what exposure.

    `at_factor` is the exposure factor for which the middle of the range is meant: 1 when the
    observations' factors are relative to such a vehicle.
    """

    supply: int
    protection_class: str
    low_days: float
    high_days: float
    at_factor: float = 1.0

    @property
    def median_days(self) -> float:
        """The median life that the label promises, at exposure factor 1."""
        return (self.low_days + self.high_days) / 2 / self.at_factor * exp(-OPTIMISM)

    @property
    def spread(self) -> float:
        """How far one supply may stray from its class, as a logarithm: wide labels say less."""
        return min(max(log(self.high_days / self.low_days) / 4.0, 0.15), 0.35)


@dataclass(frozen=True, slots=True)
class Observation:
    """What is known of one layer's wear-out: after `low_days`, by `high_days` (inf: not yet).

    `held_days` is the age at which it was last seen holding and `faded_days` that at which it
    was first seen fading, where such words were used: 0 and inf say nothing. `exposure` is the
    factor on life of its vehicle; `day` when the last of it was seen.
    """

    supply: int
    low_days: float
    high_days: float = inf
    exposure: float = 1.0
    day: date | None = None
    held_days: float = 0.0
    faded_days: float = inf

    @property
    def gone(self) -> bool:
        """Whether it was seen gone."""
        return self.high_days < inf


def observe(
    supply: int,
    seen: Sequence[tuple[float, Verdict]],
    exposure: float = 1.0,
    day: date | None = None,
) -> Observation | None:
    """What a layer's judgements, (age in days, verdict) in any order, say of its wear-out.

    None when they say nothing (never seen again). A layer seen gone or fading and later holding
    was dirty: the later verdict stands. Of two verdicts on one day the later in the list stands.
    Raises `Mendable` for an age below zero.
    """
    low, high, held, faded = 0.0, inf, 0.0, inf
    for age, verdict in sorted(seen, key=lambda one: one[0]):
        if not isfinite(age) or age < 0:
            raise Mendable("A layer was judged before it was put on; correct one of the two days.")
        if verdict is Verdict.GONE:
            high = min(high, age)
        elif verdict is Verdict.FADING:
            low, high, faded = age, inf, min(faded, max(age, _SHORTEST))
        else:
            low, high, held, faded = age, inf, age, inf
    if low <= 0 and high == inf:
        return None
    if high < inf:
        high = max(high, low + _SHORTEST)
    return Observation(supply, low, high, exposure, day, held, faded)


def checked(labels: Sequence[Label]) -> dict[int, Label]:
    """The labels by supply. Raises `Mendable` for one that cannot be, or two for a supply."""
    known: dict[int, Label] = {}
    for label in labels:
        good = (label.low_days, label.high_days, label.at_factor)
        if not all(isfinite(one) and one > 0 for one in good) or label.low_days > label.high_days:
            raise Mendable(
                f"The life on the label of supply {label.supply} must be two numbers of days "
                "above zero, the shorter first."
            )
        if label.supply in known:
            raise Mendable(f"Supply {label.supply} has two labels; keep one.")
        known[label.supply] = label
    return known


def gather(seen: Sequence[Observation], order: Mapping[int, int]) -> Evidence:
    """The observations as columns, sorted by the place their supply has in `order`.

    Raises `Mendable` for an observation that cannot be.
    """
    row = np.array([order[one.supply] for one in seen], dtype=np.int64)
    columns = np.array(
        [
            (one.low_days, one.high_days, one.held_days, one.faded_days, one.exposure)
            for one in seen
        ],
        dtype=float,
    ).reshape(-1, 5)
    low, high, held, faded, exposure = columns.T
    bad = ~(low >= 0) | ~(high > low) | np.isinf(low) | ~(held <= low) | ~(faded > 0)
    bad |= ~(exposure > 0) | np.isinf(exposure)
    if bad.any():
        one = seen[int(np.flatnonzero(bad)[0])]
        raise Mendable(
            f"A layer of supply {one.supply} was seen at ages that cannot be ({one.low_days:g} "
            f"and {one.high_days:g} days, exposure {one.exposure:g}); correct its days."
        )
    # How often a layer seen standing was called what this one was called.
    told = (held > 0) | np.isfinite(faded)
    often = float(np.isfinite(faded[told]).mean()) if told.any() else 0.0
    said = np.where(np.isfinite(faded), often, 1.0 - often)
    sort = np.argsort(row, kind="stable")
    first = np.searchsorted(row[sort], np.arange(len(order) + 1)).astype(np.int64)
    with np.errstate(divide="ignore"):
        low, high, held, faded, exposure = np.log(columns[sort]).T
    return Evidence(first, low, high, held, faded, exposure, said[sort])
