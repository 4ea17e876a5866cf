"""See which mistakes in the calculations no test finds.

    python -m tests.mutation --sample 350 --seed 1
    python -m tests.mutation app/calculations/orders/packs.py    # every mistake in one module
    python -m tests.mutation --sample 150 --wider tests/actions tests/simulated_world

A mistake is one change of one place: a comparison turned or moved by its boundary, an operator
swapped, a constant moved, a condition negated, a sign or a return dropped, `min` for `max`. What
asserts is left as it is: `assert`, and `strict=True` of a `zip`. Each is tried with the quick
tests that reach its function, those that mirror its file first; `--wider` tries what lives then
with every test that reaches it, there and in the folders named, slow ones too: what the suite
would say. What lives is listed with its line, but for the mistakes that change nothing (`alike.py`
has them with the reason). Numbers at the top of a module that are marked as a judgement are
counted by themselves: a judgement moved is another judgement, and where no test minds, nothing
hangs on it. It takes a second or two for each mistake, and is no part of CI.
"""

from __future__ import annotations

import argparse
import os
import pickle
import random
from collections import Counter
from contextlib import suppress
from math import inf
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
    parser.add_argument("--wider", nargs="+", default=[], help="tests for what lives after those")
    parser.add_argument("--reach", type=Path, help="keep here what the tests reach, for more runs")
    asked = parser.parse_args()
    os.chdir(ROOT)
    drawn = _drawn(asked.modules or [CALCULATIONS], asked.sample, asked.seed)
    load_libraries()
    reach = _reach(asked.reach, tuple(asked.tests), slow=False)
    wider = _reach(asked.reach, tuple(asked.wider), slow=True) if asked.wider else None
    tried: list[Mutant] = []
    found_wider = 0
    alive: list[Mutant] = []
    with suppress(KeyboardInterrupt):  # what was tried so far is a sample as well
        for mutant in drawn:
            if alike(mutant):
                continue
            lives = survives(mutant, reach.tests_for(mutant), reach.seconds)
            if lives and wider is not None:
                lives = _survives_all(mutant, reach, wider)
                found_wider += not lives
            tried.append(mutant)
            if lives:
                alive.append(mutant)
                print(f"{len(tried)}: {mutant.place}\n  - {mutant.text}\n  + {mutant.change}",
                      flush=True)  # fmt: skip
    matter, lived = ([one for one in some if not one.judged] for some in (tried, alive))
    rooms, of_room = (Counter(one.path.parent.name for one in some) for some in (matter, lived))
    print(f"\n{len(lived)} of {len(matter)} mistakes live: {len(lived) / max(len(matter), 1):.1%}")
    print(", ".join(f"{room} {of_room[room]} of {rooms[room]}" for room in sorted(rooms)))
    if wider is not None:
        print(f"{found_wider} were found only by the wider tests.")
    print(f"Of {len(tried) - len(matter)} judged numbers moved, {len(alive) - len(lived)} live.")
    print(f"{sum(bool(alike(one)) for one in drawn)} change nothing.")


def _survives_all(mutant: Mutant, reach: Reach, wider: Reach) -> bool:
    """Whether a mistake that lived lives through every test that reaches it, the quickest first."""
    done = set(reach.tests_for(mutant))
    seconds = reach.seconds | wider.seconds
    rest = {*reach.tests_for(mutant, inf), *wider.tests_for(mutant, inf)} - done
    return survives(mutant, sorted(rest, key=lambda test: (seconds[test], test)), seconds)


def _reach(kept: Path | None, tests: tuple[str, ...], *, slow: bool) -> Reach:
    known: dict[tuple[str, ...], Reach] = {}
    if kept is not None and kept.exists():
        known = pickle.loads(kept.read_bytes())
    if tests not in known:
        known[tests] = reach_of(tests, slow=slow)
        if kept is not None:
            kept.write_bytes(pickle.dumps(known))
    return known[tests]


def _drawn(places: list[Path], sample: int, seed: int) -> list[Mutant]:
    files: set[Path] = set()
    for place in places:
        files |= set(place.resolve().rglob("*.py")) if place.is_dir() else {place.resolve()}
    every = [one for file in sorted(files) for one in mutants_of(file.relative_to(ROOT))]
    if not 0 < sample < len(every):
        return every
    chosen = random.Random(seed).sample(range(len(every)), sample)
    return [every[at] for at in chosen]


if __name__ == "__main__":
    main()
