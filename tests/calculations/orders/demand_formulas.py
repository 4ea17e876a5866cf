"""Forecasts for supplies that are not used every day.

A history is a sequence of amounts per period (a day, a week), oldest first; a period without use
counts as 0 and must not be left out. All forecasts are amounts per period.

Start values differ between libraries, so they are stated: Croston's size starts at the first
demand and his interval at that demand's position, counted from one; the chance of Teunter,
Syntetos and Babai starts at 1 if the first period has demand, else at 0, and their size at the
first demand.

Sources (formulas as quoted in secondary texts): Croston, *Operational Research Quarterly* 23(3),
1972, 289-303; Syntetos and Boylan, *International Journal of Forecasting* 21(2), 2005, 303-314;
Shale, Boylan and Johnston, *Journal of the Operational Research Society* 57, 2006, 588-592;
Teunter, Syntetos and Babai, *European Journal of Operational Research* 214, 2011, 606-615;
Syntetos, Boylan and Croston, *Journal of the Operational Research Society* 56, 2005 (classes).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from app.errors import Mendable

ADI_LIMIT = 1.32
CV2_LIMIT = 0.49


class Pattern(StrEnum):
    """How a supply is used: how often, and in how even amounts."""

    SMOOTH = "smooth"
    ERRATIC = "erratic"
    INTERMITTENT = "intermittent"
    LUMPY = "lumpy"
    NONE = "none"  # never used


@dataclass(frozen=True, slots=True)
class Smoothed:
    """Croston's two smoothed values: size of a demand, and periods from one to the next."""

    size: float
    interval: float

    @property
    def croston(self) -> float:
        """Croston's forecast; a little too high on average."""
        return self.size / self.interval if self.interval else 0.0


@dataclass(frozen=True, slots=True)
class UsePattern:
    """Mean periods per demand, squared variation of the sizes (population), and the class."""

    interval: float
    variation: float
    pattern: Pattern


def smooth(history: Sequence[float], alpha: float = 0.1) -> Smoothed:
    """Croston's smoothing of size and interval with the same constant, 0 < alpha <= 1.

    Without any demand both are 0. Periods without demand change nothing.
    """
    _check(alpha)
    series = _series(history)
    size = interval = 0.0
    last = -1
    for period in np.flatnonzero(series).tolist():
        if last < 0:
            size, interval = float(series[period]), period + 1.0
        else:
            size += alpha * (float(series[period]) - size)
            interval += alpha * (period - last - interval)
        last = period
    return Smoothed(size, interval)


def croston(history: Sequence[float], alpha: float = 0.1) -> float:
    """Croston's forecast."""
    return smooth(history, alpha).croston


def syntetos_boylan(history: Sequence[float], alpha: float = 0.1) -> float:
    """Croston's forecast times 1 - alpha / 2 (usually called SBA)."""
    return (1.0 - alpha / 2.0) * croston(history, alpha)


def shale_boylan_johnston(history: Sequence[float], alpha: float = 0.1) -> float:
    """Croston's forecast times 1 - alpha / (2 - alpha) (usually called SBJ)."""
    return (1.0 - alpha / (2.0 - alpha)) * croston(history, alpha)


def teunter_syntetos_babai(
    history: Sequence[float], alpha_size: float = 0.1, alpha_chance: float = 0.1
) -> float:
    """Chance of a demand, moved in every period, times its size (usually called TSB).

    Falls while nothing is used any more, where Croston's forecast would stand still.
    """
    _check(alpha_size)
    _check(alpha_chance)
    series = _series(history)
    demands = np.flatnonzero(series)
    if not demands.size:
        return 0.0
    size = float(series[demands[0]])
    for period in demands[1:].tolist():
        size += alpha_size * (float(series[period]) - size)
    # the chance is a weighted sum of the periods with demand; the first one is the start value
    ages = series.size - 1 - demands
    weights = alpha_chance * (1.0 - alpha_chance) ** ages
    if demands[0] == 0:
        weights[0] = (1.0 - alpha_chance) ** ages[0]
    return float(weights.sum()) * size


def use_pattern(history: Sequence[float]) -> UsePattern:
    """Sort a history into smooth, erratic, intermittent or lumpy.

    Limits 1.32 periods per demand and 0.49 for the squared coefficient of variation, taken over
    the population of the demands.
    """
    series = _series(history)
    demands = series[series > 0]
    if not demands.size:
        return UsePattern(0.0, 0.0, Pattern.NONE)
    interval = series.size / demands.size
    variation = float(demands.var() / demands.mean() ** 2)
    if interval <= ADI_LIMIT:
        pattern = Pattern.SMOOTH if variation <= CV2_LIMIT else Pattern.ERRATIC
    else:
        pattern = Pattern.INTERMITTENT if variation <= CV2_LIMIT else Pattern.LUMPY
    return UsePattern(interval, variation, pattern)


def _series(history: Sequence[float]) -> NDArray[np.float64]:
    series = np.asarray(history, dtype=float).ravel()
    if not np.isfinite(series).all() or (series < 0).any():
        raise Mendable(
            "The use per period must be zero or more; book returns on their own, not as use."
        )
    return series


def _check(alpha: float) -> None:
    if not 0.0 < alpha <= 1.0:
        raise Mendable(f"The smoothing constant {alpha} must lie between 0 and 1.")
