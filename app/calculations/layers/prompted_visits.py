"""Visits made because a layer failed, and judgements written because it did.

How long layers last is learnt from the spans between looks, and that is right where the day of a
look has nothing to do with how the layer fares. Where people come because it failed, or a shop
writes *gone* and seldom *holding*, an end lies near the day it was seen, and seldom somewhere in
the long span before.

So a worn layer may be seen, on any day, `prompt` likelier than a holding one. What is usual is
taken as it is: how likely a look is so many days after the last one, in spans of their own, first
looks after a layer was put on apart from later ones, times a number for each supply (piecewise
constant hazards: Holford, Biometrics 36, 1980, 299-305). Where looks depend on the state, the days
of the looks belong into the likelihood (Gruger, Kay and Schumacher, Biometrics 47, 1991, 595-605):
a layer is worn and unseen for d days with a chance of exp(-prompt x d).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from app.calculations.layers.life_evidence import JUDGED, LOG2, Evidence
from app.calculations.layers.sightings import Observation

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Days since the last look at which the usual chance of a look may change. Judgement, no source.
_EDGES = np.array([7, 14, 21, 30, 45, 60, 80, 100, 125, 150, 180, 210, 250, 300, 400, 550, 800.0])
# Pieces of the time that a layer was worn and not seen, back from the look, in 1 / prompt.
# Our choice: a quadrature to 0.03 of a log likelihood.
_BACK = np.array([8.0, 6.0, 4.5, 3.5, 2.7, 2.0, 1.4, 0.9, 0.5, 0.2])
_ROUNDS = 30
# Looks by which a supply's vehicles are taken to come as often as all others. Judgement, no source.
_ALIKE = 2.0
_LEAST = 0.05  # days: no layer is put on and worn out within them
_STEPS = (np.arange(16) + 0.5) / 16


@dataclass(frozen=True, slots=True)
class Looks:
    """Looks at the layers of S supplies, counted by how long after the last look they came.

    `held`, `gone` (S, B) count what was seen and `waited` the days spent in each span. Of each end:
    its days since the last look (`gap`), and its `supply` and `span` in these tables.
    """

    held: Floats
    gone: Floats
    waited: Floats
    gap: Floats
    supply: Ints
    span: Ints

    @classmethod
    def of(cls, seen: Sequence[Observation], order: Mapping[int, int]) -> Looks:
        """The looks of observations that are `in_order`.

        Those after a layer was first seen gone are left out; all of them, where not every look of
        a layer is known.
        """
        rows: list[tuple[float, bool, bool, int]] = []
        for one in seen if all(one.seen for one in seen) else ():
            last = 0.0
            for age, _ in one.seen:
                if age > one.low_days:
                    break
                rows.append((age - last, False, last > 0.0, order[one.supply]))
                last = age
            if one.gone:
                rows.append((one.high_days - last, True, last > 0.0, order[one.supply]))
        gap, gone, later, supply = np.array(rows, dtype=float).reshape(-1, 4).T
        ended, lines = gone > 0, supply.astype(np.int64)
        size = len(_EDGES) + 1
        place = np.searchsorted(_EDGES, gap) + size * later.astype(np.int64)
        starts = np.concatenate([[0.0], _EDGES])
        spent = np.clip(gap[:, None] - starts, 0.0, np.append(np.diff(starts), np.inf))
        held, went, waited = (np.zeros((len(order), 2 * size)) for _ in range(3))
        np.add.at(held, (lines[~ended], place[~ended]), 1.0)
        np.add.at(went, (lines[ended], place[ended]), 1.0)
        columns = np.arange(size) + size * later.astype(np.int64)[:, None]
        np.add.at(waited, (lines[:, None], columns), spent)
        return cls(held, went, waited, gap[ended], lines[ended], place[ended])

    def usual(self, prompt: float) -> Floats:
        """The likeliest usual chance of a look a day, for each supply in each span (S, B).

        A chance for each span, times one for each supply, whose vehicles may come more often.
        """
        times = np.ones((len(self.held), 1))
        rate = (self.held + self.gone).sum(axis=0) / np.maximum(self.waited.sum(axis=0), _LEAST)
        for _ in range(_ROUNDS):
            chance = times * rate
            own = self.held + self.gone * chance / np.maximum(chance + prompt, 1e-12)
            due = (rate * self.waited).sum(axis=1)
            times = ((own.sum(axis=1) + _ALIKE) / (due + _ALIKE))[:, None]
            rate = own.sum(axis=0) / np.maximum((times * self.waited).sum(axis=0), _LEAST)
        return np.asarray(times * rate)

    def worth(self, prompt: float) -> float:
        """The log likelihood of the days of all looks, but for exp(-prompt x days worn)."""
        usual = self.usual(prompt)
        held = self.held * np.log(np.maximum(usual, 1e-300))
        gone = self.gone * np.log(np.maximum(usual + prompt, 1e-300))
        return float((held + gone - usual * self.waited).sum())

    def usual_at_ends(self, prompt: float) -> Floats:
        """The usual chance of a look a day when each end was seen."""
        return np.asarray(self.usual(prompt)[self.supply, self.span])

    def doubt(self, seen: Evidence, medians: Floats, shapes: Floats, wrong: float) -> float:
        """How far more looks found layers gone than the usual chance of one explains.

        In standard deviations (a score test of `prompt`; about 0 where nothing prompts). `seen` is
        at the label's exposure, `medians` and `shapes` (S,) logs of the lives learnt so far.
        """
        ended = np.flatnonzero(np.isfinite(seen.high))
        if not self.gap.size:
            return 0.0
        supply = np.searchsorted(seen.first, ended, side="right") - 1
        low, high = np.exp(seen.low[ended]), np.exp(seen.high[ended])
        cuts = low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, 17)
        shape, median = np.exp(shapes[supply])[:, None], np.exp(medians[supply])[:, None]
        still = np.exp(-LOG2 * np.minimum((cuts / median) ** shape, 700.0))
        fell = np.maximum(-np.diff(still, axis=1), 1e-300)
        right = (1 - wrong) * fell.sum(axis=1)
        right = right / (right + wrong * still[:, -1])
        part = (fell * (1.0 - _STEPS)).sum(axis=1) / fell.sum(axis=1)
        usual = 1.0 / self.usual_at_ends(0.0)
        worn = part * self.gap
        return float((right * (usual - worn)).sum() / np.sqrt((right * usual**2).sum()))


def prompted(seen: Evidence, looks: Looks, prompt: float) -> Evidence:
    """The same where a worn layer is seen by `prompt` a day likelier than a holding one.

    `seen` as it was gathered, in days that went by. The time before each end is cut into pieces,
    each with the mean chance in it not to have been seen until then. Of what was put on lately
    hardly more is known than what failed, so the days on which layers were put on are left out.
    """
    ended = np.flatnonzero(np.isfinite(seen.high))
    layer = np.repeat(np.arange(seen.low.size), np.diff(seen.judged))
    row = np.full(seen.low.size, -1)
    at_end = np.flatnonzero(seen.age == seen.high[layer])
    row[layer[at_end]] = at_end
    usual = np.ones(seen.low.size)
    usual[ended] = looks.usual_at_ends(prompt)
    ended = ended[row[ended] >= 0]
    row = row[ended]
    high = np.exp(seen.high[ended])
    low = np.maximum(np.exp(seen.low[ended]), _LEAST)
    back = np.minimum(_BACK / prompt, (high - low)[:, None])
    edges = prompt * np.column_stack([high - low, back, np.zeros_like(high)])
    unseen = _mean(edges[:, :-1], edges[:, 1:])

    opened = np.ones(seen.low.size)
    opened[ended] = unseen[:, 0]
    before = np.where(seen.age < seen.high[layer], opened[layer], 1.0)
    after = before.copy()
    before[row] = unseen[:, -1]
    # Where it was not gone, only the usual looks can have said so.
    after[row] = usual[ended] / (usual[ended] + prompt)
    own = (seen.age, seen.before, seen.after, before, after)
    count = np.repeat(seen.before[row], len(_BACK))
    cuts = np.log(high[:, None] - back).ravel()
    added = (cuts, count, count, unseen[:, :-1].ravel(), unseen[:, 1:].ravel())
    where = np.repeat(row, len(_BACK))
    columns = zip(JUDGED, own, added, strict=True)
    more = np.zeros(seen.low.size + 1, dtype=np.int64)
    more[ended + 1] = len(_BACK)
    return replace(
        seen,
        judged=seen.judged + np.cumsum(more),
        applied=np.full_like(seen.applied, np.nan),
        **{name: np.insert(mine, where, new) for name, mine, new in columns},
    )


def _mean(begins: Floats, closes: Floats) -> Floats:
    """The mean of exp(-x) for x from `closes` to `begins`."""
    span = np.maximum(begins - closes, 1e-9)
    return np.asarray(-np.exp(-closes) * np.expm1(-span) / span)
