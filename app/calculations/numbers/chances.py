"""Chances without tables: the normal distribution, and a gamma that may also be nothing at all."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_TINY = 1e-12
_NODES, _WEIGHTS = np.polynomial.laguerre.laggauss(6)
_SERIES = 16  # terms; with x at most `_SERIES_TO` the next is below 1e-9
_SERIES_TO = 2.0
_GAMMA = (
    1.0, -0.577191652, 0.988205891, -0.897056937, 0.918206857, -0.756704078, 0.482199394,
    -0.193527818, 0.035868343,
)  # fmt: skip


def normal_survival(z: ArrayLike) -> Floats:
    """The chance that a standard normal number exceeds `z`, elementwise.

    Absolute error below 7.5e-8: Abramowitz and Stegun, *Handbook of Mathematical Functions*,
    26.2.17 (from memory).
    """
    z = np.asarray(z, dtype=float)
    size = np.minimum(np.abs(z), 38.0)
    t = 1.0 / (1.0 + 0.2316419 * size)
    poly = t * (
        0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429)))
    )
    tail = 0.3989422804014327 * np.exp(-0.5 * size * size) * poly
    return np.where(z >= 0, tail, 1.0 - tail)


def gamma_survival(x: ArrayLike, mean: ArrayLike, variance: ArrayLike) -> Floats:
    """The chance that a gamma quantity with this mean and variance exceeds `x`, elementwise.

    Wilson and Hilferty's cube root (*PNAS* 17, 1931, 684-688; from memory): for shapes of one
    and more within 0.012, in the upper tail that matters here within a few thousandths. Below a
    shape of one, where the cube root fails, the integral itself is taken. A variance of 0 is a
    certain quantity; below 0 every x is exceeded.
    """
    x = np.asarray(x, dtype=float)
    mean, variance = np.asarray(mean, dtype=float), np.asarray(variance, dtype=float)
    safe = np.maximum(mean, _TINY)
    ninth = np.maximum(variance / (safe * safe), _TINY) / 9.0
    z = (np.cbrt(np.maximum(x, 0.0) / safe) - 1.0 + ninth) / np.sqrt(ninth)
    tail = normal_survival(z)
    low = (ninth > 1.0 / 9.0) & (x >= 0)
    if low.any():
        x, ninth, safe = np.broadcast_arrays(x, ninth, safe)
        shape = np.maximum(1.0 / (9.0 * ninth[low]), _TINY)
        tail[low] = _tail_of_low_shape(x[low] / safe[low] * shape, shape)
    return np.where(x < 0, 1.0, np.where(mean > _TINY, tail, 0.0))


def _tail_of_low_shape(x: Floats, shape: Floats) -> Floats:
    """The chance that a gamma quantity of scale 1 and a shape below 1 exceeds `x`.

    Near 0 the power series of the lower part (*Handbook of Mathematical Functions*, 6.5.29), beyond
    the integral of the upper part by Gauss and Laguerre (25.4.45), both over the polynomial 6.1.36
    of the gamma function; absolute error below 1e-6 (from memory, checked against scipy).
    """
    gamma = np.polynomial.polynomial.polyval(shape, _GAMMA)  # of shape + 1
    near = np.minimum(x, _SERIES_TO)
    term, total = np.ones_like(x), np.ones_like(x)
    for n in range(1, _SERIES):
        term = term * -near / n
        total = total + term * shape / (shape + n)
    lower = near**shape / gamma * total
    far = np.maximum(x, _SERIES_TO)
    upper = ((far[:, None] + _NODES) ** (shape[:, None] - 1.0)) @ _WEIGHTS
    upper = upper * np.exp(-np.minimum(far, 700.0)) * shape / gamma
    return np.where(x <= _SERIES_TO, np.clip(1.0 - lower, 0.0, 1.0), upper)


def need_survival(x: ArrayLike, mean: Floats, variance: Floats, some: Floats) -> Floats:
    """The chance that a need exceeds `x` when with chance 1 - `some` there is none at all.

    `mean` and `variance` are those of the whole; given that there is a need, it is taken as gamma
    with the moments that follow.
    """
    some = np.maximum(some, _TINY)
    given = mean / some
    spread = np.maximum((variance + mean * mean) / some - given * given, 0.0)
    return np.where(np.asarray(x) < 0, 1.0, some * gamma_survival(x, given, spread))


def normal_quantile(share: float) -> float:
    """The point below which this share (0 < share < 1) of a standard normal number lies."""
    return NormalDist().inv_cdf(share)
