"""Made-up shops with true speeds, what an estimate makes of their closed jobs, and simple rules."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import exp, log

import numpy as np

from app.calculations.plan.own_hours import ClosedJob, own_hours

SIZES = ("S", "M", "L", "XL")
SERVICES = 8  # five outside, three inside
MIDDLE = 0.1  # of the services' true log speeds
NEXT = 30  # jobs after those closed, each estimated from these
GUESS = 1.25  # not above by the list alone, as before five closed jobs


@dataclass(frozen=True)
class World:
    """Spread of the services' true speeds and of jobs, and what is wrong in it."""

    name: str
    services: float = 0.25  # standard deviation of log speed
    jobs: float = 0.25
    slow: float = 0.0  # log hours that the first jobs take more, gone by half every 8 jobs
    off: float = 0.0  # log hours by which the commonest service is off
    sizes: dict[str, float] = field(default_factory=dict)  # log hours by size
    tails: bool = False  # Student's t with three degrees in place of the normal


MADE_IN = (World("as the list, by chance"), World("services far apart", services=0.45))
OTHERS = (
    World("slow starter", slow=0.4),
    World("one service off by 60 %", off=log(1.6)),
    World("two bodies of size wrong", sizes={"L": 0.3, "XL": -0.25}),
    World("heavy tails", tails=True),
    World("very regular", services=0.15, jobs=0.12),
    World("all of it", slow=0.3, off=log(1.6), sizes={"L": 0.25, "XL": -0.2}, tails=True),
)
RULES = ("true speeds", "this", "own mean", "list")


@dataclass(frozen=True)
class Score:
    """Median absolute error (log hours), and the share of jobs above what was not to be passed."""

    error: float
    passed: float


def measure(world: World, closed: int, seeds: Sequence[int]) -> dict[str, Score]:
    """How each rule fares after so many closed jobs, over the shops of these seeds."""
    errors: dict[str, list[float]] = {rule: [] for rule in RULES}
    passed: dict[str, list[float]] = {rule: [] for rule in RULES}
    for seed in seeds:
        for rule, likely, most, took in _shop(world, closed, seed):
            errors[rule].append(abs(took - likely))
            passed[rule].append(took > most)
    return {
        rule: Score(float(np.median(errors[rule])), float(np.mean(passed[rule]))) for rule in RULES
    }


@dataclass(frozen=True)
class Drawn:
    """A shop's jobs in their order: service, size, true and worked log hours by the list's."""

    service: np.ndarray
    size: np.ndarray
    true: np.ndarray
    took: np.ndarray


def drawn(world: World, closed: int, seed: int) -> Drawn:
    """So many closed jobs of a shop, and the next ones."""
    chance = np.random.default_rng(seed)
    speeds = chance.normal(MIDDLE, world.services, SERVICES)
    speeds[0] += world.off
    popular = chance.dirichlet(np.linspace(3, 0.7, SERVICES))
    count = closed + NEXT
    service = chance.choice(SERVICES, count, p=popular)
    size = chance.choice(SIZES, count, p=(0.2, 0.4, 0.25, 0.15))
    noise = chance.standard_t(3, count) / 1.5 if world.tails else chance.normal(0, 1, count)
    slow = world.slow * 0.5 ** (np.arange(count) / 8)
    true = slow + np.array(
        [speeds[s] + world.sizes.get(k, 0.0) for s, k in zip(service, size, strict=True)]
    )
    return Drawn(service, size, true, true + world.jobs * noise)


def _shop(world: World, closed: int, seed: int) -> list[tuple[str, float, float, float]]:
    """(rule, likely, not above, took) of each next job, in log hours by the list's."""
    made = drawn(world, closed, seed)
    service, size, true, took = made.service, made.size, made.true, made.took
    history = [
        ClosedJob(int(service[at]), bool(service[at] < 5), str(size[at]), exp(took[at]))
        for at in reversed(range(closed))
    ]
    true_most = world.jobs * float(np.quantile(_long_noise(world), 0.8))
    found = []
    for at in range(closed, len(took)):
        s, k = int(service[at]), str(size[at])
        own = own_hours(history, s, s < 5, k)
        mine = [log(one.ratio) for one in history if one.service == s]
        mean = float(np.mean(mine)) if mine else 0.0
        rise = 0.84 * float(np.std(mine, ddof=1)) if len(mine) > 1 else log(GUESS)
        told = (own.likely, own.high) if own is not None else (1.0, GUESS)
        rules = (
            (true[at], true[at] + true_most),
            (log(told[0]), log(told[1])),
            (mean, mean + rise),
            (0.0, log(GUESS)),
        )
        found += [
            (rule, likely, most, float(took[at]))
            for rule, (likely, most) in zip(RULES, rules, strict=True)
        ]
    return found


def _long_noise(world: World) -> np.ndarray:
    chance = np.random.default_rng(0)
    return chance.standard_t(3, 20_000) / 1.5 if world.tails else chance.normal(0, 1, 20_000)
