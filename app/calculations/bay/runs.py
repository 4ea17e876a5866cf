"""How a job runs from a begin: hands on in open hours, and holds in which it only stands."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from app.calculations.bay.opening import Window, next_open


class Kind(StrEnum):
    """What goes on in a stretch of a job."""

    HANDS = "hands on"
    CURES = "cures"
    DRIES = "dries"


@dataclass(frozen=True, slots=True)
class Piece:
    """Minutes of one kind, in the job's own order: open hours of hands on, else hours of the
    clock."""

    kind: Kind
    minutes: int


@dataclass(frozen=True, slots=True)
class Bar:
    """A stretch of one kind, from a minute to another."""

    kind: Kind
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Run:
    """A job as planned: its bars in order, and when it can be fetched."""

    job: Hashable
    bars: tuple[Bar, ...]
    ready: int  # the first open minute after the last bar
    bay: int | None = None
    since: int | None = None  # it stands there from then on, though nobody works on it yet

    @property
    def begin(self) -> int:
        """When the vehicle has to be there, or is."""
        return self.start if self.since is None else self.since

    @property
    def start(self) -> int:
        """When its first bar begins."""
        return self.bars[0].start if self.bars else self.ready

    @property
    def hands(self) -> tuple[Window, ...]:
        """When somebody works on it."""
        return tuple((bar.start, bar.end) for bar in self.bars if bar.kind is Kind.HANDS)


class Hands:
    """Who is free when: stretches with the number of people who have nothing to do in them."""

    def __init__(self, windows: Sequence[Window], people: int) -> None:
        self.windows = tuple(windows)
        self._free = [(start, end, people) for start, end in windows if people > 0]

    def copy(self) -> Hands:
        """The same people, to try something with."""
        other = Hands((), 0)
        other.windows, other._free = self.windows, list(self._free)
        return other

    def walk(self, begin: int, minutes: int, shut: Sequence[Window] = ()) -> list[Window]:
        """The first free stretches from `begin` that hold so many minutes, none of them `shut`;
        empty where the windows end before that."""
        found: list[Window] = []
        at = max(0, bisect_right(self._free, (begin, 0, 0)) - 1)
        for start, end in _without(shut, self._free[at:]):
            start = max(start, begin)
            if start >= end:
                continue
            taken = min(minutes, end - start)
            if found and found[-1][1] == start:
                found[-1] = (found[-1][0], start + taken)
            else:
                found.append((start, start + taken))
            minutes -= taken
            if not minutes:
                return found
        return []

    def take(self, spans: Sequence[Window]) -> None:
        """One of those who are free in these stretches works then; more than are free is let be,
        for a begin that was set by hand may ask for more."""
        free = self._free
        for first, last in spans:
            low = max(0, bisect_right(free, (first, 0, 0)) - 1)
            high = bisect_left(free, (last, 0, 0), low)
            kept: list[tuple[int, int, int]] = []
            for start, end, people in free[low:high]:
                cuts = [(start, min(end, first), people),
                        (max(start, first), min(end, last), people - 1),
                        (max(start, last), end, people)]  # fmt: skip
                kept += [cut for cut in cuts if cut[0] < cut[1] and cut[2] > 0]
            free[low:high] = kept


def _without(shut: Sequence[Window], free: Sequence[tuple[int, int, int]]) -> Iterator[Window]:
    """The free stretches with what is shut cut out of them."""
    for start, end, _people in free:
        for first, last in shut:
            if first < end and start < last:
                if start < first:
                    yield start, first
                start = last
        if start < end:
            yield start, end


def joined(pieces: Sequence[Piece]) -> list[tuple[Kind, int]]:
    """The pieces with those of one kind that follow each other as one, without empty ones."""
    found: list[tuple[Kind, int]] = []
    for piece in pieces:
        if piece.minutes <= 0:
            continue
        if found and found[-1][0] is piece.kind:
            found[-1] = (piece.kind, found[-1][1] + piece.minutes)
        else:
            found.append((piece.kind, piece.minutes))
    return found


def run(
    job: Hashable,
    pieces: Sequence[Piece],
    begin: int,
    hands: Hands,
    shut: Sequence[Window] = (),
) -> Run | None:
    """The job begun at the first minute from `begin` at which somebody can work on it, outside of
    what is `shut` to it; none where the windows end before it is done.

    A later begin never makes it ready sooner: each piece takes the first hours that are left.
    """
    bars: list[Bar] = []
    now = begin
    for kind, minutes in joined(pieces):
        if kind is Kind.HANDS:
            spans = hands.walk(now, minutes, shut)
            if not spans:
                return None
            bars += [Bar(kind, start, end) for start, end in spans]
        else:
            bars.append(Bar(kind, now, now + minutes))
        now = bars[-1].end
    ready = next_open(hands.windows, now)
    return Run(job, tuple(bars), ready) if ready is not None else None
