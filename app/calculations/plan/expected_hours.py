"""How long a job is expected to take: what the price list says, moved by the shop's own jobs.

The list's minutes are for a medium vehicle in average condition; factors for size and condition
make them those of one vehicle. After five closed jobs of a kind the shop's own middle takes over,
shown beside the list's figure and never instead of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

ENOUGH = 5  # closed jobs of a kind before the shop's own hours count (common practice, no source)
STEP = 5  # minutes to which an expectation is rounded


@dataclass(frozen=True, slots=True)
class Sold:
    """A service sold on a job: its minutes by the list, whether the outside's size counts."""

    service: int
    minutes: int
    outside: bool
    layers: int = 1


@dataclass(frozen=True, slots=True)
class HourFactors:
    """What size (outside, inside) and condition do to hands-on time."""

    outside: Mapping[str, float]
    inside: Mapping[str, float]
    condition: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class ExpectedHours:
    """Minutes expected, and where they come from.

    `low` and `high` hold four in five of the shop's own jobs of the kind, both equal to `minutes`
    while there are fewer than five.
    """

    minutes: int
    by_list: int
    n: int  # closed jobs of the kind behind it
    low: int
    high: int

    @property
    def own(self) -> bool:
        """Whether the shop's own jobs moved it."""
        return self.n >= ENOUGH


def list_minutes(
    sold: Sequence[Sold], size_outside: str, size_inside: str, condition: str, by: HourFactors
) -> dict[int, float]:
    """Minutes of each service on one vehicle by the list; an unknown size counts as medium."""
    state = by.condition.get(condition, 1.0)
    minutes: dict[int, float] = {}
    for one in sold:
        size = by.outside.get(size_outside, 1.0) if one.outside else by.inside.get(size_inside, 1.0)
        taken = one.minutes * max(1, one.layers) * size * state
        minutes[one.service] = minutes.get(one.service, 0.0) + taken
    return minutes


def main_service(minutes: Mapping[int, float]) -> int | None:
    """The service that takes longest: it says what kind of job this is."""
    return max(minutes, key=lambda one: (minutes[one], -one), default=None)


def expected_hours(by_list: float, ratios: Sequence[float]) -> ExpectedHours:
    """Expected minutes from the list's and what such jobs took before, as worked / by the list.

    Five jobs or more: their median (less moved by one bad day than the mean); else the list's.
    """
    plain = _rounded(by_list)
    if len(ratios) < ENOUGH:
        return ExpectedHours(plain, plain, len(ratios), plain, plain)
    low, middle, high = (by_list * share for share in np.quantile(ratios, (0.1, 0.5, 0.9)))
    return ExpectedHours(_rounded(middle), plain, len(ratios), _rounded(low), _rounded(high))


def _rounded(minutes: float) -> int:
    return max(0, int(minutes / STEP + 0.5) * STEP)
