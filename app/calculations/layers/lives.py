"""Lives: how long each supply lasts in this shop, learnt from what was seen of its layers.

A supply's life is a Weibull distribution. It starts from the label's range and moves with what
was seen: each layer is known to have outlived its last good judgement and, where it was seen
gone, to have worn out since. Layers not seen again are censored, never failures. Supplies of a
class, and the classes of the shop, lend each other what they have learnt (`life_posterior`).

Ages are days since the layer was put on. An exposure factor scales life: a layer at factor 0.7
is worn out in seven tenths of the time. `Lives` is never changed after it was made.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from math import exp, log
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.calculations.layers.habit_learning import Shop, learn_habits
from app.calculations.layers.habits import Habits
from app.calculations.layers.letter_day import DueTable, due_table
from app.calculations.layers.life_memory import Memory
from app.calculations.layers.life_points import LifePoints, weighted_quantiles
from app.calculations.layers.prompted_visits import Looks
from app.calculations.layers.sightings import (
    Label,
    Observation,
    checked,
    gather,
    in_order,
    without_bare_ends,
)
from app.calculations.numbers.dates import age_words, span_words
from app.calculations.numbers.wording import words_of
from app.errors import Mendable

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeSummary:
    """One supply's life in this shop, in days at one exposure factor.

    `low_days` to `high_days` is the 80 % band of the median life. `layers` were seen again at
    least once, `gone` of them worn out. `differs` when that band, at the exposure that the
    label is meant for, lies outside the label's range.
    """

    supply: int
    median_days: float
    low_days: float
    high_days: float
    shape: float
    layers: int
    gone: int
    label: Label
    differs: bool

    @property
    def sentence(self) -> str:
        """What the figures say, in words."""
        text = f"The label says {span_words(self.label.low_days, self.label.high_days)}"
        if not self.layers:
            return f"{text}; none of its layers has been seen again here yet."
        seen = words_of(self.layers, "layer")
        return (
            f"{text}; here half of them last {age_words(self.median_days)} "
            f"({span_words(self.low_days, self.high_days)}), from {seen} seen again, "
            f"{self.gone or 'none'} of them gone."
        )


@dataclass(frozen=True, slots=True)
class Curve:
    """Survival at `ages_days` with its 80 % band, for drawing."""

    ages_days: Floats
    survival: Floats
    low: Floats
    high: Floats


class Lives:
    """What was learnt. All ages are days since application; arrays broadcast.

    `habits` are the shop's own: how far the exposure factors hold and what fading means here.
    """

    def __init__(
        self,
        points: Mapping[int, LifePoints],
        doubted: Callable[[int], LifePoints],
        labels: Mapping[int, Label],
        counts: Mapping[int, tuple[int, int]],
        habits: Habits,
    ) -> None:
        self._points = points
        self._doubted = cache(doubted)  # in every strength that exposure may have: for bands
        self._labels = labels
        self._counts = counts
        self.habits = habits
        self._tables: dict[tuple[int, bool], DueTable] = {}

    @property
    def supplies(self) -> tuple[int, ...]:
        """The supplies that were learnt."""
        return tuple(self._points)

    def survival(
        self,
        supply: ArrayLike,
        age_days: ArrayLike,
        exposure: ArrayLike = 1.0,
        last_seen_days: ArrayLike = 0.0,
        fading: ArrayLike = False,
    ) -> Floats:
        """Chance that a layer still protects at `age_days`.

        Given that it did at `last_seen_days` (0: not seen since), or was `fading` then.
        """
        which, age, scale, seen, faded = np.broadcast_arrays(
            np.asarray(supply),
            np.asarray(age_days, dtype=float),
            self._scale(supply, exposure),
            np.asarray(last_seen_days, dtype=float),
            np.asarray(fading, dtype=bool),
        )
        shape = which.shape
        scale = scale.ravel()
        age, seen = age.ravel() / scale, seen.ravel() / scale
        result = np.empty(which.size)
        for number, verdict, rows in _grouped(which.ravel(), faded.ravel()):
            points = self._of(number)
            each, weights = points.chances(age[rows], seen[rows], verdict, self.habits.fading)
            result[rows] = np.minimum((each * weights).sum(axis=1), 1.0)
        return result.reshape(shape)

    def median(self, supply: int, exposure: ArrayLike = 1.0) -> Floats:
        """Age by which half of such layers have worn out."""
        late = self._table(supply, fading=False).late[0]
        return np.asarray(late * self._scale(supply, exposure))

    def curve(self, supply: int) -> Curve:
        """The survival curve with its 80 % band, 0 to where one layer in fifty still protects.

        At the exposure that the label is meant for.
        """
        points = self._of(supply)
        ages = np.linspace(0.0, float(self._table(supply, fading=False).late[0]) * 2.2, 121)
        each, weights = points.chances(ages, np.zeros_like(ages), False, self.habits.fading)
        low, high = weighted_quantiles(each, weights, (0.1, 0.9))
        return Curve(ages, (each * weights).sum(axis=1), low, high)

    def summary(self, supply: int, exposure: float | None = 1.0) -> LifeSummary:
        """The supply's life in figures and one sentence, for vehicles of an exposure factor.

        None is the factor that the label is meant for.
        """
        points, label = self._of(supply), self._labels[supply]
        times = 1.0 if exposure is None else exposure / label.at_factor
        doubted = self._doubted(supply)
        low, middle, high = doubted.median_band(times)
        seen, gone = self._counts.get(supply, (0, 0))
        shape = exp(float((points.weights * np.log(points.shapes)).sum()))
        differs = _outside(*doubted.median_band(), label)
        return LifeSummary(
            supply=supply,
            median_days=middle,
            low_days=low,
            high_days=high,
            shape=shape,
            layers=seen,
            gone=gone,
            label=label,
            differs=differs,
        )

    def due(
        self,
        supplies: ArrayLike,
        exposure: ArrayLike,
        last_seen_days: ArrayLike,
        fading: ArrayLike = False,
    ) -> tuple[Floats, Floats, Floats]:
        """Ages (days) at which survival has fallen to 80 %, to 50 %, and at which to write.

        All arguments broadcast to (n,). Counted from the last judgement: `last_seen_days` is
        the age at which the layer was last seen protecting, 0 when not seen since, `fading`
        whether it was fading then. Raises `Mendable` for a supply without a label.
        """
        which, scale, seen, faded = np.broadcast_arrays(
            np.asarray(supplies),
            self._scale(supplies, exposure),
            np.asarray(last_seen_days, dtype=float),
            np.asarray(fading, dtype=bool),
        )
        shape = which.shape
        scale = scale.ravel()
        seen = seen.ravel() / scale
        result = np.empty((3, which.size))
        for number, verdict, rows in _grouped(which.ravel(), faded.ravel()):
            table = self._table(number, fading=verdict)
            result[:, rows] = table.at(seen[rows])
        early, late, write = (result * scale).reshape((3, *shape))
        return early, late, write

    def _table(self, supply: int, *, fading: bool) -> DueTable:
        """The due ages of a supply, made when they are first asked for."""
        key = self._known(supply), fading
        if key not in self._tables:
            self._tables[key] = due_table(self._points[supply], fading, self.habits.fading)
        return self._tables[key]

    def _scale(self, supply: ArrayLike, exposure: ArrayLike) -> Floats:
        """How many times the label's exposure a layer's life is worth."""
        factor = np.asarray(exposure, dtype=float)
        if not np.all(np.isfinite(factor)) or np.any(factor <= 0):
            raise Mendable("An exposure factor must be above zero; check the vehicle's answers.")
        which, place = np.unique(np.asarray(supply), return_inverse=True)
        meant = [self._labels[self._known(int(one))].at_factor for one in which]
        at = np.array(meant, dtype=float)[place].reshape(np.shape(supply))
        return np.asarray((factor / at) ** self.habits.strength)

    def _known(self, supply: int) -> int:
        if supply not in self._points:
            raise Mendable(f"Supply {supply} has no life on its label; enter a range of days.")
        return supply

    def _of(self, supply: int) -> LifePoints:
        return self._points[self._known(supply)]


def _grouped(supplies: NDArray[Any], fading: NDArray[np.bool_]) -> Iterator[tuple[int, bool, Ints]]:
    """Each supply and whether fading, with the rows that are so."""
    order = np.lexsort((fading, supplies))
    ranked = np.stack([supplies[order].astype(np.int64), fading[order]])
    edges = np.flatnonzero(np.any(np.diff(ranked, axis=1) != 0, axis=0)) + 1
    for rows in np.split(order, edges):
        if rows.size:
            yield int(supplies[rows[0]]), bool(fading[rows[0]]), rows


def fit(
    observations: Sequence[Observation], labels: Sequence[Label], memory: Memory | None = None
) -> Lives:
    """Learn the lives of all labelled supplies; with no observations the labels speak alone.

    Observations of supplies without a label are left out. With a `memory`, what was found before
    of a supply whose layers are the same is not worked out again; the answer is the same. Raises
    `Mendable` for a label or an observation that cannot be.
    """
    known = checked(labels)
    if not known:
        none: dict[int, LifePoints] = {}
        return Lives(none, none.__getitem__, {}, {}, Habits())
    memory = memory or Memory()
    memory.begin()
    seen = [one for one in observations if one.supply in known]
    order = {supply: row for row, supply in enumerate(known)}
    telling = in_order(without_bare_ends(seen), order)
    factors = [label.at_factor for label in known.values()]
    kinds = [label.protection_class for label in known.values()]
    learnt = learn_habits(
        Shop(
            evidence=gather(telling, order, factors).rounded,
            looks=Looks.of(telling, order),
            classes=np.unique(kinds, return_inverse=True)[1].astype(np.int64),
            promised=np.array([log(one.median_days * one.at_factor) for one in known.values()]),
            spread=np.array([label.spread for label in known.values()]),
            memory=memory,
        )
    )
    counts = {supply: (0, 0) for supply in known}
    for one in seen:
        layers, gone = counts[one.supply]
        counts[one.supply] = (layers + 1, gone + one.gone)
    judged = {one.supply for one in telling}
    seen_again = {supply: supply in judged for supply in known}
    points = {supply: learnt.points(row, seen_again[supply]) for supply, row in order.items()}

    def doubted(supply: int) -> LifePoints:
        return learnt.doubted_points(order[supply], seen_again[supply])

    return Lives(points, doubted, known, counts, learnt.habits)


def differs_since(
    observations: Sequence[Observation], labels: Sequence[Label], supply: int
) -> date | None:
    """The day since which this shop's 80 % band of the median lies outside the label's range.

    None while it lies inside, and where the observations of the supply carry no days. Looks
    back month by month at what was known of this supply then, beside all that is known now of
    the others of its class. A fit for each month: for the background.
    """
    if not fit(observations, labels).summary(supply).differs:
        return None
    kind = next(label.protection_class for label in labels if label.supply == supply)
    mates = [label for label in labels if label.protection_class == kind]
    days = sorted({one.day for one in observations if one.supply == supply and one.day})
    ends = [day for day, after in zip(days, [*days[1:], None], strict=True) if _last(day, after)]
    since = None
    for day in reversed(ends):
        then = [one for one in observations if one.supply != supply or (one.day and one.day <= day)]
        if since is not None and not fit(then, mates).summary(supply).differs:
            break
        since = day
    return since


def _last(day: date, after: date | None) -> bool:
    """Whether no later day of the list falls in the same month."""
    return after is None or (day.year, day.month) != (after.year, after.month)


def _outside(low: float, _middle: float, high: float, label: Label) -> bool:
    """Whether a band of medians at the label's exposure lies wholly off its range."""
    return high < label.low_days or low > label.high_days
