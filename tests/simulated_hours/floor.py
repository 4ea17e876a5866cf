"""What no rule can beat: one that is told all of a made-up shop but how fast each service is.

    python -m tests.simulated_hours.floor --seeds 100 --first-seed 1000

It knows the spreads, the middle, the sizes, how the shop learns and the law of chance, and takes
the middle of what Bayes leaves open of a service's speed. Printed is its median absolute error by
that of the true speeds: after the closed jobs, and where it goes on to learn from each of the
next.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence

import numpy as np

from tests.simulated_hours.measure import (
    MADE_IN,
    MIDDLE,
    OTHERS,
    SERVICES,
    World,
    drawn,
)


def floor(world: World, closed: int, seeds: Sequence[int], *, goes_on: bool = False) -> float:
    """The ideal rule's median absolute error of log hours, by that of the true speeds."""
    errors = np.array([one for seed in seeds for one in _errors(world, closed, seed, goes_on)])
    ideal, true = np.median(errors, axis=0)
    return float(ideal / true)


def _errors(world: World, closed: int, seed: int, goes_on: bool) -> list[tuple[float, float]]:
    made = drawn(world, closed, seed)
    known = (
        MIDDLE
        + world.slow * 0.5 ** (np.arange(len(made.took)) / 8)
        + np.array([world.sizes.get(str(one), 0.0) for one in made.size])
        + np.where(made.service == 0, world.off, 0.0)
    )
    speeds = np.linspace(-4, 4, 321) * world.services
    chance = {one: -0.5 * (speeds / world.services) ** 2 for one in range(SERVICES)}
    found = []
    for at, service in enumerate(int(one) for one in made.service):
        if at >= closed:
            dense = np.exp(chance[service] - chance[service].max())
            middle = float(np.interp(0.5, np.cumsum(dense) / dense.sum(), speeds))
            off = abs(made.took[at] - known[at] - middle)
            found.append((float(off), float(abs(made.took[at] - made.true[at]))))
        if at < closed or goes_on:
            chance[service] = chance[service] + _chance(
                world, (made.took[at] - known[at] - speeds) / world.jobs
            )
    return found


def _chance(world: World, off: np.ndarray) -> np.ndarray:
    """The logarithm of the density of a job that is so far off."""
    if world.tails:
        return np.asarray(-2 * np.log1p((1.5 * off) ** 2 / 3))
    return np.asarray(-0.5 * off**2)


def main() -> None:
    """Print the floor of each world."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=100)
    parser.add_argument("--first-seed", type=int, default=1000)
    parser.add_argument("--closed", type=int, default=30)
    asked = parser.parse_args()
    seeds = range(asked.first_seed, asked.first_seed + asked.seeds)
    for world in (*MADE_IN, *OTHERS):
        after = floor(world, asked.closed, seeds)
        on = floor(world, asked.closed, seeds, goes_on=True)
        print(f"{world.name:<28}{after:6.2f}{on:6.2f}")


if __name__ == "__main__":
    main()
