"""The rhythm in which a customer comes, and the chance that they would stay away so long in it.

The days between two visits are taken as a logarithm: each customer has a middle of their own, drawn
toward that of all customers as far as few visits speak for it (normal mixed model, its variances by
moments; Searle, Casella and McCulloch, "Variance Components", 1992, chapter 3), and a spread of
their own, drawn toward the usual one. A rhythm is learnt only from whole gaps; the gap that still
runs is what is asked about.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from math import exp, log, sqrt
from statistics import NormalDist, fmean, median

QUIET = 0.10  # chance of staying away so long within the rhythm, below which they are past it
ENOUGH = 3  # gaps from which a rhythm is one's own; below it the page says how few
# Judged, moved by half in tests/simulated_rhythms: what a spread weighs as long as nobody shows
# another, and how many gaps speak for the usual one beside a customer's own.
SPREAD, USUAL_WEIGHS, BETWEEN = 0.45, 4.0, 0.5
_NORMAL = NormalDist()


@dataclass(frozen=True)
class Rhythm:
    """How a customer comes. Days; `low` to `usual` to `high` is the next gap, four in five within.

    `chance`: that somebody who keeps to the rhythm stays away as long as they do now.
    """

    visits: int
    gaps: int
    usual: float
    low: float
    high: float
    away: int
    chance: float

    @property
    def few(self) -> bool:
        """Whether most of the rhythm is that of other customers."""
        return self.gaps < ENOUGH

    @property
    def quiet(self) -> bool:
        """Whether they are past their own rhythm."""
        return self.chance < QUIET


def gaps_of(visits: Sequence[date]) -> list[int]:
    """Days between visits, in order; visits of one day are one."""
    days = sorted(set(visits))
    return [(b - a).days for a, b in pairwise(days)]


def rhythms(visits: Mapping[int, Sequence[date]], today: date) -> dict[int, Rhythm]:
    """The rhythm of each customer who came on two days or more; later days than `today` are none.

    With a single gap nothing of it is certain: the spread is then nearly that of all customers.
    """
    logs: dict[int, list[float]] = {}
    last: dict[int, date] = {}
    for who, days in visits.items():
        seen = sorted({day for day in days if day <= today})
        if len(seen) > 1:
            logs[who] = [log(gap) for gap in gaps_of(seen)]
            last[who] = seen[-1]
    if not logs:
        return {}
    within = _within(logs)
    middle, between = _between(logs, within)
    return {
        who: _rhythm(own, middle, between, within, (today - last[who]).days)
        for who, own in logs.items()
    }


def _within(logs: Mapping[int, list[float]]) -> float:
    """The variance of a gap about its customer's middle, with the prior's few gaps."""
    squares, free = USUAL_WEIGHS * SPREAD**2, USUAL_WEIGHS
    for own in logs.values():
        squares += _squares(own)
        free += len(own) - 1
    return squares / free


def _between(logs: Mapping[int, list[float]], within: float) -> tuple[float, float]:
    """(middle of all customers, variance of theirs about it), each customer weighing once."""
    means = [fmean(own) for own in logs.values()]
    middle = median(means)
    noise = fmean(within / len(own) for own in logs.values())
    seen = sum((one - middle) ** 2 for one in means) + BETWEEN**2
    return middle, max(seen / len(means) - noise, BETWEEN**2 / 4)


def _rhythm(own: list[float], middle: float, between: float, within: float, away: int) -> Rhythm:
    n = len(own)
    spread = (USUAL_WEIGHS * within + _squares(own)) / (USUAL_WEIGHS + n - 1)
    heard = between / (between + spread / n)  # how far their own visits speak
    centre = heard * fmean(own) + (1 - heard) * middle
    wide = sqrt(spread + between * (1 - heard))  # of one gap, with what is not known of the middle
    tail = _NORMAL.inv_cdf(0.9) * wide
    chance = 1.0 if away < 1 else 1 - _NORMAL.cdf((log(away) - centre) / wide)
    return Rhythm(n + 1, n, exp(centre), exp(centre - tail), exp(centre + tail), away, chance)


def _squares(own: Sequence[float]) -> float:
    centre = fmean(own)
    return sum((one - centre) ** 2 for one in own)
