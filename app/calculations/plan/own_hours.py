"""What a shop's own closed jobs say of its hours: shrunk on log hours, pooled over alike services.

A job is worked minutes by those of the list, as a logarithm: one shift of the whole shop, of the
kind of work (outside, inside), of the service and of the size, each drawn toward none as far as few
jobs speak for it (ridge regression with fixed variance ratios, which is the best linear unbiased
prediction of a mixed model: Robinson, "That BLUP is a good thing", Statistical Science 6, 1991).
Jobs far off count less (weights of Student's t), and old ones less than new. The spread comes from
what each job would have been off, had it been predicted from the others.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from app.calculations.plan.expected_hours import ENOUGH

# Judged, each moved by half in tests/simulated_hours: variance of a job by that of a shift.
SHOP, KIND, SERVICE, SIZE, BEGINNING = 0.3, 3.0, 0.6, 2.0, 0.5
LEARNING = 12  # jobs in which half of what a beginner takes more is gone (judged)
HALF_LIFE = 100  # jobs after which one counts half
FREEDOM = 4.0  # of the t distribution of a job
LOW, HIGH = 0.2, 0.8  # shares of jobs that take less
_ROUNDS = 6
Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ClosedJob:
    """A closed job: its main service, whether outside, its size there, worked by the list's."""

    service: Hashable
    outside: bool
    size: str
    ratio: float


@dataclass(frozen=True, slots=True)
class OwnHours:
    """What to multiply the list's hours by; `n` jobs of this service, `n_all` behind it."""

    low: float
    likely: float
    high: float
    n: int
    n_all: int


def own_hours(
    jobs: Sequence[ClosedJob], service: Hashable, outside: bool, size: str
) -> OwnHours | None:
    """The shop's own hours for a job, from closed jobs (the newest first); none below five.

    Ratios are above zero.
    """
    if len(jobs) < ENOUGH:
        return None
    rows, penalty = _design(jobs, service, outside, size)
    # How much of a beginner each job found, the first of all the most.
    new = 0.5 ** ((len(jobs) - np.arange(len(jobs) + 1)) / LEARNING)
    rows, penalty = np.column_stack((rows, new)), np.append(penalty, BEGINNING)
    y = np.array([log(one.ratio) for one in jobs])
    recent: Numbers = 0.5 ** (np.arange(len(jobs)) / HALF_LIFE)
    shifts, alone = _fit(rows[1:], y, recent, penalty)
    likely = float(rows[0] @ shifts)
    low, high = (_quantile(alone, recent, share) for share in (LOW, HIGH))
    n = sum(one.service == service for one in jobs)
    return OwnHours(
        exp(likely + min(low, 0.0)), exp(likely), exp(likely + max(high, 0.0)), n, len(jobs)
    )


def _fit(rows: Numbers, y: Numbers, recent: Numbers, penalty: Numbers) -> tuple[Numbers, Numbers]:
    """(shifts, what each job is off when it is predicted from the others)."""
    weights = recent.copy()
    for _ in range(_ROUNDS):
        shifts, lever = shrunk(rows, y, weights, penalty)
        alone = (y - rows @ shifts) / np.maximum(1 - lever, 0.2)
        scale = max(1.4826 * float(np.median(np.abs(alone))), 0.02)
        weights = recent * (FREEDOM + 1) / (FREEDOM + (alone / scale) ** 2)
    return shifts, alone


def shrunk(
    rows: Numbers, y: Numbers, weights: Numbers, penalty: Numbers
) -> tuple[Numbers, Numbers]:
    """(shifts, leverage of each row) of least squares with a penalty on each shift.

    `rows` (n, k), `y` and `weights` (n,), `penalty` (k,): the variance of a row by that of a shift,
    zero for what is not drawn toward none.
    """
    weighted = rows * weights[:, None]
    inverse = np.linalg.pinv(rows.T @ weighted + np.diag(penalty))
    lever = np.einsum("ij,jk,ik->i", rows, inverse, weighted)
    return inverse @ (weighted.T @ y), lever


def _design(
    jobs: Sequence[ClosedJob], service: Hashable, outside: bool, size: str
) -> tuple[Numbers, Numbers]:
    """(rows of the one that is asked and of the jobs, the penalty of each shift)."""
    asked = ClosedJob(service, outside, size, 1.0)
    columns: dict[Hashable, tuple[int, float]] = {}
    marks = [_marks(one) for one in (asked, *jobs)]
    for some in marks:
        for mark, penalty in some:
            columns.setdefault(mark, (len(columns), penalty))
    rows = np.zeros((len(marks), len(columns)))
    for at, some in enumerate(marks):
        for mark, _penalty in some:
            rows[at, columns[mark][0]] = 1
    return rows, np.array([penalty for _at, penalty in columns.values()])


def _marks(job: ClosedJob) -> tuple[tuple[Hashable, float], ...]:
    return (
        ("shop", SHOP),
        (("kind", job.outside), KIND),
        (("service", job.service), SERVICE),
        (("size", job.outside, job.size), SIZE),
    )


def _quantile(values: Numbers, weights: Numbers, share: float) -> float:
    """The weighted quantile; the next job counts as one that may lie beyond all of them."""
    order = np.argsort(values)
    total = weights.sum()
    at = (np.cumsum(weights[order]) - weights[order] / 2) / total
    return float(np.interp(share, at, values[order]))
