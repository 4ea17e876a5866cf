"""The letter day: when to write about a layer whose life is known only roughly.

A letter is *welcome* when it comes within a fifth of the layer's life before or after the layer
wears out, and every day between wear-out and letter leaves the surface *unprotected*. The day
chosen makes

    chance(welcome) - price * expected unprotected time / median life

greatest under everything the posterior holds possible. The price is the one at which the median
itself would be the best day if shape and median were known, so that a shop that has seen a lot
writes at the median, and one that has seen little writes earlier: a late letter costs more than
an early one. A layer that was seen holding is nearer its end; there the chance of a welcome
letter hardly depends on the day, and the price is higher.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

from app.calculations.layers.habits import Fading
from app.calculations.layers.life_evidence import LOG2
from app.calculations.layers.life_points import LifePoints

Floats = NDArray[np.float64]

WELCOME = 0.20  # of the layer's life, to either side of its wear-out

# Judgement, no source; chosen in simulated shops (docs/renewals.md says what they showed).
LOWEST_PRICE = 0.1
SEEN_PRICE = 0.85
SEEN_FROM = 0.5  # of the median life: from here on the whole of the seen price holds

_AGES = np.concatenate([np.linspace(0.0, 1.5, 31), np.linspace(1.6, 3.0, 8)])
_TIMES = np.exp(np.linspace(log(0.03), log(7.0), 420))


@dataclass(frozen=True, slots=True)
class DueTable:
    """Due ages of one supply over the age it was last seen at; all in days at factor 1.

    `early` is where survival has fallen to 80 %, `late` to 50 %, `write` the letter day.
    """

    seen: Floats
    early: Floats
    late: Floats
    write: Floats

    def at(self, seen: Floats) -> tuple[Floats, Floats, Floats]:
        """The three ages for layers last seen at `seen`; beyond the table in proportion."""
        beyond = np.maximum(seen / self.seen[-1], 1.0)
        inside = np.minimum(seen, self.seen[-1])
        early, late, write = (
            np.maximum(np.interp(inside, self.seen, column) * beyond, seen)
            for column in (self.early, self.late, self.write)
        )
        return early, late, write


def price(shapes: Floats, weights: Floats) -> float:
    """The price of unprotected time for a supply whose shapes (G,) have these weights.

    For a known shape k and median 1 the chance of a welcome letter on day d is
    S(d / 1.2) - S(d / 0.8); its slope at the median, over that of the unprotected time (a
    half), is the price at which the median is best.
    """
    early = (1.0 - WELCOME) ** -shapes
    late = (1.0 + WELCOME) ** -shapes
    known = 2.0 * LOG2 * shapes * (early * 0.5**early - late * 0.5**late)
    return float((weights * np.maximum(known, LOWEST_PRICE)).sum())


def due_table(points: LifePoints, fading: bool, habit: Fading) -> DueTable:
    """The due ages of a supply's layers that were last seen holding, or fading."""
    times, seen = _TIMES * points.unit, _AGES * points.unit
    chance = points.table(times, seen, fading, habit)
    early, late = _falls_to(chance, times, 0.8), _falls_to(chance, times, 0.5)
    cost = price(points.shapes, points.weights)
    nearness = np.minimum(_AGES / SEEN_FROM, 1.0)
    costs = cost + nearness * np.maximum(SEEN_PRICE - cost, 0.0)
    write = np.clip(_best_day(chance, times, seen, costs, float(late[0])), early, late)
    return DueTable(seen, early, late, write)


def _falls_to(chance: Floats, times: Floats, level: float) -> Floats:
    """Where each column (T, A) has fallen to `level`, between the rows by straight line."""
    row = np.clip((chance > level).sum(axis=0), 1, len(times) - 1)
    column = np.arange(chance.shape[1])
    above, below = chance[row - 1, column], chance[row, column]
    part = np.clip((above - level) / np.maximum(above - below, 1e-12), 0.0, 1.0)
    return np.asarray(times[row - 1] + part * (times[row] - times[row - 1]))


def _best_day(chance: Floats, times: Floats, seen: Floats, costs: Floats, median: float) -> Floats:
    """The letter day of each column: the greatest of the sum in the module's first lines."""
    logs = np.log(times)
    step = logs[1] - logs[0]
    welcome = _shifted(chance, -log(1.0 + WELCOME) / step) - _shifted(
        chance, -log(1.0 - WELCOME) / step
    )
    worn = 1.0 - chance
    unprotected = np.zeros_like(chance)
    unprotected[1:] = np.cumsum((worn[1:] + worn[:-1]) / 2 * np.diff(times)[:, None], axis=0)
    worth = welcome - costs * unprotected / median
    worth[times[:, None] < seen] = -np.inf
    best = np.clip(worth.argmax(axis=0), 1, len(times) - 2)
    column = np.arange(chance.shape[1])
    # A parabola through the best point and its neighbours finds the day between the rows.
    left, top, right = (worth[best + i, column] for i in (-1, 0, 1))
    bend = left - 2 * top + right
    usable = np.isfinite(left) & (bend < 0)
    offset = np.where(usable, (left - right) / np.where(usable, 2 * bend, 1.0), 0.0)
    return np.asarray(np.exp(logs[best] + offset * step))


def _shifted(chance: Floats, rows: float) -> Floats:
    """`chance` read `rows` further down (up where negative), between rows by straight line."""
    index = np.arange(len(chance)) + rows
    below = np.clip(np.floor(index).astype(np.int64), 0, len(chance) - 1)
    above = np.minimum(below + 1, len(chance) - 1)
    part = np.clip(index - below, 0.0, 1.0)[:, None]
    return np.asarray((1 - part) * chance[below] + part * chance[above])
