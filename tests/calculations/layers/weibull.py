"""The classical maximum likelihood fit of a Weibull life, to compare the shop's own lives with.

`lives.fit` uses the same likelihood with a prior.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.errors import Mendable

Floats = NDArray[np.float64]

_LONGEST_POWER = 600.0  # exp() of more than about 709 overflows a double
_HIGHEST_SHAPE = 200.0


@dataclass(frozen=True, slots=True)
class WeibullFit:
    """S(t) = exp(-(t / scale) ** shape); `log_likelihood` in the unit of the times."""

    shape: float
    scale: float
    log_likelihood: float

    @property
    def median(self) -> float:
        """The time by which half have worn out."""
        return self.scale * log(2.0) ** (1.0 / self.shape)


def weibull_mle(low: ArrayLike, high: ArrayLike) -> WeibullFit:
    """The Weibull distribution of greatest likelihood for times known only to lie in (low, high].

    `low` = `high` is a time seen exactly, `high` infinite one only known to exceed `low`,
    `low` = 0 one only known to be at most `high`. Any unit; a change of unit only rescales
    `scale`. Newton's method on (log scale, log shape) with the analytic derivatives, halving
    steps that do not climb. Raises `Mendable` where no such fit exists: nothing known to have
    worn out, or a likelihood that climbs without end (all times alike).
    """
    lows = np.atleast_1d(np.asarray(low, dtype=float))
    highs = np.atleast_1d(np.asarray(high, dtype=float))
    if lows.shape != highs.shape or lows.ndim != 1:
        raise Mendable("A fit of lives needs as many earliest as latest ages; check the lists.")
    if np.isnan(lows).any() or np.isnan(highs).any() or (lows < 0).any() or (highs < lows).any():
        raise Mendable("A fit of lives needs ages from zero on, the latest not before the earliest")
    if ((highs == 0) | np.isinf(lows)).any():
        raise Mendable("A fit of lives cannot use a layer that wore out at age zero or never.")
    known = (lows > 0) | np.isfinite(highs)
    lows, highs = lows[known], highs[known]
    if not np.isfinite(highs).any():
        raise Mendable("None of these layers is known to have worn out, so no life can be fitted.")
    unit = _typical(lows, highs)
    lows, highs = lows / unit, highs / unit
    point = np.array([0.0, log(1.5)])
    value, slope, curve = _likelihood(point, lows, highs)
    for _ in range(200):
        step = _uphill(slope, curve)
        for _ in range(60):
            trial = point + step
            if abs(trial[1]) < log(_HIGHEST_SHAPE):
                new, new_slope, new_curve = _likelihood(trial, lows, highs)
                if new >= value - 1e-12 * abs(value):
                    break
            step = step / 2
        else:
            break
        done = bool(np.max(np.abs(step)) < 1e-11)
        point, value, slope, curve = trial, new, new_slope, new_curve
        if done:
            break
    shape = exp(point[1])
    if shape > _HIGHEST_SHAPE / 2 or np.max(np.abs(slope)) > 1e-5 * max(1.0, lows.size):
        raise Mendable("These layers wore out too much alike to fit a spread; add more of them.")
    exact = int(np.count_nonzero(lows == highs))
    return WeibullFit(shape, exp(point[0]) * unit, value - exact * log(unit))


def _typical(lows: Floats, highs: Floats) -> float:
    """A time in the middle of the data, so that the search starts near the answer."""
    middle = np.where(np.isfinite(highs), (lows + np.where(np.isfinite(highs), highs, 0)) / 2, lows)
    return float(np.exp(np.mean(np.log(middle[middle > 0]))))


def _uphill(slope: Floats, curve: Floats) -> Floats:
    """A Newton step, bent until it climbs, and at most one unit of the logarithms long."""
    values, vectors = np.linalg.eigh(-curve)
    values = np.maximum(np.abs(values), 1e-8 * max(1.0, float(np.max(np.abs(values)))))
    step: Floats = vectors @ ((vectors.T @ slope) / values)
    return step / max(1.0, float(np.max(np.abs(step))))


def _hazard(times: Floats, log_scale: float, shape: float) -> tuple[Floats, Floats]:
    """Cumulative hazard and shape * log(t / scale), both zero where t is zero."""
    positive = times > 0
    logs = np.log(np.where(positive, times, 1.0)) - log_scale
    power = np.minimum(shape * logs, _LONGEST_POWER)
    return np.where(positive, np.exp(power), 0.0), np.where(positive, power, 0.0)


def _likelihood(point: Floats, lows: Floats, highs: Floats) -> tuple[float, Floats, Floats]:
    """Log likelihood at (log scale, log shape), its gradient (2,) and Hessian (2, 2)."""
    log_scale, shape = float(point[0]), exp(point[1])
    low, low_power = _hazard(lows, log_scale, shape)
    # With u = shape * log(t / scale) and H = exp(u): dH/dlog scale = -shape H,
    # dH/dlog shape = u H; the second derivatives follow from these.
    exact = lows == highs
    ranged = np.isfinite(highs) & ~exact
    value = -float(low.sum())
    slope, curve = -_first(low, low_power, shape), -_second(low, low_power, shape)
    if exact.any():
        power = low_power[exact]
        value += float((np.log(shape) + power - np.log(lows[exact])).sum())
        slope += np.array([-shape * exact.sum(), exact.sum() + power.sum()])
        curve += np.array([[0.0, -shape * exact.sum()], [-shape * exact.sum(), power.sum()]])
    if ranged.any():
        high, high_power = _hazard(highs[ranged], log_scale, shape)
        near, near_power = low[ranged], low_power[ranged]
        gap = np.maximum(high - near, 1e-300)
        value += float(np.log(-np.expm1(-gap)).sum())
        # d log(1 - exp(-gap)) / d gap, and once more.
        lever = 1.0 / np.expm1(np.minimum(gap, _LONGEST_POWER))
        bend = -lever * (1.0 + lever)
        d_scale = -shape * gap
        d_shape = high_power * high - near_power * near
        slope += np.array([(lever * d_scale).sum(), (lever * d_shape).sum()])
        curve += _second(high, high_power, shape, lever) - _second(near, near_power, shape, lever)
        cross = (bend * d_scale * d_shape).sum()
        curve += np.array([[(bend * d_scale**2).sum(), cross], [cross, (bend * d_shape**2).sum()]])
    return value, slope, curve


def _first(hazard: Floats, power: Floats, shape: float) -> Floats:
    return np.array([-shape * hazard.sum(), (power * hazard).sum()])


def _second(hazard: Floats, power: Floats, shape: float, weight: ArrayLike = 1.0) -> Floats:
    weighted = np.asarray(weight) * hazard
    cross = -shape * ((1.0 + power) * weighted).sum()
    return np.array(
        [[shape**2 * weighted.sum(), cross], [cross, (power * (1.0 + power) * weighted).sum()]]
    )
