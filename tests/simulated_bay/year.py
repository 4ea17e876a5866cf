"""A year of a shop whose hours stray: people ask, are told a day, and the work goes as it goes.

Nothing of the plan's own chances is used to let it go: minutes are drawn here, one factor a job
around the middle of its kind and one a piece, people come late, and some walk in.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

from app.calculations.bay.opening import OpenHours, Window
from app.calculations.bay.planning import Shop, Wanted, plan
from app.calculations.bay.promises import Band, Days, earliest_that_keeps, kept
from app.calculations.bay.runs import Kind, Piece

HOURS = OpenHours((480,) * 7, (480, 480, 480, 480, 480, 240, 0), "America/Chicago")
FIRST = date(2026, 1, 5)
AHEAD = 45  # days
LATE = (0, 0, 0, 10, 20, 45)  # minutes, as vehicles come after their time
WALK_INS = 0.15  # a day
DAYS = Days(LATE, WALK_INS / 8, 90)  # as such a shop would read it off its own days
STEP = 15  # minutes at which somebody looks what comes next


@dataclass
class Asked:
    """A job: what is said of it, and how it will really go."""

    number: int
    pieces: tuple[Piece, ...]
    band: Band
    in_bay: bool
    really: list[int]  # minutes of each piece
    late: int  # minutes that the vehicle comes after its time
    begin: int = 0
    promised: int = 0
    said: float = 0.0
    done: list[int] = field(default_factory=list)  # minutes of each piece so far
    at: int = 0  # the piece that it is in
    since: int | None = None  # when that piece began, of a hold
    here: bool = False
    counts: bool = True  # whether a promise was given

    def moves_on(self, now: int) -> bool:
        """Go through holds that are over; whether all is done."""
        while self.at < len(self.pieces):
            kind, really = self.pieces[self.at].kind, self.really[self.at]
            if kind is Kind.HANDS:
                if self.done[self.at] < really:
                    return False
            else:
                self.since = now if self.since is None else self.since
                self.done[self.at] = min(really, now - self.since)
                if self.done[self.at] < really:
                    return False
            self.at, self.since = self.at + 1, None
        return True

    def left(self) -> tuple[Piece, ...]:
        """What the shop believes is still to do, a quarter of an hour where it runs over."""
        pieces = []
        for piece, done, really in zip(self.pieces, self.done, self.really, strict=True):
            rest = 0 if done >= really else max(STEP, piece.minutes - done)
            pieces.append(Piece(piece.kind, rest))
        return tuple(pieces)


def drawn(rng: Random, number: int, strays: float) -> Asked:
    """Someone who asks: a wash, an interior that dries, a coating that cures, a large repaint."""
    hands, hold = Kind.HANDS, rng.choice((Kind.CURES, Kind.DRIES))
    kinds: list[tuple[bool, list[tuple[Kind, int]]]] = [
        (False, [(hands, 90)]),
        (True, [(hands, 240), (Kind.DRIES, 720), (hands, 30)]),
        (True, [(hands, 420), (Kind.CURES, 720), (hands, 30)]),
        (True, [(hands, 180), (hold, 840), (hands, 720), (Kind.CURES, 720), (hands, 120)]),
    ]
    in_bay, parts = rng.choices(kinds, (5, 3, 3, 1))[0]
    by = rng.uniform(0.8, 1.3)
    pieces = tuple(Piece(k, m if k is not hands else STEP * round(m * by / STEP)) for k, m in parts)
    middle = sum(piece.minutes for piece in pieces if piece.kind is hands)
    factor = rng.lognormvariate(0, strays)
    really = [
        piece.minutes if piece.kind is not hands
        else STEP * max(1, round(piece.minutes * factor * rng.lognormvariate(0, 0.1) / STEP))
        for piece in pieces
    ]  # fmt: skip
    band = Band(middle * 2.718281828 ** (-0.8416 * strays), middle,
                middle * 2.718281828 ** (0.8416 * strays))  # fmt: skip
    late = rng.choice(LATE)
    return Asked(number, pieces, band, in_bay, really, late, done=[0] * len(pieces))


@dataclass
class Year:
    """What came of a year."""

    promises: list[tuple[float, bool]] = field(default_factory=list)  # chance said, whether kept
    asked: int = 0
    booked: int = 0
    finished: int = 0
    waited: int = 0  # vehicles that came and found no bay free


@dataclass
class Office:
    """The shop: its jobs that stand, its people, its bays."""

    people: int = 1
    bays: int = 2
    said: float = 0.9
    jobs: list[Asked] = field(default_factory=list)
    year: Year = field(default_factory=Year)

    def windows(self, now: int, today: date) -> list[Window]:
        """The open windows from now on."""
        found = HOURS.windows(today, today + timedelta(days=AHEAD))
        return [(max(now, start), end) for start, end in found if end > now]

    def book(self, asked: Asked, now: int, windows: list[Window]) -> None:
        """Tell a begin, and a promise that is kept with the chance that is to be said."""
        shop = Shop(windows, self.people, self.bays)
        wanted = []
        for one in self.jobs:
            begin = max(now, one.begin)
            wanted.append(
                Wanted(job=one.number, pieces=one.left(), in_bay=one.in_bay, not_before=begin,
                       latest=begin, promised=one.promised, here=one.here)
            )  # fmt: skip
        standing = plan(wanted, shop)
        new = Wanted(job=asked.number, pieces=asked.pieces, in_bay=asked.in_bay, not_before=now)
        self.year.asked += 1
        bands = {one.number: one.band for one in (*self.jobs, asked)}
        promised = {one.number: one.promised for one in self.jobs if one.counts}
        found = earliest_that_keeps(new, standing, shop, bands, promised, DAYS)
        if found is None or found[1][-1] == float("inf"):
            return
        run, ready = found
        # A promise is a round time: the next half hour.
        asked.begin, asked.promised = (
            run.begin,
            -(-int(ready[int(self.said * len(ready))]) // 30) * 30,
        )
        asked.said = kept(ready, asked.promised)
        self.jobs.append(asked)
        self.year.booked += 1

    def works(self, now: int) -> None:
        """A quarter of an hour: who is here is worked on, the earliest begin first."""
        inside = sum(one.here and one.in_bay for one in self.jobs)
        free = self.people
        for one in sorted(self.jobs, key=lambda job: (job.promised, job.begin)):
            if not one.here and now >= one.begin + one.late:
                one.here = not one.in_bay or inside < self.bays
                inside += one.here and one.in_bay
                self.year.waited += not one.here
            if not one.here:
                continue
            if one.moves_on(now):
                self.jobs.remove(one)
                self.year.finished += 1
                if one.counts:
                    self.year.promises.append((one.said, now <= one.promised))
            elif free and one.pieces[one.at].kind is Kind.HANDS:
                one.done[one.at] += STEP
                free -= 1


def a_year(seed: int, people: int = 1, bays: int = 2, strays: float = 0.25,
           busy: float = 1.3, days: int = 365, said: float = 0.9,
           office: type[Office] = Office) -> Year:  # fmt: skip
    """A year of days; `busy` people ask on each of them."""
    rng = Random(seed)
    shop = office(people, bays, said)
    number = 0
    for at in range(days):
        today = FIRST + timedelta(days=at)
        for start, end in HOURS.windows(today, today):
            windows = shop.windows(start, today)
            while rng.random() < busy / (1 + busy):
                number += 1
                shop.book(drawn(rng, number, strays), start, windows)
            if rng.random() < WALK_INS:  # someone walks in for a wash
                number += 1
                wash = drawn(rng, number, strays)
                while wash.in_bay:
                    wash = drawn(rng, number, strays)
                wash.begin, wash.counts, wash.promised = start, False, start
                shop.jobs.append(wash)
            for now in range(start, end + 1, STEP):
                shop.works(now)
    return shop.year


def main() -> None:
    """Print how often promises were kept, by what was said of them."""
    for people, bays, strays, busy in (
        (1, 1, 0.25, 0.9),
        (1, 1, 0.25, 1.3),
        (1, 2, 0.25, 0.9),
        (1, 2, 0.25, 1.3),
        (2, 3, 0.25, 1.8),
        (1, 2, 0.4, 0.9),
        (1, 2, 0.1, 0.9),
    ):
        years = [a_year(seed, people, bays, strays, busy) for seed in (1, 2)]
        promises = [kept for year in years for kept in year.promises]
        held = sum(kept for _said, kept in promises) / max(1, len(promises))
        said = sum(said for said, _kept in promises) / max(1, len(promises))
        jobs = sum(year.finished for year in years)
        print(f"{people} people, {bays} bays, hours stray by {strays}, {busy} ask a day: "
              f"said {said:.3f}, "
              f"kept {held:.3f} of {len(promises)}; {jobs} jobs, "
              f"{sum(y.asked - y.booked for y in years)} sent away, "
              f"{sum(year.waited for year in years)} quarters waited", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
