"""Many trials of every kind, from one seed, and the table of what came of them."""

from __future__ import annotations

import random
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from tests.faults.disk import is_loaded
from tests.faults.evening import Evening, Said, begin, usual
from tests.faults.kinds import ANYWHERE, DISK, KILLS, Case, Kind
from tests.faults.trial import Verdict, copy_of

EVENINGS = 12  # different ones; their usual course is known once


@dataclass
class Row:
    """What came of the trials of one kind."""

    tried: int = 0
    ended: Counter[str] = field(default_factory=Counter)
    lost: list[str] = field(default_factory=list)  # each with the seed that shows it again


def kinds() -> dict[str, Kind]:
    """The kinds of fault that can be made on this machine."""
    return {**KILLS, **DISK, **ANYWHERE} if is_loaded() else dict(ANYWHERE)


class Campaign:
    """Evenings and their usual course, made once; trials on copies of them."""

    def __init__(self, folder: Path, seed: int) -> None:
        self._folder, self._seed = folder, seed
        self._known: dict[int, tuple[Evening, list[Said]]] = {}

    def _evening(self, number: int) -> tuple[Evening, list[Said]]:
        if number not in self._known:
            place = self._folder / f"evening {number}"
            place.mkdir()
            evening = begin(place, 1000 * self._seed + number)
            usually = usual(copy_of(evening, self._folder / "usual"))
            self._known[number] = evening, usually
        return self._known[number]

    def trial(self, kind: Kind, seed: int) -> Verdict:
        """One trial; the same seed makes the same."""
        chance = random.Random(f"{self._seed} {seed}")
        evening, expected = self._evening(chance.randrange(EVENINGS))
        return kind(Case(copy_of(evening, self._folder / "trial"), expected, chance))


def run(
    counts: Mapping[str, int], seed: int, say: Callable[[str], object] = lambda _line: None
) -> dict[str, Row]:
    """So many trials of each kind; `say` is told of each loss as it is found."""
    rows: dict[str, Row] = {}
    with tempfile.TemporaryDirectory(prefix="bayledger-faults-") as folder:
        campaign = Campaign(Path(folder).resolve(), seed)
        for name, kind in kinds().items():
            row = rows.setdefault(name, Row())
            for number in range(counts.get(name, 0)):
                found = campaign.trial(kind, number)
                row.tried += 1
                row.ended[found.ended] += 1
                if found.lost:
                    row.lost.append(f"{name}, seed {seed}, trial {number}: {found.lost}")
                    say(row.lost[-1])
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
