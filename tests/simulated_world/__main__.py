"""Print how letters fare in simulated shops: `python -m tests.simulated_world`."""

from __future__ import annotations

import argparse
import time

from tests.simulated_world.measure import Score, measure
from tests.simulated_world.other_worlds import OTHER_WORLDS
from tests.simulated_world.world import WORLDS

BESIDE = f"{'of ideal':>9}{'of true':>9}"
HEADING = f"{'hits':>7}{BESIDE}{'days unprotected':>19}{BESIDE}{'in lives':>10}"


def _line(name: str, score: Score, truth: Score, ideal: Score | None) -> str:
    hits, days = (
        f"{mine / best:9.3f}" if best else f"{'-':>9}"
        for mine, best in (
            (score.hits, ideal and ideal.hits),
            (score.unprotected, ideal and ideal.unprotected),
        )
    )
    return (
        f"  {name:26}{score.hits:7.1%}{hits}{score.hits / truth.hits:9.3f}"
        f"{score.unprotected:19.1f}{days}{score.unprotected / truth.unprotected:9.3f}"
        f"{score.part / truth.part:10.3f}"
    )


def main() -> None:
    """All worlds, or those whose name contains the given words."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=24, help="shops drawn for each world")
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("world", nargs="*", help="part of a world's name")
    asked = parser.parse_args()
    seeds = range(asked.first_seed, asked.first_seed + asked.seeds)
    print(f"Letters within 20 % of the true wear-out, and time unprotected; {asked.seeds} shops.")
    for plan in (*WORLDS, *OTHER_WORLDS):
        if asked.world and not any(word in plan.name for word in asked.world):
            continue
        began = time.perf_counter()
        scores = measure(plan, seeds)
        print(f"\n{plan.name} ({time.perf_counter() - began:.0f} s)")
        for group, words in (("new", "layers put on today"), ("standing", "layers standing")):
            truth, ideal = scores[group]["true medians"], scores[group].get("ideal Bayesian")
            print(f"{words:28}{HEADING}")
            for name, score in scores[group].items():
                print(_line(name, score, truth, ideal))


if __name__ == "__main__":
    main()
