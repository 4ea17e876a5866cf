"""Towels and pads that come back from the wash, counted together by kind: a pool.

Pieces are only ever moved from one state to another, so that at any time all that came in are
clean, in use, out or lost. The ladder by which they go down (paint, interior, wheels, out), a pool
of two loads (one in use, one in the wash), counting washes by loads times load size over the pieces
of the pool, a yearly loss of 10 to 25 %, and the lives in a shop's facts are common practice, no
source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from app.calculations.numbers.rounding import half_away
from app.errors import Mendable

PIECE = 1000  # thousandths of a piece
RUNGS = ("paint", "interior", "wheels")
OUTSIDE, OUT, LOST = "", "out", "lost"
POOL_KINDS = (
    "added", "set out", "washed", "demoted", "retired", "returned", "lost", "found", "counted",
    "reversed",
)  # fmt: skip
# With so many pieces gone, what they lasted weighs as much as the life stated (our choice).
PRIOR_PIECES = 20
NEAR_ITS_END = Fraction(9, 10)  # of a life, from which retiring is advised (our choice)


def clean(rung: str) -> str:
    """The state of clean pieces of a step."""
    return f"{rung} clean"


def in_use(rung: str) -> str:
    """The state of pieces of a step that are in use, or wait for the wash."""
    return f"{rung} in use"


STATES = (OUTSIDE, *(state(rung) for rung in RUNGS for state in (clean, in_use)), OUT, LOST)


@dataclass(frozen=True)
class Moved:
    """Pieces that went from a state to another; `loads` of the wash that did it."""

    source: str
    target: str
    pieces: int
    loads: int = 0


@dataclass(frozen=True)
class Tally:
    """Where the pieces of a pool are.

    `came_in` counts those that are still the shop's: what went back to a supplier is taken off.
    A number may be below zero where a line was taken back after its pieces had moved on.
    """

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

    @property
    def lost(self) -> int:
        """Pieces that a count did not find."""
        return self.at(LOST)

    def after(self, *moves: Moved) -> Tally:
        """Where the pieces are after more moves."""
        return tally(moves, self)


def tally(moves: Iterable[Moved], before: Tally | None = None) -> Tally:
    """Where the pieces stand after all moves; lines taken back are moves the other way."""
    states: Counter[str] = Counter(before.states if before else {})
    came_in = before.came_in if before else 0
    loads = before.loads if before else 0
    for move in moves:
        states[move.source] -= move.pieces
        states[move.target] += move.pieces
        loads += move.loads
    came_in -= states.pop(OUTSIDE, 0)
    return Tally({state: number for state, number in states.items() if number}, came_in, loads)


def whole_pieces(amount: int, *, washed: bool = False) -> int:
    """Thousandths of a piece as whole pieces; less than one stays a part, as of a roll of tape,
    but not of a towel that comes back from the wash."""
    return amount if amount < PIECE and not washed else (amount + PIECE // 2) // PIECE * PIECE


def next_rung(rung: str) -> str:
    """The step below; `out` below the last."""
    at = RUNGS.index(rung) + 1
    return RUNGS[at] if at < len(RUNGS) else OUT


def from_clean(standing: Tally, rung: str, pieces: int) -> int:
    """Pieces of a step that can be set out: no more than are clean."""
    return min(pieces, max(0, standing.at(clean(rung))))


def washed(standing: Tally, rung: str, loads: int, in_a_load: int) -> int:
    """Pieces of a step that loads of the wash bring back: those in use, as many as go in.

    What was used and washed within the day without being set out changes no state.
    """
    if loads <= 0:
        raise Mendable("Type how many loads were washed, such as 2 loads.")
    return min(max(0, standing.at(in_use(rung))), loads * in_a_load)


def leaving(
    standing: Tally, rung: str, pieces: int, target: str, *, clean_first: bool = False
) -> tuple[Moved, ...]:
    """Pieces of a step on their way out of it, never more than there are: those in use first (when
    some are missed, it is these), or clean ones (what is thrown away is taken from the shelf)."""
    moves = []
    pieces = min(pieces, max(0, standing.of_rung(rung)))
    states = (clean(rung), in_use(rung)) if clean_first else (in_use(rung), clean(rung))
    for state in states:
        part = min(pieces, max(0, standing.at(state)))
        if part:
            moves.append(Moved(state, target, part))
            pieces -= part
    return tuple(moves)


def to_counted(standing: Tally, rung: str, counted: int) -> tuple[Moved, ...]:
    """The moves that make a step as many pieces, clean and in use together, as were counted.

    First what stands below zero is set right, then the difference is lost, or found again (clean;
    more than ever were lost came from outside).
    """
    moves = []
    for low, high in (
        (in_use(rung), clean(rung)),
        (clean(rung), in_use(rung)),
    ):
        lacking = min(max(0, -standing.at(low)), max(0, standing.at(high)))
        if lacking:
            moves.append(Moved(high, low, lacking))
    standing = standing.after(*moves)
    nowhere = [
        Moved(OUTSIDE, state, -standing.at(state))
        for state in (clean(rung), in_use(rung))
        if standing.at(state) < 0
    ]
    moves += nowhere
    standing = standing.after(*nowhere)
    missing = standing.of_rung(rung) - counted
    if missing > 0:
        return (*moves, *leaving(standing, rung, missing, LOST))
    again = min(-missing, max(0, standing.lost))
    new = -missing - again
    moves += [
        Moved(source, clean(rung), pieces)
        for source, pieces in ((LOST, again), (OUTSIDE, new))
        if pieces
    ]
    return tuple(moves)


def worth_of_uses(uses: int, each: Fraction, life: int | None, left: int) -> int:
    """What single uses wear off, minor units: the standard rate, uses x price / uses in a life.

    It is no more than what is left of the pieces' worth, so that a pool that outlives its stated
    life costs nothing more; without a life stated, uses cost nothing and the whole worth goes when
    pieces leave.

    Parameters
    ----------
    uses
        Single uses: a piece used once.
    each
        What a new piece costs, minor units.
    life
        Uses in a life of a piece, as stated.
    left
        What is left of the worth of the pieces that stand, minor units.
    """
    if life is None or life <= 0:
        return 0
    return min(max(0, left), half_away(uses * each / life))


def to_rebuy(standing: Tally, top: str, in_a_load: int) -> int:
    """Pieces that lack to two loads of the first step: one in use, one in the wash."""
    return max(0, 2 * in_a_load - standing.of_rung(top))


@dataclass(frozen=True)
class Washes:
    """What the washes of a pool's first step came to.

    `mean` are the uses of a piece that stands, so far; `gone` the pieces that went down a step or
    out, `lasted` the uses that they had given then, all together; `missed` the pieces lost.
    """

    mean: Fraction
    gone: int
    lasted: Fraction
    missed: int

    @property
    def each_lasted(self) -> Fraction | None:
        """Mean uses of a piece when it went down or out; None before any did."""
        return self.lasted / self.gone if self.gone else None


def washes(moves: Iterable[Moved], top: str, in_a_load: int) -> Washes:
    """Uses of the pieces of the first step, from its loads.

    A load gives load size uses, shared by all pieces of the step; a piece that leaves takes its
    share along. So where none comes or leaves, the mean is loads x load size / pieces of the pool
    (common practice, no source).
    """
    inside = gone = missed = 0
    uses = lasted = Fraction(0)
    mine = (clean(top), in_use(top))
    for move in moves:
        if move.loads and (move.source in mine or move.target in mine):
            uses = max(Fraction(0), uses + move.loads * in_a_load)
        leaves = move.source in mine and move.target not in mine
        comes = move.target in mine and move.source not in mine
        if leaves:
            share = uses * min(move.pieces, inside) / inside if inside > 0 else Fraction(0)
            uses -= share
            inside -= move.pieces
            if move.target == LOST:
                missed += move.pieces
            elif move.target != OUTSIDE:
                gone += move.pieces
                lasted += share
        if comes:
            if move.source == LOST:
                missed -= move.pieces
            elif move.source != OUTSIDE:  # a line taken back: they bring their share again
                share = lasted * min(move.pieces, gone) / gone if gone > 0 else Fraction(0)
                gone -= move.pieces
                lasted -= share
                uses += share
            inside += move.pieces
    return Washes(
        uses / inside if inside > 0 else Fraction(0), max(0, gone), lasted, max(0, missed)
    )


def learnt_life(stated: int | None, seen: Washes) -> Fraction | None:
    """Uses in a life: the stated one, moved by what pieces that went had given.

    The stated life weighs as much as `PRIOR_PIECES` pieces. A piece that was lost gave its uses for
    its price too, but says nothing of wear, and is left out.
    """
    if seen.each_lasted is None:
        return Fraction(stated) if stated else None
    if not stated:
        return seen.each_lasted
    return (stated * PRIOR_PIECES + seen.lasted) / (PRIOR_PIECES + seen.gone)


def is_near_its_end(mean: Fraction, life: int | None) -> bool:
    """Whether the pieces of a pool have given nine in ten of the uses in a life."""
    return life is not None and 0 < NEAR_ITS_END * life <= mean
