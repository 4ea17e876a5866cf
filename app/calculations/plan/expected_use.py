"""What a job is expected to use: the recipe, corrected by the shop's own confirmed uses.

A recipe line says what a medium vehicle in average condition takes. Size and condition scale it;
then the shop's own confirmed uses correct it. What is learnt is the mean of log(used / recipe),
by supply x service x size, leaning on supply x service, that on the supply, and that on 0, which
is the recipe itself. Each level leans on the one above like on `LEAN` observations: four uses of
one kind of job move its expectation a little more than halfway to what was used, ten five sixths.

The statistics are those of normal shrinkage with known prior strength (posterior mean
`(sum + k * parent) / (n + k)`); a wild entry is held down by the weights of a t distribution with
four degrees of freedom (Lange, Little and Taylor, *JASA* 84, 1989, 881-896; from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, isfinite
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from app.calculations.numbers.chances import normal_quantile
from app.errors import Mendable

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Common practice, no source; a shop may pass its own.
SIZE_FACTORS: Mapping[str, float] = MappingProxyType({"S": 0.8, "M": 1.0, "L": 1.3, "XL": 1.8})
CONDITION_FACTORS: Mapping[str, float] = MappingProxyType(
    {"kept": 0.8, "average": 1.0, "neglected": 1.4, "extreme": 2.0}
)

LEAN = 12.0  # observations that the level above counts for; judgement, no source
SPREAD = 0.35  # of log(used / recipe) before anything is known; common practice, no source
SPREAD_LEAN = 10.0  # observations that the spread above counts for
HALF_LIFE = 730.0  # days after which a confirmed use counts half: habits and goods change
FREEDOM = 4.0  # degrees of freedom of the t weights
# mean of weight x squared distance where the uses are normal after all: the integral of
# (FREEDOM + 1) z² / (FREEDOM + z²) over the normal density
NORMAL_SHARE = 0.7863
ROUNDS = 4
KEPT = 12  # past uses that are handed out
WIDEST = 1.5  # of the spread, whatever was typed


@dataclass(frozen=True, slots=True)
class ConfirmedUse:
    """A confirmed use: what the recipe said for that job and what was used (base units).

    Uses marked "from recipe" must not be given: they would teach the recipe to itself. `used` 0
    is a confirmed "not used".
    """

    supply: int
    service: int
    size: str
    recipe: int
    used: int
    day_ordinal: int


@dataclass(frozen=True, slots=True)
class Expected:
    """What a job is expected to use, in base units."""

    amount: int  # the middle use (median)
    low: int  # four in five uses lie within low..high
    high: int
    n: int  # confirmed uses behind it: of this supply and service
    past: tuple[int, ...]  # confirmed uses scaled to this job, latest first
    spread: float  # standard deviation of the natural logarithm, as the reorder rule reads it


def recipe_amount(
    amount: int,
    scaling: str,
    size: str = "M",
    condition: str = "average",
    *,
    layers: int = 1,
    size_factors: Mapping[str, float] = SIZE_FACTORS,
    condition_factors: Mapping[str, float] = CONDITION_FACTORS,
) -> int:
    """A recipe line for one job, in base units.

    `scaling` is one of

    - ``fixed``: the same for every vehicle;
    - ``size``: times the size factor;
    - ``size_condition``: times the size and the condition factor;
    - ``layer``: times the size factor and the number of layers;
    - ``container``: whole containers, `amount` to a layer, whatever the vehicle.
    """
    if amount < 0:
        raise Mendable(f"A recipe cannot use {amount}; enter zero or more.")
    if scaling == "fixed":
        return amount
    if scaling == "container":
        return amount * max(layers, 0)
    factor = _factor(size_factors, size, "size")
    if scaling == "size_condition":
        factor *= _factor(condition_factors, condition, "condition")
    elif scaling == "layer":
        factor *= max(layers, 0)
    elif scaling != "size":
        raise Mendable(f"A recipe line cannot be scaled by “{scaling}”.")
    return round(amount * factor)


def _factor(factors: Mapping[str, float], key: str, what: str) -> float:
    factor = factors.get(key)
    if factor is None or not isfinite(factor) or factor < 0:
        raise Mendable(f"There is no factor for {what} “{key}”; set one in the settings.")
    return factor


@dataclass(frozen=True, slots=True)
class _Learnt:
    """One kind of job: mean of the log ratio, its variance, spread, share of "not used"."""

    mean: float
    doubt: float
    spread: float
    unused: float


@dataclass(frozen=True, slots=True, repr=False, eq=False)
class Corrections:
    """What the shop's confirmed uses taught; made by `fit`, never changed afterwards.

    `ratios` are used / recipe by supply x service, latest first, `slices` where each begins, ends.
    """

    by_supply: dict[int, _Learnt]
    by_service: dict[tuple[int, int], _Learnt]
    by_size: dict[tuple[int, int, str], _Learnt]
    ratios: Floats
    slices: dict[tuple[int, int], tuple[int, int]]

    def expect(self, supply: int, service: int, size: str, recipe_amount: int) -> Expected:
        """The expected use of a supply on a job whose recipe says `recipe_amount` base units.

        A service or size not met before leans on what is known of the supply, a supply not met
        before on the recipe. Where more than half of the uses were "not used", the middle is 0.
        """
        if recipe_amount < 0:
            raise Mendable(f"A recipe cannot use {recipe_amount}; enter zero or more.")
        learnt = (
            self.by_size.get((supply, service, size))
            or self.by_service.get((supply, service))
            or self.by_supply.get(supply)
            or _NOTHING
        )
        start, end = self.slices.get((supply, service), (0, 0))
        past = tuple(
            round(ratio * recipe_amount) for ratio in self.ratios[start : start + KEPT].tolist()
        )[: end - start]
        whole = (learnt.spread**2 + learnt.doubt) ** 0.5

        def share(below: float) -> int:
            """The amount that this share of uses stays below."""
            if below <= learnt.unused:
                return 0
            z = normal_quantile((below - learnt.unused) / (1.0 - learnt.unused))
            return round(recipe_amount * exp(learnt.mean + whole * z))

        return Expected(share(0.5), share(0.1), share(0.9), end - start, past, whole)


_NOTHING = _Learnt(0.0, SPREAD**2 / LEAN, SPREAD, 0.0)


def fit(observations: Sequence[ConfirmedUse]) -> Corrections:
    """Learn the corrections from confirmed uses, in any order."""
    supplies = np.array([one.supply for one in observations], dtype=np.int64)
    services = np.array([one.service for one in observations], dtype=np.int64)
    recipes = np.array([one.recipe for one in observations], dtype=float)
    uses = np.array([one.used for one in observations], dtype=float)
    days = np.array([one.day_ordinal for one in observations], dtype=np.int64)
    # Without a recipe amount there is nothing to correct; a negative use is a return.
    good = (recipes > 0) & (uses >= 0)
    if not good.any():
        return Corrections({}, {}, {}, np.empty(0), {})
    names, sizes = _numbered([one.size for one in observations])
    keys = np.stack([supplies[good], services[good], sizes[good]])
    ratios, days = uses[good] / recipes[good], days[good]

    # One sort puts every kind of job together.
    order = np.argsort(_code(keys[0], keys[1], keys[2]), kind="stable")
    keys, ratios, days = keys[:, order], ratios[order], days[order]
    weights = 0.5 ** ((days.max() - days) / HALF_LIFE)
    fine, middle, coarse = (_starts(keys[:depth]) for depth in (3, 2, 1))
    fine_to_middle = np.searchsorted(middle, fine, side="right") - 1
    middle_to_coarse = np.searchsorted(coarse, middle, side="right") - 1

    some = ratios > 0
    logs = np.log(ratios, out=np.zeros_like(ratios), where=some)
    weighing = np.where(some, weights, 0.0)
    recipe_itself = np.zeros(1), np.zeros(1), np.array([SPREAD])
    top = _level(logs, weighing, coarse, np.zeros_like(coarse), *recipe_itself)
    mid = _level(logs, weighing, middle, middle_to_coarse, *top)
    low = _level(logs, weighing, fine, fine_to_middle, *mid, learn_spread=False)

    # "Not used" is learnt by supply x service only; two uses count for "always used".
    total = np.add.reduceat(weights, middle)
    unused = np.add.reduceat(np.where(some, 0.0, weights), middle) / (total + 2.0)

    kinds: list[tuple[int, int]] = list(zip(*keys[:2, middle].tolist(), strict=True))
    by_size = zip(*keys[:, fine].tolist(), strict=True)
    ends = [*middle[1:].tolist(), ratios.size]
    latest = np.argsort(_code(keys[0], keys[1], -days), kind="stable")
    return Corrections(
        {a: _Learnt(*t, 0.0) for a, t in zip(keys[0, coarse].tolist(), _rows(top), strict=True)},
        {k: _Learnt(*t, u) for k, t, u in zip(kinds, _rows(mid), unused.tolist(), strict=True)},
        {
            (a, b, names[c]): _Learnt(*t, u)
            for (a, b, c), t, u in zip(
                by_size, _rows(low), unused[fine_to_middle].tolist(), strict=True
            )
        },
        ratios[latest],
        {k: (a, b) for k, a, b in zip(kinds, middle.tolist(), ends, strict=True)},
    )


def _numbered(words: Sequence[str]) -> tuple[list[str], Ints]:
    """The different words, and for each word its place among them."""
    names = sorted(set(words))
    place = {name: i for i, name in enumerate(names)}
    return names, np.fromiter((place[w] for w in words), dtype=np.int64, count=len(words))


def _code(*keys: Ints) -> Ints:
    """One number for each row that sorts like the keys, the first one first."""
    code = np.zeros(keys[0].size, dtype=np.int64)
    for key in keys:
        low, high = int(key.min()), int(key.max())
        if high - low > 2**20:  # scattered numbers: their ranks do as well
            key = np.unique(key, return_inverse=True)[1]
            low, high = 0, int(key.max())
        code = code * (high - low + 1) + (key - low)
    return code


def _starts(keys: Ints) -> Ints:
    """Where each different combination begins in sorted keys (keys x rows)."""
    new = np.ones(keys.shape[1], dtype=bool)
    new[1:] = (keys[:, 1:] != keys[:, :-1]).any(axis=0)
    return np.flatnonzero(new)


def _rows(level: tuple[Floats, Floats, Floats]) -> list[tuple[float, float, float]]:
    return list(zip(*(column.tolist() for column in level), strict=True))


def _level(
    logs: Floats,
    weights: Floats,
    starts: Ints,
    parent: Ints,
    parent_mean: Floats,
    parent_doubt: Floats,
    parent_spread: Floats,
    learn_spread: bool = True,
) -> tuple[Floats, Floats, Floats]:
    """Mean of each group, how uncertain it is (variance), and spread, leaning on its parent's.

    logs, weights: rows, sorted by group; starts, parent: groups.
    """
    lengths = np.diff(np.append(starts, logs.size))
    above, spread_above = parent_mean[parent], parent_spread[parent]
    mean, spread = above, spread_above
    count = np.add.reduceat(weights, starts)
    for _ in range(ROUNDS):
        square = (logs - np.repeat(mean, lengths)) ** 2
        held = weights * (FREEDOM + 1.0) / (FREEDOM + square / np.repeat(spread**2, lengths))
        mean = (np.add.reduceat(held * logs, starts) + LEAN * above) / (
            np.add.reduceat(held, starts) + LEAN
        )
        if learn_spread:
            around = np.add.reduceat(held * square, starts) / NORMAL_SHARE
            spread = np.sqrt((around + SPREAD_LEAN * spread_above**2) / (count + SPREAD_LEAN))
            spread = np.minimum(spread, WIDEST)
    trust = LEAN / (count + LEAN)
    doubt = spread**2 / (count + LEAN) + trust**2 * parent_doubt[parent]
    return mean, doubt, spread
