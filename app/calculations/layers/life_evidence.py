"""What was seen of layers, and how likely that is for a given Weibull life."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property
from hashlib import blake2b
from math import log, log1p

import numpy as np
from numpy.typing import NDArray

from app.calculations.layers.habits import TRUST, Fading
from app.calculations.layers.life_memory import Memory
from app.errors import check_stop

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LOG2 = log(2.0)

# More wrong judgements of one layer than these are no less likely: what ended a layer that was no
# wear (a strip wash elsewhere, a repaint) is seen again and again. Judgement, no source.
MOST_WRONG = 3
# In the place of such a count where only two ages are known of a layer: it cannot be. One such end
# in a hundred is something else than wear, and says nothing. Judgement, no source.
NEVER = MOST_WRONG + 1
STRAYS = 0.01

_LONGEST_POWER = 80.0  # exp() of it is as good as infinite, and still multiplies without overflow
_LONGEST_RATE = 600.0  # exp() of it times that of the one above is still a number


_ODDS = 0.1  # to which the log odds of a word are rounded

# The columns of judgements; the others are of layers.
JUDGED = ("age", "before", "after", "unseen_before", "unseen_after")


@dataclass(frozen=True, slots=True)
class Evidence:
    """What was seen: rows for layers, sorted by supply and by the day they were put on.

    `first[s]` to `first[s + 1]` are the layers of supply s, `judged[i]` to `judged[i + 1]` the
    judgements of layer i. All ages are natural logarithms of days. Of a judgement at `age`,
    `before` is how many judgements of its layer were wrong if it wore out just before it, `after`
    if just after it (at most `MOST_WRONG`, or `NEVER`). `looks` counts the judgements of
    a layer, 0 where they are not known one by one. `unseen_before` and `unseen_after` weigh how
    likely such a layer would not have been seen until it was (`prompted_visits`; 1 elsewhere).

    Of a layer: it was last seen holding at `held` and first seen fading at `faded`, last seen
    standing at `low` and seen gone at `high` (-inf for age zero or never, +inf for not yet).
    `said` is how often the shop says what it said of the layer when it was last seen standing,
    `applied` the ordinal of the day it was put on (nan where unknown), `exposure` the logarithm
    of the factor on its life, 0 at the factor its label is meant for.
    """

    first: Ints
    judged: Ints
    age: Floats
    before: Ints
    after: Ints
    unseen_before: Floats
    unseen_after: Floats
    looks: Ints
    low: Floats
    high: Floats
    held: Floats
    faded: Floats
    said: Floats
    applied: Floats
    exposure: Floats

    def at_label(self, strength: float) -> Evidence:
        """The same with ages as if every vehicle stood as its label has it."""
        shift = strength * self.exposure
        ages = {name: getattr(self, name) - shift for name in ("low", "high", "held", "faded")}
        age = self.age - np.repeat(shift, np.diff(self.judged))
        return replace(self, age=age, exposure=np.zeros_like(shift), **ages)

    @property
    def rounded(self) -> Evidence:
        """The same, `said` rounded so that it does not move with every layer (`life_memory`)."""
        with np.errstate(divide="ignore"):
            odds = np.log(self.said) - np.log1p(-self.said)
        return replace(self, said=1.0 / (1.0 + np.exp(-np.rint(odds / _ODDS) * _ODDS)))

    @property
    def prompted(self) -> bool:
        """Whether looks have to do with how the layers fare."""
        return bool(np.any(self.unseen_before != 1.0))

    def of(self, supply: int) -> Evidence:
        """The rows of one supply."""
        rows = slice(int(self.first[supply]), int(self.first[supply + 1]))
        ends = self.judged[rows.start : rows.stop + 1]
        sights = slice(int(ends[0]), int(ends[-1]))
        cut = {name: getattr(self, name)[sights] for name in JUDGED}
        whole = {
            one.name: getattr(self, one.name)[rows]
            for one in fields(self)
            if one.name not in (*cut, "first", "judged")
        }
        count = np.array([0, rows.stop - rows.start])
        return Evidence(first=count, judged=ends - ends[0], **cut, **whole)

    @property
    def mark(self) -> bytes:
        """What tells these rows from all that are not the same."""
        told = blake2b(digest_size=16)
        for one in fields(self):
            column = np.ascontiguousarray(getattr(self, one.name))
            told.update(len(column).to_bytes(8, "little"))
            told.update(column.data)
        return told.digest()


class Sights:
    """One supply's layers (n,) laid over (J,) log medians by (L,) log shapes.

    Survival at age t is exp(-H), H = log 2 (t / median) ** shape. The chance of a layer's
    judgements is a sum over the spans between them: that it wore out there, times the rate of
    wrong judgements for each that would have been wrong. `seen` is at the label's exposure, and
    `label` the log of the label's middle in days, about which strays end.

    In a shop whose word of `fading` is trusted, a layer's chance is that of wearing out so late
    that it still held when it did and so early that it faded when it did.

    Arrays run along layers or judgements first, which adds them up fastest.
    """

    def __init__(
        self, medians: Floats, shapes: Floats, seen: Evidence, label: float, fading: Fading
    ) -> None:
        self._seen = seen
        self._brief = (seen.looks == 0) & np.isfinite(seen.high)
        self._grid = np.array([label]), np.zeros(1)
        low, high = seen.low[self._brief], seen.high[self._brief]
        self._stray = np.maximum(self._survival(low) - self._survival(high), 1e-12)
        self._grid = medians, shapes
        self._still = self._survival(seen.age)
        self._told = np.zeros(seen.low.size, dtype=bool)
        if fading.trusted and seen.low.size:
            self._told = (np.maximum(seen.held, -_FAR) > -_FAR) | (seen.faded < np.inf)
            self._lay_fading(fading)

    def _lay_fading(self, fading: Fading) -> None:
        """The chance of the words, where they mean what they say; and of a wrong end after."""
        told = self._told
        low, high, held, faded = (
            getattr(self._seen, name)[told] for name in ("low", "high", "held", "faded")
        )
        self._right = np.zeros((low.size, *self._still.shape[1:]))
        self._later = np.zeros_like(self._right)
        gone = np.isfinite(high)
        for part, weight in zip(fading.parts.tolist(), fading.weights.tolist(), strict=True):
            start = np.maximum(low, held - log(part))
            end = np.maximum(start, np.minimum(high, faded - log(part)))
            ends = np.isfinite(end)
            after = np.maximum(start, high)[gone]
            trusted = TRUST * weight
            if self._seen.prompted:
                self._right += trusted * self._in_pieces(start, end)
            else:
                self._right += trusted * self._survival(start)
                self._right[ends] -= trusted * self._survival(end[ends])
            self._later[gone] += trusted * self._survival(after)

    def _in_pieces(self, start: Floats, end: Floats) -> Floats:
        """The chance of wearing out between two ages, each part of it as likely unseen as it is."""
        seen, told = self._seen, self._told
        rows = np.repeat(told, np.diff(seen.judged))
        counts = np.diff(seen.judged)[told]
        starts = np.concatenate([[0], np.cumsum(counts)[:-1]])
        ages = np.clip(seen.age[rows], np.repeat(start, counts), np.repeat(end, counts))
        before, after = seen.unseen_before[rows], seen.unseen_after[rows]
        parts = _added(self._survival(ages), after - before, starts)
        parts += self._survival(start) * before[starts][:, None, None]
        ends = np.isfinite(end)
        last = after[starts + counts - 1][ends]
        parts[ends] -= self._survival(end[ends]) * last[:, None, None]
        return np.maximum(parts, 0.0)

    def logs(self, wrong: float) -> Floats:
        """Log likelihood (J, L, n) where judgements are `wrong` at this rate."""
        check_stop()
        seen = self._seen
        if not seen.low.size:
            return np.zeros((*self._still.shape[1:], 0))
        odds = wrong / (1.0 - wrong)
        powers = np.array([*(odds**count for count in range(MOST_WRONG + 1)), 0.0])
        worth = powers[seen.after] * seen.unseen_after - powers[seen.before] * seen.unseen_before
        starts = seen.judged[:-1]
        chance = _added(self._still, worth, starts)
        chance += (powers[seen.before[starts]] * seen.unseen_before[starts])[:, None, None]
        if self._told.any():
            said = (1.0 - TRUST) * seen.said[self._told]
            last = seen.unseen_after[seen.judged[1:] - 1][self._told]
            later = np.where(seen.looks[self._told] == 0, 0.0, powers[1]) * last
            told = said[:, None, None] * chance[self._told] + self._right
            chance[self._told] = told + later[:, None, None] * self._later
        if self._brief.any():
            said = np.where(self._told, seen.said, 1.0)[self._brief]
            chance[self._brief] *= 1.0 - STRAYS
            chance[self._brief] += STRAYS * self._stray * said[:, None, None]
        logs = np.log(np.maximum(chance, 1e-300, out=chance), out=chance)
        logs += (seen.looks * log1p(-wrong))[:, None, None]
        return np.moveaxis(logs, 0, 2)

    def _survival(self, ages: Floats) -> Floats:
        """Chance (n, J, L) to protect at ages (n,), given as logarithms."""
        medians, shapes = self._grid
        center = float(medians.mean())
        shape = np.exp(shapes)
        rate = -LOG2 * np.exp(np.minimum(-shape * (medians[:, None] - center), _LONGEST_RATE))
        power = np.exp(np.minimum(shape * (ages - center)[:, None], _LONGEST_POWER))
        hazard = rate * power[:, None, :]
        return np.asarray(np.exp(hazard, out=hazard))


class KeptSights:
    """`Sights` of rows with a `mark`, whose sums are kept for when they are asked for again."""

    def __init__(
        self,
        memory: Memory,
        mark: bytes,
        medians: Floats,
        shapes: Floats,
        seen: Evidence,
        label: float,
        fading: Fading,
    ) -> None:
        self._memory = memory
        self._of = (medians, shapes, seen, label, fading)
        self._key = (mark, medians.tobytes(), shapes.tobytes(), label, fading.mark)

    @cached_property
    def _sights(self) -> Sights:
        return Sights(*self._of)

    def sums(self, inside: Floats, wrong: float) -> Floats:
        """Log likelihood (J, L, B) of the layers in each of B spans, of `inside` (n, B)."""
        check_stop()
        key = (*self._key, inside.shape[1], inside.argmax(axis=1).astype(np.uint8).tobytes(), wrong)
        return self._memory.of(key, lambda: in_spans(self._sights.logs(wrong), inside))


_FAR = 1e3  # beyond the logarithm of any age


# What is multiplied and added in one product of matrices: more, and the linear algebra library
# starts threads, which wait for one another by spinning.
_AT_ONCE = 250_000


def _added(still: Floats, worth: Floats, starts: Ints) -> Floats:
    """Sums (n, J, L) of rows times their worth, from each start to the next."""
    flat = still.reshape(len(still), int(np.prod(still.shape[1:])))  # also of no rows
    ends = np.append(starts[1:], len(still))
    layer = np.repeat(np.arange(len(starts)), ends - starts)
    sums = np.empty((len(starts), flat.shape[1]))
    longest = int((ends - starts).max(initial=1))  # rows of one layer: as many layers as fit
    together = max(1, int((_AT_ONCE / (longest * flat.shape[1])) ** 0.5))
    for first in range(0, len(starts), together):
        last = min(first + together, len(starts))
        rows = slice(int(starts[first]), int(ends[last - 1]))
        shares = np.zeros((last - first, rows.stop - rows.start))
        shares[layer[rows] - first, np.arange(shares.shape[1])] = worth[rows]
        np.matmul(shares, flat[rows], out=sums[first:last])
    return sums.reshape(len(starts), *still.shape[1:])


def in_spans(logs: Floats, inside: Floats) -> Floats:
    """The sums (J, L, B) over the layers of each span, of (J, L, n) and (n, B)."""
    if inside.shape[1] == 1:
        return np.asarray(logs.sum(axis=2))[:, :, None]
    layers = np.moveaxis(logs, 2, 0)
    flat = layers.reshape(len(layers), -1)
    sums = np.zeros((inside.shape[1], flat.shape[1]))
    piece = max(1, _AT_ONCE // sums.size)
    for first in range(0, len(flat), piece):
        rows = slice(first, first + piece)
        sums += inside[rows].T @ flat[rows]
    return np.moveaxis(sums.reshape(-1, *layers.shape[1:]), 0, 2)
