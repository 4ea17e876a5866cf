"""The plan of all open jobs: who works when, which bay each vehicle stands in, and where two clash.

A vehicle holds its bay from its begin until it can be fetched, nights and cures too; hands are free
for others meanwhile. Jobs are placed one by one: those agreed to the minute first, which stand
whatever clashes; then those agreed for a day, where they fit on it; then all others, in the order
that makes them ready soonest. One job is placed exactly: of all begins that
clash with nothing that stands, the earliest, and so the earliest ready, for a later begin never
makes it ready sooner. All together are a rule and no optimum; docs/bay.md says how far from one.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from app.calculations.bay.opening import Window, next_open
from app.calculations.bay.runs import Hands, Piece, Run, run

FAR = 10**12  # later than any minute of a plan
TRIES = 200  # placings that are tried for an order at the most, about a fortieth of a second


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """A job to be planned."""

    job: Hashable
    pieces: tuple[Piece, ...]
    in_bay: bool = True  # else outside, or in the customer's yard
    not_before: int = 0
    # The latest begin that was agreed: `not_before` where that was a time, and then it stands,
    # whatever clashes; the end of a day where only that was.
    latest: int | None = None
    promised: int | None = None
    here: bool = False  # it was begun, or stands there already
    shut: tuple[Window, ...] = ()  # in which nobody works on it, in order

    @property
    def to_the_minute(self) -> bool:
        """Whether its begin is agreed to the minute."""
        return self.latest is not None and self.latest == self.not_before


class Clash(NamedTuple):
    """Two vehicles in one bay at the same time."""

    bay: int
    first: Hashable
    second: Hashable
    start: int
    end: int


class _Stay(NamedTuple):
    start: int
    end: int
    job: Hashable


@dataclass
class Shop:
    """The open windows, the people and the bays, with what is taken of them so far."""

    windows: Sequence[Window]
    people: int = 1
    bays: int = 1
    hands: Hands = field(init=False)
    stays: list[list[_Stay]] = field(init=False)

    def __post_init__(self) -> None:
        self.hands = Hands(self.windows, self.people)
        self.stays = [[] for _ in range(self.bays)]

    def copy(self) -> Shop:
        """The same shop, to try something in."""
        other = Shop((), self.people, 0)
        other.windows, other.bays = self.windows, self.bays
        other.hands, other.stays = self.hands.copy(), [list(stays) for stays in self.stays]
        return other

    def hold(self, one: Run) -> None:
        """What this run takes is no longer free."""
        self.hands.take(one.hands)
        if one.bay is not None:
            insort(self.stays[one.bay], _Stay(one.begin, one.ready, one.job), key=lambda s: s[:2])


@dataclass(frozen=True)
class Plan:
    """The runs by job, those that found no place within the windows, and the clashes."""

    runs: dict[Hashable, Run]
    unplaced: tuple[Hashable, ...] = ()
    clashes: tuple[Clash, ...] = ()


def plan(wanted: Sequence[Wanted], shop: Shop) -> Plan:
    """Place these jobs into the shop, which then holds them."""
    in_turn = sorted(wanted, key=_turn)
    found = _placed([one for one in in_turn if one.to_the_minute], shop)
    runs, others = dict(found.runs), []
    for one in in_turn:
        if one.to_the_minute:
            continue
        run = earliest(one, shop) if one.latest is not None else None
        if run is None or one.latest is None or run.begin > one.latest:
            others.append(one)
        else:
            shop.hold(run)
            runs[one.job] = run
    rest = _placed(_best_order(others, shop), shop) if others else Plan({})
    return Plan({**runs, **rest.runs}, found.unplaced + rest.unplaced, found.clashes)


def _placed(wanted: Sequence[Wanted], shop: Shop) -> Plan:
    runs: dict[Hashable, Run] = {}
    unplaced: list[Hashable] = []
    clashes: list[Clash] = []
    for one in wanted:
        found = earliest(one, shop)
        if one.to_the_minute and (found is None or found.begin > one.not_before):
            found = _whatever_clashes(one, shop)
        if found is None:
            unplaced.append(one.job)
            continue
        clashes += _clashes(found, shop)
        shop.hold(found)
        runs[one.job] = found
    return Plan(runs, tuple(unplaced), tuple(clashes))


def _best_order(wanted: Sequence[Wanted], shop: Shop) -> Sequence[Wanted]:
    """By their promises, then each moved to where it helps most while that helps at all: fewest
    minutes past the promises, then the soonest ready."""
    order = list(wanted)
    best = _cost(order, shop)
    tried = 0
    better = len(order) > 1
    while better:
        better = False
        for one in wanted:
            at = order.index(one)
            for to in range(len(order)):
                if tried >= TRIES:
                    return order
                other = order[:at] + order[at + 1 :]
                other.insert(to, one)
                cost = _cost(other, shop) if to != at else best
                tried += len(order)
                if cost < best:
                    order, best, at, better = other, cost, to, True
    return order


def _cost(order: Sequence[Wanted], shop: Shop) -> tuple[int, int, int]:
    """(jobs without a place, minutes past promises, sum of minutes until ready) in this order."""
    found = _placed(order, shop.copy())
    runs = [(one, found.runs[one.job]) for one in order if one.job in found.runs]
    late = sum(max(0, run.ready - one.promised) for one, run in runs if one.promised is not None)
    return len(found.unplaced), late, sum(run.ready - one.not_before for one, run in runs)


def earliest(one: Wanted, shop: Shop, *, after: int = 0) -> Run | None:
    """The earliest run that clashes with nothing which stands, begun at `after` or later; none
    where the windows end before.

    Every gap of every bay is tried from its start. That is enough: from a later begin in the same
    gap it is ready no sooner.
    """
    since = max(one.not_before, after)
    if not one.in_bay:
        return run(one.job, one.pieces, since, shop.hands, one.shut)
    best: Run | None = None
    least = sum(piece.minutes for piece in one.pieces)
    for bay, stays in enumerate(shop.stays):
        for start, end in _gaps(stays, since):
            if best is not None and start >= best.begin:
                break
            if end - start < least:
                continue
            found = run(one.job, one.pieces, start, shop.hands, one.shut)
            if found is None:
                break
            if found.ready <= end:
                if best is None or found.begin < best.begin:
                    best = replace(found, bay=bay)
                break
    return best


def _turn(one: Wanted) -> tuple[bool, int, int, str]:
    """Who is there first; those agreed for a day or a time in their order, the others by their
    promise."""
    promised = FAR if one.promised is None else one.promised
    first, second = (promised, one.not_before) if one.latest is None else (one.not_before, promised)
    return not one.here, first, second, str(one.job)


def _whatever_clashes(one: Wanted, shop: Shop) -> Run | None:
    """The run from its appointment, in the bay where it clashes least: the vehicle comes then,
    also where nobody can begin on it yet."""
    found = run(one.job, one.pieces, one.not_before, shop.hands, one.shut)
    if found is None or not one.in_bay or not shop.stays:
        return found
    least = min(range(len(shop.stays)), key=lambda bay: _overlap(found, shop.stays[bay]))
    since = next_open(shop.windows, one.not_before)
    return replace(found, bay=least, since=since if since is not None else one.not_before)


def _overlap(one: Run, stays: Sequence[_Stay]) -> int:
    return sum(max(0, min(one.ready, stay.end) - max(one.begin, stay.start)) for stay in stays)


def _clashes(one: Run, shop: Shop) -> list[Clash]:
    if one.bay is None:
        return []
    return [
        Clash(one.bay, stay.job, one.job, max(one.begin, stay.start), min(one.ready, stay.end))
        for stay in shop.stays[one.bay]
        if stay.start < one.ready and one.begin < stay.end
    ]


def _gaps(stays: Sequence[_Stay], since: int) -> list[Window]:
    """The free stretches of a bay from `since` on, in order; the last has no end."""
    found = []
    now = since
    for start, end, _job in stays:
        if start > now:
            found.append((now, start))
        now = max(now, end)
    found.append((now, FAR))
    return found
