"""What the shelf will be asked for in the days ahead: booked work first, then the rest.

The unbooked remainder is forecast in the manner of Teunter, Syntetos and Babai (*EJOR* 214, 2011,
606-615): the chance of a use and its size are learnt apart, the chance on every day, the size
only when there was one. Added to it: how busy the shop is just now (all supplies together, and
the bookings), its weekdays, and how much of the work of a day is usually booked by now.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.calculations.chances import Floats

HORIZON = 365  # days ahead

CHANCE_HALF_LIFE = 60.0  # days after which a use counts half for how often
BUSY_HALF_LIFE = 14.0  # for how busy the shop is
SIZE_HALF_LIFE = 150.0
NOTICE_PRIOR = 7.0  # days: where nothing is known of how far ahead work is booked
NOTICE_WEIGHT = 5.0  # jobs
SIZE_VARIATION = 0.4  # squared coefficient of variation of a day's use where little is known
SIZE_WEIGHT = 4.0
DRIFT = 0.04  # squared coefficient of variation of the rate beyond what was counted


@dataclass(frozen=True, slots=True)
class Needs:
    """Cumulated need over the next 1..HORIZON days; all arrays supplies x HORIZON."""

    mean: Floats
    variance: Floats
    some: Floats  # chance that there is any need by then
    booked: Floats  # mean of the booked part
    booked_jobs: Floats
    size: Floats  # supplies: mean use on a day with a use
    per_day: Floats  # supplies: mean need a day of all work, booked and not, in the long run


def booked_ahead(notice: Sequence[int], fallback: float, horizon: int = HORIZON) -> Floats:
    """Share of the work of 1, 2, 3… days ahead that is booked by now."""
    days = np.arange(1, horizon + 1)
    mean = max(fallback, 0.25)
    share = (mean / (1.0 + mean)) ** days
    seen = np.clip(np.asarray(notice, dtype=np.int64), 0, horizon)
    if seen.size:
        counted = np.bincount(seen, minlength=horizon + 1)
        at_least = counted[::-1].cumsum()[::-1][1:]
        share = (NOTICE_WEIGHT * share + at_least) / (NOTICE_WEIGHT + seen.size)
    return share


def forecast(
    day: int,
    use: Floats,
    known_days: np.ndarray,
    booked_mean: Floats,
    booked_variance: Floats,
    booked_count: Floats,
    notice: Sequence[int],
) -> Needs:
    """Needs of the days ahead.

    use: supplies x window, use a day, the last column today; known_days: supplies, how many of
    the last columns are known; booked_*: supplies x HORIZON, column 0 tomorrow.
    """
    n, window = use.shape
    ages = np.arange(window - 1, -1, -1)
    weekday_past = (day - ages - 1) % 7
    weekday_ahead = (day + np.arange(HORIZON)) % 7
    alive = (ages[None, :] < known_days[:, None]).astype(float)
    used = (use > 0).astype(float)

    # the week of the shop, from all supplies together
    counts = used.sum(axis=0)
    exposure = alive.sum(axis=0)
    by_day = np.bincount(weekday_past, counts, 7)
    by_chance = np.bincount(weekday_past, exposure, 7)
    overall = counts.sum() / max(exposure.sum(), 1.0)
    week = (by_day + 2 * n * overall) / (by_chance + 2 * n) if overall > 0 else np.ones(7)
    week = week / max(week.mean(), 1e-12)
    past, ahead = week[weekday_past], week[weekday_ahead]

    # how far ahead work is booked
    events_booked = booked_count.sum(axis=0)
    plain = used.sum(axis=1) / np.maximum((alive * past).sum(axis=1), 1.0)
    plain_total = plain.sum()
    if len(notice) or plain_total <= 0:
        fallback = NOTICE_PRIOR
    else:
        fallback = (NOTICE_PRIOR * plain_total * 7 + events_booked.sum() * 7) / (
            plain_total * 7 + plain_total * 7
        )
    share = booked_ahead(notice, fallback)

    # how busy the shop is: then, and now
    usual = plain @ alive * past
    busy_past = _smoothed(counts, usual, 14)
    recent = 0.5 ** (ages / BUSY_HALF_LIFE)
    together = max(1.0, float((counts**2).sum() / max(counts.sum(), 1.0)))
    near = slice(0, 42)
    plain_ahead = plain_total * ahead * share
    busy = (3 * together + recent @ counts + events_booked[near].sum()) / (
        3 * together + recent @ usual + plain_ahead[near].sum()
    )

    # how often, relative to that
    weight = 0.5 ** (ages / CHANCE_HALF_LIFE)
    seen = used @ weight + booked_count[:, near].sum(axis=1)
    chances = alive @ (weight * past * busy_past) + busy * (ahead * share)[near].sum()
    often = (seen + 7.0 * plain) / (chances + 7.0)
    rate = busy * often

    # how much, when there is a use
    weight = 0.5 ** (ages / SIZE_HALF_LIFE)
    number = used @ weight + booked_count.sum(axis=1)
    size = (use @ weight + booked_mean.sum(axis=1)) / np.maximum(number, 1e-9)
    square = (use * use) @ weight + (booked_variance + booked_mean**2).sum(axis=1)
    own = np.maximum(square / np.maximum(number, 1e-9) / np.maximum(size, 1e-9) ** 2 - 1.0, 0.0)
    variation = (SIZE_WEIGHT * SIZE_VARIATION + number * own) / (SIZE_WEIGHT + number)

    open_share = np.cumsum(ahead * (1.0 - share))
    events = rate[:, None] * open_share[None, :]
    mean_rest = events * size[:, None]
    doubt = DRIFT + 1.0 / (seen + 1.0)
    variance_rest = mean_rest * (size * (1.0 + variation))[:, None] + doubt[:, None] * mean_rest**2
    booked = np.cumsum(booked_mean, axis=1)
    jobs = np.cumsum(booked_count, axis=1)
    nothing = (1.0 + doubt[:, None] * events) ** (-1.0 / doubt[:, None])
    some = np.where(booked > 0, 1.0, 1.0 - nothing)
    return Needs(
        mean=booked + mean_rest,
        variance=np.cumsum(booked_variance, axis=1) + variance_rest,
        some=some,
        booked=booked,
        booked_jobs=jobs,
        size=size,
        per_day=rate * size,
    )


def _smoothed(counts: Floats, usual: Floats, reach: int) -> Floats:
    """counts / usual over a window of days on both sides, near 1 where there is little."""
    total = np.concatenate([[0.0], np.cumsum(counts)])
    base = np.concatenate([[0.0], np.cumsum(usual)])
    days = np.arange(counts.size)
    low, high = np.maximum(days - reach, 0), np.minimum(days + reach + 1, counts.size)
    return (total[high] - total[low] + 1.0) / (base[high] - base[low] + 1.0)
