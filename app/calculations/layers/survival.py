"""The plain survival curve: what was seen and nothing else, nothing assumed about the shop.

A layer that was seen holding at one visit and gone at the next wore out between the two, nobody
knows when. The curve of greatest likelihood for such intervals is Turnbull's (J. R. Statist. Soc.
B 38, 1976, 290-295); where every time is known exactly it is that of Kaplan and Meier.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.errors import Mendable

Floats = NDArray[np.float64]

_ROUNDS = 5000  # of self-consistency; a curve of a thousand layers settles in some hundreds
_SETTLED = 1e-7  # of all layers, moved in one round


@dataclass(frozen=True, slots=True)
class SurvivalTable:
    """Survival after each span (`starts`, `ends`] in which layers wore out, in order of time.

    Within a span the estimate is open; between spans it does not fall.
    """

    starts: Floats
    ends: Floats
    survival: Floats

    def median(self) -> float:
        """The time at which survival is a half, on a straight line through its span.

        Infinite when it never is.
        """
        below = np.flatnonzero(self.survival < 0.5 + 1e-9)
        if not below.size or self.ends[below[0]] == inf:
            return inf
        row = below[0]
        above = self.survival[row - 1] if row else 1.0
        part = (above - 0.5) / (above - self.survival[row])
        return float(self.starts[row] + part * (self.ends[row] - self.starts[row]))


def turnbull(low: ArrayLike, high: ArrayLike) -> SurvivalTable:
    """The curve of greatest likelihood for times known only to lie in (low, high].

    `low` and `high` (n,) in any unit: equal for a time known exactly, `high` infinite where it
    is only known to exceed `low`. Raises `Mendable` for unequal lengths or times that cannot be.
    """
    after = np.atleast_1d(np.asarray(low, dtype=float))
    by = np.atleast_1d(np.asarray(high, dtype=float))
    if after.shape != by.shape or after.ndim != 1:
        raise Mendable("A survival curve needs two times for each layer; check the two lists.")
    if not np.all(np.isfinite(after)) or np.any(after < 0) or not np.all(by >= after):
        raise Mendable("A survival curve needs times of zero or more, the earlier first.")
    if not after.size:
        return SurvivalTable(after, by, after)
    # A time known exactly begins just before itself, any other just after its low end.
    begins = np.where(after == by, 0, 2)
    times = np.concatenate([after, by])
    order = np.lexsort((np.concatenate([begins, np.ones(by.size)]), times))
    left = order < after.size
    spans = np.flatnonzero(left[:-1] & ~left[1:])  # nothing can be told apart within these
    starts, ends = times[order[spans]], times[order[spans + 1]]
    place = np.empty_like(order)
    place[order] = np.arange(order.size)
    first = np.searchsorted(spans, place[: after.size])
    last = np.searchsorted(spans, place[after.size :])
    mass = np.full(spans.size, 1.0 / spans.size)
    for _ in range(_ROUNDS):
        heights = np.concatenate([[0.0], np.cumsum(mass)])
        share = 1.0 / (heights[last] - heights[first])
        count = spans.size + 1
        covered = np.cumsum(np.bincount(first, share, count) - np.bincount(last, share, count))
        new = mass * covered[:-1] / after.size
        moved = np.abs(new - mass).sum()
        mass = new
        if moved < _SETTLED:
            break
    return SurvivalTable(starts, ends, np.maximum(1.0 - np.cumsum(mass), 0.0))
