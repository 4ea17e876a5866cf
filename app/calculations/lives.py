"""Lives: how long each supply lasts in this shop, learnt from what was seen of its layers.

A supply's life is a Weibull distribution. It starts from the label's range and moves with what
was seen: each layer is known to have outlived its last good judgement and, where it was seen
gone, to have worn out since. Layers not seen again are censored, never failures. Supplies of a
class, and the classes of the shop, lend each other what they have learnt (`life_posterior`).

Ages are days since the layer was put on. An exposure factor scales life: a layer at factor 0.7
is worn out in seven tenths of the time. `Lives` is never changed after it was made.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, inf, isfinite, log
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.calculations.layers import Verdict
from app.calculations.letter_day import DueTable, due_table
from app.calculations.life_points import (
    FADING_FROM,
    FADING_TRUST,
    LifePoints,
    weighted_quantiles,
)
from app.calculations.life_posterior import Evidence, infer
from app.errors import Mendable

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Labels are written by optimists: their middle is taken for the age by which 63 % have worn out
# (the Weibull scale), which at usual shapes lies a tenth above the median. Judgement, no source.
OPTIMISM = 0.10
# How far the exposure factors hold: 1 as the scale says, 0 not at all. Judgement, no source.
STRENGTH_SPREAD = 0.15
_STRENGTHS = (0.7, 1.0, 1.3)
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
    def middle_days(self) -> float:
        """The middle of the range, at exposure factor 1."""
        return (self.low_days + self.high_days) / 2 / self.at_factor

    @property
    def spread(self) -> float:
        """How far one supply may stray from its class, as a logarithm: wide labels say less."""
        return min(max(log(self.high_days / self.low_days) / 5.0, 0.12), 0.30)


@dataclass(frozen=True, slots=True)
class Observation:
    """What is known of one layer's wear-out: after `low_days`, by `high_days` (inf: not yet).

    `fading` marks a layer last seen fading at `low_days`. `exposure` is the factor of its
    vehicle; `day` when the last of it was seen.
    """

    supply: int
    low_days: float
    high_days: float = inf
    exposure: float = 1.0
    fading: bool = False
    day: date | None = None


@dataclass(frozen=True, slots=True)
class LifeSummary:
    """One supply's life in this shop, in days at exposure factor 1.

    `low_days` to `high_days` is the 80 % band of the median life. `layers` were seen again at
    least once, `gone` of them worn out. `differs` when that band lies outside the label's range.
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
        said = f"The label says {self.label.low_days:g} to {self.label.high_days:g} days"
        if not self.layers:
            return f"{said}; none of its layers has been seen again here yet."
        seen = "one layer" if self.layers == 1 else f"{self.layers} layers"
        return (
            f"{said}; here half of them last {self.median_days:.0f} days "
            f"({self.low_days:.0f} to {self.high_days:.0f}), from {seen} seen again, "
            f"{self.gone or 'none'} of them gone."
        )


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
    """What a layer's judgements, (age in days, verdict) in any order, say of its wear-out.

    None when they say nothing (never seen again). A layer seen gone and later holding was dirty,
    not gone: the later verdict stands. Of two verdicts on one day the later in the list stands.
    """
    ordered = sorted(seen, key=lambda one: one[0])
    low, high, fading = 0.0, inf, False
    for age, verdict in ordered:
        if not isfinite(age) or age < 0:
            raise Mendable("A layer was judged before it was put on; correct one of the two days.")
        if verdict is Verdict.GONE:
            high = min(high, age)
        else:
            low, high, fading = age, inf, verdict is Verdict.FADING
    if low <= 0 and high == inf:
        return None
    if high < inf:
        high = max(high, low + _SHORTEST)
    return Observation(supply, low, high, exposure, fading, day)


class Lives:
    """What was learnt. All ages are days since application; arrays broadcast.

    `strength` says how far the exposure factors hold in this shop (1: as the scale says).
    """

    def __init__(
        self,
        points: Mapping[int, LifePoints],
        labels: Mapping[int, Label],
        counts: Mapping[int, tuple[int, int]],
        strength: float,
    ) -> None:
        self._points = points
        self._labels = labels
        self._counts = counts
        self.strength = strength
        self._tables = {supply: self._table(supply, False) for supply in points}
        self._fading: dict[int, DueTable] = {}

    @property
    def supplies(self) -> tuple[int, ...]:
        """The supplies that were learnt."""
        return tuple(self._points)

    @property
    def layers(self) -> int:
        """How many layers were seen again and learnt from."""
        return sum(seen for seen, _ in self._counts.values())

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
            self._scale(exposure),
            np.asarray(last_seen_days, dtype=float),
            np.asarray(fading, dtype=bool),
        )
        shape = which.shape
        scale = scale.ravel()
        age, seen = age.ravel() / scale, seen.ravel() / scale
        result = np.empty(which.size)
        for number, verdict, rows in _grouped(which.ravel(), faded.ravel()):
            points = self._of(number)
            each, weights = points.chances(age[rows], seen[rows], verdict)
            result[rows] = (each * weights).sum(axis=1)
        return result.reshape(shape)

    def median(self, supply: int, exposure: ArrayLike = 1.0) -> Floats:
        """Age by which half of such layers have worn out."""
        table = self._tables[self._known(supply)]
        return np.asarray(table.late[0] * self._scale(exposure))

    def curve(self, supply: int, exposure: float = 1.0, last_seen_days: float = 0.0) -> Curve:
        """The survival curve with its 80 % band, 0 to where one layer in fifty still protects."""
        points = self._of(supply)
        scale = float(self._scale(exposure))
        seen = last_seen_days / scale
        reach = max(float(self._tables[supply].late[0]) * 2.2, seen * 1.4)
        ages = np.linspace(0.0, reach, 121)
        each, weights = points.chances(ages, np.full_like(ages, seen), False)
        low, high = weighted_quantiles(each, weights, (0.1, 0.9))
        return Curve(ages * scale, (each * weights).sum(axis=1), low, high)

    def summary(self, supply: int) -> LifeSummary:
        """The supply's life in figures and one sentence."""
        points, label = self._of(supply), self._labels[supply]
        low, middle, high = points.median_band()
        seen, gone = self._counts.get(supply, (0, 0))
        shape = exp(float((points.weights * np.log(points.shapes)).sum()))
        differs = _outside(low, high, label)
        return LifeSummary(supply, middle, low, high, shape, seen, gone, label, differs)

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
            self._scale(exposure),
            np.asarray(last_seen_days, dtype=float),
            np.asarray(fading, dtype=bool),
        )
        shape = which.shape
        scale = scale.ravel()
        seen = seen.ravel() / scale
        result = np.empty((3, which.size))
        for number, verdict, rows in _grouped(which.ravel(), faded.ravel()):
            self._known(number)
            table = self._fading_table(number) if verdict else self._tables[number]
            result[:, rows] = table.at(seen[rows])
        early, late, write = (result * scale).reshape((3, *shape))
        return early, late, write

    def _scale(self, exposure: ArrayLike) -> Floats:
        factor = np.asarray(exposure, dtype=float)
        if not np.all(np.isfinite(factor)) or np.any(factor <= 0):
            raise Mendable("An exposure factor must be above zero; check the vehicle's answers.")
        return np.asarray(factor**self.strength)

    def _known(self, supply: int) -> int:
        if supply not in self._points:
            raise Mendable(f"Supply {supply} has no life on its label; enter a range of days.")
        return supply

    def _of(self, supply: int) -> LifePoints:
        return self._points[self._known(supply)]

    def _table(self, supply: int, fading: bool) -> DueTable:
        return due_table(self._points[supply], fading)

    def _fading_table(self, supply: int) -> DueTable:
        if supply not in self._fading:
            self._fading[supply] = self._table(supply, True)
        return self._fading[supply]


def _grouped(supplies: NDArray[Any], fading: NDArray[np.bool_]) -> Iterator[tuple[int, bool, Ints]]:
    """Each supply and whether fading, with the rows that are so."""
    order = np.lexsort((fading, supplies))
    ranked = np.stack([supplies[order].astype(np.int64), fading[order]])
    edges = np.flatnonzero(np.any(np.diff(ranked, axis=1) != 0, axis=0)) + 1
    for rows in np.split(order, edges):
        if rows.size:
            yield int(supplies[rows[0]]), bool(fading[rows[0]]), rows


def fit(observations: Sequence[Observation], labels: Sequence[Label]) -> Lives:
    """Learn the lives of all labelled supplies; with no observations the labels speak alone.

    Observations of supplies without a label are left out. Raises `Mendable` for a label or an
    observation that cannot be.
    """
    known = _checked(labels)
    seen = [one for one in observations if one.supply in known]
    order = {supply: row for row, supply in enumerate(known)}
    evidence, counts = _evidence(seen, order)
    if not known:
        return Lives({}, {}, {}, 1.0)
    kinds = [label.protection_class for label in known.values()]
    classes = np.unique(kinds, return_inverse=True)[1].astype(np.int64)
    middle = np.array([log(label.middle_days) - OPTIMISM for label in known.values()])
    spread = np.array([label.spread for label in known.values()])
    strength = _strength(evidence, classes, middle, spread)
    found = infer(evidence, classes, middle, spread, strength)
    points = {
        supply: LifePoints.kept(
            found.median[row], found.shape[row], found.weight[row], counts[supply][0] > 0
        )
        for supply, row in order.items()
    }
    return Lives(points, known, counts, strength)


def differs_since(
    observations: Sequence[Observation], labels: Sequence[Label], supply: int
) -> date | None:
    """The day since which this shop's 80 % band of the median lies outside the label's range.

    None while it lies inside, and where the observations of the supply carry no days. Looks
    back month by month at what was known of this supply then.
    """
    if not fit(observations, labels).summary(supply).differs:
        return None
    days = sorted({one.day for one in observations if one.supply == supply and one.day})
    ends = [day for day, after in zip(days, [*days[1:], None], strict=True) if _last(day, after)]
    since = None
    for day in reversed(ends):
        then = [one for one in observations if one.supply != supply or (one.day and one.day <= day)]
        if not fit(then, labels).summary(supply).differs:
            break
        since = day
    return since


def _last(day: date, after: date | None) -> bool:
    """Whether no later day of the list falls in the same month."""
    return after is None or (day.year, day.month) != (after.year, after.month)


def _checked(labels: Sequence[Label]) -> dict[int, Label]:
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


def _evidence(
    seen: Sequence[Observation], order: Mapping[int, int]
) -> tuple[Evidence, dict[int, tuple[int, int]]]:
    """The observations as sorted columns, and (layers, gone) for each supply."""
    row = np.array([order[one.supply] for one in seen], dtype=np.int64)
    low = np.array([one.low_days for one in seen], dtype=float)
    high = np.array([one.high_days for one in seen], dtype=float)
    exposure = np.array([one.exposure for one in seen], dtype=float)
    fading = np.array([one.fading for one in seen], dtype=bool)
    bad = ~(low >= 0) | ~(high > low) | np.isinf(low) | ~(exposure > 0) | np.isinf(exposure)
    if bad.any():
        one = seen[int(np.flatnonzero(bad)[0])]
        raise Mendable(
            f"A layer of supply {one.supply} was seen at ages that cannot be ({one.low_days:g} "
            f"and {one.high_days:g} days, exposure {one.exposure:g}); correct its days."
        )
    gone = np.isfinite(high)
    faded = fading & ~gone & (low > 0)
    high[faded] = low[faded] / FADING_FROM
    weight = np.where(gone, 1.0, np.where(faded, FADING_TRUST, 0.0))
    sort = np.argsort(row, kind="stable")
    first = np.searchsorted(row[sort], np.arange(len(order) + 1)).astype(np.int64)
    with np.errstate(divide="ignore"):
        columns = [np.log(column)[sort] for column in (low, high, exposure)]
    counts = {
        supply: (
            int(first[place + 1] - first[place]),
            int(gone[sort][first[place] : first[place + 1]].sum()),
        )
        for supply, place in order.items()
    }
    return Evidence(first, columns[0], columns[1], columns[2], weight[sort]), counts


def _strength(evidence: Evidence, classes: Ints, middle: Floats, spread: Floats) -> float:
    """How far the exposure factors hold, from a prior of 1: the top of a parabola.

    The log evidence at three strengths, with the prior's, is taken as a parabola; without
    layers of unlike exposure it is the prior's and the answer is 1.
    """
    if evidence.exposure.size < 2 or np.ptp(evidence.exposure) < 1e-3:
        return 1.0
    low, mid, high = (
        infer(evidence, classes, middle, spread, strength).evidence
        - ((strength - 1.0) / STRENGTH_SPREAD) ** 2 / 2
        for strength in _STRENGTHS
    )
    step = _STRENGTHS[2] - _STRENGTHS[1]
    bend = (low - 2 * mid + high) / step**2
    if bend >= 0:
        return 1.0
    top = _STRENGTHS[1] - (high - low) / (2 * step) / bend
    return float(min(max(top, 0.2), 1.8))


def _outside(low: float, high: float, label: Label) -> bool:
    """Whether a band of medians lies wholly off the label's range at factor 1."""
    return high < label.low_days / label.at_factor or low > label.high_days / label.at_factor
