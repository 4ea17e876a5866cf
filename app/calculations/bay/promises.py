"""The chance that a plan keeps its promises, from how far hours stray and not from their middle.

Each job's hands-on minutes are drawn from its own band, one draw for the whole job: what goes
slowly goes slowly in all its pieces. The work is then done in the order of the plan: nobody begins
before the hands and the bay that he was planned into are free, and no vehicle comes before its
time. So what is late makes others late.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from app.calculations.bay.opening import Window
from app.calculations.bay.planning import Plan, Shop, Wanted, earliest
from app.calculations.bay.runs import Kind, Run

DRAWS = 400  # a chance of nine in ten is then within 1.5 points, two times in three
EDGE = 0.8  # share of jobs that take no more than the band's high
FLOOR = 0.88  # the chance below which no new job brings a promise that stands
NOISE = 0.01  # of a chance out of so many draws
NEAR, FAR = 60, 480  # minutes later that another begin is tried, the first times and then
FIRST = 8  # times
_Z = NormalDist().inv_cdf(EDGE)
Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Band:
    """Minutes that a job takes: one in five less than `low`, half less than `likely`, one in five
    more than `high`; above zero and rising."""

    low: float
    likely: float
    high: float

    def factors(self, shares: Numbers) -> Numbers:
        """What to multiply the likely minutes by, at these shares of such jobs (0 to 1)."""
        return self.at(np.array([NormalDist().inv_cdf(share) for share in shares]) / _Z)

    def at(self, z: Numbers) -> Numbers:
        """The same, by how many of the band's widths a job lies above the likely."""
        side = np.where(z < 0, self.likely / self.low, self.high / self.likely)
        return np.asarray(side**z)


@dataclass(frozen=True)
class Days:
    """What a shop's days are like beside the plan, from its own: minutes that vehicles came after
    their time, and what walks in, how often in an open hour and for how many minutes."""

    late: Sequence[int] = (0,)
    walk_ins: float = 0.0
    minutes: int = 0


@dataclass(frozen=True, slots=True)
class _Task:
    """Hands on at one go: of which job, how long by the plan, and how long it stands before."""

    start: int
    job: Hashable
    minutes: int
    hold: int
    first: bool
    last: bool


class _Clock:
    """Minutes of the clock to open minutes and back."""

    def __init__(self, windows: Sequence[Window]) -> None:
        starts = np.array([start for start, _ in windows], dtype=float)
        ends = np.array([end for _, end in windows], dtype=float)
        self._starts, self._ends = starts, ends
        self._before = np.concatenate(([0.0], np.cumsum(ends - starts)))

    def end_of(self, begin: Numbers, minutes: Numbers) -> Numbers:
        """When so many open minutes from `begin` are over; beyond the last window on and on."""
        at = np.minimum(np.searchsorted(self._ends, begin, side="right"), len(self._ends) - 1)
        done = self._before[at] + np.maximum(0, begin - self._starts[at]) + minutes
        to = np.searchsorted(self._before[1:], done, side="left")
        to = np.minimum(to, len(self._ends) - 1)
        return np.asarray(self._starts[to] + done - self._before[to])

    def next_open(self, minute: Numbers) -> Numbers:
        """The first open minute from these on, closing minutes included."""
        at = np.searchsorted(self._ends, minute, side="left")
        inside = np.minimum(at, len(self._ends) - 1)
        return np.where(at < len(self._ends), np.maximum(minute, self._starts[inside]), np.inf)


def ready_times(
    plan: Plan,
    bands: Mapping[Hashable, Band],
    windows: Sequence[Window],
    people: int = 1,
    days: Days = Days(),  # frozen
    draws: int = DRAWS,
) -> dict[Hashable, Numbers]:
    """When each job of a plan can be fetched, in `draws` ways that the work may go; in order.

    A job without a band takes what is planned. Minutes; infinite beyond the last window.
    """
    clock = _Clock(windows)
    widths = _widths(draws)
    # Each job has a chance of its own, so that another job beside it moves nothing by accident.
    by_chance = {job: np.random.default_rng(crc32(repr(job).encode())) for job in plan.runs}
    factors = {
        job: rng.permutation(bands[job].at(widths)) if job in bands else np.ones(draws)
        for job, rng in by_chance.items()
    }
    now = {
        job: one.begin + by_chance[job].choice(days.late, draws) for job, one in plan.runs.items()
    }
    free = np.full((max(1, people), draws), -np.inf)
    bays: dict[int, Numbers] = {}
    found: dict[Hashable, Numbers] = {}
    column = np.arange(draws)
    for task in _tasks(plan):
        one, begin = plan.runs[task.job], now[task.job] + task.hold
        if task.first and one.bay is not None and one.bay in bays:
            begin = np.maximum(begin, bays[one.bay])
        if task.minutes:
            who = free.argmin(axis=0)
            begin = np.maximum(begin, free[who, column])
            minutes = task.minutes * factors[task.job]
            minutes += days.minutes * by_chance[task.job].poisson(
                days.walk_ins * task.minutes / 60, draws
            )
            end = clock.end_of(begin, minutes)
            free[who, column] = end
        else:
            end = begin
        now[task.job] = end
        if task.last:
            found[task.job] = np.sort(clock.next_open(end))
            if one.bay is not None:
                bays[one.bay] = clock.next_open(end)
    return found


def earliest_that_keeps(
    new: Wanted,
    standing: Plan,
    shop: Shop,
    bands: Mapping[Hashable, Band],
    promised: Mapping[Hashable, int],
    days: Days = Days(),  # frozen
    floor: float = FLOOR,
    tries: int = 90,
) -> tuple[Run, Numbers] | None:
    """The earliest run of a new job that brings no promise given before below `floor`, and when
    it is ready; none where none is found within so many tries.

    `shop` holds what stands, and stays as it is. A begin that fits by the minute may still push
    the next vehicle, for hours stray: then the next is tried an hour later.
    """
    before = ready_times(standing, bands, shop.windows, shop.people, days)
    at_least = {
        job: min(kept(before[job], by), floor) - NOISE
        for job, by in promised.items()
        if job in before
    }
    after = 0
    for tried in range(tries):
        found = earliest(new, shop, after=after)
        if found is None:
            return None
        runs = Plan({**standing.runs, new.job: found})
        times = ready_times(runs, bands, shop.windows, shop.people, days)
        if all(kept(times[job], promised[job]) >= least for job, least in at_least.items()):
            return found, times[new.job]
        after = found.begin + (NEAR if tried < FIRST else FAR)
    return None


@cache
def _widths(draws: int) -> Numbers:
    """Evenly spread shares of jobs, as widths of a band above the likely."""
    shares = (np.arange(draws) + 0.5) / draws
    return np.array([NormalDist().inv_cdf(share) for share in shares]) / _Z


def kept(ready: Numbers, promised: int) -> float:
    """The share of ways in which it is ready by the promise."""
    return float(np.searchsorted(ready, promised, side="right") / len(ready))


def _waits(plan: Plan) -> dict[Hashable, int]:
    """How many minutes each waits until its bay is free; none where nothing clashes."""
    free: dict[int, int] = {}
    waits = {}
    for one in sorted(plan.runs.values(), key=lambda run: run.begin):  # who is there comes first
        waits[one.job] = 0
        if one.bay is not None:
            waits[one.job] = max(0, free.get(one.bay, one.begin) - one.begin)
            free[one.bay] = one.ready + waits[one.job]
    return waits


def _tasks(plan: Plan) -> list[_Task]:
    """All that is done, in the order in which it is planned to begin; of two that clash in a bay
    the second when the first is done."""
    found = []
    waits = _waits(plan)
    for one in plan.runs.values():
        goes: list[tuple[int, int, int]] = []  # start, minutes, hold before
        hold = 0
        for bar in one.bars:
            if bar.kind is Kind.HANDS:
                goes.append((bar.start, bar.end - bar.start, hold))
                hold = 0
            else:
                hold += bar.end - bar.start
        if hold or not goes:
            goes.append((one.ready, 0, hold))
        for at, (start, minutes, before) in enumerate(goes):
            first, last = at == 0, at == len(goes) - 1
            found.append(_Task(start + waits[one.job], one.job, minutes, before, first, last))
    return sorted(found, key=lambda task: task.start)
