"""Print how estimates learn in made-up shops: `python -m tests.simulated_hours`."""

from __future__ import annotations

import argparse

from tests.simulated_hours.measure import MADE_IN, OTHERS, RULES, measure


def main() -> None:
    """All worlds, after so many closed jobs."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=100, help="shops drawn for each world")
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("--closed", type=int, default=30, help="closed jobs behind each estimate")
    asked = parser.parse_args()
    seeds = range(asked.first_seed, asked.first_seed + asked.seeds)
    print(f"After {asked.closed} closed jobs, {asked.seeds} shops: error by that of true speeds,")
    print("and the share of jobs above the not-above.")
    print(f"{'':28}" + "".join(f"{rule:>18}" for rule in RULES[1:]))
    for world in (*MADE_IN, *OTHERS):
        found = measure(world, asked.closed, seeds)
        best = found["true speeds"].error
        told = (f"{found[r].error / best:9.3f}{found[r].passed:9.1%}" for r in RULES[1:])
        print(f"{world.name:28}" + "".join(told))


if __name__ == "__main__":
    main()
