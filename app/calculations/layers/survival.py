"""The plain survival curve: what was seen and nothing else, nothing assumed about the shop."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.errors import Mendable

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SurvivalTable:
    """A product-limit curve: one row for each time at which something wore out."""

    times: Floats
    survival: Floats

    def median(self) -> float:
        """The first time at which survival is a half or less; infinite when it never is."""
        below = np.flatnonzero(self.survival <= 0.5 + 1e-12)
        return float(self.times[below[0]]) if below.size else inf


def kaplan_meier(times: ArrayLike, worn: ArrayLike) -> SurvivalTable:
    """The product-limit estimate (Kaplan and Meier 1958).

    `times` (n,) in any unit, `worn` (n,) true where the layer was worn out at that time, false
    where it was last seen holding. A layer that leaves at a time counts as at risk there.
    Raises `Mendable` for unequal lengths or times that are not numbers of zero or more.
    """
    when = np.atleast_1d(np.asarray(times, dtype=float))
    gone = np.atleast_1d(np.asarray(worn, dtype=bool))
    if when.shape != gone.shape or when.ndim != 1:
        raise Mendable("A survival curve needs one outcome for each time; check the two lists.")
    if not np.all(np.isfinite(when)) or np.any(when < 0):
        raise Mendable("A survival curve needs times of zero or more; check the list.")
    steps, deaths = np.unique(when[gone], return_counts=True)
    at_risk = when.size - np.searchsorted(np.sort(when), steps, side="left")
    return SurvivalTable(steps, np.cumprod(1.0 - deaths / at_risk).astype(np.float64))
