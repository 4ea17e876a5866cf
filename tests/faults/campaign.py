"""Many trials of every kind, from one seed, and the table of what came of them."""

from __future__ import annotations

import multiprocessing
import os
import random
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from pathlib import Path

from tests.faults.disk import is_loaded
from tests.faults.evening import Evening, Said, begin, usual
from tests.faults.hostile_kinds import FILES
from tests.faults.kinds import ANYWHERE, DISK, KILLS, Case, Kind
from tests.faults.trial import Verdict, copy_of

EVENINGS = 12  # different ones; their usual course is known once
TOLD_EVERY = 100


@dataclass
class Row:
    """What came of the trials of one kind."""

    tried: int = 0
    ended: Counter[str] = field(default_factory=Counter)
    lost: list[str] = field(default_factory=list)  # each with the seed that shows it again


def kinds() -> dict[str, Kind]:
    """The kinds of fault that can be made on this machine."""
    there = {**KILLS, **DISK} if is_loaded() else {}
    return {**there, **ANYWHERE, **FILES}


def are_kills(name: str) -> bool:
    """Whether the trials of a kind end by a kill."""
    return name.startswith("killed")


class Campaign:
    """Evenings and their usual course, made once; trials on copies of them, in any process."""

    def __init__(self, folder: Path, seed: int) -> None:
        self._folder, self._seed = folder, seed
        self._known: list[tuple[Evening, list[Said]]] = []
        shop = begin(folder, 1000 * seed)
        for number in range(EVENINGS):
            evening = replace(shop, seed=1000 * seed + number)
            self._known.append((evening, usual(copy_of(evening, folder / "usual"))))

    def trial(self, task: tuple[str, int]) -> tuple[str, int, Verdict]:
        """One trial of a kind; the same seed and number make the same."""
        name, number = task
        chance = random.Random(f"{self._seed} {number}")
        evening, expected = chance.choice(self._known)
        place = copy_of(evening, self._folder / f"trial {os.getpid()}")
        return name, number, kinds()[name](Case(place, expected, chance))


def run(
    counts: Mapping[str, int],
    seed: int,
    say: Callable[[str], object] = lambda _line: None,
    jobs: int = 1,
) -> dict[str, Row]:
    """So many trials of each kind, in so many processes; `say` is told of each loss at once."""
    tasks = [(name, number) for name, many in counts.items() for number in range(many)]
    random.Random(seed).shuffle(tasks)  # each part is as the whole, wherever it is broken off
    rows = {name: Row() for name in counts}
    # In memory where the system has such a place: what a power cut does is not tried here.
    memory = Path("/dev/shm")
    place = memory if memory.is_dir() and os.access(memory, os.W_OK) else None
    with tempfile.TemporaryDirectory(prefix="bayledger-faults-", dir=place) as folder:
        campaign = Campaign(Path(folder).resolve(), seed)
        # Forks: all is loaded, and the evenings are made.
        with ProcessPoolExecutor(jobs, multiprocessing.get_context("fork")) as pool:
            for done, (name, number, found) in enumerate(pool.map(campaign.trial, tasks), 1):
                row = rows[name]
                row.tried += 1
                row.ended[found.ended] += 1
                if found.lost:
                    row.lost.append(f"{name}, seed {seed}, trial {number}: {found.lost}")
                    say(row.lost[-1])
                if done % TOLD_EVERY == 0:
                    say(f"{done:,} of {len(tasks):,} tried")
    return rows


def table(rows: Mapping[str, Row]) -> Iterator[str]:
    """The rows as text: tried, how they ended, and how many were not whole or not plain."""
    ways = ("to its end", "killed", "refused")
    yield f"{'':46}{'tried':>8}{''.join(f'{way:>12}' for way in ways)}{'lost':>8}"
    for name, row in rows.items():
        ends = "".join(f"{row.ended[way]:12}" for way in ways)
        yield f"{name:46}{row.tried:8}{ends}{len(row.lost):8}"
    lost = sum(len(row.lost) for row in rows.values())
    yield f"{'together':46}{sum(row.tried for row in rows.values()):8}{'':36}{lost:8}"
