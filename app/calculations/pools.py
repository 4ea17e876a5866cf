"""Towels and pads that come back from the wash, counted together by kind: a pool.

Pieces are only ever moved from one state to another, so that all that came in are clean, in use or
out. The ladder by which they go down (paint, interior, wheels, out), a pool of two loads (one in
use, one in the wash) and the lives in a shop's facts are common practice, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from app.errors import Mendable

RUNGS = ("paint", "interior", "wheels")
OUTSIDE, OUT = "", "out"
POOL_KINDS = ("added", "set out", "washed", "demoted", "retired", "reversed")


def clean(rung: str) -> str:
    """The state of clean pieces of a step."""
    return f"{rung} clean"


def in_use(rung: str) -> str:
    """The state of pieces of a step that are in use, or wait for the wash."""
    return f"{rung} in use"


STATES = (OUTSIDE, *(state(rung) for rung in RUNGS for state in (clean, in_use)), OUT)


@dataclass(frozen=True)
class Moved:
    """Pieces that went from a state to another; `loads` of the wash that did it."""

    source: str
    target: str
    pieces: int
    loads: int = 0


@dataclass(frozen=True)
class Tally:
    """Where the pieces of a pool are."""

    states: dict[str, int]
    came_in: int
    loads: int

    def at(self, state: str) -> int:
        """Pieces in a state."""
        return self.states.get(state, 0)

    def of_rung(self, rung: str) -> int:
        """Pieces of a step, clean and in use."""
        return self.at(clean(rung)) + self.at(in_use(rung))

    @property
    def out(self) -> int:
        """Pieces retired."""
        return self.at(OUT)


def tally(moves: Iterable[Moved]) -> Tally:
    """Where the pieces stand after all moves; lines taken back are moves the other way."""
    states: Counter[str] = Counter()
    came_in = loads = 0
    for move in moves:
        states[move.source] -= move.pieces
        states[move.target] += move.pieces
        loads += move.loads
    came_in = -states.pop(OUTSIDE, 0)
    return Tally({state: number for state, number in states.items() if number}, came_in, loads)


def next_rung(rung: str) -> str:
    """The step below; `out` below the last."""
    at = RUNGS.index(rung) + 1
    return RUNGS[at] if at < len(RUNGS) else OUT


def washed(standing: Tally, rung: str, loads: int, in_a_load: int) -> int:
    """Pieces of a step that loads of the wash bring back: those in use, as many as go in.

    What was used and washed within the day without being set out changes no state.
    """
    if loads <= 0:
        raise Mendable("Type how many loads were washed, such as 2 loads.")
    return min(standing.at(in_use(rung)), loads * in_a_load)


def worn(pieces: int, uses: int) -> int:
    """Thousandths of a piece that so many single uses wear off, of pieces that last `uses` uses."""
    if uses <= 0:
        raise Mendable("Say first how many uses a piece lasts.")
    return round(pieces * 1000 / uses)


def to_rebuy(standing: Tally, top: str, in_a_load: int) -> int:
    """Pieces that lack to two loads of the first step: one in use, one in the wash."""
    return max(0, 2 * in_a_load - standing.of_rung(top))
