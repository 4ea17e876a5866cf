"""What work asks to be charged: its hours, those that nobody pays, and its supplies.

Money is whole minor units, time whole minutes. Common practice, no source: each hour on a job
carries its share of the hours worked for the shop, and all of them bring the wished rate.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from statistics import median

from app.calculations.figures.figures import Span, span
from app.calculations.numbers.rounding import half_away

ENOUGH = 5  # jobs from which a middle and a span are told; fewer are listed one by one


@dataclass(frozen=True, slots=True)
class Worked:
    """A done job: what it earned before tax, what its supplies cost, the minutes worked on it.

    `unpaid`: its share of the minutes worked for the shop, exact.
    """

    job_id: int
    earned: int
    supplies: int
    minutes: int
    unpaid: Fraction = Fraction(0)

    @property
    def all_minutes(self) -> Fraction:
        """Its own minutes and those that it carries."""
        return self.minutes + self.unpaid


@dataclass(frozen=True)
class Price:
    """What jobs of one kind are charged and ask for.

    `charged`, `asks`: the middle job, and of `asks` where four in five lie; None below `ENOUGH`
    jobs, whose own prices are then in `each`, lowest first. `an_hour`: what is left of all of them
    for each hour, unpaid ones included.
    """

    jobs: int
    charged: int | None
    asks: Span | None
    each: tuple[int, ...]
    an_hour: Fraction | None

    @property
    def short(self) -> int | None:
        """By how much the middle price asked is above the middle one charged."""
        if self.charged is None or self.asks is None:
            return None
        return half_away(Fraction(self.asks.middle)) - self.charged


def carrying(jobs: Sequence[Worked], on_jobs: int, on_shop: int) -> list[Worked]:
    """The jobs, each with its share of `on_shop` minutes, by the minutes worked on it.

    `on_jobs`: all minutes worked on jobs in that time, on these or others.
    """
    if on_jobs <= 0 or on_shop <= 0:
        return list(jobs)
    share = Fraction(on_shop, on_jobs)
    return [replace(job, unpaid=job.minutes * share) for job in jobs]


def asked(job: Worked, rate: int) -> int:
    """The price before tax at which each hour of a job, and each that it carries, brings `rate`."""
    return job.supplies + half_away(job.all_minutes * rate / 60)


def left_an_hour(jobs: Sequence[Worked], saving: int = 0) -> Fraction | None:
    """What is left for each hour of all work, after supplies and what was saved; None of none."""
    left = sum(job.earned - job.supplies for job in jobs) + saving
    minutes = sum((job.all_minutes for job in jobs), Fraction(0))
    return 60 * left / minutes if minutes else None


def price(jobs: Sequence[Worked], rate: int) -> Price:
    """What these jobs, one or more, are charged and ask for at a wished hourly rate."""
    asks = [asked(job, rate) for job in jobs]
    if len(jobs) < ENOUGH:
        return Price(len(jobs), None, None, tuple(sorted(asks)), left_an_hour(jobs))
    charged = half_away(Fraction(median(job.earned for job in jobs)))
    return Price(len(jobs), charged, span(asks), (), left_an_hour(jobs))


def dearer(jobs: Sequence[Worked], percent: int) -> list[Worked]:
    """The same jobs, had each been charged so much more; each price is rounded by itself."""
    times = Fraction(100 + percent, 100)
    return [replace(job, earned=half_away(job.earned * times)) for job in jobs]


def quicker(jobs: Sequence[Worked], minutes: int) -> list[Worked]:
    """The same jobs, had each taken so much less, none less than nothing; what they carry stays:
    nobody quotes or launders less because a job was quick."""
    return [replace(job, minutes=max(0, job.minutes - minutes)) for job in jobs]


def saved(was: int, price: int, size: int, last_price: int, last_size: int) -> int:
    """What uses that cost `was` had cost less in another pack, freight in the same proportion.

    `price` and `size` of the other pack against those of the one bought last; zero where it is no
    cheaper by its size.
    """
    now = half_away(Fraction(was * price * last_size, size * last_price))
    return max(0, was - now)


@dataclass(frozen=True)
class Took:
    """What jobs took of a supply: base units, and what they cost."""

    quantity: int
    cost: int


@dataclass(frozen=True)
class YearAgo:
    """What the mean job leaves, against that of the year before; minor units a job.

    `left` is `charged` less `prices` less `use`, exactly. `prices`: what this year's quantities
    cost more than at the unit costs of the year before, of `supplies` each; `use`: the rest.
    """

    left: int
    charged: int
    prices: int
    use: int
    supplies: tuple[tuple[int, int], ...]  # (supply, a job), the dearest grown first


def year_ago(
    now: Sequence[Worked],
    then: Sequence[Worked],
    took_now: Mapping[int, Took],
    took_then: Mapping[int, Took],
) -> YearAgo | None:
    """This year's jobs of a kind against those of the year before; None below `ENOUGH` in either.

    A supply that was not used then has no unit cost to compare with: it is in `use`.
    """
    if min(len(now), len(then)) < ENOUGH:
        return None
    many = len(now)
    charged = half_away(_mean(now, "earned") - _mean(then, "earned"))
    supplies = half_away(_mean(now, "supplies") - _mean(then, "supplies"))
    grown = []
    for supply, took in took_now.items():
        before = took_then.get(supply)
        if before is not None and before.quantity > 0:
            at_then = Fraction(took.quantity * before.cost, before.quantity)
            grown.append((supply, (took.cost - at_then) / many))
    prices = half_away(sum((more for _, more in grown), Fraction(0)))
    ordered = sorted(((one, half_away(more)) for one, more in grown), key=lambda x: (-x[1], x[0]))
    return YearAgo(charged - supplies, charged, prices, supplies - prices, tuple(ordered))


def _mean(jobs: Sequence[Worked], what: str) -> Fraction:
    return Fraction(sum(getattr(job, what) for job in jobs), len(jobs))
