"""What the shelf will be asked for in the days ahead: booked work first, then the rest.

The unbooked remainder is forecast in the manner of Teunter, Syntetos and Babai (*EJOR* 214, 2011,
606-615): the chance of a use and its size are learnt apart, the chance from every day, the size
only from days with a use. Around it stands what a shop knows beside one supply's own history:

- how busy it is just now, from all supplies together and from what is booked ahead;
- its week, from all supplies together;
- how much of the work that takes a supply is usually booked by now (`booked_ahead`, `own_shares`):
  washes drive up, coatings stand in the diary for weeks; only the rest is forecast, because the
  booked part is known;
- whether the supply is still in use: a long silence at the end of its history, with nothing
  booked, speaks for a service that stopped, a long one at its beginning for one that is new;
- that a few days tell little: how often a supply is used starts from a prior of four weeks
  (`_how_often`), how busy the shop is is read from supplies that were in use for as long
  (`_learnt`), and no single day sets what is usual (`_without_one`).

All constants are judgement, no source; none is fitted to one shop.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.calculations.numbers.chances import Floats
from app.calculations.orders.shelf_state import ShelfState, SupplyState

HORIZON = 365  # days ahead

CHANCE_HALF_LIFE = 120.0  # days after which a use counts half for how often
BUSY_HALF_LIFE = 14.0  # for how busy the shop is
BUSY_WEIGHT = 3.0  # jobs that "as busy as usual" counts for
BUSY_REACH = 14  # days on both sides that smooth how busy it was
SIZE_HALF_LIFE = 150.0  # for how much
SIZE_VARIATION = 0.4  # squared coefficient of variation of a day's use where little is known
SIZE_WEIGHT = 4.0  # uses that this counts for
NOTICE = 7.0  # mean days between booking and work where nothing is known
NOTICE_WEIGHT = 5.0  # jobs that this counts for
NEAR = 42  # days ahead of which the bookings tell how often a supply is used
RATE_WEIGHT = 7.0  # days that the plain rate counts for
LEARNT = 28  # days of use after which a supply's own history stands alone
FIRST_USES = 0.5  # in these days, while nothing is known
WILD = 3.0  # times the next largest use: what is more, counts as so much
STOPPING = 1.0 / 730.0  # chance, a day, that a supply goes out of use
DRIFT = 0.04  # squared coefficient of variation of the rate beyond what was counted


@dataclass(frozen=True, slots=True)
class Needs:
    """Cumulated need over the next 1..HORIZON days, base units; arrays supplies x HORIZON."""

    mean: Floats
    variance: Floats
    some: Floats  # chance that there is any need by then
    booked: Floats  # mean of the booked part
    booked_jobs: Floats
    per_day: Floats  # supplies: mean need a day, booked or not, while the shop is as busy as now


@dataclass(frozen=True, slots=True)
class _Booked:
    """Booked needs by supply and day ahead (column 0 is tomorrow); arrays supplies x HORIZON."""

    mean: Floats
    variance: Floats
    count: Floats


def needs_ahead(state: ShelfState, supplies: Sequence[SupplyState]) -> Needs:
    """Needs of these supplies of the shelf, in their order."""
    use, known = _windows(supplies, state.settings.window_days)
    booked = _booked(state.day, supplies)
    return forecast(state.day, use, known, booked, state.notice, [one.notice for one in supplies])


def booked_ahead(notice: Sequence[int], mean: float = NOTICE) -> Floats:
    """Share of the work of 1, 2, 3… HORIZON days ahead that is booked by now.

    `notice`: days between booking and work of recent jobs. Until many are known the share leans
    on a notice that falls off evenly around `mean` days.
    """
    days = np.arange(1, HORIZON + 1)
    share: Floats = np.power(mean / (1.0 + mean), days.astype(float))
    seen = np.clip(np.asarray(notice, dtype=np.int64), 0, HORIZON)
    if not seen.size:
        return share
    counted = np.bincount(seen, minlength=HORIZON + 1)
    at_least = counted[::-1].cumsum()[::-1][1:]
    return (NOTICE_WEIGHT * share + at_least) / (NOTICE_WEIGHT + seen.size)


def own_shares(
    pooled: Floats, notices: Sequence[Sequence[int]], standing: Floats | None = None
) -> Floats:
    """`booked_ahead` of each supply, supplies x HORIZON, from the notice of the jobs that took it.

    It leans on what holds for all work (`pooled`). standing: how many jobs are booked for 1, 2, 3…
    days ahead, the same shape. Each has at least so much notice, and where notice falls off evenly
    what is left of it is as long as all of it (no memory: Feller, *An Introduction to Probability
    Theory and Its Applications* II, 1971, section I.4; from memory). So it counts as that, where
    that makes the share larger.
    """
    lengths = np.array([len(one) for one in notices], dtype=np.int64)
    counted = np.zeros((len(notices), HORIZON + 1))
    if lengths.sum():
        days = np.concatenate([np.asarray(one, dtype=np.int64) for one in notices])
        rows = np.repeat(np.arange(len(notices)), lengths)
        np.add.at(counted, (rows, np.clip(days, 0, HORIZON)), 1.0)

    def share() -> Floats:
        at_least = counted[:, ::-1].cumsum(axis=1)[:, ::-1][:, 1:]
        return (NOTICE_WEIGHT * pooled + at_least) / (NOTICE_WEIGHT + counted.sum(axis=1))[:, None]

    known = share()
    if standing is None or not standing.any():
        return known
    counted[:, 1:] += standing
    return np.maximum(known, share())


def forecast(
    day: int,
    use: Floats,
    known: Floats,
    booked: _Booked,
    notice: Sequence[int],
    notices: Sequence[Sequence[int]],
) -> Needs:
    """Needs of the days ahead.

    use: supplies x window, use a day, the last column is `day`; known: the same shape, 1 where the
    day is part of the supply's history; notice: of all jobs; notices: of those of each supply.
    """
    window = use.shape[1]
    ages = np.arange(window - 1, -1, -1)
    used = (use > 0).astype(float)
    every = used.sum(axis=0)
    week = _week(every, known.sum(axis=0), (day - ages - 1) % 7)
    past, ahead = week[(day - ages - 1) % 7], week[(day + np.arange(HORIZON)) % 7]

    # The plain rate of each supply, and of all together that are learnt.
    plain = used.sum(axis=1) / np.maximum(known @ past, 1.0)
    learnt = _learnt(used)
    counts, usual = learnt @ used, ((learnt * plain) @ known) * past
    together = max(1.0, float(every @ every / max(every.sum(), 1.0)))  # supplies to a job
    events_ahead = float(booked.count.sum())
    pooled = booked_ahead(
        notice, NOTICE if len(notice) else _mean_notice(float(plain.sum()), events_ahead, together)
    )
    share = own_shares(pooled, notices, (1.0 - learnt)[:, None] * booked.count)
    near = share[:, :NEAR] @ ahead[:NEAR]  # days' worth of each supply's work that is booked

    # How busy the shop is now, and was on each day.
    recent = faded(ages, BUSY_HALF_LIFE)
    seen_busy = BUSY_WEIGHT * together + recent @ counts + (learnt @ booked.count)[:NEAR].sum()
    busy = seen_busy / (BUSY_WEIGHT * together + recent @ usual + (learnt * plain) @ near)
    chances = known * (past * _smoothed(counts, usual))

    own = RATE_WEIGHT * np.minimum(known.sum(axis=1) / LEARNT, 1.0)
    often, in_use, seen = _how_often(used, chances, ages, plain, own, booked, busy * near)
    drawn_in, near_booked = _without_one(use, booked)
    size, variation = _sizes(drawn_in, used, faded(ages, SIZE_HALF_LIFE), near_booked)
    a_day = np.minimum((busy * often)[:, None] * ahead, 1.0)
    return _booked_and_rest(booked, a_day, 1.0 - share, busy * often, seen, in_use, size, variation)


def faded(ages: Floats, half_life: float) -> Floats:
    """What was seen so many days ago counts so much: half after each half-life."""
    weights: Floats = 0.5 ** (ages / half_life)
    return weights


def _how_often(
    used: Floats,
    chances: Floats,
    ages: Floats,
    plain: Floats,
    own: Floats,
    booked: _Booked,
    chances_ahead: Floats,
) -> tuple[Floats, Floats, Floats]:
    """Uses on a usual day, the chance to be still in use, and the uses that both rest on.

    used, chances: supplies x window; ages: window, in days; all others: supplies. plain: the plain
    rate, own: the days that it counts for; chances_ahead: the days' worth of work that the near
    bookings stand for.

    A rate with a gamma prior and counted uses has the mean (prior uses + uses) / (prior days +
    days) (Gelman and others, *Bayesian Data Analysis*, 3rd edition, 2013, section 2.6; from
    memory).
    The prior is half a use, as in that of Jeffreys, in `LEARNT` days. It makes up the days that
    the history and the bookings lack of these, so that it is gone once they are full, and sooner
    where uses follow each other, which such a prior did not expect (that part is judgement).
    """
    booked_near = booked.count[:, :NEAR].sum(axis=1)
    number = used.sum(axis=1) + booked_near
    counted, in_use = _in_use(used, chances, number, booked_near, chances_ahead)
    weight = faded(ages, CHANCE_HALF_LIFE)
    seen = used @ weight + booked_near
    days = (counted * chances) @ weight + chances_ahead * in_use + own
    lacking = np.maximum(LEARNT - days, 0.0) / np.maximum(used.sum(axis=1), 1.0)
    often = (seen + own * plain + lacking * FIRST_USES / LEARNT) / (days + lacking)
    return often, in_use, seen


def _learnt(used: Floats) -> Floats:
    """1 for each supply that was first used at least `LEARNT` days ago, 0 for all others."""
    return used[:, : max(used.shape[1] - LEARNT + 1, 0)].any(axis=1).astype(float)


def _booked_and_rest(
    booked: _Booked,
    a_day: Floats,
    open_: Floats,
    rate: Floats,
    seen: Floats,
    in_use: Floats,
    size: Floats,
    variation: Floats,
) -> Needs:
    """The booked needs and the forecast of the rest, cumulated.

    a_day: supplies x HORIZON, chance of a use on each day, booked or not; open_: the same shape,
    share of the work that is not booked yet; rate: uses a day; seen: uses that the rate rests on;
    size, variation: of a day's use.

    A day has a use or has none, so what is taken on nearly every day is the surer for it: the
    variance of a day is p E[x^2] - p^2 E[x]^2. What is not booked yet has its share of that, as
    the jobs of a day come independently of each other.
    """
    doubt = (DRIFT + 1.0 / (seen + 1.0))[:, None]
    events = np.cumsum(a_day * open_, axis=1)
    mean = events * size[:, None]
    by_day = (1.0 + variation)[:, None] * events - np.cumsum(a_day**2 * open_, axis=1)
    square = by_day * (size**2)[:, None] + (1.0 + doubt) * mean**2
    none = (1.0 + doubt * events) ** (-1.0 / doubt)
    still = in_use[:, None]
    known_mean, jobs = np.cumsum(booked.mean, axis=1), np.cumsum(booked.count, axis=1)
    return Needs(
        mean=known_mean + still * mean,
        variance=np.cumsum(booked.variance, axis=1) + still * square - (still * mean) ** 2,
        some=np.where(jobs > 0, 1.0, still * (1.0 - none)),
        booked=known_mean,
        booked_jobs=jobs,
        per_day=rate * in_use * size,
    )


def _windows(supplies: Sequence[SupplyState], longest: int) -> tuple[Floats, Floats]:
    """Use a day and which days are known, supplies x window, the last column today."""
    lengths = np.array([min(len(one.use), longest) for one in supplies], dtype=np.int64)
    window = max(1, int(lengths.max(initial=0)))
    use = np.zeros((len(supplies), window))
    for row, one in enumerate(supplies):
        if lengths[row]:
            use[row, window - lengths[row] :] = one.use[-int(lengths[row]) :]
    known = np.arange(window, 0, -1)[None, :] <= lengths[:, None]
    return np.maximum(use, 0.0), known.astype(float)


def _booked(day: int, supplies: Sequence[SupplyState]) -> _Booked:
    """The booked needs as means and variances; what is overdue counts for tomorrow."""
    mean, variance, count = (np.zeros((len(supplies), HORIZON)) for _ in range(3))
    found = [
        (row, max(need.day - day - 1, 0), need.amount, need.spread)
        for row, one in enumerate(supplies)
        for need in one.booked
        if need.day - day <= HORIZON and need.amount > 0
    ]
    if found:
        rows, at, amount, spread = (np.array(column) for column in zip(*found, strict=True))
        middle = amount * np.exp(spread**2 / 2.0)
        np.add.at(mean, (rows, at), middle)
        np.add.at(variance, (rows, at), middle**2 * np.expm1(spread**2))
        np.add.at(count, (rows, at), 1.0)
    return _Booked(mean, variance, count)


def _week(counts: Floats, chances: Floats, weekday: Floats) -> Floats:
    """How much of the work falls on each weekday (Monday first), 1 on average."""
    weight = 2.0 * chances.max(initial=1.0)  # two weeks of an even week
    overall = counts.sum() / max(chances.sum(), 1.0)
    if overall <= 0:
        return np.ones(7)
    week = (np.bincount(weekday, counts, 7) + weight * overall) / (
        np.bincount(weekday, chances, 7) + weight
    )
    return week / week.mean()


def _mean_notice(rate: float, events_ahead: float, together: float) -> float:
    """The mean notice that what is booked now speaks for: events booked by events a day."""
    if rate <= 0:
        return NOTICE
    weight = together / NOTICE  # one job's worth: bookings that are there say much
    return (weight * NOTICE + events_ahead) / (weight + rate)


def _smoothed(counts: Floats, usual: Floats) -> Floats:
    """counts / usual around each day, near 1 where there is little to go by."""
    total = np.concatenate([[0.0], np.cumsum(counts)])
    base = np.concatenate([[0.0], np.cumsum(usual)])
    days = np.arange(counts.size)
    low = np.maximum(days - BUSY_REACH, 0)
    high = np.minimum(days + BUSY_REACH + 1, counts.size)
    return (total[high] - total[low] + 1.0) / (base[high] - base[low] + 1.0)


def _in_use(
    used: Floats, chances: Floats, number: Floats, booked: Floats, chances_ahead: Floats
) -> tuple[Floats, Floats]:
    """How far each day counts as a chance to be used (supplies x window), and whether the supply
    is in use now (supplies).

    Days between the first and the last use count in full. A silence before or after of `s` chances
    is either luck, exp(-p s), or the supply was not in use for part of it; with a constant chance
    of going out of use the odds are STOPPING (1 - exp(-p s)) / p to that.
    """
    window = used.shape[1]
    any_use = used.any(axis=1)
    first = np.where(any_use, used.argmax(axis=1), window)
    last = np.where(any_use, window - 1 - used[:, ::-1].argmax(axis=1), window)
    days = np.arange(window)
    before, after = days < first[:, None], days > last[:, None]
    quiet_before = (chances * before).sum(axis=1)
    quiet_after = np.where(booked > 0, 0.0, (chances * after).sum(axis=1) + chances_ahead)
    total = chances.sum(axis=1) + chances_ahead
    between = total - quiet_before - quiet_after
    rate = np.maximum(number, 1e-9) / np.maximum(between + total / np.maximum(number, 1.0), 1e-9)

    def alive(quiet: Floats) -> Floats:
        luck = np.exp(-np.minimum(rate * quiet, 50.0))
        return luck / (luck + STOPPING / rate * (1.0 - luck))

    was, still = alive(quiet_before), alive(quiet_after)
    counted = np.where(before, was[:, None], np.where(after, still[:, None], 1.0))
    return counted, np.where(number > 0, still, 0.0)


def _without_one(use: Floats, booked: _Booked) -> tuple[Floats, _Booked]:
    """Uses of a day, done and booked near, of which the largest counts as no more than `WILD`
    times the next; where fewer than three are known, as they are.

    What is wild at its end is drawn in, not left out (winsorizing: Tukey, *Annals of Mathematical
    Statistics* 33, 1962, 1-67; from memory): a slip of the pen or a spill is not what is usual, and
    the second such day is believed.
    """
    near = _Booked(booked.mean[:, :NEAR], booked.variance[:, :NEAR], booked.count[:, :NEAR])
    every, rows = np.concatenate([use, near.mean], axis=1), np.arange(use.shape[0])
    largest = []
    for _ in range(3):  # quicker than sorting
        at = every.argmax(axis=1)
        largest.append(every[rows, at])
        every[rows, at] = 0.0
    _, second, third = largest
    most = np.where(third > 0, WILD * second, np.inf)[:, None]
    drawn = np.minimum(near.mean, most)
    variance = near.variance * (drawn / np.maximum(near.mean, 1e-9)) ** 2
    return np.minimum(use, most), _Booked(drawn, variance, near.count)


def _sizes(use: Floats, used: Floats, weight: Floats, booked: _Booked) -> tuple[Floats, Floats]:
    """Mean use on a day with a use, and its squared coefficient of variation."""
    number = used @ weight + booked.count.sum(axis=1)
    some = np.maximum(number, 1e-9)
    size = (use @ weight + booked.mean.sum(axis=1)) / some
    square = (use * use) @ weight + (booked.variance + booked.mean**2).sum(axis=1)
    own = np.maximum(square / some / np.maximum(size, 1e-9) ** 2 - 1.0, 0.0)
    return size, (SIZE_WEIGHT * SIZE_VARIATION + number * own) / (SIZE_WEIGHT + number)
