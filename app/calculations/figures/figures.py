"""Office figures: shares, spans, the month's likely end, and money that reconciles.

Money is whole minor units, time whole minutes. Definitions are common practice, no source, except
where a function names one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Span:
    """The middle of some values and the span that holds four in five of them."""

    middle: float
    low: float
    high: float
    n: int


def span(values: Sequence[float]) -> Span | None:
    """Median with the 10 % and 90 % quantiles (linear between order statistics); None if empty."""
    if not values:
        return None
    low, middle, high = np.quantile(np.asarray(values, dtype=float), [0.1, 0.5, 0.9])
    return Span(float(middle), float(low), float(high), len(values))


@dataclass(frozen=True)
class Share:
    """One part of a whole: its share and the running share, in percent of the whole."""

    part: int
    share: float
    running: float


def running_shares(parts: Sequence[int]) -> list[Share]:
    """Each part's share of the sum, and the share of all up to it, in the order given.

    The last running share is exactly 100 when the sum is positive; all are 0 when it is not.
    """
    whole = sum(parts)
    shares = []
    so_far = 0
    for part in parts:
        so_far += part
        shares.append(
            Share(part, 100 * part / whole, 100 * so_far / whole)
            if whole > 0
            else Share(part, 0.0, 0.0)
        )
    return shares


@dataclass(frozen=True)
class Guess:
    """What a month is likely to come to, and the span of four such guesses in five."""

    likely: int
    low: int
    high: int


def month_end(
    so_far: int, done: int, whole: int, past: Sequence[tuple[int, int, int]]
) -> Guess | None:
    """Guess a month's end from its pace, with the spread that such guesses had before.

    Parameters
    ----------
    so_far
        Minor units earned in the month's first `done` working days.
    done, whole
        Working days gone and in all.
    past
        For earlier months: (earned in their first `done` days, earned in all, working days in all).

    Returns
    -------
    None while no working day is done, or when nothing was earned yet.

    With three or more usable past months the ratio of whole to part is their median, with its 10 %
    and 90 % quantiles; before that the pace is simply carried on and no better span than the guess
    itself ± 30 % is claimed (judgement, no source).
    """
    if done <= 0 or so_far <= 0 or whole < done:
        return None
    ratios = [whole_sum / part for part, whole_sum, _ in past if part > 0]
    seen = span(ratios) if len(ratios) >= 3 else None
    if seen is None:
        likely = so_far * whole / done
        spread = 0.3 * (likely - so_far)
        return Guess(round(likely), round(likely - spread), round(likely + spread))
    return Guess(
        max(so_far, round(so_far * seen.middle)),
        max(so_far, round(so_far * seen.low)),
        max(so_far, round(so_far * seen.high)),
    )


@dataclass(frozen=True)
class Reconciliation:
    """Earned against received over one period; `residue` is zero when the books agree."""

    earned: int
    tax: int
    received: int
    owed_change: int
    deposits_change: int

    @property
    def residue(self) -> int:
        """Earned with tax, less received, less the change of what is owed plus that of deposits."""
        return self.earned + self.tax - self.received - self.owed_change + self.deposits_change


def drift(expected: int, worked: int) -> float | None:
    """Hours worked over expected, as a share (0.15 is 15 % over); None without an expectation."""
    return None if expected <= 0 else worked / expected - 1


def per_hour(earned: int, supplies: int, minutes: int) -> float | None:
    """Minor units left per hour worked, after supplies; None when no time is recorded."""
    return None if minutes <= 0 else (earned - supplies) * 60 / minutes
