"""Learn a shop's habits from its judgements: each by how likely it makes what was seen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import exp, sqrt

import numpy as np
from numpy.typing import NDArray

from app.calculations.layers.habits import Fading, Habits
from app.calculations.layers.life_changes import Changes, find_changes
from app.calculations.layers.life_evidence import Evidence, KeptSights
from app.calculations.layers.life_memory import Memory, snapped
from app.calculations.layers.life_points import LifePoints
from app.calculations.layers.life_posterior import GRID, Posterior, infer
from app.calculations.layers.prompted_visits import Looks, prompted

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# How far the exposure factors hold: 1 as the scale says, 0 not at all. Judgement, no source.
STRENGTH_SPREAD = 0.15
_STEP, _STEPS = 0.3, 3  # strengths are looked for in steps of 0.3, from 0.1 to 1.9
_LOOSE = 3.0  # times as wide as the posterior at 1 are the first grids at other strengths
# Shares of a life during which a layer may be called fading, alike likely at first. Judgement, no
# source.
_FADING = (0.06, 0.12, 0.20, 0.30, 0.42, 0.55)
# They are looked at from here uphill, and on to either side until one is as good as impossible.
_MIDDLE, _NOTHING = 2, 12.0
# Beyond so many standard deviations (`Looks.doubt`) it is asked whether looks are prompted by what
# they find; the answer is yes where that makes all that was seen likelier by so much, as a
# logarithm. In simulated shops it was 15 to 530 where they were, 1.4 at most where not.
_PROMPTED, _GAIN = 0.5, 5.0
# The days until a worn layer is seen because of it are looked for by doubling and halving.
_PROMPT_DAYS, _DOUBLINGS = 80.0, 4
_FINE = 0.02  # to which habits are rounded, far below what is known of them (`life_memory`)
# A distribution of strengths by its standard deviations and weights (Gauss and Hermite).
_DOUBTS = ((-sqrt(3.0), 1 / 6), (0.0, 2 / 3), (sqrt(3.0), 1 / 6))


@dataclass(frozen=True, slots=True)
class Shop:
    """What a shop saw of its layers and what its labels say; arrays as `infer` has them."""

    evidence: Evidence
    looks: Looks
    classes: Ints
    promised: Floats
    spread: Floats
    memory: Memory = field(default_factory=Memory)

    def changes(self, habits: Habits) -> list[Changes]:
        """When each supply may have changed."""
        return find_changes(self.evidence, self.promised, self.spread, habits, self.memory)

    def infer(
        self,
        habits: Habits,
        changes: list[Changes],
        near: Posterior | None = None,
        *,
        learn_wrong: bool = False,
        loose: float = 1.0,
    ) -> Posterior:
        """The posterior of its lives."""
        return infer(
            self.evidence,
            self.classes,
            self.promised,
            self.spread,
            habits,
            changes,
            learn_wrong=learn_wrong,
            near=near,
            loose=loose,
            memory=self.memory,
        )


@dataclass(frozen=True)
class Learnt:
    """A shop's habits, and the posterior under the likeliest of them."""

    shop: Shop
    habits: Habits
    changes: list[Changes]
    found: Posterior

    @cached_property
    def doubted(self) -> tuple[tuple[float, float, Posterior], ...]:
        """(Strength, weight, posterior) under each strength that the exposure factors may have.

        Worked out when a band is asked for: no day to write depends on it.
        """
        strength, doubt = self.habits.strength, self.habits.strength_doubt
        if not doubt:
            return ((strength, 1.0, self.found),)
        others = [(strength + off * doubt, weight) for off, weight in _DOUBTS]
        return tuple(
            (
                other,
                weight,
                self.found
                if other == strength
                else self.shop.infer(
                    replace(self.habits, strength=other), self.changes, self.found
                ),
            )
            for other, weight in others
        )

    def points(self, supply: int, learnt: bool) -> LifePoints:
        """A supply's life under the likeliest habits; `learnt`: its layers were seen again."""
        return LifePoints.kept(*self.found.of(supply), learnt, self.habits.strength)

    def doubted_points(self, supply: int, learnt: bool) -> LifePoints:
        """The same under every strength that may be."""
        each = [(strength, part, *one.of(supply)) for strength, part, one in self.doubted]
        medians, shapes, weights, strengths = (
            np.concatenate(column)
            for column in zip(
                *(
                    (median, shape, part * weight, np.full_like(weight, strength))
                    for strength, part, median, shape, weight in each
                ),
                strict=True,
            )
        )
        return LifePoints.kept(medians, shapes, weights, learnt, strengths)


def learn_habits(shop: Shop) -> Learnt:
    """The habits of a shop and the posteriors of its lives under them."""
    habits = Habits()
    changes = shop.changes(habits)
    found = shop.infer(habits, changes, learn_wrong=True)
    habits = replace(habits, wrong=found.wrong)
    shop, found = _prompted(shop, habits, found)
    changes = shop.changes(habits)
    strength, doubt = _strength(shop, habits, changes, found)
    strength, doubt = snapped(strength, _FINE), max(snapped(doubt, _FINE), min(doubt, _FINE))
    habits = replace(habits, strength=strength, strength_doubt=doubt)
    changes = shop.changes(habits)
    found = shop.infer(habits, changes, found, learn_wrong=True)
    habits = replace(habits, wrong=found.wrong)
    fading = _fading(shop, found, habits, changes)
    if fading is not habits.fading:
        fading = Fading.lasting(snapped(fading.share, _FINE), fading.trusted)
        habits = replace(habits, fading=fading)
        changes = shop.changes(habits)
        found = shop.infer(habits, changes, found, learn_wrong=True)
        habits = replace(habits, wrong=found.wrong)
    return Learnt(shop, habits, changes, found)


def _prompted(shop: Shop, habits: Habits, found: Posterior) -> tuple[Shop, Posterior]:
    """The shop as it is where looks are prompted by what they find, if any are."""
    median, shape = ((found.weight * one).sum(axis=1) for one in (found.median, found.shape))
    if shop.looks.doubt(shop.evidence.at_label(1.0), median, shape, habits.wrong) < _PROMPTED:
        return shop, found
    worth: dict[int, float] = {}

    def under(place: float) -> tuple[Shop, Posterior, float]:
        prompt = 2.0**place / _PROMPT_DAYS
        other = replace(shop, evidence=prompted(shop.evidence, shop.looks, prompt))
        lives = other.infer(habits, other.changes(habits), found, loose=_LOOSE)
        return other, lives, lives.evidence + shop.looks.worth(prompt)

    def at(place: int) -> float:
        if place not in worth:
            worth[place] = under(place)[2]
        return worth[place]

    usual = found.evidence + shop.looks.worth(0.0)
    if max(at(0), at(-2)) < usual:
        return shop, found
    place = _highest(at, _DOUBLINGS)
    offset, _ = _summit(at(place - 1), at(place), at(place + 1))
    other, lives, likely = under(place + offset)
    return (other, lives) if likely - usual > _GAIN else (shop, found)


def _highest(at: Callable[[int], float], most: int, start: int = 0) -> int:
    """The place at which `at` is greatest, going uphill for `most` steps at the most."""
    place = start
    while abs(place - start) < most and at(place) < max(at(place - 1), at(place + 1)):
        place += 1 if at(place + 1) > at(place - 1) else -1
    return place


def _summit(low: float, mid: float, high: float) -> tuple[float, float]:
    """Where a parabola through three heights is highest, from -1 to 1, and how far it bends."""
    bend = low - 2 * mid + high
    return (float(np.clip((low - high) / (2 * bend), -1.0, 1.0)) if bend < 0 else 0.0), bend


def _strength(
    shop: Shop, habits: Habits, changes: list[Changes], found: Posterior
) -> tuple[float, float]:
    """The power to which the exposure factors hold, and its standard deviation: of a parabola.

    The log evidence, with the prior's, at three strengths around 1; while it is greatest at
    the edge, the three move on by one. `found` is the posterior at 1. Without layers of unlike
    exposure the answer is 1, in as much doubt as before where vehicles are unlike the labels'.
    """
    exposure = shop.evidence.exposure
    if not exposure.size or np.abs(exposure).max() < 1e-3:
        return 1.0, 0.0
    if np.ptp(exposure) < 1e-3:
        return 1.0, STRENGTH_SPREAD
    worth = {0: found.evidence}

    def at(place: int) -> float:
        if place not in worth:
            strength = 1.0 + place * _STEP
            under = replace(habits, strength=strength)
            other = shop.infer(under, changes, found, loose=_LOOSE)
            worth[place] = other.evidence - ((strength - 1.0) / STRENGTH_SPREAD) ** 2 / 2
        return worth[place]

    place = _highest(at, _STEPS)
    offset, bend = _summit(at(place - 1), at(place), at(place + 1))
    if bend >= 0:
        return 1.0 + place * _STEP, STRENGTH_SPREAD
    doubt = min(_STEP / sqrt(-bend), STRENGTH_SPREAD)
    return 1.0 + (place + offset) * _STEP, doubt


def _fading(shop: Shop, found: Posterior, habits: Habits, changes: list[Changes]) -> Fading:
    """What this shop means by fading; nothing when it never says so, or says it at random."""
    seen = shop.evidence.at_label(habits.strength)
    if not np.isfinite(seen.faded).any():
        return habits.fading
    told = np.isfinite(seen.held) | np.isfinite(seen.faded)
    grids = [
        (supply, rows, rows.mark, label, *_axes(found, supply))
        for supply, label in enumerate(shop.promised.tolist())
        if (rows := seen.of(supply)).low.size
    ]

    def likelihoods(fading: Fading, changes: list[Changes]) -> list[Floats]:
        each = []
        for supply, rows, mark, label, medians, shapes in grids:
            sights = KeptSights(shop.memory, mark, medians, shapes, rows, label, fading)
            change = changes[supply]
            sums = sights.sums(change.inside, habits.wrong)
            each.append(change.likelihood(sums, change.laid_over(medians, shapes)))
        return each

    with np.errstate(divide="ignore"):
        weights = [np.log(found.weight[supply].reshape(GRID)) for supply, *_ in grids]
    usual = likelihoods(habits.fading, changes)
    bases = [one - other for one, other in zip(weights, usual, strict=True)]
    gains: dict[int, float] = {}

    def at(place: int) -> float:
        """How much likelier a share makes what was seen: for each supply the mean of the ratio of
        likelihoods over the posterior found without it; multiplied over the supplies."""
        if not 0 <= place < len(_FADING):
            return -np.inf
        if place not in gains:
            # The words make a layer less likely than its ends alone. Before a change they must
            # count as they do since, else each change spares the older layers that, and random
            # words seem true.
            fading = Fading.lasting(_FADING[place])
            under = likelihoods(fading, shop.changes(replace(habits, fading=fading)))
            each = [base + one for base, one in zip(bases, under, strict=True)]
            gains[place] = sum(
                gain.max() + np.log(np.exp(gain - gain.max()).sum()) for gain in each
            )
        return gains[place]

    top = _highest(at, len(_FADING), _MIDDLE)
    for way in (-1, 1):  # to either side, as far as it weighs anything
        place = top
        while at(place) > at(top) - _NOTHING:
            place += way
    likely = {place: exp(gain - at(top)) for place, gain in gains.items()}
    if at(top) < np.log(seen.said[told]).sum():
        return habits.fading
    mean = sum(weight * _FADING[place] for place, weight in likely.items())
    return Fading.lasting(mean / sum(likely.values()))


def _axes(found: Posterior, supply: int) -> tuple[Floats, Floats]:
    """The log medians and log shapes of a supply's grid."""
    return found.median[supply].reshape(GRID)[:, 0], found.shape[supply].reshape(GRID)[0]
