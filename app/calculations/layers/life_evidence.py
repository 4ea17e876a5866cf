"""What was seen of layers, and how likely that is for a given Weibull life."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log

import numpy as np
from numpy.typing import NDArray

from app.calculations.layers.habits import TRUST, Habits
from app.errors import check_stop

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LOG2 = log(2.0)

# One layer in a hundred ends by something that is not wear (a strip wash elsewhere, a repaint, a
# slip of the pen): its end says nothing. Without this a few early ends pull a whole supply down.
# A layer that was seen standing stands, however late; that is never doubted. Judgement, no source.
STRAYS = 0.01

_LONGEST_POWER = 80.0  # exp() of it is as good as infinite, and still multiplies without overflow


@dataclass(frozen=True, slots=True)
class Evidence:
    """What was seen, one row for each layer, sorted by supply.

    `first[s]` to `first[s + 1]` are the rows of supply s. All ages are natural logarithms of
    days: the layer wore out after `low` and by `high`; it was last seen holding at `held` and
    first seen fading at `faded` (-inf for age zero or never holding, +inf for not yet). `said`
    is how often the shop says what it said of the layer when it was last seen standing.
    `exposure` is the logarithm of the factor on the layer's life.
    """

    first: Ints
    low: Floats
    high: Floats
    held: Floats
    faded: Floats
    exposure: Floats
    said: Floats

    def at_factor_one(self, strength: float) -> Evidence:
        """The same with ages as if every vehicle stood at factor 1."""
        shift = strength * self.exposure
        ages = {name: getattr(self, name) - shift for name in ("low", "high", "held", "faded")}
        return replace(self, exposure=np.zeros_like(self.exposure), **ages)

    def of(self, supply: int) -> Evidence:
        """The rows of one supply."""
        rows = slice(int(self.first[supply]), int(self.first[supply + 1]))
        return Evidence(
            np.array([0, rows.stop - rows.start]),
            self.low[rows],
            self.high[rows],
            self.held[rows],
            self.faded[rows],
            self.exposure[rows],
            self.said[rows],
        )


def log_likelihood(
    medians: Floats, shapes: Floats, seen: Evidence, label: float, habits: Habits
) -> Floats:
    """Log likelihood (J, L) of one supply's layers: (J,) log medians by (L,) log shapes.

    `seen` at factor 1, `label` the log of the label's middle in days. Survival at age t is
    exp(-H), H = log 2 (t / median) ** shape. A layer has the chance S(low) - S(high); in a shop
    whose word of fading is trusted, that of wearing out so late that it still held when it did
    and so early that it faded when it did. Of the ends of strays the life says nothing.
    """
    check_stop()
    if not seen.low.size:
        return np.zeros((len(medians), len(shapes)))
    chance = _between(medians, shapes, seen.low, seen.high)
    stray = _between(np.array([label]), np.zeros(1), seen.low, seen.high)
    if habits.fading.trusted:
        told = (np.maximum(seen.held, -_FAR) > -_FAR) | (seen.faded < np.inf)
        known = seen.said[told]
        mixed = (1.0 - TRUST) * known * chance[:, :, told]
        for part, weight in zip(
            habits.fading.parts.tolist(), habits.fading.weights.tolist(), strict=True
        ):
            low = np.maximum(seen.low[told], seen.held[told] - log(part))
            high = np.minimum(seen.high[told], seen.faded[told] - log(part))
            mixed += TRUST * weight * _between(medians, shapes, low, np.maximum(low, high))
        chance[:, :, told] = mixed
        stray = stray * np.where(told, seen.said, 1.0)
    strays = np.where(np.isfinite(seen.high), STRAYS, 0.0)
    mixed = (1.0 - strays) * chance + strays * np.maximum(stray, 1e-12)
    return np.asarray(np.log(np.maximum(mixed, 1e-300)).sum(axis=2))


_FAR = 1e3  # beyond the logarithm of any age


def _between(medians: Floats, shapes: Floats, low: Floats, high: Floats) -> Floats:
    """Chance (J, L, n) of wearing out between two ages (n,), given as logarithms."""
    center = float(medians.mean())
    shape = np.exp(shapes)
    rate = -LOG2 * np.exp(-shape * (medians[:, None] - center))[:, :, None]
    chance: Floats = np.exp(rate * _power(shape, low - center))
    ended = np.isfinite(high)
    if ended.any():
        chance[:, :, ended] -= np.exp(rate * _power(shape, high[ended] - center))
    return chance


def _power(shape: Floats, logs: Floats) -> Floats:
    """exp(shape * log), (L, n), held below overflow."""
    return np.exp(np.minimum(shape[:, None] * logs[None, :], _LONGEST_POWER))
