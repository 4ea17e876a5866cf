"""See which mistakes in the calculations no test finds.

    python -m tests.mutation --sample 350 --seed 1
    python -m tests.mutation app/calculations/orders/packs.py    # every mistake in one module

A mistake is one change of one place: a comparison turned or moved by its boundary, an operator
swapped, a constant moved, a condition negated, a sign or a return dropped, `min` for `max`. Each is
tried with the quick tests that reach its function, those that mirror its file first. What lives is
listed with its line, but for the mistakes that change nothing (`alike.py` has them with the
reason). It takes a second or two for each mistake, and is no part of CI.
"""

from __future__ import annotations

import argparse
import os
import pickle
import random
from collections import Counter
from pathlib import Path

from tests import ROOT
from tests.mutation.alike import alike
from tests.mutation.children import load_libraries, survives
from tests.mutation.mutants import Mutant, mutants_of
from tests.mutation.reach import CALCULATIONS, Reach, reach_of


def main() -> None:
    """Draw the mistakes, try each, and list what lives."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("modules", nargs="*", type=Path, help="files or rooms; all by default")
    parser.add_argument("--sample", type=int, default=0, help="so many, drawn by chance")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--tests", nargs="+", default=["tests/calculations"])
    parser.add_argument("--reach", type=Path, help="keep here what the tests reach, for more runs")
    asked = parser.parse_args()
    os.chdir(ROOT)
    drawn = _drawn(asked.modules or [CALCULATIONS], asked.sample, asked.seed)
    load_libraries()
    reach = _reach(asked.reach, tuple(asked.tests))
    alive: list[Mutant] = []
    same = 0
    by_room: Counter[str] = Counter()
    for mutant in drawn:
        by_room[mutant.path.parent.name] += 1
        if alike(mutant):
            same += 1
        elif survives(mutant, reach.tests_for(mutant), reach.seconds):
            alive.append(mutant)
            print(f"{mutant.place}  {mutant.change}\n    {mutant.text}", flush=True)
    lived = Counter(mutant.path.parent.name for mutant in alive)
    tried = len(drawn) - same
    print(f"\n{len(alive)} of {tried} mistakes live ({len(alive) / max(tried, 1):.1%}), "
          f"beside {same} that change nothing.")  # fmt: skip
    print(", ".join(f"{room} {lived[room]} of {by_room[room]}" for room in sorted(by_room)))


def _reach(kept: Path | None, tests: tuple[str, ...]) -> Reach:
    if kept is not None and kept.exists():
        reach: Reach = pickle.loads(kept.read_bytes())
        return reach
    reach = reach_of(tests)
    if kept is not None:
        kept.write_bytes(pickle.dumps(reach))
    return reach


def _drawn(places: list[Path], sample: int, seed: int) -> list[Mutant]:
    files: set[Path] = set()
    for place in places:
        files |= set(place.resolve().rglob("*.py")) if place.is_dir() else {place.resolve()}
    every = [one for file in sorted(files) for one in mutants_of(file.relative_to(ROOT))]
    if not 0 < sample < len(every):
        return every
    chosen = random.Random(seed).sample(range(len(every)), sample)
    return [every[at] for at in sorted(chosen)]


if __name__ == "__main__":
    main()
