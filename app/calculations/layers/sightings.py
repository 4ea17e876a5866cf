"""Labels, and what was seen of layers: the two things that lives are learnt from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from math import exp, inf, isfinite, log, nan

import numpy as np
from numpy.typing import NDArray

from app.calculations.layers.layers import Verdict
from app.calculations.layers.life_evidence import MOST_WRONG, NEVER, Evidence, Ints
from app.errors import Mendable

# Labels are written by optimists: their middle is taken for the age by which 63 % have worn out
# (the Weibull scale), which at usual shapes lies a tenth above the median. Judgement, no source.
OPTIMISM = 0.10

# A shop that writes down what failed and not what held: for each layer seen standing at least so
# many ends of which nothing was seen before, and at least so many in all. Judgement, no source.
_BARE_ENDS = 10
_FEW_ENDS = 5

_SHORTEST = 0.5  # days within which an end can be known at best


@dataclass(frozen=True, slots=True)
class Label:
    """What a supply's label (or its class) says: a range of days, and for what exposure.

    `at_factor` is the exposure factor for which the range is meant: 1 when the observations'
    factors are relative to such a vehicle.
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
    factor on life of its vehicle; `day` when the last of it was seen. `seen` is every judgement
    as (age in days, whether it was gone), in order of time, since one may be wrong; where it is
    empty, that the layer stood at `low_days` is taken as known. `applied` is the ordinal of the
    day on which it was put on; nan where no day is known.
    """

    supply: int
    low_days: float
    high_days: float = inf
    exposure: float = 1.0
    day: date | None = None
    held_days: float = 0.0
    faded_days: float = inf
    seen: tuple[tuple[float, bool], ...] = ()
    applied: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "applied", self._put_on())

    @property
    def gone(self) -> bool:
        """Whether it was seen gone."""
        return self.high_days < inf

    def _put_on(self) -> float:
        if self.day is None:
            return nan
        last = self.high_days if self.gone else self.low_days
        if self.seen:  # gone may be seen again and again
            last = max(last, self.seen[-1][0])
        return self.day.toordinal() - last


def observe(
    supply: int,
    seen: Sequence[tuple[float, Verdict]],
    exposure: float = 1.0,
    day: date | None = None,
) -> Observation | None:
    """What a layer's judgements, (age in days, verdict) in any order, say of its wear-out.

    None when they say nothing (never seen again). A layer seen gone or fading and later holding
    was dirty, or one of the two was wrong: the later verdict stands, and all of them are kept. Of
    two verdicts on one day the later in the list stands. Raises `Mendable` for an age below zero.
    """
    low, high, held, faded = 0.0, inf, 0.0, inf
    said: dict[float, bool] = {}
    for age, verdict in sorted(seen, key=lambda one: one[0]):
        if not isfinite(age) or age < 0:
            raise Mendable("A layer was judged before it was put on; correct one of the two days.")
        said[max(age, _SHORTEST)] = verdict is Verdict.GONE
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
    return Observation(supply, low, high, exposure, day, held, faded, tuple(said.items()))


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


def in_order(seen: Sequence[Observation], order: Mapping[int, int]) -> list[Observation]:
    """The observations by the place of their supply and the day their layer was put on."""
    row = np.array([order[one.supply] for one in seen], dtype=np.int64)
    applied = np.array([one.applied for one in seen], dtype=float)
    return [seen[at] for at in np.lexsort((applied, row))]


def gather(
    seen: Sequence[Observation], order: Mapping[int, int], at_factor: Sequence[float] = ()
) -> Evidence:
    """The observations as columns, sorted by the place their supply has in `order` and by day.

    `at_factor` is the exposure factor that the label of each place is meant for (empty: 1).
    Raises `Mendable` for an observation that cannot be.
    """
    seen = in_order(seen, order)
    row = np.array([order[one.supply] for one in seen], dtype=np.int64)
    columns = np.array(
        [
            (one.low_days, one.high_days, one.held_days, one.faded_days, one.exposure)
            for one in seen
        ],
        dtype=float,
    ).reshape(-1, 5)
    _refuse_what_cannot_be(seen, columns)
    low, high, held, faded, exposure = columns.T
    exposure = exposure / np.array(at_factor or [1.0] * len(order))[row]
    # How often a layer seen standing was called what this one was called.
    told = (held > 0) | np.isfinite(faded)
    often = float(np.isfinite(faded[told]).mean()) if told.any() else 0.0
    judged, age, before, after = _counted(seen)
    with np.errstate(divide="ignore"):
        low, high, held, faded, exposure, age = (
            np.log(one) for one in (low, high, held, faded, exposure, age)
        )
    return Evidence(
        first=np.searchsorted(row, np.arange(len(order) + 1)).astype(np.int64),
        judged=judged,
        age=age,
        before=before,
        after=after,
        unseen_before=np.ones_like(age),
        unseen_after=np.ones_like(age),
        looks=np.array([len(one.seen) for one in seen], dtype=np.int64),
        low=low,
        high=high,
        held=held,
        faded=faded,
        said=np.where(np.isfinite(faded), often, 1.0 - often),
        applied=np.array([one.applied for one in seen], dtype=float),
        exposure=exposure,
    )


def without_bare_ends(seen: Sequence[Observation]) -> list[Observation]:
    """The observations that say how long layers last, of a shop that may write only what failed.

    An end of which nothing was seen before says that a life was shorter than that, and never that
    it was longer. Beside looks that found layers standing that is right. Alone such ends would
    shorten any life without bound, since they are written when and because a layer failed.
    """
    telling = [one for one in seen if not (one.gone and one.low_days == 0 < one.high_days)]
    bare = len(seen) - len(telling)
    stood = sum(one.low_days > 0 for one in telling)
    few = bare < _FEW_ENDS or bare < _BARE_ENDS * stood
    return list(seen) if few else telling


def _refuse_what_cannot_be(seen: Sequence[Observation], columns: NDArray[np.float64]) -> None:
    low, high, held, faded, exposure = columns.T
    bad = ~(low >= 0) | ~(high > low) | np.isinf(low) | ~(held <= low) | ~(faded > 0)
    bad |= ~(exposure > 0) | np.isinf(exposure)
    if bad.any():
        one = seen[int(np.flatnonzero(bad)[0])]
        raise Mendable(
            f"A layer of supply {one.supply} was seen at ages that cannot be ({one.low_days:g} "
            f"and {one.high_days:g} days, exposure {one.exposure:g}); correct its days."
        )


def _counted(layers: Sequence[Observation]) -> tuple[Ints, NDArray[np.float64], Ints, Ints]:
    """Where each layer's judgements begin, their ages, and how many of the layer's are wrong if it
    wore out just before or just after each.

    A judgement that does not change that count as far as it is counted is left out, but never the
    first: of a layer seen holding often only the last few say something.
    """
    ends, ages, befores, afters = [0], [], [], []
    for layer in layers:
        for age, before, after in _steps(layer.seen, layer.low_days, layer.high_days):
            ages.append(age)
            befores.append(before)
            afters.append(after)
        ends.append(len(ages))
    judged, before_, after_ = (np.array(one, dtype=np.int64) for one in (ends, befores, afters))
    return judged, np.array(ages, dtype=float), before_, after_


@lru_cache(maxsize=10_000)  # the same layers are looked at again after every judgement
def _steps(
    seen: tuple[tuple[float, bool], ...], low: float, high: float
) -> list[tuple[float, int, int]]:
    """The judgements of one layer: (age, wrong ones if worn out before it, if after it)."""
    if not seen:
        stood = [(low, NEVER, 0)] if low > 0 else []
        return [*stood, (high, 0, NEVER)] if high < inf else stood
    # Worn out before the first of them: all that said holding were wrong.
    wrong = sum(not gone for _, gone in seen)
    found: list[tuple[float, int, int]] = []
    for age, gone in seen:
        before, wrong = wrong, wrong + (1 if gone else -1)
        counted = min(before, MOST_WRONG), min(wrong, MOST_WRONG)
        if not found or counted[0] != counted[1]:
            found.append((age, *counted))
    return found
