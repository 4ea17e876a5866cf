"""Made-up shops of some tens of customers, of whom is known who has left; the rules compared.

Each customer has a rhythm (middle gap 30 to 365 days, spread of its logarithm 0.15 to 0.7) and
leaves after a visit with a chance of their own, 5 to 20 % (judged, no source).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.special import betaln, gammaln

from app.calculations.figures.rhythms import gaps_of, rhythms

START, TODAY = date(2022, 1, 1), date(2025, 1, 1)
Numbers = NDArray[np.float64]
Visits = Mapping[int, Sequence[date]]
Doubt = dict[int, float]  # the higher, the more has the customer gone


@dataclass(frozen=True)
class Shop:
    """Visits by customer, and who never comes again."""

    visits: dict[int, list[date]]
    gone: frozenset[int]


def shop(seed: int, customers: int = 60) -> Shop:
    """A shop as it stands on `TODAY` after up to three years."""
    rng = np.random.default_rng(seed)
    visits, gone = {}, set()
    for who in range(customers):
        middle, spread = np.log(rng.uniform(30, 365)), rng.uniform(0.15, 0.7)
        leaves = rng.uniform(0.05, 0.2)
        day = START + timedelta(days=int(rng.integers(0, 900)))
        days = [day]
        while True:
            if rng.random() < leaves:
                gone.add(who)
                break
            day += timedelta(days=max(1, int(np.exp(rng.normal(middle, spread)))))
            if day > TODAY:
                break
            days.append(day)
        visits[who] = days
    return Shop(visits, frozenset(gone))


def ours(visits: Visits, today: date) -> Doubt:
    return {who: 1 - one.chance for who, one in rhythms(visits, today).items()}


def twice_the_gap(visits: Visits, today: date) -> Doubt:
    """Days away, by the usual gap: above two they count as gone."""
    return {
        who: (today - max(days)).days / max(1.0, median(gaps_of(days)))
        for who, days in visits.items()
        if len(set(days)) > 1
    }


def bg_nbd(visits: Visits, today: date) -> Doubt:
    """One less the chance of being alive, by the model of Fader, Hardie and Lee (Marketing Science
    24(2), 2005), fitted to these customers by likelihood; in weeks."""
    rows = [(who, sorted(set(days))) for who, days in visits.items()]
    x = np.array([len(days) - 1 for _, days in rows], dtype=float)
    last = np.array([(days[-1] - days[0]).days for _, days in rows]) / 7
    whole = np.array([(today - days[0]).days for _, days in rows]) / 7
    r, alpha, a, b = fit_bg_nbd(x, last, whole)[0]
    odds = (
        np.exp((r + x) * np.log((alpha + whole) / (alpha + last))) * a / (b + np.maximum(x, 1) - 1)
    )
    doubt = np.where(x > 0, odds / (1 + odds), 0.0)
    return {who: float(one) for (who, days), one in zip(rows, doubt, strict=True) if len(days) > 1}


def fit_bg_nbd(x: Numbers, last: Numbers, whole: Numbers) -> tuple[Numbers, float]:
    """(r, alpha, a, b) and the log likelihood; `x` repeat visits by `last`, of `whole` weeks."""

    def against(logs: Numbers) -> float:
        r, alpha, a, b = np.exp(logs)
        first = gammaln(r + x) - gammaln(r) + r * np.log(alpha)
        alive = betaln(a, b + x) - betaln(a, b) - (r + x) * np.log(alpha + whole)
        left = (
            betaln(a + 1, b + np.maximum(x, 1) - 1) - betaln(a, b) - (r + x) * np.log(alpha + last)
        )
        found = first + np.where(x > 0, np.logaddexp(alive, left), alive)
        return -float(found.sum())

    best = minimize(
        against, np.zeros(4), method="Nelder-Mead",
        options={"maxiter": 4000, "maxfev": 4000, "xatol": 1e-7, "fatol": 1e-7},
    )  # fmt: skip
    return np.exp(best.x), -float(best.fun)


RULES: dict[str, Callable[[Visits, date], Doubt]] = {
    "own rhythm": ours, "twice the gap": twice_the_gap, "BG/NBD": bg_nbd,
}  # fmt: skip
LIMITS = {"own rhythm": 0.90, "twice the gap": 2.0, "BG/NBD": 0.5}


def order_kept(doubts: Doubt, gone: frozenset[int]) -> float:
    """How often of one who left and one who did not the first is doubted more (area under ROC)."""
    left = [one for who, one in doubts.items() if who in gone]
    stayed = [one for who, one in doubts.items() if who not in gone]
    if not left or not stayed:
        return float("nan")
    pairs = [(a > b) + 0.5 * (a == b) for a in left for b in stayed]
    return float(np.mean(pairs))


def counts(doubts: Doubt, gone: frozenset[int], limit: float) -> tuple[int, int, int]:
    """(named and gone, named and not gone, gone and not named)."""
    named = {who for who, one in doubts.items() if one > limit}
    among = gone & set(doubts)
    return len(named & among), len(named - among), len(among - named)
